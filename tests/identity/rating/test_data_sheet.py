"""The data sheet says what the rating says, tells the basis of every cell, and leaves nothing out unsaid."""

from collections.abc import Iterator

import numpy as np
import pytest

import wetpath as wp
from wetpath.edge.quantities import KINDS
from wetpath.edge.sources import all_sources
from wetpath.errors import UnknownName
from wetpath.rating.data_sheet import DataSheet, data_sheet
from wetpath.rating.sheet.cells import Cell, Line
from wetpath.services.demo import enquiry_path

GIVEN = {"enquiry", "pump-file", "liquid-data", "rating"}


@pytest.fixture(scope="module")
def rating():
    return wp.rate(enquiry_path("butane_reflux"))


@pytest.fixture(scope="module")
def sheet(rating):
    return data_sheet(rating, grade="2B")


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
    block = data_sheet(rating, grade="1B").block("guarantee")
    assert block["case"].cells[0].value == "A rated"
    shaft, water = block["power"].cells[0].value, block["water_power"].cells[0].value
    assert water > shaft                    # the ester is lighter than water
    flow, head, efficiency = (block[key].cells[0].value for key in ("flow", "head", "water_efficiency"))
    assert efficiency * water == pytest.approx(998.2 * 9.80665 * flow * head, rel=1e-9)
    assert block["power_tolerance"].cells[0].value == 0.04


def test_what_is_not_said_is_an_open_point(rating):
    bare = data_sheet(rating)
    assert "grade" in {point.key for point in bare.open_points_of("purchaser")}
    assert "grade" not in {point.key for point in data_sheet(rating, grade="2B").open_points}
    assert not [line for line in bare.block("guarantee").lines if line.key.endswith("tolerance")]
    pump = rating.pump
    impeller = {**pump.impeller.model_dump(), "lowest_flow": None, "highest_flow": None, "balance": "not stated",
                "balance_holes": None, "back_vanes": None}
    silent = pump.model_validate({**pump.model_dump(), "external_bearings": None, "impeller": impeller})
    keys = {point.key for point in data_sheet(wp.rate(rating.enquiry, pump=silent)).open_points_of("maker")}
    assert {"external_bearings", "lowest_flow", "highest_flow", "thrust"} <= keys
    said = {point.key for point in bare.open_points_of("maker")}
    assert not {"external_bearings", "lowest_flow", "highest_flow", "thrust"} & said


def test_unknown_grade_is_refused(rating):
    with pytest.raises(UnknownName, match="is not a grade known here"):
        data_sheet(rating, grade="4B")


def test_the_makers_reason_stands_beside_its_flow_limit(rating):
    impeller = {**rating.pump.impeller.model_dump(), "lowest_flow_reason": "vibration on the test bed"}
    told = wp.rate(rating.enquiry, pump=rating.pump.model_validate({**rating.pump.model_dump(), "impeller": impeller}))
    meanings = {one.name: one.meaning for one in told.checks}
    assert meanings["lowest_flow"].endswith("carried to this speed; the maker's reason: vibration on the test bed")
    assert meanings["highest_flow"].endswith("carried to this speed")


def test_the_makers_reason_stands_where_its_flow_limit_governs(rating):
    impeller = {**rating.pump.impeller.model_dump(), "lowest_flow": 0.9 * rating.enquiry.cases[0].flow,
                "lowest_flow_reason": "vibration on the test bed"}
    told = wp.rate(rating.enquiry, pump=rating.pump.model_validate({**rating.pump.model_dump(), "impeller": impeller}))
    least = next(one for one in told.checks if one.name == "minimum_continuous_flow")
    assert "suction flange, set by maker (vibration on the test bed)" in least.where
