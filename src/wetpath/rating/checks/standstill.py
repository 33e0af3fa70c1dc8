"""The stopped pump: does the liquid behind the inner ring stay liquid until it starts again."""

from wetpath.edge.quantities import TEMPERATURE_DIFFERENCE
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation

#: Scale of the margin where the practice asks for none [K].
SCALE = 5.0


def boiling_after_stop(situation: Situation) -> Check:
    """Margin to boiling of the soaked liquid at the pressure of the suction, where the pump must start again hot."""
    limit = situation.practice["standstill_margin_temperature"]
    return check("boiling_after_stop", "margin to boiling after a stop", TEMPERATURE_DIFFERENCE,
                 situation.standstill.margin, limit, scale=max(abs(limit.value), SCALE),
                 applies=situation.demands.protection.restarts_hot, where="liquid behind the inner ring")
