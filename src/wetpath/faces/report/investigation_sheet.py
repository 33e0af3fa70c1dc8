"""The report of an investigation: the answer with its rivals, every weight, tests of the physics, the next look."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from wetpath import __version__
from wetpath.drawing.figures import Figures
from wetpath.edge.units import METRIC, US, UnitSet
from wetpath.errors import InputError
from wetpath.faces.report.parts import Cell, Part, Report, Sheet, Table, Words
from wetpath.faces.report.texts import Texts, texts
from wetpath.investigation.catalogue import SOMETHING_ELSE
from wetpath.investigation.study import Investigation, Standing, Tells
from wetpath.services import investigate as service
from wetpath.services.rating import FileOrigin
from wetpath.services.standing import Standing as Level

#: Mechanisms whose columns stand beside each finding, and looks advised.
COLUMNS, LOOKS = 3, 8
SIGNS = {Tells.EXPLAINS: "+", Tells.CONTRADICTS: "\u2212", Tells.NOTHING: "\u00b7"}


def write_investigation(found: Investigation, files: tuple[FileOrigin, ...], target: Path, *, us: bool = False,
                        date: str = "") -> None:
    """Write the report of an investigation as PDF; of today without a date.

    Raises
    ------
    InputError
        Where the name does not end in .pdf or the file cannot be written.
    """
    from wetpath.faces.report.pdf import pdf_of

    if target.suffix.lower() != ".pdf":
        raise InputError("has an ending that is not known", field="--output", value=f'"{target}"', do="end it in .pdf")
    report = investigation_report(found, files, US if us else METRIC, date or datetime.now(UTC).date().isoformat())
    try:
        target.write_bytes(pdf_of(report))
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--output", value=f'"{target}"') from None


def investigation_report(found: Investigation, files: tuple[FileOrigin, ...], units: UnitSet, date: str) -> Report:
    """Build the report; it stays a draft, for shares are no proof."""
    say = texts()
    points = found.standing is Standing.POINTS
    sheets = _Sheets(found, units, say)
    origin = next((one.sha256[:12] for one in files if one.role == "evidence"), "")
    return Report(
        title=found.evidence.title, subtitle=f"{found.rating.pump.name} · {found.reality.liquid.name}",
        headline=say("why_points", title=found.ranked[0].title) if points else say("why_open"),
        standing=(Level.HOLDS if points else Level.UNKNOWN).value, sentence=service.sentence_of(found), date=date,
        draft=True, strip=(say("why"), f"wetpath {__version__}", date, f"hash {origin}"),
        sheets=(sheets.answer(), sheets.evidence(), sheets.notes()),
        words={key: say(key) for key in ("draft", "page", "language")} | {
            "draft_note": say("why_draft_note"), "approved": ""})


class _Sheets:
    def __init__(self, found: Investigation, units: UnitSet, say: Texts) -> None:
        self.found, self.units, self.say = found, units, say

    def answer(self) -> Sheet:
        """Mechanisms in order, what to look at next, and what to do if it was one of the leading two."""
        found, say = self.found, self.say
        first, second = found.ranked[:2]
        rows = []
        for one in found.ranked:
            share, low, high = found.share(one.name)
            test, fits = found.tested(one.name), found.power.fits(one.name)
            rows.append(_row(one.title, service.percent(share), _range(low, high),
                             say("why_no_test") if test is None else say(f"why_says_{test.says.name.lower()}"),
                             "" if fits is None else say("why_fits" if fits else "why_fits_not")))
        parts: list[Part] = [_table(say("why_mechanisms"), say, ("why_mechanism", "why_share", "why_range",
                                                                 "why_physics", "why_power"), rows)]
        if found.looks:
            looks = [_row(one.finding.title, one.finding.part, f"{one.information:.2f}", odds_in_words(one.if_seen),
                          odds_in_words(one.if_not_there)) for one in found.looks[:LOOKS]]
            parts.append(_table(say("why_looks", first=first.title, second=second.title), say,
                                ("why_finding", "why_part", "why_information", "why_if_seen", "why_if_not"), looks))
        parts += [Words(say("why_if_it_was", title=one.title), (one.how, *one.remedies))
                  for one in (first, second) if one.remedies]
        return Sheet("answer", say("why"), tuple(parts))

    def evidence(self) -> Sheet:
        """Every item with its weight and what it says of the leading mechanisms; the tests of the physics."""
        found, say, weighed = self.found, self.say, self.found.weighed
        leading = [one for one in found.ranked if one.name != SOMETHING_ELSE][:COLUMNS]
        notes, rows = service.notes_of(found), []
        for number, item in enumerate(weighed.items):
            ratios, physics = weighed.tells(number), item.name.startswith("physics: ")
            cells = [f"{SIGNS[found.cell(number, one.name)]} {ratios[weighed.mechanisms.index(one.name)]:.2g}"
                     for one in leading]
            note = "" if physics else notes.get(item.name, ("", ""))[0]
            state = ("why_passed" if item.seen else "why_not_passed") if physics else (
                "why_seen" if item.seen else "why_not_there")
            rows.append(_row(f"{item.title}; {note}" if note else item.title, say(state), f"{item.weight:g}",
                             *(cells if weighed.counted[number] else [f"({one})" for one in cells])))
        columns = ((say("why_finding"), False), (say("why_state"), False), (say("why_weight"), True),
                   *((one.title, True) for one in leading))
        told = Table(say("why_evidence"), columns, tuple(rows), note=say("why_evidence_note"))
        titles = {one.name: one.title for one in found.ranked}
        tests = [_row(titles[one.mechanism], say(f"why_says_{one.says.name.lower()}"),
                      f"{one.question} {one.sentence(self.units)}") for one in found.tests]
        return Sheet("evidence", say("why_evidence_sheet"), (
            told, _table(say("why_tests"), say, ("why_mechanism", "why_result", "why_question"), tests)))

    def notes(self) -> Sheet:
        """Limits, warnings of the rating, cautions."""
        found, say = self.found, self.say
        figures = Figures(self.units)
        parts = [Words(say("why_limits"), service.limits_of_investigation())]
        if found.rating.warnings:
            parts.append(Words(say("why_warnings"), tuple(figures.in_words(one) for one in found.rating.warnings)))
        parts.append(Words(say("why_cautions"), service.cautions_of_investigation(found)))
        return Sheet("limits", say("why_limits_sheet"), tuple(parts))


def odds_in_words(odds: float) -> str:
    """Odds with two figures, the larger number written out.

    >>> odds_in_words(4.0), odds_in_words(0.25), odds_in_words(1312.0)
    ('4 to 1', '1 to 4', '1300 to 1')
    """
    larger = float(f"{max(odds, 1 / odds):.2g}")
    return f"{larger:g} to 1" if odds >= 1 else f"1 to {larger:g}"


def _range(low: float, high: float) -> str:
    ends = service.percent(low), service.percent(high)
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def _row(*words: str) -> tuple[Cell, ...]:
    return tuple(Cell(one) for one in words)


def _table(title: str, say: Texts, columns: tuple[str, ...], rows: list[tuple[Cell, ...]]) -> Table:
    return Table(title, tuple((say(key), False) for key in columns), tuple(rows))
