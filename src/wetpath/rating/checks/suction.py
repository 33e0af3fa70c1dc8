"""The suction side: suction specific speed and gas in the liquid."""

import numpy as np

from wetpath.edge.quantities import NUMBER, RATIO
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation


def suction_specific_speed(situation: Situation) -> Check:
    """Suction specific speed against the ceiling of the practice."""
    return check("suction_specific_speed", "suction specific speed in r/min, m³/s and m", NUMBER,
                 situation.solved.point.suction_specific_speed, situation.practice["suction_specific_speed_highest"],
                 by_choice=True, where="impeller eye")


def gas_share(situation: Situation) -> Check:
    """Gas in the liquid by volume at the place of lowest pressure, where the enquiry tells of gas."""
    suction = situation.suction
    told = situation.demands.gas is not None
    return check("gas_share", "gas in the liquid by volume", RATIO, suction.gas_share, situation.practice["gas_share"],
                 applies=told & (situation.model_of == 0) & np.ones(situation.count, bool), where=suction.gas_at)
