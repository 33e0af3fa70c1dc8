"""Reports: the same bytes from the same inputs, and the same digits in PDF, workbook and record."""

from __future__ import annotations

import ast
import html
import io
import math
import re
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace
from typing import cast, get_args

import openpyxl
import pypdf
import pytest

from wetpath.drawing.checks import check_values
from wetpath.drawing.figures import Figures
from wetpath.drawing.upset_words import value_text
from wetpath.edge import quantities as q
from wetpath.errors import InputError
from wetpath.faces.report import content, studies
from wetpath.faces.report.content import Approval
from wetpath.faces.report.coupling_sheet import coupling_case, coupling_study_of
from wetpath.faces.report.uncertainty_sheet import uncertainty_study_of
from wetpath.faces.report.write import figures_of, report_bytes, write_report
from wetpath.faces.web.run_parts import cases_html, checks_html
from wetpath.faces.web.session import Session
from wetpath.questions.protection.study import plan_protection
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import Basis
from wetpath.services.demo import enquiry_path
from wetpath.services.desk import papers_of_file, rate_papers
from wetpath.services.protection import record_of_plan
from wetpath.services.rating import load_service
from wetpath.services.recording import record_of

DATE = "2026-05-04"


@pytest.fixture(scope="module", autouse=True)
def each_study_once() -> Iterator[None]:
    """What a report asks beside the rating is the same for the same rating, and takes longest."""
    with pytest.MonkeyPatch.context() as patched:
        for name in ("plan_of", "remedies_of"):
            patched.setattr(studies, name, cache(getattr(studies, name)))
        yield


@pytest.fixture(scope="module")
def rating() -> Rating:
    return load_service(enquiry_path("butane_reflux")).rate()


@pytest.fixture(scope="module")
def pdf(rating: Rating) -> bytes:
    return report_bytes(rating, ".pdf", date=DATE, short=True)


@pytest.fixture(scope="module")
def workbook(rating: Rating) -> bytes:
    return report_bytes(rating, ".xlsx", date=DATE, short=True)


@pytest.fixture(scope="module")
def words_of(pages_of: Callable[[bytes], tuple[str, ...]]) -> Callable[[bytes], str]:
    return lambda pdf: re.sub(r"[\s\u2009]+", " ", "\n".join(pages_of(pdf)))


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


def test_numbers_agree_to_the_last_digit_shown(rating: Rating, pdf: bytes, workbook: bytes,
                                               words_of: Callable[[bytes], str]) -> None:
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


def test_the_web_shows_the_numbers_of_the_report(rating: Rating, pdf: bytes, words_of: Callable[[bytes], str]) -> None:
    record, figures = record_of(rating), Figures.of(False)
    page = cast(Session, SimpleNamespace(record=record, locked="", figures=figures, beside=None,
                                         case_record=record.cases[0], case=0, station="", us=False))
    shown = re.sub(r"<[^>]+>", " ", cases_html(page) + checks_html(page))
    plain, told = (re.sub(r"\s", "", words) for words in (html.unescape(shown), words_of(pdf)))
    for check in record.checks:
        worst = next(one for one in check.cases if one.case == check.worst_case)
        for value in check_values(check, worst, figures):
            assert re.sub(r"\s", "", value) in plain
            assert re.sub(r"\s", "", value) in told
    for case in record.cases:
        point = case.operating_point
        for value, kind in ((point.head_m, q.HEAD), (point.suction_pressure_pa, q.PRESSURE)):
            assert figures.number(value, kind) in plain
            assert figures.number(value, kind) in told


def test_margins_of_the_workbook_are_formulas_that_give_the_margin(workbook: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook))
    sheet = next(one for one in book if one.title.startswith("Pressure and temperature"))
    formulas = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)
                and cell.value.startswith("=")]
    assert len(formulas) == 4 * 11
    assert all(re.fullmatch(r"=B\d+-D\d+", one) for one in formulas)


def test_margins_of_the_checks_are_numbers_and_those_of_the_worst_case_formulas(rating: Rating,
                                                                               workbook: bytes) -> None:
    record = record_of(rating)
    formulas, values = (openpyxl.load_workbook(io.BytesIO(workbook), data_only=only)["Checks and operating cases"]
                        for only in (False, True))
    rows = {row[0].value: (row, seen) for row, seen in zip(formulas.iter_rows(), values.iter_rows(), strict=True)}
    checked = 0
    for check in record.checks:
        row, seen = rows[check.title]
        place = 3 + [one.case for one in check.cases].index(check.worst_case)
        found = re.fullmatch(r"=([BC])\d+-([BC])\d+", str(row[place].value))
        if found is None:
            continue
        checked += 1
        actual, limit = float(seen[1].value), float(seen[2].value)
        left = actual - limit if check.sense == "at least" else limit - actual
        assert found.groups() == (("B", "C") if check.sense == "at least" else ("C", "B"))
        assert seen[place].value == pytest.approx(left, abs=1e-9 * max(abs(actual), abs(limit)))
    assert checked >= 0.9 * len(record.checks)
    signs = [str(cell.number_format) for row in formulas.iter_rows() for cell in row]
    assert any(one.startswith('"▼ "') for one in signs)


