"""``wetpath select``: which pumps of a catalogue do a service, and why the others do not."""

from __future__ import annotations

import sys
from pathlib import Path

from rich.text import Text

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.paper import Column, Paper, signed
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.scale import scale_of
from wetpath.questions.selection.candidates import Candidate
from wetpath.questions.selection.study import FellOut, Offer, Selection
from wetpath.rating.verdict import Headline
from wetpath.services import selection as service
from wetpath.services.standing import Standing

STANDINGS = {Headline.RUNS: Standing.HOLDS, Headline.TIGHT: Standing.TIGHT, Headline.UNKNOWN: Standing.UNKNOWN,
             Headline.NOT_AS_OFFERED: Standing.SHORT, Headline.CANNOT: Standing.SHORT}


def show_selection(enquiry: Path, *, catalogue: Path | None, practice: Path | None, shells: list[str],
                   weights: str | None, most: int, write: Path | None, cluster: str | None, workers: int | None,
                   json: bool, us: bool) -> int:
    """Write the selection; exit code 0 when an offer holds in every check, else 1."""
    selection, files = service.select_from_files(
        enquiry, catalogue=catalogue, practice=practice, shells=shells, weights=weights, most=most, announce=announce,
        scale=scale_of(cluster, workers))
    if write is not None:
        service.write_offers(selection, write)
    if json:
        from wetpath.services.selection_record import record_of_selection

        sys.stdout.write(record_of_selection(selection, files).model_dump_json(indent=2) + "\n")
    else:
        SelectionPage(selection, Paper(), Figures.of(us)).write()
    return 0 if selection.holds else 1


class SelectionPage:
    """Writes one selection on paper."""

    def __init__(self, selection: Selection, paper: Paper, figures: Figures) -> None:
        self.selection, self.paper, self.figures = selection, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        if self.selection.offers:
            self._offers()
        self._fell_out()
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _answer(self) -> None:
        selection, found = self.selection, self.selection.screening
        enquiry, counted = selection.enquiry.title, f"{len(selection.catalogue)} pump files"
        if selection.holds:
            first = selection.offers[0]
            self.paper.headline(f"Take 1: {self.label(first.candidate)}", STANDINGS[first.rating.verdict.headline])
            self.paper.say(f"{first.rating.verdict}.")
        else:
            self.paper.headline("None of the candidates holds", Standing.SHORT)
        screened, passed = len(found.candidates), int(found.passed.sum())
        rated = (f". They are {selection.designs} different pairs of pump file and shell material; {selection.rated} "
                 "candidates were rated in full" if passed else "")
        self.paper.say(f"{enquiry}: {screened} candidates out of {counted} screened, {passed} passed{rated}.")
        if selection.stopped:
            self.paper.say(f"Stopped: {found.left} of {counted} were not looked at. What is done is kept.")

    def label(self, one: Candidate) -> str:
        """A candidate in a few words."""
        shell, length = one.build.material, one.build.pump.inner_ring.length
        return ", ".join((one.build.entry.name, f"Ø{self.figures.text(one.diameter, q.LENGTH)}",
                          self.figures.text(one.speed, q.ROTATIONAL_SPEED), shell,
                          f"magnets {self.figures.text(length, q.LENGTH)}"))

    def _offers(self) -> None:
        figures, found = self.figures, self.selection.screening
        self.paper.heading("Offers", "the best trim, speed and magnet length of each pump file and shell material")
        at = [one.number for one in self.selection.offers]
        numbers = [figures.column(values, kind) for values, kind in (
            ([one.candidate.diameter for one in self.selection.offers], q.LENGTH),
            ([one.candidate.speed for one in self.selection.offers], q.ROTATIONAL_SPEED),
            ([one.candidate.build.pump.inner_ring.length for one in self.selection.offers], q.LENGTH),
            (found.vapour_margin[at].tolist(), q.PRESSURE_DIFFERENCE), (found.power[at].tolist(), q.POWER),
            (found.npsh_margin[at].tolist(), q.HEAD), ([one.score for one in self.selection.offers], q.NUMBER))]
        rows = []
        for place, one in enumerate(self.selection.offers):
            diameter, speed, length, margin, power, npsh, score = (column[place] for column in numbers)
            rows.append((f"{place + 1}{'*' if one.best_trade else ''}", one.candidate.build.entry.name, diameter, speed,
                         one.candidate.build.material, length, margin, power, npsh, score,
                         self._verdict(one)))
        unit = figures.unit
        self.paper.table(
            [Column(""), Column("pump file", wraps=True, least=10), Column(f"Ø\n{unit(q.LENGTH)}", number=True),
             Column(f"speed\n{unit(q.ROTATIONAL_SPEED)}", number=True), Column("shell"),
             Column(f"magnets\n{unit(q.LENGTH)}", number=True),
             Column(f"vapour\nmargin\n{unit(q.PRESSURE_DIFFERENCE)}", number=True),
             Column(f"power\n{unit(q.POWER)}", number=True), Column(f"NPSH\nmargin\n{unit(q.HEAD)}", number=True),
             Column("score", number=True), Column("verdict", wraps=True, least=12)], rows)
        weights = self.selection.weights
        self.paper.gap()
        self.paper.say("Margins are above what is asked, in the worst case; power is the mean at the motor shaft over "
                       "rated and normal cases, or all. * : none other that passed is as good in these three and "
                       f"better in one. Score, of 0 to 1: margin {weights.margin:g}, energy {weights.energy:g}, NPSH "
                       f"{weights.npsh:g}, each from the worst to the best that passed. Offers that hold in every "
                       "check come first.")

    def _verdict(self, one: Offer) -> Text:
        verdict = one.rating.verdict
        return signed(STANDINGS[verdict.headline], f"{verdict.headline}: {verdict.check.title}")

    def _fell_out(self) -> None:
        found = self.selection.screening
        if self.selection.fell_out:
            self.paper.heading("Why the others fell out", "by the screening")
            self._reasons(self.selection.fell_out)
        if self.selection.fell_out_in_full:
            self.paper.heading("Why the others fell out", "by the full rating")
            self._reasons(self.selection.fell_out_in_full)
        if found.refused:
            self.paper.heading("Not built")
            self.paper.items(found.refused)
        if found.titles:
            self.paper.gap()
            self.paper.say(f"The screening asks: {'; '.join(dict.fromkeys(found.titles))}. The full rating makes every "
                           "check but those over all flows; rate the pump you take by itself.")

    def _reasons(self, reasons: tuple[FellOut, ...]) -> None:
        rows = []
        for one in reasons:
            lacks = (f"no liquid solution from the first guess (case \"{one.case_name}\")" if one.missing != one.missing
                     else f"short by {self.figures.text(one.missing, one.kind)} (case \"{one.case_name}\")")
            rows.append((str(one.count), one.title, f"{self.label(one.nearest)}: {lacks}"))
        self.paper.table([Column("count", number=True), Column("reason", wraps=True, least=16),
                          Column("nearest miss", wraps=True, least=24)], rows)
