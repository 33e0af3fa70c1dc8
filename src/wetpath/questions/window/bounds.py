"""The bounds of a window in the order in which they are met when one thing is changed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import PRESSURE, TEMPERATURE, VOLUME_FLOW, Kind
from wetpath.questions.window.basis import Basis
from wetpath.questions.window.points import AT_FLANGE, Points, rate_points

Array = NDArray[np.float64]

#: Points on the way from the case to the end of each direction.
STEPS = 120


@dataclass(frozen=True)
class Met:
    """A check that ceases to hold on the way, and where [SI of the direction]."""

    name: str
    title: str
    at: float


@dataclass(frozen=True)
class Way:
    """One direction from the point of the case, with the bounds met in order."""

    name: str
    kind: Kind
    start: float
    end: float               # how far was looked
    met: tuple[Met, ...]


@dataclass(frozen=True)
class Bounds:
    """All directions, and the checks that do not hold where they begin."""

    short_here: tuple[str, ...]     # titles
    ways: tuple[Way, ...]

    def __getitem__(self, name: str) -> Way:
        return next(way for way in self.ways if way.name == name)


def bounds_from(basis: Basis, flows: tuple[float, float], temperatures: tuple[float, float]) -> Bounds:
    """Bounds met from the flow and temperature of the case, at the suction of the window, to ends of the window.

    Towards less suction pressure the way ends at the vapour pressure. Placed on a straight line between two of some
    hundred points on the way; a check that holds again further on is told once.
    """
    flow, temperature = basis.flow, basis.temperature
    vapour = basis.liquid.vapour_pressure(np.array([temperature]))
    pressure = float(basis.suction.at(vapour)[0])
    ends = [("less flow", VOLUME_FLOW, flow, min(flows[0], flow)),
            ("more flow", VOLUME_FLOW, flow, max(flows[1], flow)),
            ("colder", TEMPERATURE, temperature, min(temperatures[0], temperature)),
            ("hotter", TEMPERATURE, temperature, max(temperatures[1], temperature))]
    if basis.liquid.has_vapour_pressure:
        ends.append(("less suction pressure", PRESSURE, pressure, min(float(vapour[0]), pressure)))
    values = np.array([np.linspace(start, end, STEPS + 1) for _, _, start, end in ends])
    columns = {kind: np.where(np.array([one is kind for _, one, _, _ in ends])[:, None], values, fixed)
               for kind, fixed in ((VOLUME_FLOW, flow), (TEMPERATURE, temperature))}
    suction = basis.suction.at(np.asarray(basis.liquid.vapour_pressure(columns[TEMPERATURE])))
    suction = np.where(np.array([kind is PRESSURE for _, kind, _, _ in ends])[:, None], values, suction)
    points = rate_points(basis, columns[VOLUME_FLOW].ravel(), columns[TEMPERATURE].ravel(), suction.ravel())
    share = points.share.reshape(len(points.names), *values.shape)
    here = tuple(title for title, one in zip(points.titles, share[:, 0, 0], strict=True) if one < 0)
    return Bounds(here, tuple(Way(name, kind, start, end, _met(points, share[:, way], values[way]))
                              for way, (name, kind, start, end) in enumerate(ends)))


def _met(points: Points, share: Array, values: Array) -> tuple[Met, ...]:
    found = []
    for name, title, left in zip(points.names, points.titles, share, strict=True):
        crossed = np.flatnonzero((left[:-1] >= 0) & (left[1:] < 0))
        if name == AT_FLANGE and not crossed.size:
            continue
        if crossed.size and left[0] >= 0:
            first = int(crossed[0])
            part = left[first] / (left[first] - left[first + 1])
            found.append(Met(name, title, float(values[first] + part * (values[first + 1] - values[first]))))
    rising = values[-1] >= values[0]
    return tuple(sorted(found, key=lambda one: one.at if rising else -one.at))
