"""``wetpath window``: page, record, table, drawing and exit codes."""

from __future__ import annotations

import csv
import json
import struct
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import numpy as np
import pytest

from wetpath.drawing.window_lines import bounding_lines
from wetpath.drawing.window_scale import round_values
from wetpath.questions.window.study import Window
from wetpath.services import schemas
from wetpath.services.demo import enquiry_path
from wetpath.services.window import record_of_window, window_of_files, write_table
from wetpath.services.window_record import WindowRecord

BUTANE = str(enquiry_path("butane_reflux"))
SMALL = ("--grid", "9x7")


@cache
def window() -> Window:
    return window_of_files(BUTANE, grid="9x7", case="D")


def test_page_answers_first_and_has_every_part(cli: Callable) -> None:
    ran = cli("window", BUTANE, *SMALL, "--case", "D")
    assert ran.code == 0
    assert ran.out.startswith("● Every check holds at ")
    for heading in ("Suction pressure needed", "Bounds in the order they are met", "What excludes",
                    "Warnings and limits crossed", "Cautions"):
        assert f"\n{heading}" in ran.out, heading
    assert "boils at the suction flange" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 100


def test_exit_code_is_one_when_the_case_lies_outside(cli: Callable) -> None:
    ran = cli("window", BUTANE, *SMALL, "--case", "B hot day")
    assert ran.code == 1
    assert ran.out.startswith("▼ The case lies outside; every check holds at ")
    assert "shell wall margin to boiling" in ran.out


def test_us_units_go_through_the_page(cli: Callable) -> None:
    ran = cli("window", BUTANE, *SMALL, "--units", "us", "--above-vapour-pressure", "9 psi")
    for told in ("gpm", "°F", "psi a", "9.0\u2009psi above the vapour pressure"):
        assert told in ran.out, told
    assert " bar" not in ran.out.split("Cautions")[0].replace("60 bar", "")


@pytest.mark.parametrize(("arguments", "words"), [
    (["--grid", "2x9"], '--grid = "2x9" is not two numbers from 3 to 400'),
    (["--grid", "many"], '--grid = "many" is not two numbers'),
    (["--flow", "5 70"], '--flow = "5 70" has no unit'),
    (["--flow", "70 5 m3/h"], '--flow = "70 5 m3/h" is not a range'),
    (["--flow", "5 6 7 m3/h"], "is not a range"),
    (["--temperature", "20 80 bar"], "--temperature"),
    (["--temperature", "-250 80 degC"], "reaches outside the property table of n-Butane"),
    (["--suction-pressure", "4.9 bar"], "--suction-pressure"),
    (["--suction-pressure", "4.9 bar a", "--above-vapour-pressure", "0.5 bar"], "give one of them"),
    (["--above-vapour-pressure", "-0.5 bar"], "--above-vapour-pressure"),
    (["--case", "Z"], '--case = "Z" is not a case of this enquiry'),
    (["--speed", "0 rpm"], "--speed"),
    (["--plot", "window.pdf"], '--plot = "window.pdf" does not end in .svg or .png'),
    (["--plot", "/no/such/folder/window.svg"], "cannot be written"),
    (["--csv", "/no/such/folder/window.csv"], "cannot be written")])
def test_bad_input_is_told_without_a_traceback(cli: Callable, arguments: list[str], words: str) -> None:
    ran = cli("window", BUTANE, *(arguments if "--grid" in arguments else [*SMALL, *arguments]))
    assert ran.code == 2
    assert words in ran.err
    assert "Traceback" not in ran.err


