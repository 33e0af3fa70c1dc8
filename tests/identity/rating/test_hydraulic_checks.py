"""Checks of operating regions, curve and suction: sense, limit from the practice, where they apply."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.edge.files import load_document
from wetpath.edge.practice import Practice, default_practice
from wetpath.liquids.specification import load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import rate
from wetpath.rating.suction_entries import GasEntry

ENQUIRIES = Path(wetpath.__file__).parent / "data" / "demo" / "enquiries"


@cache
def parts():
    enquiry = load_document(ENQUIRIES / "cold_water.toml", Enquiry)
    return load_document(ENQUIRIES / enquiry.pump_file, PumpFile), enquiry, load_liquid(enquiry.liquid.specification())


def checks(pump=None, **changes):
    own, enquiry, liquid = parts()
    rating = rate(pump or own, enquiry.model_copy(update=changes), liquid, full=False)
    return rating, {one.name: one for one in rating.checks}


def cases_as(role):
    return tuple(case.model_copy(update={"role": role}) for case in parts()[1].cases)


@pytest.mark.published("api-610", status="recalled")
@pytest.mark.parametrize(("name", "sense", "limit"), [
    ("rated_lowest", "at least", 0.8), ("rated_highest", "at most", 1.1)])
def test_the_rated_flow_has_a_narrower_band(name, sense, limit):
    rating, found = checks()
    one = found[name]
    assert one.sense == sense
    np.testing.assert_array_equal(one.limit, limit)
    np.testing.assert_array_equal(one.actual, rating.point.flow_share)
    np.testing.assert_array_equal(one.applies, [True, False, False, False])
    assert name not in checks(cases=cases_as("normal"))[1]


@pytest.mark.parametrize(("break_", "lowest", "highest"), [(1e9, 0.7, 1.2), (1.0, 0.8, 1.15)])
def test_the_preferred_region_narrows_with_specific_speed(break_, lowest, highest):
    pump, enquiry, liquid = parts()
    limits, name = default_practice(), "preferred_region_specific_speed_break"
    own = Practice("own", {**limits, name: replace(limits[name], value=break_)})
    found = {one.name: one for one in rate(pump, enquiry, liquid, own, full=False).checks}
    assert found["preferred_lowest"].limit[0] == pytest.approx(lowest)
    assert found["preferred_highest"].limit[0] == pytest.approx(highest)


def test_head_growth_is_that_of_rating_with_the_largest_impeller():
    pump, *_ = parts()
    rating, found = checks()
    largest = pump.model_copy(update={"impeller": pump.impeller.model_copy(
        update={"diameter": pump.impeller.largest_diameter})})
    other, _ = checks(largest)
    one = found["head_growth"]
    np.testing.assert_allclose(one.actual, other.point.head / rating.point.head - 1, rtol=1e-12)
    assert (one.sense, one.limit[0]) == ("at least", 0.05)
    np.testing.assert_array_equal(one.applies, [True, False, False, False])
    assert not checks(largest)[1]["head_growth"].holds[0]


def test_the_rise_to_shut_off_is_asked_of_pumps_in_parallel_only():
    assert "head_rise_to_shut_off" not in checks()[1]
    rating, found = checks(parallel=True)
    one = found["head_rise_to_shut_off"]
    np.testing.assert_allclose(one.actual, rating.point.shut_off_head / rating.point.head - 1)
    assert (one.sense, one.limit[0]) == ("at least", 0.1)
    np.testing.assert_array_equal(one.applies, [True, True, False, False])


@pytest.mark.common_practice
def test_suction_specific_speed_against_the_ceiling():
    """11 000 in US units is 213 in r/min, m3/s and m."""
    rating, found = checks()
    one = found["suction_specific_speed"]
    assert one.sense == "at most"
    assert one.limit[0] == pytest.approx(11000 / 51.64, rel=1e-3)
    np.testing.assert_array_equal(one.actual, rating.point.suction_specific_speed)
    pump, *_ = parts()
    tested = pump.impeller.tested.model_copy(update={"npsh": tuple(0.6 * one for one in pump.impeller.tested.npsh)})
    tested.__dict__.pop("curve", None)
    hungry = pump.model_copy(update={"impeller": pump.impeller.model_copy(update={"tested": tested})})
    assert not checks(hungry)[1]["suction_specific_speed"].holds.any()


def test_no_gas_no_gas_check():
    rating, found = checks()
    assert "gas_share" not in found
    assert np.isnan(rating.situation.suction.gas_share).all()


def test_more_bubbles_more_gas_and_the_worst_case_is_that_of_least_pressure():
    shares = []
    for bubbles in (0.005, 0.01, 0.03):
        rating, found = checks(gas=GasEntry(name="air", bubbles=bubbles))
        shares.append(rating.situation.suction.gas_share)
        np.testing.assert_allclose(shares[-1], bubbles, rtol=1e-9)
        assert found["gas_share"].holds.all() == (bubbles <= 0.02)
    assert (np.diff(shares, axis=0) > 0).all()


def test_warmer_stations_give_off_gas_that_the_suction_keeps():
    """Saturated at the flange, with a Henry constant that rises with temperature: only the warmed liquid degasses."""
    case = parts()[1].cases[0]
    steep = GasEntry(name="nitrogen", henry_constant=(6e9, 12e9), temperatures=(case.temperature, case.temperature + 1),
                     saturated_pressure=5e6, saturated_temperature=case.temperature)
    flat = GasEntry(name="nitrogen", henry_constant=(6e9,), saturated_pressure=case.suction_pressure)
    rating, _ = checks(gas=flat)
    assert rating.situation.suction.gas_share[0] == pytest.approx(0, abs=1e-9)
    rating, _ = checks(gas=steep)
    assert (rating.situation.suction.gas_share > 0.1).all()
    assert any("outside it is held at its end" in warning for warning in rating.warnings)
