"""Temperatures the liquid must not reach: decomposition, polymerisation, freezing; and the reach of its table."""

import numpy as np

from wetpath.circulation import annulus_cells, solve
from wetpath.edge.quantities import TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation

#: Scale of a temperature limit for comparison with other checks [K].
SCALE = 20.0


def onset_at_wall(situation: Situation) -> Check:
    """Hottest wetted wall against the lowest onset of decomposition or polymerisation."""
    limits = situation.liquid.limits
    onsets = {"polymerises": limits.polymerisation, "decomposes": limits.decomposition}
    known = {word: onset for word, onset in onsets.items() if onset is not None}
    word = min(known, key=lambda name: known[name]) if known else "decomposes"
    return check("onset_at_wall", f"hottest wall, where the liquid {word}", TEMPERATURE,
                 situation.scalars[:, solve.HOTTEST_WALL], known.get(word, np.nan), sense="at most", scale=SCALE,
                 applies=bool(known), difference_kind=TEMPERATURE_DIFFERENCE, where="shell wall under the magnets",
                 source="liquid-data", status="given",
                 meaning=f"the liquid {word} at this temperature; the wetted wall is hotter than the bulk",
                 remedy="less heat in the shell, a non-conductive shell, more circulation, or a cooler flush")


def coldest(situation: Situation) -> Check:
    """Coldest station against freezing, crystallisation or wax."""
    limits = situation.liquid.limits
    points = [point for point in (limits.solidification, limits.crystallisation) if point is not None]
    temperature = situation.solution.states.temperature
    return check("coldest", "coldest station, where the liquid solidifies", TEMPERATURE, temperature.min(axis=1),
                 max(points) if points else np.nan, sense="at least", scale=SCALE, applies=bool(points),
                 difference_kind=TEMPERATURE_DIFFERENCE, where=situation.titles(temperature.argmin(axis=1)),
                 source="liquid-data", status="given", meaning="the liquid freezes or crystallises at this temperature",
                 remedy="heat tracing, a warmer liquid, or a jacketed casing")


def table_reach(situation: Situation) -> Check:
    """Hottest liquid against the end of the property table."""
    hottest = np.maximum(situation.solution.states.temperature.max(axis=1),
                         situation.cells[:, annulus_cells.CELL_LIQUID].max(axis=1))
    _, last = situation.liquid.temperature_range
    return check("table_reach", "hottest liquid, where its properties end", TEMPERATURE, hottest, last,
                 sense="at most", scale=SCALE, difference_kind=TEMPERATURE_DIFFERENCE, where="hottest station",
                 source="liquid-data", status="given",
                 meaning="beyond this the properties are not known and nothing can be promised",
                 remedy="give a longer table or lower the temperature")
