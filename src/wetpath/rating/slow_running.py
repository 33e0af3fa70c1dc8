"""How slow a pump on an inverter may turn before its internal circulation loses the margins of the practice."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.rating.missing import distance
from wetpath.rating.pump_model import Inputs, solve_each

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Speeds looked at between the lowest of the inverter and that of the case.
SPEEDS = 13


def slow_running(situation: Situation) -> Array:
    """Lowest speed down to which every case keeps the vapour margins, flow falling with speed [rad/s].

    Suction pressure and temperature stay. NaN where the pump has no inverter, or the case is short at its own speed.
    A hint, with the step of the speeds looked at: a system with static head does not follow the flow taken here.
    """
    inverter, inputs, practice = situation.pump.driver.inverter, situation.solved.inputs, situation.practice
    if inverter is None:
        return np.full(situation.count, np.nan)
    lowest = np.minimum(inverter.lowest_speed, inputs.speed)
    speed = inputs.speed[:, None] + np.linspace(0.0, 1.0, SPEEDS) * (lowest - inputs.speed)[:, None]
    cases = np.repeat(np.arange(situation.count), SPEEDS)
    at = Inputs(**{one.name: getattr(inputs, one.name)[cases] for one in fields(Inputs)})
    at = at.changed(speed=speed.ravel(), flow=at.flow * speed.ravel() / at.speed)
    solved = solve_each(situation.models, situation.model_of[cases], at)
    left = distance(solved, practice["vapour_margin_pressure"].value, practice["vapour_margin_temperature"].value,
                    practice["wall_margin_temperature"].value).reshape(speed.shape)
    kept = np.cumprod(left >= 0, axis=1).sum(axis=1)      # speeds that hold, from the top, before one is short
    return np.where(kept > 0, speed[np.arange(situation.count), np.maximum(kept - 1, 0)], np.nan)
