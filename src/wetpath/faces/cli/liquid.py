"""``wetpath liquid``: the properties of a liquid over temperature, their sources and limits."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.liquids.liquid import Liquid
from wetpath.physics.constants import STANDARD_ATMOSPHERE
from wetpath.services.liquids import load_liquid

#: Rows of the table, at most.
ROWS = 14
#: Temperatures of the rows are multiples of one of these, in the unit shown.
STEPS = (1, 2, 5, 10, 20, 25, 50, 100)


def show_liquid(name_or_file: str, *, us: bool) -> int:
    """Write what is known of a liquid."""
    liquid = load_liquid(name_or_file, announce=announce)
    paper, figures = Paper(), Figures.of(us)
    number = f", CAS {liquid.cas_number}" if liquid.cas_number else ""
    mass = f", {1e3 * liquid.molar_mass:.4g} g/mol" if liquid.molar_mass else ""
    paper.heading(liquid.name, f"from: {liquid.kind}{number}{mass}")
    _table(paper, figures, liquid)
    _limits(paper, figures, liquid)
    _sources(paper, liquid)
    if liquid.warnings:
        paper.heading("Warnings")
        paper.items(list(liquid.warnings))
    return 0


def _table(paper: Paper, figures: Figures, liquid: Liquid) -> None:
    temperatures = _rows(liquid, figures)
    vapour = liquid.vapour_pressure(temperatures)
    pressure = vapour if liquid.has_vapour_pressure else np.full_like(temperatures, STANDARD_ATMOSPHERE)
    state, saturated = liquid.state(temperatures, pressure), liquid.saturation_state(temperatures)
    columns = [("temp.", q.TEMPERATURE, temperatures), ("vapour p.", q.PRESSURE, vapour),
               ("density", q.DENSITY, state.density), ("heat cap.", q.SPECIFIC_HEAT, state.heat_capacity),
               ("viscosity", q.DYNAMIC_VISCOSITY, state.viscosity),
               ("conduct.", q.THERMAL_CONDUCTIVITY, state.conductivity),
               ("latent heat", q.SPECIFIC_ENERGY, saturated.latent_heat)]
    titles = [Column(f"{title}\n{figures.unit(kind)}", number=True) for title, kind, _ in columns]
    texts = [[figures.significant(float(value), kind) for value in values] for _, kind, values in columns]
    paper.gap()
    paper.table(titles, list(zip(*texts, strict=True)))
    paper.say("Of the saturated liquid." if liquid.has_vapour_pressure
              else "Of the liquid at 1 atm. Its vapour pressure is not known: no margin to boiling can be stated.")


def _rows(liquid: Liquid, figures: Figures) -> NDArray[np.float64]:
    """Both ends of the table and round temperatures between them."""
    low, high = liquid.temperature_range
    unit = figures.units.unit(q.TEMPERATURE)
    first, last = (low - unit.offset) / unit.factor, (high - unit.offset) / unit.factor
    step = next((one for one in STEPS if (last - first) / one <= ROWS - 2), STEPS[-1])
    round_ones = np.arange(math.ceil(first / step + 0.2) * step, last - 0.2 * step, step)
    return np.concatenate([[first], round_ones, [last]]) * unit.factor + unit.offset


def _limits(paper: Paper, figures: Figures, liquid: Liquid) -> None:
    low, high = liquid.temperature_range
    rows = [("property table", f"{figures.text(low, q.TEMPERATURE)} to {figures.text(high, q.TEMPERATURE)}, up to "
             f"{figures.text(liquid.highest_excess_pressure, q.PRESSURE_DIFFERENCE)} above the vapour pressure")]
    rows += [(name.replace("_", " "), figures.text(value, q.TEMPERATURE))
             for name, value in vars(liquid.limits).items() if value is not None]
    unsaid = [name.replace("_", " ") for name, value in vars(liquid.limits).items() if value is None]
    paper.heading("Limits")
    paper.table([Column(""), Column("", wraps=True)], rows)
    if unsaid:
        paper.say(f"Not known: {', '.join(unsaid)}. Whoever knows them gives them in the [liquid.limits] of a file.")


def _sources(paper: Paper, liquid: Liquid) -> None:
    errors = {name.replace("_", " ").removesuffix(" difference"): value
              for name, value in vars(liquid.table_errors).items()}
    rows = []
    for name, origin in liquid.origins.items():
        error = errors.get(name, math.nan)
        rows.append((name, origin.text, origin.status, "–" if math.isnan(error) else f"{error:.0e}"))
    paper.heading("Sources", "and the largest relative difference of the table from each")
    paper.table([Column(""), Column("", wraps=True, least=20), Column(""), Column("", number=True)], rows)
