"""Sets a report as a workbook: numbers as numbers, margins as formulas, a native chart of the curves."""

from __future__ import annotations

import io
import re
from datetime import datetime
from typing import Any

from wetpath.faces.report.parts import Cell, Picture, Report, Sheet, Table, Words

INK, SOFT, HAIR, SHORT = "#1b2830", "#5a6b75", "#c6d0d5", "#c2410c"
FIRST_WIDTH, NUMBER_WIDTH, WORD_WIDTH = 34, 12, 26
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")


def workbook_of(report: Report) -> bytes:
    """Set the report; the same bytes from the same report."""
    import xlsxwriter

    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    day = datetime.fromisoformat(report.date)
    book.set_properties({"title": f"{report.title}, {report.subtitle}", "author": "wetpath", "created": day,
                         "comments": report.words["draft_note"] if report.draft else report.words["approved"]})
    setter = _Setter(book)
    told = [sheet for sheet in report.sheets if not all(isinstance(part, Picture) for part in sheet.parts)]
    for number, sheet in enumerate(told):
        setter.sheet(sheet, report if number == 0 else None)
    book.close()
    return buffer.getvalue()


def number_format(cell: Cell) -> str:
    """Format of a number: its decimals, the sign before it, the plus of a difference, its unit.

    >>> number_format(Cell("≥ 1.00\u2009bar", 1.0, 2, sign="≥", unit="bar"))
    '"≥ "0.00"\u2009bar";"≥ "−0.00"\u2009bar"'
    """
    digits = "0" if not cell.decimals else "0." + "0" * cell.decimals
    before, behind = f'"{cell.sign} "' if cell.sign else "", f'"\u2009{cell.unit}"' if cell.unit else ""
    if "+" in cell.text:
        return f"{before}+{digits}{behind};{before}−{digits}{behind};{before}{digits}{behind}"
    return f"{before}{digits}{behind};{before}−{digits}{behind}"


def _number_width(sheet: Sheet) -> int:
    """Width that holds every number of a sheet; words are wrapped."""
    longest = max((len(cell.text) for part in sheet.parts if isinstance(part, Table) for row in part.rows
                   for cell in row if cell.number is not None), default=0)
    return max(NUMBER_WIDTH, longest + 1)


class _Setter:
    def __init__(self, book: Any) -> None:
        self.book = book
        self._formats: dict[tuple[object, ...], Any] = {}

    def format(self, **given: object) -> Any:
        """A format by what it asks; each is made once."""
        key = tuple(sorted(given.items()))
        if key not in self._formats:
            self._formats[key] = self.book.add_format({"font_name": "Arial", "font_size": 9, "font_color": INK,
                                                       "valign": "top", **given})
        return self._formats[key]

    def sheet(self, sheet: Sheet, report: Report | None) -> None:
        """One sheet: its parts below each other; the first begins with the verdict."""
        page = self.book.add_worksheet(_NOT_IN_NAMES.sub(" ", sheet.title)[:31])
        page.hide_gridlines(2)
        page.set_paper(9)
        page.fit_to_pages(1, 0)
        page.set_column(0, 0, FIRST_WIDTH)
        page.set_column(1, 14, _number_width(sheet))
        at = 0
        page.write(at, 0, sheet.title if report is None else report.headline, self.format(
            bold=True, font_size=15, font_color=SHORT if report and report.standing == "short" else INK))
        at += 2
        if report is not None:
            for words in (report.sentence, report.words["draft_note"] if report.draft else report.words["approved"],
                          " | ".join(report.strip)):
                page.write(at - 1, 0, words, self.format(text_wrap=False))
                at += 1
        charted = None
        for part in sheet.parts:
            if isinstance(part, Words):
                at = self._words(page, at, part)
            elif isinstance(part, Table):
                if charted is None and part.title == "":
                    charted = at, len(part.rows)
                at = self._table(page, at, part)
        if sheet.chart is not None and charted is not None:
            self._chart(page, sheet, *charted, at)

    def _words(self, page: Any, at: int, part: Words) -> int:
        if part.title:
            page.write(at, 0, part.title, self.format(bold=True))
            at += 1
        for words in part.lines:
            page.write(at, 0, words, self.format(font_color=SOFT) if part.soft else self.format())
            at += 1
        return at + 1

    def _table(self, page: Any, at: int, part: Table) -> int:
        if part.title:
            page.write(at, 0, part.title, self.format(bold=True))
            at += 1
        for column, (name, number) in enumerate(part.columns):
            page.write(at, column, name, self.format(font_color=SOFT, bottom=1, bottom_color=INK, text_wrap=True,
                                                     align="right" if number else "left"))
        for place, row in enumerate(part.rows, start=at + 1):
            for column, cell in enumerate(row):
                if cell.across > 1:
                    page.merge_range(place, column, place, column + cell.across - 1, "", self._style(cell, "center"))
                    self._cell(page, place, column, cell, align="center")
                elif not any(before.across > column - at for at, before in enumerate(row[:column])):
                    self._cell(page, place, column, cell, align="right" if part.columns[column][1] else "left")
        at += len(part.rows) + 1
        if part.note:
            page.write(at, 0, part.note, self.format(font_color=SOFT))
            at += 1
        return at + 1

    def _style(self, cell: Cell, align: str, **more: object) -> Any:
        given: dict[str, Any] = {"bottom": 4, "bottom_color": HAIR, "align": align, **more}
        if cell.standing == "short":
            given |= {"font_color": SHORT, "bold": True}
        if cell.bold:
            given["bold"] = True
        if cell.changed:
            given["bg_color"] = "#fdf0e4"
        return self.format(**given)

    def _cell(self, page: Any, row: int, column: int, cell: Cell, *, align: str) -> None:
        if cell.number is None:
            wraps = {"text_wrap": True} if column and len(cell.text) > NUMBER_WIDTH else {}
            page.write_string(row, column, cell.text, self._style(cell, align, **wraps))
            return
        style = self._style(cell, align if cell.across > 1 else "right", num_format=number_format(cell))
        if cell.formula:
            names = [f"{chr(65 + other)}{row + 1}" for other in range(26)]
            page.write_formula(row, column, "=" + cell.formula.format(*names), style, cell.number)
        else:
            page.write_number(row, column, cell.number, style)

    def _chart(self, page: Any, sheet: Sheet, first: int, rows: int, at: int) -> None:
        chart = self.book.add_chart({"type": "scatter", "subtype": "smooth"})
        told = sheet.chart
        assert told is not None
        for column in told.y_columns:
            chart.add_series({
                "name": [page.get_name(), first, column],
                "categories": [page.get_name(), first + 1, told.x_column, first + rows, told.x_column],
                "values": [page.get_name(), first + 1, column, first + rows, column], "line": {"color": INK}})
        chart.set_title({"name": told.title, "name_font": {"size": 10}})
        chart.set_x_axis({"name": told.x_name, "major_gridlines": {"visible": True, "line": {"color": HAIR}}})
        chart.set_y_axis({"name": told.y_name, "major_gridlines": {"visible": True, "line": {"color": HAIR}}})
        chart.set_legend({"none": True})
        page.insert_chart(at + 1, 0, chart, {"description": told.title})
