"""Rows of a sheet or of pasted text become an enquiry; every row that is not read is told.

The labels are words of the trade: common practice, no source.
"""

from __future__ import annotations

import io
from itertools import permutations

import openpyxl
import pytest

from wetpath.edge.files import loads_document
from wetpath.errors import FileProblems
from wetpath.rating.enquiry import Enquiry
from wetpath.services.enquiry_rows import RowsOfEnquiry, enquiry_of_sheet, enquiry_of_text

LINES = ("Service: Butane reflux", "Liquid: n-butane", "Flow: 45 m3/h", "Total head = 53 m",
         "Pumping temperature\t48\t°C", "Suction pressure (abs): 4.9 bar")


def sheet(*rows: tuple[object, ...], others: tuple[str, ...] = ()) -> bytes:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = "Data"
    for row in rows:
        page.append(row)
    for name in others:
        book.create_sheet(name)
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def reasons(found: RowsOfEnquiry) -> dict[str, str]:
    return {row.text: row.reason for row in found.unread}


def test_pasted_lines_become_an_enquiry() -> None:
    found = enquiry_of_text("\n".join(LINES))
    assert (found.unread, found.problems, found.assumed) == ((), (), ())
    enquiry = loads_document(found.content, Enquiry)
    (case,) = enquiry.cases
    assert (enquiry.title, case.role, case.flow, case.head) == ("Butane reflux", "rated", 0.0125, 53.0)
    assert case.temperature == pytest.approx(321.15)
    assert case.suction_pressure == pytest.approx(4.9e5)
    assert enquiry.liquid is not None
    assert enquiry.liquid.specification().components == ("n-Butane",)
    assert len(found.read) == len(LINES)


def test_the_order_of_lines_does_not_count() -> None:
    one = loads_document(enquiry_of_text("\n".join(LINES)).content, Enquiry)
    assert loads_document(enquiry_of_text("\n".join(reversed(LINES))).content, Enquiry) == one


@pytest.mark.parametrize("cells", list(permutations(("Capacity", 45, "m3/h"))), ids=str)
def test_the_order_of_columns_does_not_count(cells: tuple[object, ...]) -> None:
    found = enquiry_of_sheet(sheet((None, *cells)))
    assert [(row.field, row.value, row.place) for row in found.read] == [("flow", "45 m3/h", "Data, row 1")]


@pytest.mark.parametrize("label", ["Flow", "FLOW RATE", "capacity:", "Flow (m3/h)", "flow [m3/h]", "Q"])
def test_words_for_the_same(label: str) -> None:
    unit = () if "m3/h" in label else ("m3/h",)
    found = enquiry_of_sheet(sheet((label, 45.5, *unit)))
    assert [(row.field, row.value) for row in found.read] == [("flow", "45.5 m3/h")]


def test_every_row_that_is_not_read_is_told_with_the_reason() -> None:
    found = enquiry_of_sheet(sheet(
        ("Pump data",), ("Flow", 45), ("Head", "high"), ("Temperature", 48, "degC", "summer"),
        ("Temperature", 50, "degC"), ("Suction pressure", 4.9, "bar"), ("Colour", "blue"), ("Frequency", "55 Hz"),
        ("Liquid", "no such liquid xyz"), ("Speed",), others=("Notes",)))
    told = reasons(found)
    assert told["Pump data"] == told["Colour | blue"] == "no label known here"
    assert told["Flow | 45"] == 'flow = "45" has no unit; write a volume flow like "45 m3/h"'
    assert told["Head | high"] == 'head = "high" has no number'
    assert told["summer"] == "besides temperature = 48 degC"
    assert told["Temperature | 50 | degC"] == "temperature is given twice; the first one counts"
    assert told["Suction pressure | 4.9 | bar"].startswith('suction_pressure = "4.9 bar" is absolute or gauge?')
    assert told["Frequency | 55 Hz"] == 'site.frequency = "55 Hz" is not 50 or 60 Hz'
    assert told["Liquid | no such liquid xyz"].startswith('liquid = "no such liquid xyz" is not')
    assert told["Speed"] == "speed has no value"
    assert told["Notes"] == "only the first sheet is read"
    assert [row.field for row in found.read] == ["temperature"]
    assert found.problems


def test_kinds_of_cases_become_cases_and_what_is_taken_over_is_told() -> None:
    found = enquiry_of_text("\n".join((*LINES, "Minimum flow: 20 m3/h", "Max. temperature: 56 degC")))
    enquiry = loads_document(found.content, Enquiry)
    assert [(case.name, case.role, round(case.flow * 3600, 6), case.head) for case in enquiry.cases] == [
        ("rated", "rated", 45, 53), ("minimum flow", "minimum flow", 20, None),
        ("maximum temperature", "other", 45, 53)]
    assert found.assumed == (
        "minimum flow: temperature = 48 °C, from the rows without a kind of case",
        "minimum flow: suction_pressure = 4.9 bar a, from the rows without a kind of case",
        "maximum temperature: flow = 45 m3/h, from the rows without a kind of case",
        "maximum temperature: head = 53 m, from the rows without a kind of case",
        "maximum temperature: suction_pressure = 4.9 bar a, from the rows without a kind of case")


def test_the_site_is_read() -> None:
    found = enquiry_of_text("\n".join((*LINES, "Altitude: 300 m", "Frequency: 60 Hz", "Temperature class: T3")))
    site = loads_document(found.content, Enquiry).site
    assert (site.altitude, site.frequency, site.temperature_class) == (300.0, 60, "T3")


def test_what_is_missing_is_told_and_the_text_is_kept() -> None:
    found = enquiry_of_text("Flow: 45 m3/h")
    assert 'flow = "45 m3/h"' in found.content
    assert {problem.field for problem in found.problems} >= {"title", 'cases["rated"].temperature'}


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 nonsense", sheet(("Flow", 1))[:200]])
def test_what_is_no_workbook_is_told(content: bytes) -> None:
    with pytest.raises(FileProblems, match="is not an Excel workbook that can be read"):
        enquiry_of_sheet(content)


def test_nothing_gives_nothing() -> None:
    assert enquiry_of_text("").read == ()
    assert enquiry_of_sheet(sheet()).problems
