"""Conditions of the pump over time: what the effects of all upsets together make of the rated ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError
from wetpath.liquids.liquid import Liquid
from wetpath.upsets.upset import KINDS, Effect, Upset

Array = NDArray[np.float64]

#: Knots on each change of a condition, which is straight between them.
KNOTS_OF_A_CHANGE = 13
#: The first knot, at which everything is as rated [s]; a simulation begins at 0.
RATED_UNTIL = -1.0
#: Least time of a change [s].
LEAST_OVER = 0.02
#: Columns that are shares, factors or the surroundings, and their value before the upset: a vessel so large that its
#: level stands, and a pump that does not vent.
FACTORS = {"gas": 0.0, "open": 1.0, "feed_area": 1.0, "return_area": 1.0, "density": 1.0, "viscosity": 1.0,
           "heat_capacity": 1.0, "vapour_pressure": 1.0, "clearance": 1.0, "rear_core": 1.0, "cooler": 1.0,
           "head": 1.0, "out_of_step": 0.0, "locked": 0.0, "slip_factor": 1.0, "above_vapour": 1.0,
           "vessel_area": 1e9, "vessel_inflow": 1.0, "vessel_outlet": 1e3, "vent_time": 1e6}


@dataclass(frozen=True, eq=False)
class Course:
    """Conditions at knots of time; straight lines between them. SI, absolute."""

    time: Array
    columns: dict[str, Array]
    filled: bool
    coupled: bool

    def __getitem__(self, name: str) -> Array:
        """One condition at the knots."""
        return self.columns[name]

    def at(self, name: str, time: Array) -> Array:
        """One condition at any times."""
        return np.asarray(np.interp(time, self.time, self.columns[name]))


def course_of(upsets: Sequence[Upset], rated: dict[str, float], duration: float, liquid: Liquid) -> Course:
    """Conditions over time from those rated (flow, speed, suction_pressure, suction_temperature) and the upsets."""
    changes = [(upset, effect, *_window(upset, effect)) for upset in upsets for effect in KINDS[upset.kind].effects]
    knots = [np.array([RATED_UNTIL, 0.0, duration])]
    for _, _, begins, ends in changes:
        knots.append(np.linspace(begins, ends, KNOTS_OF_A_CHANGE))
    time = np.unique(np.clip(np.concatenate(knots), RATED_UNTIL, duration))
    initial = {**rated, **FACTORS}
    columns = {name: np.full(time.size, value) for name, value in initial.items()}
    for upset, effect, begins, ends in changes:
        share = np.clip((time - begins) / (ends - begins), 0.0, 1.0)
        columns[effect.column] = _changed(columns[effect.column], initial[effect.column], effect,
                                          upset.number(effect.value), share)
    _above_vapour(columns, rated, liquid)
    kinds = [KINDS[upset.kind] for upset in upsets]
    return Course(time, columns, all(kind.filled for kind in kinds), all(kind.coupled for kind in kinds))


def _window(upset: Upset, effect: Effect) -> tuple[float, float]:
    begins = upset.start + upset.number(effect.after)
    kind = KINDS[upset.kind]
    if not (kind.filled and kind.coupled):
        begins -= upset.start + LEAST_OVER
    return begins, begins + max(upset.number(effect.over), LEAST_OVER)


def _changed(column: Array, initial: float, effect: Effect, value: float, share: Array) -> Any:
    if effect.how == "to":
        return column + share * (value - column)
    if effect.how == "times":
        return column * (1.0 + share * (value - 1.0))
    if effect.how == "plus":
        return column + share * value
    return column + share * (value * initial - column)


def _above_vapour(columns: dict[str, Array], rated: dict[str, float], liquid: Liquid) -> None:
    left = columns["above_vapour"]
    if (left == 1.0).all():
        return
    vapour = float(liquid.vapour_pressure(rated["suction_temperature"]))
    if np.isnan(vapour):
        raise InputError(f"cannot be simulated: the vapour pressure of {liquid.name} is not known", field="upset",
                         value='"suction pressure decay"', do="give a vapour pressure, or take suction strangled")
    columns["suction_pressure"] = columns["suction_pressure"] - (1.0 - left) * (rated["suction_pressure"] - vapour)
