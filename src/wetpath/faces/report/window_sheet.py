"""The sheet of the operating window: the region in words, the map, suction pressures needed, bounds in order."""

from __future__ import annotations

import numpy as np

from wetpath.drawing.figures import Figures
from wetpath.drawing.window_words import basis_in_words, region_in_words
from wetpath.edge import quantities as q
from wetpath.faces.report.cells import capital, cell_of
from wetpath.faces.report.parts import Cell, Part, Picture, Sheet, Table, Words
from wetpath.faces.report.texts import Texts
from wetpath.questions.window.required import required_at
from wetpath.questions.window.study import Window

#: Rows of the table: flows and temperatures of the map that are picked.
FLOWS, TEMPERATURES = 3, 5


class WindowSheet:
    """Builds the sheet of one window."""

    def __init__(self, window: Window, drawing: str, figures: Figures, say: Texts) -> None:
        self.window, self.drawing, self.figures, self.say = window, drawing, figures, say

    def sheets(self) -> tuple[Sheet, ...]:
        """The map on a page of its own where it is drawn, and the tables."""
        window, say = self.window, self.say
        told = (*map(say.words, region_in_words(window, self.figures)), f"{window.basis.liquid.name}: "
                f"{say.words(basis_in_words(window, self.figures))}")
        parts: list[Part] = [Words("", told)]
        if window.basis.liquid.has_vapour_pressure:
            parts.append(self._needed())
        parts += [self._bounds(), self._excluded()]
        drawn = Sheet("window_map", say("window_map"), (Picture("", self.drawing, say("window_map")),), wide=True)
        return (*((drawn,) if self.drawing else ()), Sheet("window", say("window"), tuple(parts)))

    def _needed(self) -> Table:
        chart = self.window.map
        flows = chart.flow[(np.linspace(0.15, 0.85, FLOWS) * (chart.flow.size - 1)).round().astype(int)]
        temperatures = chart.temperature[np.linspace(0, chart.temperature.size - 1, TEMPERATURES).round().astype(int)]
        temperature, flow = (one.ravel() for one in np.meshgrid(temperatures, flows, indexing="ij"))
        found = required_at(self.window.basis, flow, temperature)
        columns = (("column_temperature", temperature, q.TEMPERATURE), ("column_flow", flow, q.VOLUME_FLOW),
                   ("column_vapour", found.vapour_pressure, q.PRESSURE), ("window_path", found.pressure, q.PRESSURE),
                   ("window_from", found.lowest, q.PRESSURE), ("window_to", found.highest, q.PRESSURE),
                   ("window_above", found.above_vapour, q.PRESSURE_DIFFERENCE), ("column_npsh", found.npsh_required,
                                                                                 q.HEAD),
                   ("window_npsh", found.npsh_pressure, q.PRESSURE))
        rows = tuple(tuple(cell_of(self.figures, float(values[row]), kind) for _, values, kind in columns)
                     for row in range(flow.size))
        return Table(self.say("window_needed"), tuple((f"{self.say(name)}, {self.figures.unit(kind)}", True)
                                                      for name, _, kind in columns), rows,
                     note=self.say("window_needed_note"))

    def _bounds(self) -> Table:
        rows = []
        for way in self.window.bounds.ways:
            end = self.figures.text(way.end, way.kind)
            met = [f"{self.say.words(one.title)}: {self.figures.text(one.at, way.kind)}" for one in way.met]
            rows.append((Cell(capital(self.say.words(way.name))),
                         Cell("; ".join(met) if met else self.say("window_no_bound", end=end))))
        return Table(self.say("window_bounds", case=self.window.case_name), (
            (self.say("window_way"), False), (self.say("window_met"), False)), tuple(rows))

    def _excluded(self) -> Part:
        chart = self.window.map
        rows = tuple((Cell(self.say.words(chart.points.titles[index])),
                      cell_of(self.figures, float(part), q.RATIO, decimals=1))
                     for index, part in chart.excluded_by() if part >= 0.001)
        if not rows:
            return Words(self.say("window_excludes"), (self.say("none"),))
        return Table(self.say("window_excludes"), ((self.say("column_check"), False),
                                                   (self.say("window_part"), True)), rows)
