"""``wetpath investigate``: rival mechanisms, what each finding says of them, and what to look at next."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.edge.units import METRIC, US, UnitSet
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.investigation.catalogue import SOMETHING_ELSE
from wetpath.investigation.physics_tests import Says
from wetpath.investigation.study import Investigation, Standing, Tells
from wetpath.services import investigate as service
from wetpath.services.rating import FileOrigin
from wetpath.services.standing import Standing as Sign

Keep = Callable[[Investigation, tuple[FileOrigin, ...]], None]
#: Mechanisms whose columns stand beside each finding, mechanisms listed without --full, and looks advised.
COLUMNS, LISTED, LOOKS = 3, 8, 6
SIGNS = {Says.FOR: Sign.HOLDS, Says.AGAINST: Sign.SHORT, Says.NOTHING: Sign.NOT_ASKED}
CELLS = {Tells.EXPLAINS: "+", Tells.CONTRADICTS: "\u2212", Tells.NOTHING: "\u00b7"}


def show_checklist() -> int:
    """Write an evidence file to fill in."""
    sys.stdout.write(service.blank_evidence())
    return 0


def show_investigation(evidence: Path, *, enquiry: Path | None, pump: Path | None, practice: Path | None, full: bool,
                       json: bool, us: bool, keep: Keep | None = None) -> int:
    """Write the investigation and hand it on to be kept; exit code 1 while it points to no single mechanism."""
    found, files = service.investigate_file(evidence, enquiry=enquiry, pump=pump, practice=practice, announce=announce)
    if keep is not None:
        keep(found, files)
    if json:
        sys.stdout.write(service.record_of_investigation(found, files).model_dump_json(indent=2) + "\n")
    else:
        InvestigationPage(found, Paper(), US if us else METRIC, full=full).write()
    return 0 if found.standing is Standing.POINTS else 1


class InvestigationPage:
    """Writes one investigation on paper."""

    def __init__(self, found: Investigation, paper: Paper, units: UnitSet, *, full: bool) -> None:
        self.found, self.paper, self.units, self.full = found, paper, units, full

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._mechanisms()
        self._evidence()
        self._physics()
        self._looks()
        self._remedies()
        self.paper.heading("Limits of this investigation")
        self.paper.items(service.limits_of_investigation())
        if self.found.rating.warnings:
            self.paper.heading("Warnings", "of the rating that the tests stand on")
            self.paper.items([Figures(self.units).in_words(one) for one in self.found.rating.warnings])
        self.paper.heading("Cautions")
        self.paper.items(service.cautions_of_investigation(self.found))

    def _answer(self) -> None:
        found, reality = self.found, self.found.reality
        self.paper.headline(service.sentence_of(found),
                            Sign.HOLDS if found.standing is Standing.POINTS else Sign.UNKNOWN)
        self.paper.say(f"{found.evidence.title}. {found.rating.pump.name}, {reality.liquid.name}, case "
                       f"{found.rating.case_names[reality.case]}.")
        if found.standing is not Standing.NOTHING:
            first, second = found.ranked[:2]
            if found.ratio >= 1:
                self.paper.say(f"Evidence alone, first against second: {found.ratio:.3g} to 1, {found.support}.")
            else:
                self.paper.say(f"Evidence alone favours {second.title} over {first.title}, {1 / found.ratio:.3g} to 1; "
                               "the weights before the evidence decide.")

    def _mechanisms(self) -> None:
        self.paper.heading("Mechanisms", "share of each, with its range while every word is anywhere in its band")
        rows = []
        for one in self.found.ranked[:None if self.full else LISTED]:
            share, low, high = self.found.share(one.name)
            test = self.found.tested(one.name)
            fits = self.found.power.fits(one.name)
            rows.append((SIGNS[test.says].sign if test else "", one.title, service.percent(share),
                         f"{service.percent(low)} to {service.percent(high)}",
                         "no test" if test is None else {Says.FOR: "allows it", Says.AGAINST: "speaks against it",
                                                         Says.NOTHING: "says nothing"}[test.says],
                         {True: "fits", False: "does not fit", None: ""}[fits]))
        self.paper.table([Column(""), Column("", wraps=True), Column("share", number=True), Column("range"),
                          Column("physics of this pump"), Column("power in the log")], rows)

    def _evidence(self) -> None:
        weighed, notes = self.found.weighed, service.notes_of(self.found)
        if not weighed.items:
            return
        leading = [one for one in self.found.ranked if one.name != SOMETHING_ELSE][:COLUMNS]
        self.paper.heading("Evidence", "+ explains, \u2212 contradicts, \u00b7 says nothing, with its likelihood ratio "
                                       "to the mean; in brackets: counted in another finding of its trace")
        rows = []
        for number, item in enumerate(weighed.items):
            ratios = weighed.tells(number)
            cells = []
            for one in leading:
                words = (f"{CELLS[self.found.cell(number, one.name)]} "
                         f"{ratios[weighed.mechanisms.index(one.name)]:.2g}")
                cells.append(words if weighed.counted[number] else f"({words})")
            note = notes.get(item.name, ("", ""))[0]
            physics = item.name.startswith("physics: ")
            state = "passed" if physics and item.seen else "not passed" if physics else (
                "seen" if item.seen else "not there")
            told = f"{item.title}{f'; {note}' if note and not physics else ''}"
            rows.append((told, state, f"{item.weight:g}", *cells))
        self.paper.table([Column("", wraps=True), Column(""), Column("weight", number=True),
                          *(Column(one.title, wraps=True, least=12, most=24) for one in leading)], rows)
        self.paper.say(f"All words behind these numbers: {service.CATALOGUE_TAG}, or your own. Put your own weight or "
                       "likelihoods to a finding in the evidence file; --json tells every cell.")

    def _physics(self) -> None:
        self.paper.heading("Tests of the physics", "what this pump allows, computed in this case")
        known = {one.name: one.title for one in self.found.ranked}
        rows = [(SIGNS[one.says].sign, known[one.mechanism], f"{one.question} {one.sentence(self.units)}")
                for one in self.found.tests]
        self.paper.table([Column(""), Column("", wraps=True, least=18, most=30), Column("", wraps=True)], rows)

    def _looks(self) -> None:
        first, second = self.found.ranked[:2]
        if not self.found.looks:
            return
        self.paper.heading("What to look at next", f"to tell {first.title} from {second.title}; odds then, first "
                                                   "against second")
        self.paper.table([Column("", wraps=True), Column(""), Column("information", number=True),
                          Column("if seen", number=True), Column("if not there", number=True)],
                         [(one.finding.title, one.finding.part, f"{one.information:.2f} bit", _odds(one.if_seen),
                           _odds(one.if_not_there)) for one in self.found.looks[:LOOKS]])

    def _remedies(self) -> None:
        for one in self.found.ranked[:2]:
            if one.remedies:
                self.paper.heading("If it was", one.title)
                self.paper.say(one.how)
                self.paper.items(one.remedies)


def _odds(odds: float) -> str:
    return f"{odds:.2g} to 1" if odds >= 1 else f"1 to {1 / odds:.2g}"
