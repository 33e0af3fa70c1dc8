"""``wetpath upset``: what happens in time, what each instrument shows, and what is in hand before damage."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.drawing.upset_words import answer_of_upset, in_hand, seconds, sign_of, value_text
from wetpath.errors import InputError
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.scale import scale_of
from wetpath.questions.protection.matrix import STOPPING
from wetpath.services import upsets as service


def show_upset(enquiry: Path, upsets: Sequence[str], *, pump: Path | None, practice: Path | None,
               instruments: Path | None, case: str | None, values: Sequence[str], start: str | None, duration: str,
               copies: int, csv: Path | None, plot: Path | None, cluster: str | None, workers: int | None, json: bool,
               us: bool) -> int:
    """Write the upset; exit code 1 when damage comes before any instrument acts."""
    if plot is not None and plot.suffix.lower() not in (".svg", ".png"):
        raise InputError("does not end in .svg or .png", field="--plot", value=f'"{plot}"',
                         do="name the file upset.svg or upset.png")
    found, files = service.upset_of_files(
        enquiry, upsets, pump=pump, practice=practice, instruments=instruments, case=case, values=values, start=start,
        duration=duration, copies=copies, announce=announce, scale=scale_of(cluster, workers))
    figures = Figures.of(us)
    if csv is not None:
        service.write_course(found.line, csv, figures.units)
    if plot is not None:
        from wetpath.drawing.upset_plot import draw_upset

        draw_upset(found, plot, figures)
    if json:
        sys.stdout.write(service.record_of_upset(found, files).model_dump_json(indent=2) + "\n")
    else:
        UpsetPage(found, Paper(), figures).write()
    return 0 if not found.cause.harms or found.cause.seen_in_time else 1


class UpsetPage:
    """Writes one upset on paper."""

    def __init__(self, found: service.Followed, paper: Paper, figures: Figures) -> None:
        self.found, self.paper, self.figures = found, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._events()
        self._instruments()
        self.paper.heading("Warnings and limits crossed")
        if self.found.cause.warnings:
            self.paper.items(self.figures.sentences(self.found.cause.warnings))
        else:
            self.paper.say("None.")
        if self.found.copies:
            self.paper.heading("Drawn for the bands", "evenly on a logarithmic scale")
            self.paper.items(self.figures.sentences(service.spreads_in_words()))
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _answer(self) -> None:
        found, cause = self.found, self.found.cause
        standing, words = answer_of_upset(found)
        self.paper.headline(words, standing)
        self.paper.say(f"{cause.title}. {found.rating.pump.name}; case {found.rating.case_names[found.case]}. Bands: "
                       f"5 to 95 % of {found.copies} copies of the model." if found.copies else
                       f"{cause.title}. {found.rating.pump.name}; case {found.rating.case_names[found.case]}. "
                       "No bands: no copies of the model were asked for.")
        for upset in found.upsets:
            parameters = service.KINDS[upset.kind].parameters
            told = [f"{one.text} {self.figures.text(upset.number(name), service.PARAMETER_KINDS[one.unit])}"
                    for name, one in parameters.items()]
            if told:
                self.paper.say(f"{upset.kind}: {', '.join(told)}.")

    def _events(self) -> None:
        cause = self.found.cause
        self.paper.heading("What happens", "time after the cause begins")
        rows = [(seconds(one.time - cause.begins) if one.time >= cause.begins else "before", one.text)
                for one in cause.line.events
                if one.time >= cause.begins or not one.name.startswith("temperature class")]
        self.paper.table([Column("", number=True), Column("", wraps=True)], rows)

    def _instruments(self) -> None:
        cause, figures = self.found.cause, self.figures
        self.paper.heading("What each instrument shows", f"in time: the driver is stopped {STOPPING:g} s later")
        rows = []
        for one in sorted(cause.readings, key=lambda one: (one.acts, not one.setting.usable)):
            setting = one.setting
            kind = setting.instrument.signal.kind
            rows.append((sign_of(one).sign, setting.instrument.title, value_text(figures, setting.set_point, kind),
                         seconds(one.passes - cause.begins), seconds(one.acts - cause.begins), in_hand(one), one.words))
        self.paper.table([Column(""), Column("", wraps=True), Column("set point", number=True),
                          Column("passes", number=True), Column("acts", number=True), Column("in hand", number=True),
                          Column("", wraps=True)], rows)

