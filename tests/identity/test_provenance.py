"""Explanations of numbers: closed formulas give the number they explain, every source exists, keys lead on."""

from __future__ import annotations

import pytest

from wetpath.errors import UnknownName
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.services.demo import enquiry_path
from wetpath.services.desk import papers_of_file, rate_papers
from wetpath.services.provenance import Explanation, explained, key_of
from wetpath.services.record import Record

OF_CASE = ("wall", "wall-margin", "eddy", "head", "hydraulic", "efficiency", "shaft", "npsha", "npshr", "torque",
           "angle", "pull-out")
OF_STATION = ("pressure", "temperature", "vapour", "margin")


@pytest.fixture(scope="module", params=["butane_reflux", "acrylic_ester_flushed", "propane"])
def record(request: pytest.FixtureRequest) -> Record:
    return rate_papers(papers_of_file(enquiry_path(request.param))).record


def keys_of(record: Record) -> list[str]:
    found = []
    for number, case in enumerate(record.cases):
        found += [key_of(number, one) for one in OF_CASE]
        found += [key_of(number, one, station.name) for one in OF_STATION for station in case.trace]
        found += [key_of(number, "flow", branch.name) for branch in case.branches]
    return found


def by_formula(told: Explanation) -> float:
    """The closed formula put in by hand."""
    known = {one.symbol: float(one.value) for one in told.given if one.value is not None}
    match told.key.split("/")[1]:
        case "hydraulic":
            return known["ρ"] * STANDARD_GRAVITY * known["Q"] * known["H"]
        case "efficiency" | "pull-out":
            first, second = known.values()
            return first / second
        case "torque":
            return (sum(known.values()) - known["ω"]) / known["ω"]
        case "shaft":
            return sum(known.values())
    return known[told.given[0].symbol] - known[told.given[1].symbol]


def test_closed_formulas_give_the_number_they_explain(record: Record) -> None:
    closed = [told for key in keys_of(record) if (told := explained(record, key)).closed and told.value is not None]
    assert len(closed) > 20 * len(record.cases)
    for told in closed:
        assert by_formula(told) == pytest.approx(told.value, rel=1e-9, abs=1e-9), told.key


def test_every_number_names_a_source_and_its_inputs_lead_on(record: Record) -> None:
    for key in keys_of(record):
        told = explained(record, key)
        assert told.sources or told.key.split("/")[1] in ("vapour", "margin", "wall-margin"), key
        for one in told.given:
            if one.key:
                explained(record, one.key)


def test_a_key_of_nothing_is_told(record: Record) -> None:
    with pytest.raises(UnknownName):
        explained(record, "0/colour/1")
    with pytest.raises(UnknownName):
        explained(record, "99/head/")
