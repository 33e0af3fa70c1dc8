"""The graph of the internal circulation: stations, branches, and the taps where it meets the pump around it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import nan
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import laws, solve
from wetpath.circulation.branch import Branch

Side = Literal["casing", "suction", "outside"]
_SIDES: dict[str, int] = {"casing": solve.TO_CASING, "suction": solve.TO_SUCTION, "outside": solve.OUTSIDE}


@dataclass(frozen=True)
class Tap:
    """Station where the circulation takes liquid from the pump, gives it back, or meets an outside supply.

    Its pressure is the suction pressure plus ``head_share`` of the head, less the rotation head of a side room
    of core ratio ``core_rotation`` between ``outer_radius`` and ``inner_radius``; or, outside, as given. SI.
    """

    station: str
    side: Side
    head_share: float = 0.0
    core_rotation: float = 0.0
    outer_radius: float = 0.0
    inner_radius: float = 0.0
    pressure: float = nan
    temperature: float = nan

    def row(self) -> NDArray[np.float64]:
        """The numbers of the tap in the order of `wetpath.circulation.solve`."""
        return np.array([_SIDES[self.side], self.head_share, self.core_rotation, self.outer_radius,
                         self.inner_radius, self.pressure, self.temperature], float)


@dataclass(frozen=True)
class Network:
    """Branches and taps of one pump; stations are numbered in the order in which they are first named."""

    branches: tuple[Branch, ...]
    taps: tuple[Tap, ...]

    @cached_property
    def stations(self) -> tuple[str, ...]:
        """Names of the stations, feed first, in the order of the branches."""
        names: dict[str, None] = {}
        for branch in self.branches:
            names.setdefault(branch.start)
            names.setdefault(branch.end)
        return tuple(names)

    @cached_property
    def annulus(self) -> int:
        """Index of the branch that is the annulus inside the shell."""
        return next(i for i, branch in enumerate(self.branches) if branch.law == laws.ANNULUS)

    @cached_property
    def topology(self) -> solve.NetworkArrays:
        """Connections as integer arrays."""
        number = {name: index for index, name in enumerate(self.stations)}
        taps = [number[tap.station] for tap in self.taps]
        unknown = np.full(len(number), -1, np.int64)
        inner = [index for index in range(len(number)) if index not in taps]
        unknown[inner] = np.arange(len(inner))
        return solve.NetworkArrays(
            kind=np.array([branch.law for branch in self.branches], np.int64),
            start=np.array([number[branch.start] for branch in self.branches], np.int64),
            end=np.array([number[branch.end] for branch in self.branches], np.int64),
            unknown=unknown, taps=np.array(taps, np.int64))

    @property
    def rows(self) -> NDArray[np.float64]:
        """(branches, COLUMNS) geometry."""
        return np.array([branch.row() for branch in self.branches])

    @property
    def tap_rows(self) -> NDArray[np.float64]:
        """(taps, TAP_COLUMNS)."""
        return np.array([tap.row() for tap in self.taps])

    def faults(self) -> list[str]:
        """What is wrong with the graph, in words; an empty list when it can be solved."""
        return [*_unconnected(self.branches, {tap.station for tap in self.taps}), *_annuli(self.branches)]


def _annuli(branches: Sequence[Branch]) -> list[str]:
    count = sum(branch.law == laws.ANNULUS for branch in branches)
    return [] if count == 1 else [f"the circulation has {count} annuli inside the shell; it must have exactly one"]


def _unconnected(branches: Sequence[Branch], taps: set[str]) -> list[str]:
    faults = []
    named = {name for branch in branches for name in (branch.start, branch.end)}
    for station in sorted(taps - named):
        faults.append(f'the tap at station "{station}" touches no branch')
    reached = set(taps)
    for _ in branches:
        for branch in branches:
            if branch.start in reached or branch.end in reached:
                reached |= {branch.start, branch.end}
    for station in sorted(named - reached):
        faults.append(f'station "{station}" is not connected to any tap')
    for branch in branches:
        if branch.start == branch.end:
            faults.append(f'branch "{branch.name}" starts and ends at station "{branch.start}"')
    return faults
