"""What is missing to make a case hold: suction pressure, or a colder liquid."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.rating.pump_model import Inputs, PumpModel, Selection, Solved

Array = NDArray[np.float64]

#: Suction pressure is looked for up to this much above the given one [Pa].
FURTHEST_PRESSURE = 60e5
#: A colder liquid is looked for down to this much below the given temperature [K].
FURTHEST_TEMPERATURE = 120.0
#: Searches end when the change asked for is known to this [Pa], [K].
PRESSURE_RESOLUTION, TEMPERATURE_RESOLUTION = 10.0, 1e-3


def distance(solved: Solved, pressure_margin: float, temperature_margin: float, wall_margin: float) -> Array:
    """How far each case is from holding three margins, as the least of what is left [bar, 10 K, 10 K]; negative: short.

    A case without liquid solution counts as far short, -inf.
    """
    scalars = solved.solution.states.scalars
    left = np.minimum(np.minimum((scalars[:, solve.PRESSURE_MARGIN] - pressure_margin) / 1e5,
                                 (scalars[:, solve.TEMPERATURE_MARGIN] - temperature_margin) / 10.0),
                      (scalars[:, solve.WALL_MARGIN] - wall_margin) / 10.0)
    return np.where(solved.solution.outcome == Outcome.NO_SOLUTION, -np.inf, left)


def missing_suction_pressure(model: PumpModel, inputs: Inputs, *, pressure_margin: float = 0.0,
                             temperature_margin: float = 0.0, wall_margin: float = -np.inf) -> Array:
    """Least rise of suction pressure with which every case holds the margins [Pa].

    0 where they hold already, NaN where no pressure up to 60 bar more makes them hold. Margins 0, 0 and no wall
    margin ask only that the liquid stays liquid.
    """
    def shifted(rise: Array, cases: Inputs) -> Inputs:
        return cases.changed(pressure=cases.pressure + rise)

    return _least_change(model, inputs, shifted, FURTHEST_PRESSURE, 2e4, PRESSURE_RESOLUTION, pressure_margin,
                         temperature_margin, wall_margin)


def missing_cooling(model: PumpModel, inputs: Inputs, *, pressure_margin: float = 0.0, temperature_margin: float = 0.0,
                    wall_margin: float = -np.inf) -> Array:
    """Least cooling of the liquid, at the given suction pressure, with which every case holds the margins [K].

    0 where they hold already, NaN where no temperature within 120 K, or the property table, makes them hold.
    """
    lowest, _ = model.liquid.temperature_range

    def shifted(drop: Array, cases: Inputs) -> Inputs:
        return cases.changed(temperature=np.maximum(cases.temperature - drop, lowest))

    room = float(min(FURTHEST_TEMPERATURE, np.max(inputs.temperature) - lowest)) if inputs.flow.size else 0.0
    return _least_change(model, inputs, shifted, max(room, 0.1), 1.0, TEMPERATURE_RESOLUTION, pressure_margin,
                         temperature_margin, wall_margin)


def _least_change(model: PumpModel, inputs: Inputs, shifted: Callable[[Array, Inputs], Inputs], furthest: float,
                  first: float, resolution: float, pressure_margin: float, temperature_margin: float,
                  wall_margin: float) -> Array:
    def left(change: Array, cases: Selection) -> Array:
        return distance(model.solve(shifted(change, inputs.chosen(cases))), pressure_margin, temperature_margin,
                        wall_margin)

    return least_change(left, inputs.flow.size, furthest, first, resolution)


def least_change(left: Callable[[Array, Selection], Array], count: int, furthest: float, first: float,
                 resolution: float) -> Array:
    """Least change from 0 upward with which what is left of a demand is zero or more, case by case.

    Parameters
    ----------
    left : callable
        What is left at a change of each of some cases, given by index; it must rise with the change. -inf where it
        only can be told that it is short.
    count : int
        Number of cases.
    furthest, first, resolution : float
        Largest change looked at, first one tried, and how narrowly the answer is known.

    Returns
    -------
    array
        On the side that holds; 0 where nothing needs to change, NaN where no change up to ``furthest`` helps.
    """
    low, high = np.zeros(count), np.full(count, np.nan)
    at_low = left(low, np.arange(count))
    at_high = np.full(count, np.nan)
    holds = at_low >= 0
    high[holds] = 0.0
    step = first
    while (open_ := np.flatnonzero(np.isnan(high))).size:
        change = np.minimum(low[open_] + step, furthest)
        reached = left(change, open_)
        good = reached >= 0
        high[open_[good]], at_high[open_[good]] = change[good], reached[good]
        low[open_[~good]], at_low[open_[~good]] = change[~good], reached[~good]
        if step >= furthest:
            break
        step = min(3 * step, furthest)
    for turn in range(60):
        open_ = np.flatnonzero(~holds & (high - low > resolution))
        if not open_.size:
            break
        down, up = at_low[open_], at_high[open_]
        share = np.where(np.isfinite(down), -down / np.where(np.isfinite(down), up - down, 1.0), 0.5)
        share = np.clip(share, 0.02, 0.98) if turn % 3 else np.full(open_.size, 0.5)
        change = low[open_] + share * (high[open_] - low[open_])
        reached = left(change, open_)
        good = reached >= 0
        high[open_[good]], at_high[open_[good]] = change[good], reached[good]
        low[open_[~good]], at_low[open_[~good]] = change[~good], reached[~good]
    return high
