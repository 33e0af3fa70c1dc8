"""The files that go out with an issue, and what an earlier issue said."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress

from wetpath.faces.report.content import Approval
from wetpath.faces.report.write import report_bytes
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.services.desk import Rated
from wetpath.services.projects import Issue


def files_of_issue(shown: Rated, stem: str, who: str, letter: str, *, us: bool, pressure_unit: str = "",
                   previous: DataSheet | None = None) -> dict[str, bytes]:
    """The files of an issue by name: the report without the mark of a draft, as PDF and workbook, and the data file."""
    files = {f"{stem}{ending}": report_bytes(shown.rating, ending, approval=Approval(who, letter), us=us,
                                             pressure_unit=pressure_unit, previous=previous)
             for ending in (".pdf", ".xlsx")}
    return files | {f"{stem}.json": data_sheet(shown.rating).model_dump_json(indent=1).encode()}


def sheet_of_issue(issues: Iterable[Issue], letter: str = "") -> DataSheet | None:
    """The data sheet that went out with an issue, or with the first of those given; None where none can be read."""
    for one in issues:
        for file in one.files if letter in ("", one.letter) else ():
            if file.name.endswith(".json"):
                with suppress(ValueError):                # of a version with another data sheet
                    return DataSheet.model_validate_json(file.content)
    return None
