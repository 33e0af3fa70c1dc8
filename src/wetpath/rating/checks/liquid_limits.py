"""Temperatures the liquid must not reach: decomposition, polymerisation, freezing; and the reach of its table."""

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.edge.quantities import TEMPERATURE, TEMPERATURE_DIFFERENCE
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation
from wetpath.words import told

Array = NDArray[np.float64]

#: Scale of a temperature limit for comparison with other checks [K].
SCALE = 20.0
#: The same for freezing, where the liquid is known to be colder nowhere inside [K].
FREEZING_SCALE = 10.0


def _least(*values: float | None) -> float:
    return min((value for value in values if value is not None), default=np.nan)


def lowest_onset(situation: Situation) -> Array:
    """Lowest onset of decomposition or polymerisation in each case [K]; NaN where none is known."""
    return np.array([_least(liquid.limits.polymerisation, liquid.limits.decomposition)
                     for liquid in situation.liquids])[situation.model_of]


def onset_at_wall(situation: Situation) -> Check:
    """Hottest wetted wall against the lowest onset of decomposition or polymerisation."""
    word = "polymerises" if situation.liquid.limits.polymerisation is not None else "decomposes"
    onset = lowest_onset(situation)
    return check("onset_at_wall", told("hottest wall, where the liquid {word}", word=word), TEMPERATURE,
                 situation.scalars[:, solve.HOTTEST_WALL], onset, sense="at most", scale=SCALE,
                 applies=~np.isnan(onset), difference_kind=TEMPERATURE_DIFFERENCE, where="shell wall under the magnets",
                 source="liquid-data", status="given",
                 meaning=told("the liquid {word} at this temperature; the wetted wall is hotter than the bulk",
                              word=word),
                 remedy="less heat in the shell, a non-conductive shell, more circulation, or a cooler flush")


def coldest(situation: Situation) -> Check:
    """Coldest station against freezing, crystallisation or wax."""
    temperature = situation.solution.states.temperature
    point = situation.per_liquid(lambda liquid, chosen: np.full(chosen.size, -_least(
        *(None if value is None else -value for value in (liquid.limits.solidification,
                                                          liquid.limits.crystallisation)))))
    return check("coldest", "coldest station, where the liquid solidifies", TEMPERATURE, temperature.min(axis=1),
                 point, sense="at least", scale=FREEZING_SCALE, applies=~np.isnan(point),
                 difference_kind=TEMPERATURE_DIFFERENCE, where=situation.titles(temperature.argmin(axis=1)),
                 source="liquid-data", status="given", meaning="the liquid freezes or crystallises at this temperature",
                 remedy="heat tracing, a warmer liquid, or a jacketed casing")


def table_reach(situation: Situation) -> Check:
    """Hottest liquid against the end of the property table."""
    hottest = np.maximum(situation.solution.states.temperature.max(axis=1),
                         situation.cells[:, annulus_cells.CELL_LIQUID].max(axis=1))
    last = situation.per_liquid(lambda liquid, chosen: np.full(chosen.size, liquid.temperature_range[1]))
    return check("table_reach", "hottest liquid, where its properties end", TEMPERATURE, hottest, last,
                 sense="at most", scale=SCALE, by_choice=True, difference_kind=TEMPERATURE_DIFFERENCE,
                 where="hottest station",
                 source="liquid-data", status="given",
                 meaning="beyond this the properties are not known and nothing can be promised",
                 remedy="give a longer table or lower the temperature")
