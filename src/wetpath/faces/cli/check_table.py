"""All checks of a rating as a table: the worst case of each, and a sign for every case."""

from __future__ import annotations

from rich.text import Text

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.faces.cli.paper import COLOURS, Column, Paper
from wetpath.rating.check import Check
from wetpath.rating.rate import Rating
from wetpath.services.standing import Standing, standing_of

#: From this width on a check stands beside how its limit is known.
WIDE = 120


def write_checks(paper: Paper, figures: Figures, rating: Rating) -> None:
    """Write one row for each check, in the order of the report."""
    cases, wide = len(rating.case_names), paper.width >= WIDE
    numbers = source_numbers(rating)
    parts = [(subject.capitalize(), [_row(check, rating, figures, numbers, wide) for check in rating.checks
                                     if check.subject == subject])
             for subject in dict.fromkeys(check.subject for check in rating.checks)]
    paper.heading("Checks", "each at its worst case, and a sign for every case")
    paper.sections([
        Column("check", wraps=True, least=12), Column("actual", number=True), Column("limit", number=True),
        Column("margin", number=True), Column("worst case", wraps=True, least=8, most=None if wide else 16),
        Column("cases", most=max(cases, 5)), Column("from")], parts)
    paper.say(Text("▼ short  ◆ tight: less than half the limit to spare  ● holds  ? not known  · not asked  "
                   "[1] source, below", style="dim"))


def source_numbers(rating: Rating) -> dict[str, int]:
    """Numbers of the sources of the limits, in the order of the checks."""
    keys = dict.fromkeys(check.source for check in rating.checks)
    return {key: number for number, key in enumerate(keys, start=1)}


def _row(check: Check, rating: Rating, figures: Figures, numbers: dict[str, int],
         wide: bool) -> list[str | Text]:
    worst = check.worst_case
    signs = Text()
    for case in range(len(rating.case_names)):
        level = standing_of(check, case)
        signs.append(level.sign, style=COLOURS[level])
    level = standing_of(check, worst)
    stressed = level is Standing.SHORT or check.name == rating.verdict.check.name
    bound = "≥" if check.sense == "at least" else "≤"
    limit = figures.text(float(check.limit[worst]), check.kind)
    return [Text(check.title, style="bold" if stressed else ""), figures.text(float(check.actual[worst]), check.kind),
            limit if limit == NOTHING else f"{bound} {limit}",
            figures.text(float(check.margin[worst]), check.difference_kind, sign=True), rating.case_names[worst], signs,
            f"[{numbers[check.source]}]" + (f" {check.status.removeprefix('common ')}" if wide else "")]
