"""The checks of a rating, one file a subject; each is a function of the situation."""

from collections.abc import Callable
from functools import cache

import numpy as np

from wetpath.rating.check import Check
from wetpath.rating.checks import (
    bearings,
    coupling,
    driver,
    flow_limits,
    hydraulics,
    liquid_limits,
    pressure_parts,
    solids,
    standstill,
    suction,
    temperature_class,
    vapour,
)
from wetpath.rating.situation import Situation

#: Every check in the order of the report.
ALL: tuple[Callable[[Situation], Check], ...] = (
    vapour.pressure_margin, vapour.temperature_margin, vapour.wall_margin, vapour.circulation_runs,
    liquid_limits.onset_at_wall, liquid_limits.coldest, liquid_limits.table_reach,
    hydraulics.head, hydraulics.npsh, hydraulics.lowest_flow, hydraulics.highest_flow, hydraulics.preferred_lowest,
    hydraulics.preferred_highest, hydraulics.rated_lowest, hydraulics.rated_highest, hydraulics.head_growth,
    hydraulics.head_rise_to_shut_off, suction.suction_specific_speed, suction.gas_share,
    bearings.specific_load, bearings.specific_load_worst, bearings.film, bearings.load_times_speed,
    bearings.temperature_shock, bearings.attack, bearings.axial_thrust, bearings.axial_thrust_worn,
    bearings.external_life_rated, bearings.external_life_worst,
    coupling.running_margin, coupling.starting_margin, coupling.inner_magnets, coupling.outer_magnets,
    coupling.demagnetisation_running, coupling.demagnetisation_slip,
    pressure_parts.casing, pressure_parts.shell, pressure_parts.shell_vacuum, pressure_parts.shell_wall,
    driver.rating, driver.nameplate, driver.end_of_curve, driver.supply_frequency, driver.slowest, driver.fastest,
    driver.efficiency,
    temperature_class.normal, temperature_class.malfunction, temperature_class.autoignition,
    solids.size, solids.in_bearing, solids.in_passage, solids.share, solids.magnetic, standstill.boiling_after_stop,
)


#: What the checks of each file are about.
SUBJECTS: dict[str, str] = {
    "vapour": "vapour and circulation", "liquid_limits": "limits of the liquid", "hydraulics": "hydraulics",
    "suction": "suction", "bearings": "bearings and thrust", "coupling": "magnetic coupling",
    "pressure_parts": "parts under pressure", "driver": "motor", "temperature_class": "surfaces", "solids": "solids",
    "standstill": "standing still", "flow_limits": "flow limits"}
#: Checks that need the whole range of flows solved.
OVER_ALL_FLOWS: tuple[Callable[[Situation], Check], ...] = (flow_limits.minimum_flow, flow_limits.maximum_flow)


def all_checks(situation: Situation, *, full: bool = False) -> tuple[Check, ...]:
    """Every check of the rating, with ``full`` those over all flows too; one that is asked of no case is left out."""
    found = []
    for make in (*ALL, *(OVER_ALL_FLOWS if full else ())):
        one = make(situation)
        if one.applies[0] or np.count_nonzero(one.applies):
            found.append(one.under(_subject_of(make)))
    return tuple(found)


@cache
def _subject_of(make: Callable[[Situation], Check]) -> str:
    return SUBJECTS[make.__module__.rpartition(".")[2]]