def test_words_of_users_are_no_formulas_and_no_links_of_the_workbook() -> None:
    papers = papers_of_file(enquiry_path("butane_reflux"))
    for path, words in (("enquiry:cases[1].name", '=HYPERLINK("http://other.example","A")'),
                        ("enquiry:cases[2].name", "{=SUM(1)}"), ("enquiry:title", "=1+1"),
                        ("pump:name", "https://other.example/")):
        papers = papers.with_value(path, words)
    made = report_bytes(rate_papers(papers).rating, ".xlsx", date=DATE, short=True)
    cells = [cell for sheet in openpyxl.load_workbook(io.BytesIO(made)) for line in sheet.iter_rows() for cell in line]
    assert any(str(cell.value).startswith("=HYPERLINK") for cell in cells), "the words are not in the workbook"
    assert [cell.coordinate for cell in cells if cell.hyperlink] == []
    formulas = [str(getattr(cell.value, "text", cell.value)) for cell in cells if cell.data_type == "f"]
    assert formulas
    assert [one for one in formulas if "HYPERLINK" in one or "SUM" in one or "1+1" in one] == []


def test_the_answer_and_the_remedies_are_told_in_the_units_of_the_report(rating: Rating,
                                                                         words_of: Callable[[bytes], str]) -> None:
    told = words_of(report_bytes(rating, ".pdf", date=DATE, us=True, short=True))
    answer = told.partition("What governs")[0]
    assert re.search(r"short by \d+\.\d °F", answer)
    assert not re.search(r"\d K\b", answer)


def test_the_plan_of_a_report_has_the_samples_of_every_plan_and_says_how_many_copies(
        rating: Rating, words_of: Callable[[bytes], str]) -> None:
    plan = studies.plan_of(rating)
    assert not isinstance(plan, str)
    other = plan_protection(rating, copies=0)
    assert plan.samples == other.samples
    assert [one.set_point for one in plan.settings if one.usable] == [one.set_point for one in other.settings
                                                                      if one.usable]
    assert "Nominal model, 0 copies" in words_of(report_bytes(rating, ".pdf", date=DATE, samples=0))
    assert "2 copies of the model" in words_of(report_bytes(rating, ".pdf", date=DATE, samples=0, copies=2))


def test_a_report_is_a_draft_until_it_is_approved(rating: Rating, pdf: bytes, tmp_path: Path,
                                                  words_of: Callable[[bytes], str]) -> None:
    assert "DRAFT" in words_of(pdf)
    target = tmp_path / "approved.pdf"
    write_report(enquiry_path("butane_reflux"), target, approved_by="the responsible engineer", date=DATE, short=True)
    told = words_of(target.read_bytes())
    assert "DRAFT" not in told
    assert "Approved by the responsible engineer on 2026-05-04" in told


def test_what_changed_since_the_previous_report_is_marked(tmp_path: Path, words_of: Callable[[bytes], str]) -> None:
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


def test_us_units(rating: Rating, words_of: Callable[[bytes], str]) -> None:
    assert "psi a" in words_of(report_bytes(rating, ".pdf", date=DATE, us=True, short=True))


def test_pressures_in_kilopascal(rating: Rating, words_of: Callable[[bytes], str]) -> None:
    told = words_of(report_bytes(rating, ".pdf", date=DATE, pressure_unit="kPa", short=True))
    record = record_of(rating)
    figures = figures_of(False, "kPa")
    assert "kPa a" in told
    assert "bar a" not in told.partition("Warnings and limits crossed")[0]
    for station in record.cases[0].trace:
        assert figures.number(station.pressure_pa, q.PRESSURE) in told


def test_an_approved_report_tells_the_day_of_the_approval(rating: Rating, words_of: Callable[[bytes], str]) -> None:
    told = words_of(report_bytes(rating, ".pdf", date=DATE, short=True,
                                 approval=Approval("the responsible engineer", "B", "2026-05-02")))
    assert "Approved by the responsible engineer on 2026-05-02" in told
    assert "DRAFT" not in told
    assert "Revision B" in told


def test_the_coupling_sheet_stands_where_the_rating_stands(rating: Rating, pdf: bytes, workbook: bytes,
                                                           words_of: Callable[[bytes], str]) -> None:
    record, figures = record_of(rating), Figures.of(False)
    case = coupling_case(record)
    study = coupling_study_of(rating, record)
    assert study.point.pull_out == pytest.approx(case.coupling.pull_out_torque_n_m, rel=1e-6)
    angle = math.degrees(study.point.angle)
    assert angle == pytest.approx(case.coupling.load_angle_electrical_deg, rel=1e-3)
    told = words_of(pdf)
    assert "Magnetic coupling and containment shell" in told
    assert f"Pull-out {figures.text(study.point.pull_out, q.TORQUE)}".replace("\u2009", " ") in told
    book = openpyxl.load_workbook(io.BytesIO(workbook), data_only=True)
    sheet = next(one for one in book if one.title.startswith("Magnetic coupling"))
    shown = [cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, (int, float))]
    assert any(abs(case.coupling.torque_n_m - one) < 1e-6 for one in shown)
    assert len(sheet._charts) == 1


