"""Reports: the same bytes from the same inputs, and the same digits in PDF, workbook and record."""

from __future__ import annotations

import io
import re
from pathlib import Path

import openpyxl
import pypdf
import pytest

from wetpath.drawing.checks import check_values
from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.errors import InputError
from wetpath.faces.report.write import report_bytes, write_report
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.recording import record_of

DATE = "2026-05-04"


@pytest.fixture(scope="module")
def rating() -> Rating:
    return load_service(enquiry_path("butane_reflux")).rate()


@pytest.fixture(scope="module")
def pdf(rating: Rating) -> bytes:
    return report_bytes(rating, ".pdf", date=DATE, short=True)


@pytest.fixture(scope="module")
def workbook(rating: Rating) -> bytes:
    return report_bytes(rating, ".xlsx", date=DATE, short=True)


def words_of(pdf: bytes) -> str:
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    return re.sub(r"[\s\u2009]+", " ", text)


@pytest.mark.parametrize("ending", [".pdf", ".xlsx"])
def test_the_same_inputs_give_the_same_bytes(rating: Rating, ending: str, pdf: bytes, workbook: bytes) -> None:
    again = report_bytes(load_service(enquiry_path("butane_reflux")).rate(), ending, date=DATE, short=True)
    assert again == (pdf if ending == ".pdf" else workbook)


def test_the_pdf_has_tags_an_outline_and_a_language(pdf: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    root = reader.trailer["/Root"]
    assert "/StructTreeRoot" in root
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert str(root["/Lang"]).startswith("en")
    titles = [one.title for one in reader.outline if not isinstance(one, list)]
    assert titles[0] == "Not as offered"
    assert "Checks and operating cases" in titles


def test_numbers_agree_to_the_last_digit_shown(rating: Rating, pdf: bytes, workbook: bytes) -> None:
    record, figures = record_of(rating), Figures.of(False)
    told = words_of(pdf)
    shown = openpyxl.load_workbook(io.BytesIO(workbook), data_only=True)
    numbers = {round(cell.value, 6) for sheet in shown for row in sheet.iter_rows() for cell in row
               if isinstance(cell.value, (int, float))}
    for case in record.cases:
        for station in case.trace:
            for value, kind in ((station.pressure_pa, q.PRESSURE), (station.temperature_k, q.TEMPERATURE)):
                text = figures.number(value, kind)
                assert text in told
                scaled = value / 1e5 if kind is q.PRESSURE else value - 273.15
                assert any(abs(scaled - one) < 2e-6 for one in numbers)
    for check in record.checks:
        worst = next(one for one in check.cases if one.case == check.worst_case)
        actual, _, _ = check_values(check, worst, figures)
        assert re.sub(r"\s", "", actual) in re.sub(r"\s", "", told)      # a cell may be set in two lines


def test_margins_of_the_workbook_are_formulas_that_give_the_margin(workbook: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook))
    sheet = next(one for one in book if one.title.startswith("Pressure and temperature"))
    formulas = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)
                and cell.value.startswith("=")]
    assert len(formulas) == 4 * 11
    assert all(re.fullmatch(r"=B\d+-D\d+", one) for one in formulas)


def test_a_report_is_a_draft_until_it_is_approved(rating: Rating, pdf: bytes, tmp_path: Path) -> None:
    assert "DRAFT" in words_of(pdf)
    target = tmp_path / "approved.pdf"
    write_report(enquiry_path("butane_reflux"), target, approved_by="the responsible engineer", date=DATE, short=True)
    told = words_of(target.read_bytes())
    assert "DRAFT" not in told
    assert "Approved by the responsible engineer on 2026-05-04" in told


def test_what_changed_since_the_previous_report_is_marked(tmp_path: Path) -> None:
    before, after = tmp_path / "before.json", tmp_path / "after.pdf"
    write_report(enquiry_path("butane_reflux"), before, date=DATE)
    text = enquiry_path("butane_reflux").read_text(encoding="utf-8")
    changed = tmp_path / "changed.toml"
    pump = (enquiry_path("butane_reflux").parent / "../pumps/medium_steel.toml").resolve()
    changed.write_text(text.replace('"../pumps/medium_steel.toml"', f'"{pump}"').replace('"45 m3/h"', '"46 m3/h"'),
                       encoding="utf-8")
    write_report(changed, after, previous=before, date=DATE, short=True)
    told = words_of(after.read_bytes())
    assert "Changed since the previous report" in told
    assert "▲ 46.0" in told or "▲ 46" in told


def test_us_units(rating: Rating) -> None:
    assert "psi a" in words_of(report_bytes(rating, ".pdf", date=DATE, us=True, short=True))


def test_wrong_wishes_are_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"ending that is not known"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.docx")
    with pytest.raises(InputError, match=r"is not a date"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.pdf", date="yesterday")
