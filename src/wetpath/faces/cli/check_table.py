"""All checks of a rating as a table: the worst case of each, and a sign for every case."""

from __future__ import annotations

from rich.text import Text

from wetpath.faces.cli.figures import NOTHING, Figures
from wetpath.faces.cli.paper import COLOURS, WIDTH, Column, Paper
from wetpath.rating.check import Check
from wetpath.rating.rate import Rating
from wetpath.services.standing import Standing, standing_of


def write_checks(paper: Paper, figures: Figures, rating: Rating) -> None:
    """Write one row for each check, in the order of the report."""
    cases = len(rating.case_names)
    numbers = source_numbers(rating)
    paper.heading("Checks", "each at its worst case, and a sign for every case")
    paper.table([Column("check", wraps=True, least=12), Column("actual", number=True), Column("limit", number=True),
                 Column("margin", number=True),
                 Column("worst case", wraps=True, least=8, most=None if paper.width >= 120 else 16),
                 Column("cases", most=max(cases, 5)), Column("source")],
                [_row(check, rating, figures, numbers, paper.width >= WIDTH) for check in rating.checks])
    paper.say(Text("▼ short  ◆ tight: up to half above the demand  ● holds  ? not known  · not asked", style="dim"))


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