def test_uncertainty_and_window_are_in_the_whole_report_and_can_be_left_out(rating: Rating) -> None:
    book = openpyxl.load_workbook(io.BytesIO(report_bytes(rating, ".xlsx", date=DATE, samples=128)), data_only=True)
    assert {"Uncertainty", "Operating window"} <= set(book.sheetnames)
    study = uncertainty_study_of(rating, 128)
    assert study is not None
    cells = [str(cell.value) for row in book["Uncertainty"].iter_rows() for cell in row if cell.value is not None]
    for one in study.cases:
        assert Figures.of(False).text(one.median, QUANTITIES[one.governing].kind) in cells
    without = openpyxl.load_workbook(io.BytesIO(report_bytes(rating, ".xlsx", date=DATE, samples=0)))
    assert "Uncertainty" not in without.sheetnames


def test_every_drawing_of_the_pdf_has_words_for_those_who_do_not_see_it(pdf: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    figures, kinds = [], set()

    def walk(node: object) -> None:
        found = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(found, list):
            for one in found:
                walk(one)
        elif isinstance(found, dict):
            kinds.add(str(found.get("/S", "")))
            if found.get("/S") == "/Figure":
                figures.append(found.get("/Alt"))
            if "/K" in found:
                walk(found["/K"])

    walk(reader.trailer["/Root"]["/StructTreeRoot"])
    assert len(figures) == 5      # rule, curves, torque, section, trace
    assert all(figures)
    assert {"/H1", "/H2", "/Table", "/TH", "/TD"} <= kinds


def test_wrong_wishes_are_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"ending that is not known"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.docx")
    with pytest.raises(InputError, match=r"is not a unit of pressure of a report"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.pdf", pressure_unit="torr")
    with pytest.raises(InputError, match=r"is outside 0 to 1000"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.pdf", copies=-1)
    with pytest.raises(InputError, match=r"is not a date"):
        write_report(enquiry_path("butane_reflux"), tmp_path / "report.pdf", date="yesterday")


def test_the_protection_plan_is_that_of_the_record(rating: Rating, words_of: Callable[[bytes], str]) -> None:
    figures, plan = Figures.of(False), studies.plan_of(rating)
    assert not isinstance(plan, str)
    record = record_of_plan(plan)
    told = words_of(report_bytes(rating, ".pdf", date=DATE, samples=0))
    shown = openpyxl.load_workbook(io.BytesIO(report_bytes(rating, ".xlsx", date=DATE, samples=0)), data_only=True)
    sheet = next(one for one in shown if "Protection" in one.title)
    numbers = {cell.value for row in sheet.iter_rows() for cell in row if isinstance(cell.value, (int, float))}
    assert "Protection plan" in told
    assert record.cover.uncovered
    for name in record.cover.uncovered:
        assert f"{name}:" in told
    for one in record.settings:
        if one.set_point is None:
            continue
        kind = next(each.instrument.signal.kind for each in plan.settings if each.instrument.name == one.name)
        text = value_text(figures, one.set_point, kind).partition("\u2009")[0]
        assert f"{text}" in told
        decimals = len(text.partition(".")[2])
        assert float(text.replace("−", "-")) in {round(number, decimals) for number in numbers}
    causes = {one.upsets[0]: one for one in record.causes}
    damage = causes["discharge closed"].damage.nominal_s
    assert damage is not None
    assert figures.number(damage - causes["discharge closed"].cause_begins_s, q.TIME, decimals=1) in told


def test_where_no_case_can_be_followed_the_plan_says_why() -> None:
    plan = studies.plan_of(load_service(enquiry_path("butane_as_found")).rate())
    assert isinstance(plan, str)
    assert "no liquid solution" in plan


REPORT = Path(content.__file__).parent


def test_words_of_a_report_stand_in_its_catalogue() -> None:
    """Messages of errors and names that are compared are no words of a sheet."""
    found = []
    for file in (REPORT / "content.py", *REPORT.glob("*_sheet.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        left_out = {id(part) for node in ast.walk(tree) if isinstance(node, (ast.Raise, ast.Compare))
                    for part in ast.walk(node)}
        left_out |= {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        found += [f"{file.name}:{node.lineno} {node.value}" for node in ast.walk(tree)
                  if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left_out
                  and re.search(r"[a-z]{2,} [a-z]{2,}", node.value)]
    assert not found


def test_no_words_of_the_catalogue_are_left_over() -> None:
    sources = "".join(file.read_text(encoding="utf-8") for file in REPORT.glob("*.py"))
    said = set(re.findall(r"""["']([a-z_]+)["']""", sources))
    starts = tuple(re.findall(r"""f["']([a-z_]+_)\{""", sources))
    words = tomllib.loads((files("wetpath") / "data" / "report" / "texts_en.toml").read_text(encoding="utf-8"))
    said |= {f"basis_{one}" for one in get_args(Basis)}
    assert [key for key in words if key not in said and not any(
        key.startswith(one) and (key.removeprefix(one) in said or one == "why_says_") for one in starts)] == []
