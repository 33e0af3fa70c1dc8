"""The magnetic coupling: does it hold in step, and do its magnets stay below their limits."""

from wetpath.circulation import solve
from wetpath.edge.quantities import RATIO, TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.edge.tables import ROOM_TEMPERATURE, Magnet
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation


def running_margin(situation: Situation) -> Check:
    """Pull-out torque at hot magnets over running torque."""
    return check("coupling_margin_running", "pull-out torque over running torque", RATIO,
                 situation.losses.coupling_ratio, situation.practice["coupling_margin_running"], where="magnet rings")


def inner_magnets(situation: Situation) -> Check:
    """Temperature of the inner magnets against their limit."""
    return _magnets(situation, "inner", situation.pump.inner_magnet, solve.INNER_RING)


def outer_magnets(situation: Situation) -> Check:
    """Temperature of the outer magnets against their limit."""
    return _magnets(situation, "outer", situation.pump.outer_magnet, solve.OUTER_RING)


def _magnets(situation: Situation, which: str, magnet: Magnet, column: int) -> Check:
    margin = situation.practice["magnet_temperature_margin"]
    highest = magnet.highest_temperature - margin.value
    origin = magnet.origins["highest_temperature"]
    return check(f"{which}_magnets", f"temperature of the {which} magnets", TEMPERATURE, situation.scalars[:, column],
                 highest, sense="at most", scale=highest - ROOM_TEMPERATURE, difference_kind=TEMPERATURE_DIFFERENCE,
                 where=f"{which} ring", source=origin.source, status=origin.status,
                 meaning=f"limit of {magnet.name} less the margin of the practice", remedy=margin.remedy)
