"""Sets a report as PDF with Typst: tagged, with an outline, the same bytes from the same report."""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any

from wetpath.faces.report.parts import Cell, Part, Picture, Report, Table

#: A line that begins with a sign, and the room the sign takes.
_SIGNED = re.compile(r'(<text x="([\d.]+)"(?![^>]*text-anchor)[^>]*>)([●◆▼▾▲◄]) ([^<]*)')
SIGN_WIDTH = 12.0
_DATA = Path(str(files("wetpath"))) / "data"


def pdf_of(report: Report) -> bytes:
    """Set the report."""
    import typst

    day = date.fromisoformat(report.date)
    sheets = [vars(sheet) | {"parts": [_part(part) for part in sheet.parts]} for sheet in report.sheets]
    content = vars(report) | {"day": [day.year, day.month, day.day], "sheets": sheets}
    moment = datetime(day.year, day.month, day.day, tzinfo=UTC)
    found = typst.compile(str(_DATA / "report" / "report.typ"), root=str(_DATA / "report"), format="pdf",
                          font_paths=[str(_DATA / "fonts")], ignore_system_fonts=True,
                          sys_inputs={"content": json.dumps(content, default=vars)}, pdf_standards=["ua-1"],
                          timestamp=int(moment.timestamp()))
    return bytes(found)


def _part(part: Part) -> dict[str, Any]:
    if isinstance(part, Table):
        return vars(part) | {"kind": "table", "widths": _widths(part), "rows": [_apart(row) for row in part.rows]}
    if isinstance(part, Picture):
        return vars(part) | {"kind": "picture", "svg": signs_apart(part.svg)}
    return vars(part) | {"kind": "words"}


def _apart(row: tuple[Cell, ...]) -> list[dict[str, Any]]:
    """Cells of a row without those that another one covers."""
    found: list[dict[str, Any]] = []
    covered = 0
    for cell in row:
        if covered:
            covered -= 1
            continue
        found.append(vars(cell))
        covered = cell.across - 1
    return found


def signs_apart(drawing: str) -> str:
    """Set a sign at the beginning of a line apart from its words: the font of the words does not hold it, and a line
    is set in one font.

    >>> signs_apart('<text x="10" y="5">● +2 bar</text>')
    '<text x="10" y="5"><tspan>●</tspan><tspan x="22">+2 bar</tspan></text>'
    """
    return _SIGNED.sub(lambda found: f'{found[1]}<tspan>{found[3]}</tspan>'
                                     f'<tspan x="{float(found[2]) + SIGN_WIDTH:g}">{found[4]}</tspan>', drawing)


def _widths(table: Table) -> list[str]:
    """Widths of the columns: numbers as wide as they are, or even where there are many; words share the rest."""
    many = len(table.columns) > 5
    widest = max((len(cell.text) for row in table.rows for cell in row), default=0)
    found = []
    for place, (_, number) in enumerate(table.columns):
        longest = max((len(row[place].text) for row in table.rows if row[place].across == 1), default=0)
        if longest <= 4 and not number:
            found.append("auto")
        elif number:
            found.append("1fr" if many else "auto")
        else:
            share = f"{min(longest, 80) ** 0.5:.1f}fr"
            found.append("3fr" if place == 0 and many else "auto" if longest < (26 if widest > 40 else 12) else share)
    return found
