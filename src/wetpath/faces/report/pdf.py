"""Sets a report as PDF with Typst: tagged, with an outline, the same bytes from the same report."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path
from typing import Any

from wetpath.faces.report.parts import Part, Picture, Report, Table

_DATA = Path(str(files("wetpath"))) / "data"


def pdf_of(report: Report) -> bytes:
    """Set the report."""
    import typst

    day = date.fromisoformat(report.date)
    content: dict[str, Any] = asdict(report) | {"day": [day.year, day.month, day.day]}
    for told, sheet in zip(content["sheets"], report.sheets, strict=True):
        told["parts"] = [_part(part) for part in sheet.parts]
    moment = datetime(day.year, day.month, day.day, tzinfo=UTC)
    found = typst.compile(str(_DATA / "report" / "report.typ"), root=str(_DATA / "report"), format="pdf",
                          font_paths=[str(_DATA / "fonts")], ignore_system_fonts=True,
                          sys_inputs={"content": json.dumps(content)}, pdf_standards=["ua-1"],
                          timestamp=int(moment.timestamp()))
    return bytes(found)


def _part(part: Part) -> dict[str, Any]:
    if isinstance(part, Table):
        return asdict(part) | {"kind": "table", "widths": _widths(part)}
    return asdict(part) | {"kind": "picture" if isinstance(part, Picture) else "words"}


def _widths(table: Table) -> list[str]:
    """Widths of the columns: numbers as wide as they are, or even where there are many; words share the rest."""
    many = len(table.columns) > 5
    found = []
    for place, (_, number) in enumerate(table.columns):
        longest = max((len(row[place].text) for row in table.rows), default=0)
        if longest <= 4 and not number:
            found.append("auto")
        elif number:
            found.append("1fr" if many else "auto")
        else:
            share = f"{min(longest, 80) ** 0.5:.1f}fr"
            found.append("3fr" if place == 0 and many else "auto" if longest < 12 else share)
    return found
