"""Numbers outside what their model or table covers stand in brackets, with the reason."""

from __future__ import annotations

import pytest

from wetpath.drawing.figures import Figures
from wetpath.drawing.section import section_drawing
from wetpath.drawing.validity import in_brackets, why_not_valid
from wetpath.edge import quantities as q
from wetpath.services.demo import enquiry_path
from wetpath.services.desk import papers_of_file, rate_papers
from wetpath.services.record import Record

FIGURES = Figures.of(False)


@pytest.fixture(scope="module")
def record() -> Record:
    return rate_papers(papers_of_file(enquiry_path("butane_reflux"))).record


def test_inside_the_table_nothing_is_in_brackets(record: Record) -> None:
    case = record.cases[0]
    assert {why_not_valid(record, case, FIGURES, one.temperature_k) for one in case.trace} == {""}
    assert "(" not in "".join(part for part in section_drawing(record, case, FIGURES).split("<") if "bar a" in part)


def test_a_station_beyond_the_table_of_its_liquid_is_in_brackets(record: Record) -> None:
    case = record.cases[0]
    hottest = max(case.trace, key=lambda one: one.temperature_k)
    coldest = min(case.trace, key=lambda one: one.temperature_k)
    end = (hottest.temperature_k + coldest.temperature_k) / 2
    shorter = record.model_copy(update={"liquids": tuple(
        one.model_copy(update={"highest_temperature_k": end}) for one in record.liquids)})
    why = why_not_valid(shorter, case, FIGURES, hottest.temperature_k)
    assert why.startswith(f"outside the table of {case.liquid}, which goes from ")
    assert why.endswith(FIGURES.text(end, q.TEMPERATURE))
    assert why_not_valid(shorter, case, FIGURES, coldest.temperature_k) == ""
    shown = section_drawing(shorter, case, FIGURES)
    assert shown.count(">(") == 2 * sum(one.temperature_k > end for one in case.trace)


def test_the_note_of_a_case_comes_first(record: Record) -> None:
    noted = record.cases[0].model_copy(update={"note": "no liquid solution"})
    assert why_not_valid(record, noted, FIGURES, 1e4) == "no liquid solution"
    assert in_brackets("–", "no liquid solution") == "–"
