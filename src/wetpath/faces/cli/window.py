"""``wetpath window``: where a pump may be run, and the suction pressure it needs, as text, record, table or drawing."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import Figures
from wetpath.drawing.window_scale import round_in_units
from wetpath.drawing.window_words import basis_in_words, region_in_words
from wetpath.edge import quantities as q
from wetpath.errors import InputError
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.scale import scale_of
from wetpath.questions.window.bounds import Way
from wetpath.questions.window.required import band_ends, required_at
from wetpath.questions.window.study import Window
from wetpath.services import window as service
from wetpath.services.standing import Standing

#: Flows and temperatures of the printed table at most.
FLOWS, TEMPERATURES = 3, 5
#: Parts of the window smaller than this are not told.
LEAST_TOLD = 0.0005


def show_window(enquiry: Path, *, pump: Path | None, practice: Path | None, case: str | None, grid: str | None,
                flow: str | None, temperature: str | None, suction_pressure: str | None,
                above_vapour_pressure: str | None, speed: str | None, csv: Path | None, plot: Path | None,
                cluster: str | None, workers: int | None, json: bool, us: bool) -> int:
    """Write the window; exit code 1 when a check does not hold at the point of the case."""
    if plot is not None and plot.suffix.lower() not in (".svg", ".png"):
        raise InputError("does not end in .svg or .png", field="--plot", value=f'"{plot}"',
                         do="name the file window.svg or window.png")
    window = service.window_of_files(
        enquiry, pump=pump, practice=practice, case=case, grid=grid, flow=flow, temperature=temperature,
        suction_pressure=suction_pressure, above_vapour_pressure=above_vapour_pressure, speed=speed,
        announce=lambda words: tell(f"{words} ..."), scale=scale_of(cluster, workers))
    figures = Figures.of(us)
    if csv is not None:
        service.write_table(window, csv, figures.units)
    if plot is not None:
        from wetpath.drawing.window_plot import draw_window

        draw_window(window, plot, figures)
    if json:
        sys.stdout.write(service.record_of_window(window).model_dump_json(indent=2) + "\n")
    else:
        WindowPage(window, Paper(), figures).write()
    return 1 if window.bounds.short_here else 0


class WindowPage:
    """Writes one window on paper."""

    def __init__(self, window: Window, paper: Paper, figures: Figures) -> None:
        self.window, self.paper, self.figures = window, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._needed()
        self._bounds()
        self._excluded()
        self.paper.heading("Warnings and limits crossed")
        words = self.figures.sentences(self.window.warnings)
        if words:
            self.paper.items(words)
        else:
            self.paper.say("None.")
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _answer(self) -> None:
        window, chart = self.window, self.window.map
        part = self.figures.text(chart.share_that_holds, q.RATIO)
        short = window.bounds.short_here
        if not chart.holds.any():
            words = "No point of this window holds every check"
        else:
            words = f"Every check holds at {part} of the window"
            words = f"The case lies outside; e{words[1:]}" if short else words
        self.paper.headline(words, Standing.SHORT if short else Standing.HOLDS)
        self.paper.say(" ".join(region_in_words(window, self.figures)))
        self.paper.say(f"{window.rating.pump.name}; {window.basis.liquid.name}. {basis_in_words(window, self.figures)}")

    def _needed(self) -> None:
        window, figures, chart = self.window, self.figures, self.window.map
        if not window.basis.liquid.has_vapour_pressure:
            return
        flows = round_in_units(chart.flow, q.VOLUME_FLOW, figures.units, FLOWS)
        temperatures = round_in_units(chart.temperature, q.TEMPERATURE, figures.units, TEMPERATURES)
        temperature, flow = (one.ravel() for one in np.meshgrid(temperatures, flows, indexing="ij"))
        found = required_at(window.basis, flow, temperature)
        columns = [("temperature", figures.column(temperature, q.TEMPERATURE), q.TEMPERATURE),
                   ("flow", figures.column(flow, q.VOLUME_FLOW), q.VOLUME_FLOW),
                   ("vapour\npressure", figures.column(found.vapour_pressure, q.PRESSURE), q.PRESSURE),
                   ("wetted\npath", figures.column(found.pressure, q.PRESSURE), q.PRESSURE),
                   ("from", figures.column(found.lowest, q.PRESSURE), q.PRESSURE),
                   ("to", figures.column(found.highest, q.PRESSURE), q.PRESSURE),
                   ("above\nvapour", figures.column(found.above_vapour, q.PRESSURE_DIFFERENCE), q.PRESSURE_DIFFERENCE),
                   ("as NPSH", figures.column(found.head, q.HEAD), q.HEAD),
                   ("NPSH3", figures.column(found.npsh_required, q.HEAD), q.HEAD),
                   ("NPSH with\nmargin", figures.column(found.npsh_pressure, q.PRESSURE), q.PRESSURE)]
        self.paper.heading("Suction pressure needed", "by the wetted path, and by NPSH with the margin of the practice")
        self.paper.table([Column(f"{name}\n{figures.unit(kind)}" if "\n" in name else f"\n{name}\n{figures.unit(kind)}",
                                 number=True) for name, _, kind in columns],
                         list(zip(*(texts for _, texts, _ in columns), strict=True)))
        lost = " – where no pressure within 60 bar above the vapour pressure is enough, or none can be told." * bool(
            np.isnan(found.pressure).any())
        least = (f"{figures.number(0.0, q.PRESSURE_DIFFERENCE)} above vapour: the wetted path asks for no more than "
                 "liquid at the suction flange. ") if (found.above_vapour == 0).any() else ""
        better, worse = band_ends(window.basis)
        self.paper.say(f"{least}From: {better.told}. To: {worse.told}.{lost}")

    def _bounds(self) -> None:
        window = self.window
        self.paper.heading("Bounds in the order they are met", f'from the flow and temperature of case '
                           f'"{window.case_name}"')
        rows = []
        for way in window.bounds.ways:
            met = [f"{one.title} at {self.figures.text(one.at, way.kind)}" for one in way.met]
            rows.append((way.name, "; ".join(met) if met else f"none down to {self._end(way)}" if way.end < way.start
                         else f"none up to {self._end(way)}"))
        self.paper.table([Column(""), Column("", wraps=True)], rows)

    def _end(self, way: Way) -> str:
        told = self.figures.text(way.end, way.kind)
        return f"{told}, the vapour pressure" if way.kind is q.PRESSURE else told

    def _excluded(self) -> None:
        chart = self.window.map
        rows = [(chart.points.titles[index], self.figures.number(part, q.RATIO, decimals=1))
                for index, part in chart.excluded_by() if part >= LEAST_TOLD]
        self.paper.heading("What excludes", "the check that governs, over the part of the window it takes")
        if rows:
            self.paper.table([Column(""), Column("%", number=True)], rows)
        else:
            self.paper.say("Nothing.")
