"""``wetpath accept``: exit codes, what stands on the page, the file it writes, what it refuses."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import wetpath as wp
from wetpath.services.demo import enquiry_path, pump_path

PUMP = str(pump_path("medium"))
GUARANTEE = ("--flow", "50 m3/h", "--head", "55 m")


@pytest.fixture
def points(cli: Callable, tmp_path: Path) -> Path:
    """A file of points as the bench should show them, with a bench's untidiness."""
    predicted = json.loads(cli("accept", PUMP, "--json").out)
    rows = ["# works test, invented", "", " Q [m3/h] ;Head (m);P kW;NPSH3 [m];remark"]
    for flow, head, power, npsh in zip(*(predicted[name] for name in ("flow_m3_per_s", "head_m", "power_w", "npsh_m")),
                                       strict=True):
        told = "-" if power is None else f"{power / 1e3:.3f}"
        rows.append(f"{flow * 3600:.2f};{head:.2f};{told};{npsh:.2f};".replace(".", ","))
    file = tmp_path / "points.csv"
    file.write_bytes("\r\n".join([*rows, ";;;;"]).encode("cp1252"))
    return file


def test_prediction_without_points(cli: Callable) -> None:
    ran = cli("accept", PUMP)
    assert ran.code == 0
    assert "on the test bench, predicted" in ran.out
    colder = json.loads(cli("accept", PUMP, "--json", "--temperature", "5 degC", "--speed", "2900 rpm").out)
    assert colder["wetpath"] == "bench/1"
    assert colder["water_temperature_k"] == 278.15
    assert colder["power_w"][0] is None
    assert colder["head_m"][0] == pytest.approx(
        (2900 / 2950) ** 2 * json.loads(cli("accept", PUMP, "--json").out)["head_m"][0])


def test_exit_code_and_page_of_an_accepted_pump(cli: Callable, points: Path) -> None:
    ran = cli("accept", PUMP, str(points), *GUARANTEE, "--grade", "1b")
    assert ran.code == 0, ran.err
    assert ran.out.splitlines()[0].endswith("Accepted in grade 1B")
    assert "recalled" in ran.out
    assert "passed over, not known here: column remark" in ran.out


def test_exit_code_of_one_that_is_not(cli: Callable, points: Path) -> None:
    ran = cli("accept", PUMP, str(points), "--flow", "50 m3/h", "--head", "62 m", "--grade", "1B")
    assert ran.code == 1
    assert ran.out.splitlines()[0].endswith("Not accepted in grade 1B")


def test_several_guarantee_points(cli: Callable, points: Path) -> None:
    two = (*GUARANTEE, "--flow", "30 m3/h", "--head", "62 m")
    record = json.loads(cli("accept", PUMP, str(points), *two, "--json").out)
    assert [one["accepted"] for one in record["judgements"]] == [True, True]
    assert [one["grade"] for one in record["all_grades"][1]] == ["1B", "1E", "1U", "2B", "2U", "3B"]
    ran = cli("accept", PUMP, str(points), *two, "--power", "14 kW")
    assert ran.code == 2
    assert ran.err.startswith("--power is given 1 times; allowed: 2 times, once for each guarantee point")


def test_update_writes_a_pump_file_once(cli: Callable, points: Path, tmp_path: Path) -> None:
    target = tmp_path / "tested.toml"
    ran = cli("accept", PUMP, str(points), *GUARANTEE, "--update", str(target))
    assert ran.code == 0
    assert "Updated pump file" in ran.out
    assert wp.load_pump(target).note.endswith("Curves refitted from the works test in points.csv.")
    again = cli("accept", PUMP, str(points), *GUARANTEE, "--update", str(target))
    assert again.code == 2
    assert "is there already and is not written over" in again.err


def test_the_grade_of_an_enquiry_counts(cli: Callable, points: Path, tmp_path: Path) -> None:
    text = enquiry_path("water_test").read_text(encoding="utf-8")
    agreed, silent = tmp_path / "agreed.toml", tmp_path / "silent.toml"
    agreed.write_text(text.replace("[site]", 'acceptance_grade = "1U"\n\n[site]', 1), encoding="utf-8")
    silent.write_text(text, encoding="utf-8")

    def first_line(*options: str) -> str:
        return cli("accept", PUMP, str(points), *GUARANTEE, *options).out.splitlines()[0]

    assert first_line("--enquiry", str(agreed)).endswith("in grade 1U")
    assert first_line("--enquiry", str(agreed), "--grade", "1u").endswith("in grade 1U")
    assert first_line("--enquiry", str(silent)).endswith("in grade 2B")
    assert first_line("--enquiry", str(silent), "--grade", "3B").endswith("in grade 3B")
    ran = cli("accept", PUMP, str(points), *GUARANTEE, "--enquiry", str(agreed), "--grade", "2B")
    assert ran.code == 2
    assert ran.err == ('--grade = "2B" is not the grade 1U of the enquiry\n'
                       "  do:  leave --grade out, or change acceptance_grade in the enquiry\n")


@pytest.mark.parametrize(("arguments", "words"), [
    ((), "--flow and head are given in pairs, one pair for each guarantee point"),
    (("--flow", "50 m3/h"), "--flow and head are given in pairs"),
    (("--flow", "50", "--head", "55 m"), '--flow = "50" has no unit'),
    ((*GUARANTEE, "--grade", "2C"), '--grade = "2C" is not a grade known here. Known: 1B, 1E, 1U, 2B, 2U, 3B.'),
    ((*GUARANTEE, "--efficiency", "57"), '--efficiency = "57" is too large; allowed: above 0'),
    (("--flow", "90 m3/h", "--head", "30 m"), "the guaranteed flow lies outside the measured flows"),
])
def test_bad_input(cli: Callable, points: Path, arguments: tuple[str, ...], words: str) -> None:
    ran = cli("accept", PUMP, str(points), *arguments)
    assert ran.code == 2
    assert words in ran.err


def test_a_guarantee_needs_points(cli: Callable) -> None:
    ran = cli("accept", PUMP, *GUARANTEE)
    assert ran.code == 2
    assert ran.err.startswith("POINTS are missing: a guarantee is judged, and curves are refitted, by measured points")
