"""The map over flow and temperature: where every check holds, and which governs where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.questions.parts import Cancelled, Progress, Runner, run_here
from wetpath.questions.window.basis import Basis
from wetpath.questions.window.points import Points, rate_points

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WindowMap:
    """Every check on a grid; fields over the grid have axes (flow, temperature)."""

    flow: Array               # [m3/s]
    temperature: Array        # [K]
    pressure: Array           # [Pa] at the suction flange, first axis the temperature
    vapour_pressure: Array    # [Pa] first axis the temperature
    points: Points            # the grid in one row, temperature running faster

    @property
    def shape(self) -> tuple[int, int]:
        """Numbers of flows and temperatures."""
        return self.flow.size, self.temperature.size

    @property
    def rated(self) -> NDArray[np.bool_]:
        """Points that were rated before the work was stopped."""
        return self.governing >= 0

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Points at which every check holds."""
        return self.points.holds.reshape(self.shape)

    @property
    def governing(self) -> NDArray[np.int64]:
        """Index, into the names of the checks, of the one that governs; -1 where the point was not rated."""
        return self.points.governing.reshape(self.shape)

    @property
    def governing_share(self) -> Array:
        """What is left to the limit of the governing check over its scale."""
        return self.points.governing_share.reshape(self.shape)

    @property
    def share_that_holds(self) -> float:
        """Part of the points rated at which every check holds; NaN when none was."""
        return float(self.holds[self.rated].mean()) if self.rated.any() else float("nan")

    @property
    def unproved(self) -> int:
        """Number of points excluded because the circulation did not close, which is not proved."""
        boils = self.pressure < self.vapour_pressure
        return int((~self.points.closed.reshape(self.shape) & self.rated & ~boils[None, :]).sum())

    def share_of(self, name: str) -> Array:
        """Share of one check over the grid."""
        return self.points.share[self.points.names.index(name)].reshape(self.shape)

    def excluded_by(self) -> tuple[tuple[int, float], ...]:
        """Checks that govern where something is short, each with the part of the points rated, the largest first."""
        short = self.governing[self.rated & ~self.holds]
        counts = np.bincount(short, minlength=len(self.points.names)) / max(int(self.rated.sum()), 1)
        return tuple((int(index), float(counts[index])) for index in np.argsort(-counts, kind="stable")
                     if counts[index] > 0)


def window_map(basis: Basis, flow: Array, temperature: Array, *, progress: Progress | None = None,
               cancelled: Cancelled | None = None, runner: Runner = run_here) -> WindowMap:
    """Make every check on a grid of flows and temperatures at the suction of the window."""
    vapour = np.asarray(basis.liquid.vapour_pressure(temperature))
    pressure = basis.suction.at(vapour)
    flows, temperatures = (one.ravel() for one in np.meshgrid(flow, temperature, indexing="ij"))
    points = rate_points(basis, flows, temperatures, np.tile(pressure, flow.size), progress=progress,
                         cancelled=cancelled, runner=runner)
    return WindowMap(flow, temperature, pressure, vapour, points)
