"""The tables of ``--full`` and the checks by subject: what stands on the page is what the rating says."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import numpy as np
import pytest

import wetpath as wp
from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.full_tables import POINTER
from wetpath.faces.cli.paper import GLUE, Column, Paper
from wetpath.services.demo import enquiry_path

HEADINGS = ("Flow limits", "Flow limits one by one, in m³/h", "Suction", "Bearings and thrust",
            "Start of the coupling and loss of step", "Containment shell", "Motor", "Surfaces and temperature class",
            "Standing still and shut in")


@pytest.fixture
def propane(cli: Callable, monkeypatch: pytest.MonkeyPatch) -> tuple[str, wp.Rating]:
    monkeypatch.setenv("COLUMNS", "200")
    return cli("demo", "propane", "--full").out, wp.rate(enquiry_path("propane"))


def cells(page: str, heading: str, label: str, which: int = 0) -> list[str]:
    """Texts of the cases in the row of a table that begins with a label."""
    part = page.split(f"\n{heading}\n")[1].split("\n\n")[0]
    rows = [line for line in part.splitlines() if line.strip().startswith(label)]
    return re.split(r"  +", rows[which].strip())[1:]


def test_tables_stand_on_the_full_page_only(cli: Callable) -> None:
    short, full = (cli("demo", "butane_reflux", *more).out for more in ((), ("--full",)))
    for heading in HEADINGS:
        assert f"\n{heading}\n" in full
        if heading not in ("Suction", "Bearings and thrust", "Flow limits", "Motor"):     # subjects of checks too
            assert heading not in short
    told = " ".join(short.split())
    assert told.endswith(POINTER)
    assert POINTER not in " ".join(full.split())


def test_flow_limits(propane: tuple[str, wp.Rating]) -> None:
    page, rating = propane
    limits = rating.flow_limits
    assert cells(page, "Flow limits", "minimum continuous flow") == [f"{3600 * one:.1f}" for one in limits.minimum]
    assert cells(page, "Flow limits", "maximum flow") == [f"{3600 * one:.1f}" for one in limits.maximum]
    assert cells(page, "Flow limits", "set by", 1)[::3] == list(limits.maximum_by)[::3]
    inside = limits["internal circulation"]
    assert cells(page, HEADINGS[1], "internal circulation")[:2] == [
        f"from {3600 * inside.lowest[0]:.1f}", f"{3600 * inside.lowest[1]:.1f} to {3600 * inside.highest[1]:.1f}"]
    assert cells(page, HEADINGS[1], "axial thrust") == ["–"] * 4


def test_a_demand_that_holds_nowhere_is_told(cli: Callable) -> None:
    page = cli("demo", "butane_as_found", "--full").out
    assert cells(page, HEADINGS[1], "internal circulation") == ["at no flow"] * 3


def test_parts_of_the_machine(propane: tuple[str, wp.Rating]) -> None:
    page, rating = propane
    situation = rating.situation
    assert cells(page, "Suction", "lowest level") == [f"{one:.1f}" for one in situation.suction.lowest_level]
    assert cells(page, "Bearings and thrust", "front journal: load") == [
        f"{one:.0f}" for one in situation.bearings.load[:, 0]]
    assert cells(page, "Bearings and thrust", "axial thrust") == [f"{one:.0f}" for one in situation.thrust.new.total]
    assert cells(page, HEADINGS[4], "pull-out over torque at start") == [f"{one:.2f}" for one in situation.start.ratio]
    assert cells(page, HEADINGS[5], "pressure inside") == [f"{one / 1e5:.2f}" for one in situation.shell.inside]
    assert cells(page, "Motor", "most over the whole curve") == [
        f"{one / 1e3:.1f}" for one in situation.driver.highest_power]
    assert cells(page, HEADINGS[7], "dry running") == [
        f"{one - 273.15:.0f}" for one in situation.surfaces.malfunctions[0].temperature]
    assert cells(page, HEADINGS[7], "temperature class", 1) == ["above T1"] * 4
    assert cells(page, HEADINGS[8], "until it boils") == [
        f"{one:.0f}" for one in situation.standstill.time_to_boiling]


def test_films_beyond_the_table_stand_in_brackets(propane: tuple[str, wp.Rating]) -> None:
    page, rating = propane
    ratios = rating.situation.bearings.eccentricity_ratio[:, 0]
    told = cells(page, "Bearings and thrust", "least film")
    assert [text.startswith("(") for text in told] == list(ratios > 0.97)
    assert any(text.startswith("(") for text in told)
    assert "In brackets: beyond the film table, eccentricity ratio above 0.97" in page


def test_checks_stand_under_their_subjects(propane: tuple[str, wp.Rating]) -> None:
    page, rating = propane
    lines = page.split("\nChecks,")[1].split("\n▼")[0].splitlines()[2:]
    subjects = list(dict.fromkeys(check.subject.capitalize() for check in rating.checks))
    assert [line for line in lines if line in subjects] == subjects
    under, found = "", {}
    for line in lines:
        if line in subjects:
            under = line
        else:
            found[re.split(r"  +", line)[0]] = under
    assert found == {check.title: check.subject.capitalize() for check in rating.checks}


def test_ratios_of_torque_and_motor_are_plain_numbers(cli: Callable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    page = cli("demo", "water_test").out
    assert "1.22, 1.25 asked" in page.splitlines()[1]
    row = next(line for line in page.splitlines() if line.startswith("pull-out torque over running torque"))
    assert re.split(r"  +", row)[1:4] == ["1.22", "≥ 1.25", "−0.03"]
    film = next(line for line in page.splitlines() if line.startswith("film of the journal bearings"))
    assert re.split(r"  +", film)[2] == "≥ 3.00"


def test_a_number_stays_with_its_unit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    for before in range(40, 62):
        stream = io.StringIO()
        paper = Paper(stream)
        paper.say("x" * before + " 294.7\u2009°C")
        paper.table([Column("", wraps=True)], [["y" * before + " 294.7\u2009°C"]])
        assert stream.getvalue().count("294.7\u2009°C") == 2
        assert GLUE not in stream.getvalue()


def test_figures_of_lives_and_plain_numbers() -> None:
    figures = Figures.of(us=False)
    assert figures.text(1653295 * 3600.0, q.LIFE) == "1.65 million\u2009h"
    assert figures.column([1653295 * 3600.0, 20000 * 3600.0], q.LIFE) == ["1.65 million", "20000"]
    assert [figures.text(one, q.NUMBER) for one in (1.2234, 12.345, 185.4)] == ["1.22", "12.3", "185"]
    assert figures.row("margin", np.array([0.5, 12.25]), q.TEMPERATURE_DIFFERENCE, decimals=2) == (
        "margin, K", ["0.50", "12.25"])
