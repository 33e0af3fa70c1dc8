"""Solids: size against practice, bearing and passage; shares by hardness and bearing material; magnetic ones."""

import pytest
from demo_enquiries import CASE, check_of, enquiry, pump, rated

from wetpath.edge.practice import default_practice
from wetpath.machine.smallest_passage import passages, smallest_passage, tightest_bearing


def solids(size="60 um", share="0.001 %", more=""):
    return enquiry(more=f'[solids]\nlargest_size = "{size}"\nshare = "{share}"\n{more}')


def test_without_solids_nothing_is_asked():
    assert not [one for one in rated().checks if one.name.startswith("solids")]


@pytest.mark.parametrize(("size", "practice", "bearing", "passage"), [
    ("60 um", True, True, True), ("90 um", True, False, True), ("200 um", False, False, True),
    ("300 um", False, False, False)])
def test_size(size, practice, bearing, passage):
    """Practice 150 um; bearing 2 x 40 um; the narrowest passage, 0.8 mm grooves, over 3: 267 um."""
    rating = rated(asked=solids(size))
    holds = [bool(check_of(rating, name).holds[0]) for name in ("solids_size", "solids_bearing_gap", "solids_passage")]
    assert holds == [practice, bearing, passage]
    assert check_of(rating, "solids_bearing_gap").limit[0] == pytest.approx(80e-6)
    assert check_of(rating, "solids_passage").limit[0] == pytest.approx(0.8e-3 / 3)


def test_narrowest_passage_is_named():
    machine = pump()
    assert tightest_bearing(machine) == ("front bearing", pytest.approx(80e-6))
    name, width = smallest_passage(machine)
    assert width == min(size for _, size in passages(machine)) == pytest.approx(0.8e-3)
    assert "grooves" in name
    found = dict(passages(machine))
    assert found["feed holes"] == pytest.approx(7.5e-3)
    assert found["gap between inner ring and shell"] == pytest.approx(1.1e-3)
    narrow = pump("medium", ('feed_diameter = "7.5 mm"', 'feed_diameter = "0.7 mm"'))
    assert smallest_passage(narrow) == ("feed holes", pytest.approx(0.7e-3))
    assert check_of(rated(narrow, solids()), "solids_passage").where == ("feed holes",)


@pytest.mark.common_practice
@pytest.mark.parametrize(("share", "more", "holds"), [
    ("0.5 %", "hardness = 3", True), ("1.5 %", "hardness = 3", False), ("0.5 %", "", False),
    ("0.005 %", "hardness = 7", True), ("0.02 %", "hardness = 7", False)])
def test_share_by_hardness(share, more, holds):
    assert check_of(rated(asked=solids(share=share, more=more)), "solids_share").holds[0] == holds


@pytest.mark.common_practice
def test_no_solids_for_carbon_bearings():
    thrust = 'name = "front"\ninner_diameter = "42 mm"'
    carbon = pump("medium", (thrust, f'{thrust}\nmaterial = "carbon"'))
    check = check_of(rated(carbon, solids(share="0.001 %", more="hardness = 2")), "solids_share")
    assert not check.holds[0]
    assert check.limit[0] == 0
    assert check.share[0] < 0
    assert check_of(rated(carbon, solids(share="0 %", more="hardness = 2")), "solids_share").holds[0]


@pytest.mark.common_practice
def test_no_magnetic_solids():
    check = check_of(rated(asked=solids(more="magnetic = true")), "solids_magnetic")
    assert not check.holds[0]
    assert "magnetic strainer" in check.remedy
    assert check_of(rated(asked=solids()), "solids_magnetic") is None


def test_a_flush_from_outside_keeps_solids_out_of_the_circulation():
    cold = CASE.replace("60 degC", "20 degC")
    asked = enquiry(cases=cold, more='[solids]\nlargest_size = "400 um"\nshare = "3 %"\n')
    flushed = rated(pump("medium_flush"), asked)
    assert not check_of(flushed, "solids_size").holds[0]      # the impeller still meets them
    assert all(check_of(flushed, name) is None for name in ("solids_bearing_gap", "solids_passage", "solids_share"))
    own = rated(asked=asked)
    assert not any(check_of(own, name).holds[0] for name in ("solids_bearing_gap", "solids_passage", "solids_share"))


def test_limits_are_those_of_the_practice():
    practice = default_practice()
    assert practice["solids_size"].value == pytest.approx(150e-6)
    assert practice["solids_share_hard"].value < practice["solids_share"].value