def test_record_is_valid_against_its_schema_and_reads_back(cli: Callable, tmp_path: Path) -> None:
    ran = cli("window", BUTANE, *SMALL, "--json")
    data = json.loads(ran.out)
    jsonschema.validate(data, json.loads(schemas.schema_text("window")))
    assert data["wetpath"] == "window/1"
    assert WindowRecord.model_validate_json(ran.out).model_dump_json(indent=2) + "\n" == ran.out
    chart = data["map"]
    assert np.shape(chart["holds"]) == (9, 7)
    assert len(chart["checks"]) > 20
    # the record says of itself why a point is excluded
    for flow, row in enumerate(chart["governing"]):
        for temperature, index in enumerate(row):
            share = chart["checks"][index]["share"][flow][temperature]
            assert chart["holds"][flow][temperature] == (share is not None and share >= 0)
    assert chart["share_that_holds"] == pytest.approx(np.mean(chart["holds"]))
    assert sum(one["excludes"] for one in chart["checks"]) == pytest.approx(1 - chart["share_that_holds"])


def test_table_has_a_line_for_every_point_with_units_in_its_heading(tmp_path: Path) -> None:
    target = tmp_path / "window.csv"
    write_table(window(), target)
    with target.open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    record = record_of_window(window())
    assert len(lines) == 63
    assert list(lines[0])[:4] == ["flow [m3/h]", "temperature [degC]", "suction pressure [bar a]",
                                  "vapour pressure [bar a]"]
    for number, line in enumerate(lines):
        flow, temperature = divmod(number, 7)
        assert float(line["flow [m3/h]"]) == pytest.approx(3600 * record.map.flow_m3_per_s[flow], rel=1e-5)
        assert float(line["temperature [degC]"]) == pytest.approx(record.map.temperature_k[temperature] - 273.15,
                                                                  abs=1e-3)
        assert (line["every check holds"] == "yes") == record.map.holds[flow][temperature]
        needed = record.required.by_wetted_path_pa[flow][temperature]
        assert needed is not None
        assert float(line["needed by the wetted path [bar a]"]) == pytest.approx(needed / 1e5, rel=1e-5)


@pytest.mark.parametrize("suction", [(), ("--above-vapour-pressure", "0.8 bar")])
def test_drawing_is_an_image_and_names_its_bounds(cli: Callable, tmp_path: Path, suction: tuple[str, ...]) -> None:
    picture, lines = tmp_path / "window.png", tmp_path / "window.svg"
    fine = ("--grid", "9x31")       # so that the wall is short at a point before the vapour line
    cli("window", BUTANE, *fine, *suction, "--plot", str(picture))
    head = picture.read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">2I", head[16:]) == (2080, 1088)
    cli("window", BUTANE, *fine, *suction, "--plot", str(lines))
    told = " ".join(ElementTree.parse(lines).getroot().itertext())
    for words in ("shell wall margin to boiling", "Where every check holds", "Suction pressure needed", "as in the map",
                  "wetted path, ", "NPSH with margin, "):
        assert words in told, words


def test_lines_that_bound_lie_between_points_that_hold_and_points_that_do_not() -> None:
    chart = window().map
    found = bounding_lines(chart, chart.flow, chart.temperature)
    assert [one.number for one in found] == list(range(1, len(found) + 1))
    assert "boils at the suction flange" in [one.title for one in found]
    steps = np.array([np.diff(chart.flow)[0], np.diff(chart.temperature)[0]])
    for one in found:
        for part in one.bounding:
            for flow, temperature in part:
                near = ((np.abs(chart.flow - flow) < 1.001 * steps[0])[:, None]
                        & (np.abs(chart.temperature - temperature) < 1.001 * steps[1])[None, :])
                assert (~chart.holds[near]).any()


@pytest.mark.parametrize(("low", "high", "most"), [(3.9, 68.0, 3), (-5.0, 76.0, 5), (0.013, 0.2, 4), (285.0, 352.0, 6)])
def test_round_values_are_few_even_and_inside(low: float, high: float, most: int) -> None:
    values = round_values(low, high, most)
    assert 1 < values.size <= most
    assert low <= values[0] <= values[-1] <= high
    assert all(b - a == pytest.approx(values[1] - values[0]) for a, b in pairwise(values))
