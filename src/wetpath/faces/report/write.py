"""Writes a report of files: PDF, workbook or data file, by the ending of its name."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.edge.units import METRIC, US, UnitSet
from wetpath.errors import InputError
from wetpath.faces.report.content import DRAFT, Approval, Material, report_of
from wetpath.faces.report.studies import coupling_alone, studies_of
from wetpath.faces.report.texts import texts
from wetpath.faces.report.uncertainty_sheet import SAMPLES
from wetpath.questions.window.study import Window
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.rating.rate import Rating
from wetpath.services.progress import Announce, silent
from wetpath.services.protection import COPIES_IN_REPORT, copies_allowed
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.recording import record_of
from wetpath.words import speaking

PRESSURE_UNITS = ("bar", "kPa", "MPa", "psi")
ENDINGS = (".pdf", ".xlsx", ".json")


def write_report(enquiry: FilePath, target: Path, *, pump: FilePath | None = None, practice: FilePath | None = None,
                 previous: Path | None = None, approved_by: str = "", revision: str = "A", date: str = "",
                 us: bool = False, pressure_unit: str = "", short: bool = False,
                 samples: int = SAMPLES, copies: int = COPIES_IN_REPORT, language: str = "en",
                 announce: Announce = silent) -> bool:
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
    pressure_unit : str
        Of all pressures, like ``"kPa"``; that of the set of units without it.
    short : bool
        Leave out the window, the remedies, the protection plan and the uncertainty, which take longest.
    samples : int
        Points of the uncertainty for each case; 0 leaves it out.
    copies : int
        Copies of the model behind the protection plan; 0 for the nominal one alone.
    """
    if target.suffix.lower() not in ENDINGS:
        raise InputError("has an ending that is not known", field="--output", value=f'"{target}"',
                         do=f"end it in {', '.join(ENDINGS)}")
    copies_allowed(copies)
    day = _date(date)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    if target.suffix.lower() == ".json":
        content = data_sheet(rating).model_dump_json(indent=1).encode()
    else:
        content = report_bytes(rating, target.suffix.lower(), files=service.files, previous=_previous(previous),
                               approval=Approval(approved_by, revision), date=day, us=us,
                               pressure_unit=pressure_unit, short=short, samples=samples, copies=copies,
                               language=language)
    try:
        target.write_bytes(content)
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--output", value=f'"{target}"') from None
    return rating.holds


def report_bytes(rating: Rating, ending: str, *, files: tuple[FileOrigin, ...] = (), previous: DataSheet | None = None,
                 approval: Approval = DRAFT, date: str = "", us: bool = False, pressure_unit: str = "",
                 short: bool = False, samples: int = SAMPLES, copies: int = COPIES_IN_REPORT,
                 language: str = "en") -> bytes:
    """Set the report of a rating as PDF or workbook; the arguments are those of `write_report`."""
    from wetpath.faces.report.pdf import pdf_of
    from wetpath.faces.report.workbook import workbook_of

    figures = figures_of(us, pressure_unit)
    record = record_of(rating, files)
    studies = coupling_alone(rating) if short else studies_of(rating, samples, copies)
    window = studies.window
    material = Material(
        rating, record, studies.remedies, window,
        _window_svg(window, figures, language) if window is not None and ending == ".pdf" else "", previous,
        studies.coupling, studies.uncertainty, studies.protection)
    report = report_of(material, figures, date=_date(date), approval=approval, language=language)
    return pdf_of(report) if ending == ".pdf" else workbook_of(report)


def figures_of(us: bool, pressure_unit: str = "") -> Figures:
    """Numbers in metric or US units, pressures in the unit chosen."""
    units = US if us else METRIC
    if not pressure_unit:
        return Figures(units)
    kinds = (q.PRESSURE, q.PRESSURE_DIFFERENCE)
    if pressure_unit not in PRESSURE_UNITS:
        raise InputError("is not a unit of pressure of a report", field="--pressure-unit", value=f'"{pressure_unit}"',
                         do=f"choose one of {', '.join(PRESSURE_UNITS)}")
    return Figures(UnitSet(units.name, tuple((kind.name, pressure_unit) for kind in kinds)))


def _window_svg(window: Window, figures: Figures, language: str) -> str:
    import matplotlib as mpl

    from wetpath.drawing.plot_style import STYLE
    from wetpath.drawing.window_plot import window_figure

    buffer = io.BytesIO()
    with speaking(texts(language).words), mpl.rc_context(
            {**STYLE, "hatch.linewidth": 0.5, "hatch.color": "#e0b39f", "svg.hashsalt": "wetpath"}):
        window_figure(window, figures).savefig(buffer, format="svg", metadata={"Date": None}, transparent=True)
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
