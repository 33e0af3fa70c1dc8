"""The data sheet says what the rating says, tells the basis of every cell, and leaves nothing out unsaid."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

import wetpath as wp
from wetpath.edge.practice import Practice, default_practice
from wetpath.edge.quantities import KINDS
from wetpath.edge.sources import all_sources
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.rating.sheet.cells import Cell, Line
from wetpath.services.demo import enquiry_path

GIVEN = {"enquiry", "pump-file", "liquid-data", "rating"}


@pytest.fixture(scope="module")
def rating():
    return wp.rate(enquiry_path("butane_reflux"))


@pytest.fixture(scope="module")
def sheet(rating):
    return data_sheet(in_grade(rating, "2B"))


def with_impeller(rating, fields):
    pump = rating.pump
    impeller = {**pump.impeller.model_dump(), **fields}
    return wp.rate(rating.enquiry, pump=pump.model_validate({**pump.model_dump(), "impeller": impeller}))


def in_grade(rating, grade):
    return replace(rating, enquiry=rating.enquiry.model_copy(update={"acceptance_grade": grade}))


def lines(sheet: DataSheet) -> Iterator[tuple[str, Line]]:
    for block in (*sheet.purchaser, *sheet.maker):
        yield from ((block.key, line) for line in block.lines)


def cells(sheet: DataSheet) -> Iterator[Cell]:
    for _, line in lines(sheet):
        yield from line.cells


@pytest.mark.parametrize("name", ["butane_reflux", "acrylic_ester_flushed", "hot_oil", "naphtha", "water_test"])
def test_every_cell_says_where_it_comes_from(name):
    made = data_sheet(wp.rate(enquiry_path(name)))
    for cell in cells(made):
        own_words = cell.basis == "practice" and cell.status == "given"     # of a company's own limit
        assert own_words or cell.source in GIVEN | set(all_sources()), cell
        assert cell.status
        assert cell.value is not None or cell.note, f"nothing, and no reason: {cell}"
        if cell.basis == "given":
            assert cell.source in GIVEN - {"rating"}
            assert cell.status == "given"
    assert DataSheet.model_validate_json(made.model_dump_json()) == made


def test_lines_are_whole(sheet):
    for block, line in lines(sheet):
        assert len(line.cells) == (len(sheet.cases) if line.by_case else 1), (block, line.key)
        if line.quantity:
            assert line.unit == KINDS[line.quantity].si.name
        keys = [one.key for one in sheet.block(block).lines]
        assert keys.count(line.key) == 1, (block, line.key)
    assert len({block.key for block in (*sheet.purchaser, *sheet.maker)}) == len(sheet.purchaser) + len(sheet.maker)
    assert {block.party for block in sheet.purchaser} == {"purchaser"}
    assert {block.party for block in sheet.maker} == {"maker"}


def test_the_sheet_repeats_the_rating(sheet, rating):
    def values(block, key):
        return [cell.value for cell in sheet.block(block)[key].cells]

    assert values("performance", "shaft_power") == pytest.approx(rating.losses.shaft)
    assert values("coupling", "pull_out_hot") == pytest.approx(rating.losses.pull_out)
    assert values("coupling", "pull_out_cold")[0] > max(values("coupling", "pull_out_hot"))
    assert values("flow_limits", "minimum") == pytest.approx(rating.flow_limits.minimum)
    assert values("cases", "suction_pressure") == pytest.approx(rating.inputs.pressure)
    assert [cell.basis for cell in sheet.block("cases")["suction_pressure"].cells] == [
        "given", "given", "computed", "given"]
    drive = np.array(values("coupling", "drive_losses"))
    parts = sum(np.array(values("coupling", key)) for key in ("eddy", "drag", "bearing_friction", "dry_side"))
    np.testing.assert_allclose(drive, parts, rtol=1e-9)


def test_curves_pass_through_the_cases(sheet, rating):
    for case, curve in enumerate(sheet.curves):
        flow = rating.inputs.flow[case]
        for ours, theirs in ((curve.head_m, rating.point.head), (curve.shaft_power_w, rating.losses.shaft)):
            row = [np.nan if value is None else value for value in ours]
            assert np.interp(flow, curve.flow_m3_per_s[1:], row[1:]) == pytest.approx(theirs[case], rel=4e-3)
        assert curve.shaft_power_w[0] is None
        assert curve.head_m[0] == rating.point.shut_off_head[case]


def test_profile_is_the_trace(sheet, rating):
    for profile in sheet.profiles:
        trace = rating.trace(profile.case)
        assert [one.name for one in profile.stations] == [one.name for one in trace]
        assert [one.pressure_pa for one in profile.stations] == [one.pressure for one in trace]
        assert [one.temperature_k for one in profile.stations] == [one.temperature for one in trace]


def test_every_failing_check_is_a_deviation(sheet, rating):
    assert tuple(one.check for one in sheet.deviations) == rating.verdict.failing
    assert sheet.deviations


def test_guarantee_is_of_the_rated_case_with_water_beside_it():
    rating = wp.rate(enquiry_path("acrylic_ester"))
    block = data_sheet(in_grade(rating, "1B")).block("guarantee")
    assert block["grade"].cells[0].value == "1B"
    assert block["case"].cells[0].value == "A rated"
    shaft, water = block["power"].cells[0].value, block["water_power"].cells[0].value
    assert water > shaft                    # the ester is lighter than water
    flow, head, efficiency = (block[key].cells[0].value for key in ("flow", "head", "water_efficiency"))
    assert efficiency * water == pytest.approx(998.2 * 9.80665 * flow * head, rel=1e-9)
    assert block["power_tolerance"].cells[0].value == 0.04


def test_what_is_not_said_is_an_open_point(rating, sheet):
    bare = data_sheet(rating)
    assert "grade" in {point.key for point in bare.open_points_of("purchaser")}
    assert "grade" not in {point.key for point in sheet.open_points}
    assert [one.demand.rpartition(", ")[2] for one in sheet.tests if one.key == "performance"] == ["grade 2B"]
    assert [one.demand.rpartition(", ")[2] for one in bare.tests if one.key == "performance"] == [
        "a grade to be agreed"]
    assert not [line for line in bare.block("guarantee").lines if line.key.endswith("tolerance")]
    pump = rating.pump
    impeller = {**pump.impeller.model_dump(), "lowest_flow": None, "highest_flow": None, "balance": "not stated",
                "balance_holes": None, "back_vanes": None}
    silent = pump.model_validate({**pump.model_dump(), "external_bearings": None, "impeller": impeller})
    keys = {point.key for point in data_sheet(wp.rate(rating.enquiry, pump=silent)).open_points_of("maker")}
    assert {"external_bearings", "lowest_flow", "highest_flow", "thrust"} <= keys
    said = {point.key for point in bare.open_points_of("maker")}
    assert not {"external_bearings", "lowest_flow", "highest_flow", "thrust"} & said


@pytest.mark.parametrize(("given", "asked"), [
    ({"lowest_flow": None, "highest_flow": None}, {"lowest_flow", "highest_flow"}),
    ({}, {"lowest_flow_reason", "highest_flow_reason"}),
    ({"lowest_flow_reason": "vibration"}, {"highest_flow_reason"}),
    ({"lowest_flow_reason": "vibration", "highest_flow_reason": "NPSH3"}, set())])
def test_a_flow_limit_is_asked_for_with_its_reason(rating, given, asked):
    made = data_sheet(with_impeller(rating, given))
    assert {point.key for point in made.open_points_of("maker") if "est_flow" in point.key} == asked
    told = {key: made.block("flow_limits")[f"{key}_reason"].cells[0] for key in ("lowest_flow", "highest_flow")}
    assert {key: cell.value for key, cell in told.items()} == {key: given.get(f"{key}_reason") for key in told}
    assert all(cell.value or cell.note == "not stated" for cell in told.values())


def test_the_medium_demo_frame_states_both_reasons():
    keys = {point.key for point in data_sheet(wp.rate(enquiry_path("hot_water"))).open_points_of("maker")}
    assert not {key for key in keys if "est_flow" in key}


def test_the_makers_reason_stands_beside_its_flow_limit(rating):
    told = with_impeller(rating, {"lowest_flow_reason": "vibration on the test bed"})
    meanings = {one.name: one.meaning for one in told.checks}
    assert meanings["lowest_flow"].endswith("carried to this speed; the maker's reason: vibration on the test bed")
    assert meanings["highest_flow"].endswith("carried to this speed")


def test_the_makers_reason_stands_where_its_flow_limit_governs(rating):
    told = with_impeller(rating, {"lowest_flow": 0.9 * rating.enquiry.cases[0].flow,
                                  "lowest_flow_reason": "vibration on the test bed"})
    least = next(one for one in told.checks if one.name == "minimum_continuous_flow")
    assert "suction flange, set by maker (vibration on the test bed)" in least.where


def test_the_by_pass_names_the_makers_reason(rating):
    told = with_impeller(rating, {"lowest_flow": 1.1 * rating.enquiry.cases[0].flow,
                                  "lowest_flow_reason": "vibration on the test bed"})
    assert any("set by maker (vibration on the test bed): a by-pass of" in warning for warning in told.warnings)


def test_vibration_and_corrosion_are_those_of_the_practice(sheet, rating):
    (vibration,) = [one for one in sheet.tests if one.key == "vibration"]
    assert vibration.demand.endswith("at most 3.0\u2009mm/s in the preferred region, 3.9\u2009mm/s at other flows "
                                     "allowed")
    parts = sheet.block("pressure_parts")
    assert parts["shell_corrosion"].cells[0].value == rating.pump.containment_shell.corrosion_allowance
    assert [parts[f"{part}_corrosion_asked"].cells[0].value for part in ("shell", "casing")] == pytest.approx(
        [0.4e-3, 3e-3])


def test_cases_and_liquids_that_are_missing_are_open_points():
    def asked(name):
        return {point.key for point in data_sheet(wp.rate(enquiry_path(name))).open_points_of("purchaser")}

    always = {"highest_suction_pressure", "harm"}
    assert asked("cold_water") >= always | {"minimum_flow", "other_liquids"}
    assert "minimum_flow" not in asked("hot_water")             # its case D
    assert "other_liquids" not in asked("dichloromethane")      # flushed with another liquid


@pytest.mark.common_practice
def test_trips_of_power_stand_between_the_powers_they_tell_apart(rating, sheet):
    """Low midway from no flow to least flow, of a rating at just that flow; high a tenth above the most of all."""
    def row(made, key):
        return [cell.value for cell in made.block("settings")[key].cells]

    none, least, low = (row(sheet, key) for key in ("power_at_no_flow", "power_at_minimum", "low_power"))
    cases = [case.model_copy(update={"flow": float(flow), "head": None, "role": "other"})
             for case, flow in zip(rating.enquiry.cases, rating.flow_limits.minimum, strict=True)]
    again = wp.rate(rating.enquiry.model_copy(update={"cases": tuple(cases)}), pump=rating.pump)
    assert least == pytest.approx(again.losses.shaft, rel=1e-6)
    assert low == pytest.approx((np.array(none) + least) / 2)
    assert row(sheet, "high_power") == pytest.approx([1.1 * rating.losses.shaft.max()])
    blunt = rating.practice["power_monitor_resolution"]
    own = Practice("with a blunt monitor", {**default_practice(), blunt.name: replace(blunt, value=0.2)})
    coarse = data_sheet(wp.rate(rating.enquiry, pump=rating.pump, practice=own))
    assert set(row(coarse, "low_power")) == {None}
    assert coarse.block("settings")["low_power"].cells[0].note.endswith("by a flow meter")
