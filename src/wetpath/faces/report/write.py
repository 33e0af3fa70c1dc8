"""Writes a report of files: PDF, workbook or data file, by the ending of its name."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.errors import InputError
from wetpath.faces.report.content import DRAFT, Approval, Material, report_of
from wetpath.questions.remedies.study import remedies_of
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.rating.rate import Rating
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.recording import record_of

ENDINGS = (".pdf", ".xlsx", ".json")
#: Flows and temperatures of the window in a report.
WINDOW = (48, 32)


def write_report(enquiry: FilePath, target: Path, *, pump: FilePath | None = None, practice: FilePath | None = None,
                 previous: Path | None = None, approved_by: str = "", revision: str = "A", date: str = "",
                 us: bool = False, short: bool = False, language: str = "en", announce: Announce = silent) -> bool:
    """Rate and write; return whether every check holds.

    Parameters
    ----------
    target : path
        Ends in .pdf, .xlsx or .json.
    previous : path, optional
        A data file of an earlier report: what has changed since is marked.
    approved_by : str
        Without it the report is a draft.
    date : str
        Like 2026-05-04; today without it.
    short : bool
        Leave out the window and the remedies, which take longest.
    """
    if target.suffix.lower() not in ENDINGS:
        raise InputError("has an ending that is not known", field="--output", value=f'"{target}"',
                         do=f"end it in {', '.join(ENDINGS)}")
    day = _date(date)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    if target.suffix.lower() == ".json":
        content = data_sheet(rating).model_dump_json(indent=1).encode()
    else:
        content = report_bytes(rating, target.suffix.lower(), files=service.files, previous=_previous(previous),
                               approval=Approval(approved_by, revision), date=day, us=us, short=short,
                               language=language)
    try:
        target.write_bytes(content)
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--output", value=f'"{target}"') from None
    return rating.holds


def report_bytes(rating: Rating, ending: str, *, files: tuple[FileOrigin, ...] = (), previous: DataSheet | None = None,
                 approval: Approval = DRAFT, date: str = "", us: bool = False, short: bool = False,
                 language: str = "en") -> bytes:
    """Set the report of a rating as PDF or workbook."""
    from wetpath.faces.report.pdf import pdf_of
    from wetpath.faces.report.workbook import workbook_of

    figures = Figures.of(us)
    pictured = ending == ".pdf" and not short
    material = Material(rating, record_of(rating, files), None if short else remedies_of(rating),
                        _window_svg(rating, figures) if pictured else "", previous)
    report = report_of(material, figures, date=_date(date), approval=approval, language=language)
    return pdf_of(report) if ending == ".pdf" else workbook_of(report)


def _window_svg(rating: Rating, figures: Figures) -> str:
    import matplotlib as mpl

    from wetpath.drawing.coupling_plot import STYLE
    from wetpath.drawing.window_plot import window_figure
    from wetpath.questions.window.study import Asked, study_window

    window = study_window(rating, Asked(grid=WINDOW))
    buffer = io.BytesIO()
    with mpl.rc_context({**STYLE, "hatch.linewidth": 0.5, "hatch.color": "#e0b39f", "svg.hashsalt": "wetpath"}):
        window_figure(window, figures).savefig(buffer, format="svg", metadata={"Date": None})
    return buffer.getvalue().decode()


def _previous(file: Path | None) -> DataSheet | None:
    if file is None:
        return None
    try:
        return DataSheet.model_validate_json(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InputError("is not a data file of a report", field="--previous", value=f'"{file}"',
                         why=str(error).splitlines()[0],
                         do="give a file written by wetpath report -o FILE.json") from None


def _date(text: str) -> str:
    if not text:
        return datetime.now(UTC).date().isoformat()
    try:
        return datetime.fromisoformat(text).date().isoformat()
    except ValueError:
        raise InputError("is not a date", field="--date", value=f'"{text}"', do="write it like 2026-05-04") from None
