"""The trace of one case as a table: station by station, with the shell wall beside the annulus."""

from __future__ import annotations

import math

import numpy as np
from rich.text import Text

from wetpath.circulation import annulus_cells
from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.paper import WIDTH, Column, Paper, signed
from wetpath.rating.rate import Rating
from wetpath.services.standing import Standing, station_standing, wall_standing


def write_trace(paper: Paper, figures: Figures, rating: Rating, case: int) -> None:
    """Write the stations of one case in flow order, and what the outcome means."""
    paper.heading(f'Trace of case "{rating.case_names[case]}"', rating.outcomes[case].words.partition(";")[0])
    bar, kelvin = figures.unit(q.PRESSURE_DIFFERENCE), figures.unit(q.TEMPERATURE_DIFFERENCE)
    columns = [
        Column("station", wraps=True, least=12), Column(f"pressure\n{figures.unit(q.PRESSURE)}", number=True),
        Column(f"temp.\n{figures.unit(q.TEMPERATURE)}", number=True),
        Column(f"vapour p.\n{figures.unit(q.PRESSURE)}", number=True), Column(f"margin\n{bar}", number=True),
        Column(f"\n{figures.unit(q.HEAD)}", number=True), Column(f"\n{kelvin}", number=True), Column("")]
    rows: list[list[str | Text]] = []
    words = paper.width >= WIDTH
    trace = rating.trace(case)
    wall_pending = True
    for state in trace:
        rows.append([f"{state.name}  {state.title}", figures.number(state.pressure, q.PRESSURE),
                     figures.number(state.temperature, q.TEMPERATURE),
                     figures.number(state.vapour_pressure, q.PRESSURE),
                     figures.number(state.pressure_margin, q.PRESSURE_DIFFERENCE),
                     figures.number(state.head_margin, q.HEAD),
                     figures.number(state.temperature_margin, q.TEMPERATURE_DIFFERENCE),
                     _told(station_standing(state, rating.practice), words)])
        if not math.isnan(state.wall_temperature):
            rows.append(_wall_row("beside it", state.wall_temperature, state.wall_margin, rating, figures, words))
            if wall_pending:
                rows.append(_worst_wall(rating, case, figures, words))
                wall_pending = False
    paper.table(columns, rows, foot=True)


def _wall_row(place: str, temperature: float, margin: float, rating: Rating, figures: Figures,
              words: bool) -> list[str | Text]:
    return [f"   shell wall, {place}", "", figures.number(temperature, q.TEMPERATURE), "", "", "",
            figures.number(margin, q.TEMPERATURE_DIFFERENCE), _told(wall_standing(margin, rating.practice), words)]


def _worst_wall(rating: Rating, case: int, figures: Figures, words: bool) -> list[str | Text]:
    margins = rating.situation.wall_margin[case]
    walls = rating.situation.cells[case, annulus_cells.CELL_WALL]
    cell = int(np.argmax(walls) if np.isnan(margins).all() else np.nanargmin(margins))
    place = f"{100 * (cell + 0.5) / margins.size:.0f} % along it"
    return _wall_row(place, float(walls[cell]), float(margins[cell]), rating, figures, words)


def _told(level: Standing, words: bool) -> Text:
    if level is Standing.UNKNOWN and not words:
        return Text(NOTHING)
    return signed(level, level.value if words else "")
