"""The motor: rated power with its margin, and the nameplate at the worst case."""

import numpy as np

from wetpath.edge.quantities import POWER, RATIO
from wetpath.physics.electrical.motor import margin_asked
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation


def rating(situation: Situation) -> Check:
    """Motor rating over shaft power of rated and normal cases, with the margin rule of the practice."""
    practice, rated = situation.practice, situation.pump.driver.rated_power
    asked = float(margin_asked(rated, (practice["motor_margin_first_break"].value,
                                       practice["motor_margin_second_break"].value),
                               (practice["motor_margin_small"].value, practice["motor_margin_medium"].value,
                                practice["motor_margin_large"].value)))
    limit = min((practice[name] for name in ("motor_margin_small", "motor_margin_medium", "motor_margin_large")),
                key=lambda one: abs(one.value - asked))
    return check("motor_margin", "motor rating over shaft power", RATIO, rated / situation.losses.shaft, asked,
                 sense="at least", applies=situation.demands.in_preferred, by_choice=True,
                 where="motor", source=limit.source,
                 status=limit.status, meaning=limit.meaning, remedy=limit.remedy)


def nameplate(situation: Situation) -> Check:
    """Shaft power of every case against the nameplate."""
    return check("nameplate", "shaft power", POWER, situation.losses.shaft,
                 np.full(situation.count, situation.pump.driver.rated_power), sense="at most", by_choice=True,
                 where="motor",
                 source="common-practice", status="common practice",
                 meaning="no case may take more than the power on the nameplate",
                 remedy="a larger motor, a smaller impeller, or a limit on flow with the denser liquid")
