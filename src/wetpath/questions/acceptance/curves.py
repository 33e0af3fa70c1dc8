"""Measured points brought to the guaranteed speed, and the smooth curves through them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.liquids.liquid import Liquid
from wetpath.physics.pump.affinity import at_speed
from wetpath.physics.pump.hydraulic_power import efficiency_from_power, hydraulic_power
from wetpath.physics.pump.smooth_fit import Shape, SmoothFit, smooth_fit
from wetpath.physics.pump.works_test import npsh_at_speed
from wetpath.questions.acceptance.bench import Bench
from wetpath.questions.acceptance.guarantee import TestCurves
from wetpath.questions.acceptance.measured import MeasuredPoints

Array = NDArray[np.float64]

#: A single measured NPSH3 stands for the guaranteed flow when it lies within this share of it.
SAME_FLOW = 0.05
#: Measured efficiency and the one that follows from measured power may differ by this before it is told.
CONSISTENT = 0.01


@dataclass(frozen=True, eq=False)
class Converted:
    """Measured points at the guaranteed speed with water of the bench; NaN where nothing was measured."""

    flow: Array
    head: Array
    power: Array            # at the motor shaft
    efficiency: Array
    npsh: Array
    density: float          # of the water of the bench [kg/m3]
    notes: tuple[str, ...]

    @property
    def has_power(self) -> bool:
        """Whether power or efficiency was measured at two flows above zero at least."""
        return bool(np.count_nonzero(np.isfinite(self.power) & (self.flow > 0)) >= 2)

    @property
    def has_npsh(self) -> bool:
        """Whether NPSH3 was measured anywhere."""
        return bool(np.isfinite(self.npsh).any())


def converted(points: MeasuredPoints, water: Liquid, bench: Bench) -> Converted:
    """Bring measured points to the guaranteed speed and to the water of the bench.

    Flow, head and power by similarity, power also in proportion to density, NPSH3 with the square of the speed. A
    power that was not measured follows from the efficiency, and the other way round.
    """
    faster = bench.speed / points.speed
    pressure = np.full(points.count, bench.suction_pressure)
    density = np.asarray(water.state(points.temperature, pressure).density)
    reference = float(water.state(np.array([bench.temperature]), pressure[:1]).density[0])
    running = points.flow > 0
    output = hydraulic_power(points.flow, points.head, density)
    given = np.where(running & (points.efficiency > 0), points.efficiency, np.nan)
    follows = output / given
    shaft = np.where(np.isfinite(points.power), points.power, follows)
    both = np.isfinite(points.power) & np.isfinite(given)
    apart = float(np.max(np.abs(output[both] / points.power[both] - given[both]), initial=0.0))
    notes = list(points.notes)
    if apart > CONSISTENT:
        notes.append(f"efficiency and power of the same point differ by up to {apart:.1%} of efficiency; power is used")
    flow, head, power = at_speed(points.flow, points.head, shaft * reference / density, faster)
    efficiency = np.where(running, efficiency_from_power(flow, head, reference, power), 0.0)
    return Converted(flow, head, power, np.where(np.isfinite(power), efficiency, np.nan),
                     npsh_at_speed(points.npsh, faster), reference, tuple(notes))


def curves_of(points: Converted) -> TestCurves:
    """Smooth curves through converted points."""
    head = fit_of(points.flow, points.head, "falling")
    assert head is not None
    power = fit_of(points.flow, points.power, "one hill")
    powered = points.flow[np.isfinite(points.power)]

    def efficiency(flow: Any) -> Any:
        assert power is not None
        return efficiency_from_power(flow, head(flow), points.density, power(flow))

    npsh, npsh_flows = _npsh(points)
    return TestCurves(
        head=head, power=power, efficiency=efficiency if power else None, npsh=npsh,
        first_flow=float(points.flow.min()), last_flow=float(points.flow.max()), npsh_flows=npsh_flows,
        power_flows=_ends(powered) if power else (np.nan, np.nan), head_held=head.held)


def fit_of(flow: Array, measured: Array, shape: Shape) -> SmoothFit | None:
    """Smooth fit through what was measured; None with fewer than three different flows."""
    known = np.isfinite(measured)
    if np.unique(flow[known]).size < 3:
        return None
    return smooth_fit(flow[known], measured[known], shape)


def _npsh(points: Converted) -> tuple[Callable[[Any], Any] | None, tuple[float, float]]:
    """Curve of NPSH3 and its flows: smooth through three and more, straight between two, one where it stands."""
    known = np.isfinite(points.npsh)
    flow, npsh = points.flow[known], points.npsh[known]
    fit = fit_of(points.flow, points.npsh, "one valley")
    if fit is not None:
        return fit, _ends(flow)
    if not flow.size:
        return None, (np.nan, np.nan)
    if np.unique(flow).size == 1:
        return (lambda at: np.mean(npsh) + 0.0 * at), (flow[0] * (1 - SAME_FLOW), flow[0] * (1 + SAME_FLOW))
    return (lambda at: np.interp(at, flow, npsh)), _ends(flow)


def _ends(flow: Array) -> tuple[float, float]:
    return float(flow.min()), float(flow.max())
