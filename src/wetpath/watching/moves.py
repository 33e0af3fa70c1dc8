"""Which change of the operating point takes the margin away: each unknown put in alone, by the model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.watching.reconcile import STATES
from wetpath.watching.surrogate import FLOW, MARGIN, PRESSURE, SPEED, TEMPERATURE, Surrogate, columns_at, margins_of

Array = NDArray[np.float64]

#: What a change of each unknown is called: name, title when it falls, and when it rises.
CALLED = {
    FLOW: (("flow_falling", "discharge valve closing, or running below the least flow"),
           ("flow_rising", "flow rising")),
    TEMPERATURE: (("suction_cooling", "suction getting colder"), ("hot_slug", "hot liquid coming in")),
    SPEED: (("speed_falling", "speed falling"), ("speed_rising", "speed rising")),
    PRESSURE: (("suction_falling", "suction valve or strainer closing, or vessel losing pressure"),
               ("suction_rising", "suction pressure rising"))}
_NAMES = {FLOW: "flow", TEMPERATURE: "suction temperature", SPEED: "speed", PRESSURE: "suction pressure"}


@dataclass(frozen=True)
class Move:
    """One unknown that has moved, and the margin that this alone takes [Pa]."""

    name: str
    title: str
    taken: float
    evidence: str


def moves(surrogate: Surrogate, coefficients: Array, before: Array, now: Array) -> tuple[Move, ...]:
    """Moves of the operating point, the one that takes most of the vapour margin first.

    Parameters
    ----------
    surrogate : Surrogate
    coefficients : array
        `Surrogate.at_feed` of the feed area that is left.
    before, now : array (4,)
        Flow, suction temperature, speed, suction pressure; SI, absolute.
    """
    points = np.tile(before, (STATES + 1, 1))
    points[np.arange(STATES), np.arange(STATES)] = now
    points = np.clip(points, surrogate.low[:STATES], surrogate.high[:STATES])
    columns = columns_at(coefficients, surrogate.low, surrogate.high, points)
    margin = margins_of(surrogate.liquid.arrays, columns, points[:, TEMPERATURE].copy(),
                        points[:, PRESSURE].copy())[:, MARGIN]
    found = moved(before, now, margin[STATES] - margin[:STATES])
    return tuple(sorted(found, key=lambda one: -one.taken))


def moved(before: Array, now: Array, taken: Array | None = None) -> tuple[Move, ...]:
    """Moves of the unknowns in their order; without ``taken`` the margin each takes counts as not known: infinite."""
    found = []
    for one, (falls, rises) in sorted(CALLED.items()):
        name, title = rises if now[one] > before[one] else falls
        size = (f"{now[one] - before[one]:+.1f} K" if one == TEMPERATURE
                else f"{100 * (now[one] / before[one] - 1):+.0f} %")
        found.append(Move(name, title, np.inf if taken is None else float(taken[one]),
                          f"{_NAMES[one]} {size} against the first hour".replace("-", "\u2212")))
    return tuple(found)
