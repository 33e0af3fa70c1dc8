"""The checks of a rating, one file a subject; each is a function of the situation."""

from collections.abc import Callable

from wetpath.rating.check import Check
from wetpath.rating.checks import coupling, driver, hydraulics, liquid_limits, pressure_parts, vapour
from wetpath.rating.situation import Situation

#: Every check in the order of the report.
ALL: tuple[Callable[[Situation], Check], ...] = (
    vapour.pressure_margin, vapour.temperature_margin, vapour.wall_margin, vapour.circulation_runs,
    liquid_limits.onset_at_wall, liquid_limits.coldest, liquid_limits.table_reach,
    hydraulics.head, hydraulics.npsh, hydraulics.lowest_flow, hydraulics.highest_flow, hydraulics.preferred_lowest,
    hydraulics.preferred_highest,
    coupling.running_margin, coupling.inner_magnets, coupling.outer_magnets,
    pressure_parts.casing, pressure_parts.shell, pressure_parts.shell_vacuum, pressure_parts.shell_wall,
    driver.rating, driver.nameplate,
)


def all_checks(situation: Situation) -> tuple[Check, ...]:
    """Every check of the rating; one that is asked of no case is left out."""
    found = (make(situation) for make in ALL)
    return tuple(one for one in found if one.applies.any())
