"""The pump file that a works test leads to: curves refitted from the measured points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import HEAD, POWER, RATIO, VOLUME_FLOW, Kind
from wetpath.edge.units import convert, parse
from wetpath.errors import LimitError
from wetpath.liquids.liquid import Liquid
from wetpath.machine.impeller import TEST_WATER
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.affinity import at_speed
from wetpath.physics.pump.hydraulic_power import hydraulic_power
from wetpath.physics.pump.smooth_fit import SmoothFit
from wetpath.physics.pump.works_test import npsh_at_speed
from wetpath.questions.acceptance.accept import Acceptance
from wetpath.questions.acceptance.bench import Bench, drive_losses, predict
from wetpath.questions.acceptance.curves import fit_of
from wetpath.rating.operating_point import operating_point

Array = NDArray[np.float64]
Curve = Callable[[Any], Any]

#: Points of the refitted curves.
POINTS = 9


@dataclass(frozen=True, eq=False)
class UpdatedPump:
    """A pump with refitted curves, the old and new ones at the tested speed of the file, and how well it now agrees."""

    pump: PumpFile
    flow: Array
    old_head: Array
    new_head: Array
    old_efficiency: Array       # of the wet end
    new_efficiency: Array
    old_npsh: Array
    new_npsh: Array
    head_left: float            # root mean square of measured less predicted head, over the measured head [-]
    power_left: float           # the same of power; NaN without measured power
    notes: tuple[str, ...]


def updated_pump(acceptance: Acceptance, water: Liquid, *, origin: str) -> UpdatedPump:
    """Refit head, wet-end efficiency and NPSH3 from the measured points.

    Between the measured flows the curves are the smooth fits. Wet-end power is the measured power less the losses of
    the magnetic drive as computed at each point. Beyond the measured flows, and for what was not measured, the old
    curve stays, scaled to meet the fit at the last measured flow.

    Parameters
    ----------
    acceptance : Acceptance
    water : Liquid
        What was tested with.
    origin : str
        What the note of the new file says the curves come from.
    """
    pump, bench, points = acceptance.pump, acceptance.bench, acceptance.points
    impeller, tested = pump.impeller, pump.impeller.tested
    basis = Bench(tested.speed, bench.temperature, bench.suction_pressure)
    slower = tested.speed / bench.speed
    last = max(float(points.flow.max()) * slower, tested.flow[-1] * impeller.diameter / tested.diameter)
    flow = _rounded(np.linspace(0.0, last, POINTS), VOLUME_FLOW, "m3/h", 2)
    state = water.state(np.full(1, basis.temperature), np.full(1, basis.suction_pressure))
    viscosity = float(state.viscosity[0] / state.density[0])

    def old(at: Array) -> Any:
        """The curves of the file at its tested speed and the fitted diameter."""
        return operating_point(pump, at, np.full(at.shape, tested.speed), np.full(at.shape, viscosity))

    measured = at_speed(points.flow, points.head, points.power, slower)
    notes: list[str] = []
    head = _joined(fit_of(measured.flow, measured.head, "falling"), measured.flow, lambda at: old(at).head, flow)
    efficiency = old(flow).efficiency
    power = _wet_end_power(acceptance, water) if points.has_power else None
    if power is not None:
        known = np.isfinite(points.power) & (points.flow > 0)
        efficiency = _joined(lambda at: _efficiency(acceptance, power, at / slower), measured.flow[known],
                             lambda at: old(at).efficiency, flow)
    else:
        notes.append("power was not measured at three flows or more: the efficiency stays as it was")
    npsh = old(flow).npsh_required
    npsh_fit = fit_of(measured.flow, npsh_at_speed(points.npsh, slower), "one valley")
    if npsh_fit is not None:
        known = np.isfinite(points.npsh)
        npsh = _joined(npsh_fit, measured.flow[known], lambda at: old(at).npsh_required, flow)
    else:
        notes.append("NPSH3 was not measured at three flows or more: it stays as it was")
    if measured.flow.min() > flow[0] or measured.flow.max() < flow[-1] - 1e-9:
        notes.append("beyond the measured flows the old curves stay, scaled to meet the measured ones")
    efficiency = np.where(flow == 0, 0.0, efficiency)
    change = float(head[1] / old(flow).head[1] * old(flow).efficiency[1] / efficiency[1])
    shut_off = _shut_off_power(acceptance, power, slower, change)
    new = _with_curves(pump, flow, head, efficiency, npsh, shut_off, origin)
    changed = new.impeller.tested
    again = predict(new, water, bench, points.flow)
    return UpdatedPump(
        new, np.array(changed.flow), old(flow).head, np.array(changed.head),
        np.where(flow == 0, 0.0, old(flow).efficiency), np.array(changed.efficiency), old(flow).npsh_required,
        np.array(changed.npsh), _left(points.head, again.head), _left(points.power, again.power), tuple(notes))


def _wet_end_power(acceptance: Acceptance, water: Liquid) -> SmoothFit | None:
    """Power of the wet end over flow at the guaranteed speed [W]: measured power less the losses of the drive."""
    points = acceptance.points
    drive = drive_losses(acceptance.pump, water, acceptance.bench, points.flow, points.head, points.power)
    known = np.isfinite(drive)
    if not known.any():
        return None
    # near shut-off no heat balance is solved; the losses of the drive hardly change with flow
    drive = np.interp(points.flow, points.flow[known], drive[known])
    return fit_of(points.flow, points.power - drive, "one hill")


def _efficiency(acceptance: Acceptance, power: SmoothFit, flow: Array) -> Array:
    head = np.asarray(acceptance.curves.head(flow))
    return np.asarray(hydraulic_power(flow, head, acceptance.points.density) / power(flow))


def _shut_off_power(acceptance: Acceptance, power: SmoothFit | None, slower: float, change: float) -> float | None:
    """Power of the wet end at zero flow for the file: as measured, else the old one changed as at the lowest flow."""
    points, tested = acceptance.points, acceptance.pump.impeller.tested
    if power is not None and np.isfinite(points.power[points.flow == 0]).any():
        return float(power(0.0)) * slower**3 * TEST_WATER / points.density
    if tested.shut_off_power is None:
        return None
    trimmed = acceptance.pump.impeller.diameter / tested.diameter
    return tested.shut_off_power * trimmed**3 * change


def _joined(fit: Curve | None, measured: Array, old: Callable[[Array], Array], flow: Array) -> Array:
    """The fit between the measured flows, the old curve scaled to meet it beyond them."""
    assert fit is not None
    ends = np.array([measured.min(), measured.max()])
    if ends[0] == 0:
        factors = np.array([1.0, float(fit(ends[1]) / old(ends[1:])[0])])
    else:
        factors = np.asarray(fit(ends)) / old(ends)
    inside = (flow >= ends[0]) & (flow <= ends[1])
    return np.where(inside, np.asarray(fit(np.clip(flow, *ends))), old(flow) * np.where(flow < ends[0], *factors))


def _with_curves(pump: PumpFile, flow: Array, head: Array, efficiency: Array, npsh: Array, shut_off: float | None,
                 origin: str) -> PumpFile:
    if not (np.isfinite(efficiency).all() and (efficiency < 0.95).all() and (efficiency[flow > 0] > 0).all()):
        raise LimitError("The measured power leads to a wet-end efficiency that cannot be. Check the unit of power, "
                         "and that it is taken at the motor shaft.")
    tables = pump.model_dump()
    tables["note"] = f"{pump.note} {origin}".strip()
    tables["impeller"]["tested"] = {
        "speed": pump.impeller.tested.speed, "diameter": pump.impeller.diameter, "flow": tuple(flow),
        "head": tuple(_rounded(head, HEAD, "m", 2)), "efficiency": tuple(_rounded(efficiency, RATIO, "1", 4)),
        "npsh": tuple(_rounded(npsh, HEAD, "m", 2)),
        "shut_off_power": None if shut_off is None else float(_rounded(np.array([shut_off]), POWER, "kW", 3)[0])}
    return PumpFile.model_validate(tables)


def _rounded(values: Array, kind: Kind, unit: str, decimals: int) -> Array:
    """Values with so many decimals in a unit, so that they stand short in a file."""
    return np.array([parse(f"{float(convert(value, kind, unit)):.{decimals}f} {unit}".removesuffix(" 1"), kind)
                     for value in values])


def _left(measured: Array, predicted: Array) -> float:
    share = (predicted - measured) / measured
    known = np.isfinite(share)
    return float(np.sqrt(np.mean(share[known] ** 2))) if known.any() else float("nan")
