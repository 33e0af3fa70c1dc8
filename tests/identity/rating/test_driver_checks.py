"""The motor checks: limits from the practice, the whole curve, site, supply, inverter and the works test."""

import numpy as np
import pytest
from demo_enquiries import CASE, check_of, enquiry, liquid, pump, rated

from wetpath.edge.practice import PracticeFile
from wetpath.edge.tables import motor_ratings
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.rating.pump_model import Inputs, PumpModel

INVERTER = ('poles = 2\nspeed = "2950 rpm"', 'poles = 2\nspeed = "2950 rpm"\n'
            'inverter = { lowest_speed = "1500 rpm", highest_speed = "2950 rpm" }')


def warned(rating, text):
    return any(text in one for one in rating.warnings)


def test_power_of_the_wet_end_has_no_pole_and_agrees_with_efficiency():
    speed = pump().driver.speed
    solved = PumpModel(pump(), liquid()).solve(Inputs.of([0.005, 0.0125, 0.018], 333.15, 2e5, speed, 313.0))
    point = solved.point
    from_efficiency = STANDARD_GRAVITY * point.flow * point.head / point.efficiency
    assert point.power_over_density == pytest.approx(from_efficiency, rel=1e-12)
    still = PumpModel(pump(), liquid()).point(Inputs.of(0.0, 333.15, 2e5, speed, 313.0))
    assert 0.3 < still.power_over_density[0] / point.power_over_density[1] < 0.8


def test_highest_power_is_what_a_full_rating_at_that_flow_gives():
    """The losses of the coupling are held along the curve; solved anew they move the power by less than 1 %."""
    state = rated().situation.driver
    flow = float(state.highest_power_flow[0])
    again = rated(asked=enquiry(cases=CASE.replace("45 m3/h", f"{flow * 3600:.6f} m3/h")))
    assert again.losses.shaft[0] == pytest.approx(state.highest_power[0], rel=0.01)
    assert state.highest_power[0] > rated().losses.shaft[0]


def test_shut_off_power_given_in_the_pump_file_is_used():
    given = pump("medium", ('npsh = "1.3 1.3', 'shut_off_power = "6 kW"\nnpsh = "1.3 1.3'))
    rating = rated(given)
    losses = rating.losses
    others = losses.shaft - losses.hydraulic - losses.wet_end
    density = float(liquid().state(333.15, 2e5).density)
    trimmed = (given.impeller.diameter / given.impeller.tested.diameter) ** 3
    assert rating.situation.driver.shut_off_power - others == pytest.approx(6e3 * trimmed * density / 998.2, rel=1e-3)
    assert warned(rated(), "power at shut-off was not given")
    assert not warned(rating, "power at shut-off was not given")


def test_margin_comes_from_the_practice_and_is_asked_of_rated_cases_only():
    own = PracticeFile.model_validate({
        "wetpath": "practice/1", "name": "test", "limit": {"motor_margin_small": {"value": 1.9, "source": "ours"}}})
    usual, strict = (check_of(rated(practice=practice), "motor_margin") for practice in (None, own.practice()))
    assert usual.limit[0] == 1.25
    assert usual.holds[0]
    assert strict.limit[0] == 1.9
    assert not strict.holds[0]
    assert check_of(rated(asked=enquiry(cases=CASE.replace("rated", "other"))), "motor_margin") is None


@pytest.mark.parametrize("flow", ["20 m3/h", "45 m3/h", "60 m3/h"])
def test_recommended_motor_is_the_smallest_that_does(flow):
    rating = rated(asked=enquiry(cases=CASE.replace("45 m3/h", flow)))
    state, shaft = rating.situation.driver, rating.losses.shaft[0]
    series = [one.power for one in motor_ratings(2)]
    margins = {one: 1.25 if one < 22e3 else 1.15 if one <= 55e3 else 1.1 for one in series}
    does = [one for one in series if one >= margins[one] * shaft and one >= state.highest_power[0]]
    assert state.recommended == does[0]


def test_warm_air_and_altitude_take_power_away():
    mild, warm = rated(), rated(asked=enquiry(site='air_highest = "55 degC"'))
    high = rated(asked=enquiry(site='altitude = "2500 m"'))
    rating = mild.pump.driver.rated_power
    assert mild.situation.driver.available == pytest.approx(rating)
    # sqrt((1 - 15/80 - 1/4)/(3/4)) and, with a reference of 28 degC at 2500 m, sqrt((1 - 12/80 - 1/4)/(3/4))
    assert warm.situation.driver.available == pytest.approx(rating * np.sqrt(0.5625 / 0.75))
    assert high.situation.driver.available == pytest.approx(rating * np.sqrt(0.6 / 0.75))
    assert check_of(warm, "nameplate").limit == pytest.approx(rating * np.sqrt(0.75))
    assert warned(warm, "ambient temperature above that of the motor's rating")


def test_whole_curve_against_the_motor_but_not_where_the_flow_is_watched():
    small = pump("medium", ('rated_power = "18.5 kW"', 'rated_power = "15 kW"'))
    check = check_of(rated(small), "end_of_curve_power")
    assert not check.holds[0]
    assert check_of(rated(small), "nameplate").holds[0]
    assert "68" in check.where[0]
    assert "18.5\u2009kW would do" in check.remedy
    watched = enquiry(cases=CASE.replace('"rated"', '"cold start"'))
    assert check_of(rated(small, watched), "end_of_curve_power") is None


def test_pump_for_50_hertz_on_60():
    for frequency, holds in ((50, True), (60, False)):
        check = check_of(rated(asked=enquiry(site=f"frequency = {frequency}")), "supply_frequency")
        assert check.holds.all() == holds
        assert check.limit[0] == 0.08
    assert check.actual[0] == pytest.approx(1 - 2950 / 3600)
    assert check_of(rated(pump("medium", INVERTER), enquiry(site="frequency = 60")), "supply_frequency") is None


def test_inverter_range_and_power_at_low_speed():
    machine = pump("medium", INVERTER)
    cases = CASE + CASE.replace('"A"', '"B"').replace("45 m3/h", "20 m3/h") + 'speed = "1475 rpm"\n'
    rating = rated(machine, enquiry(cases=cases))
    assert check_of(rating, "inverter_lowest_speed").holds.tolist() == [True, False]
    assert check_of(rating, "inverter_highest_speed").holds.all()
    assert rating.situation.driver.available[1] == pytest.approx(machine.driver.rated_power / 8)   # fan on the shaft
    assert check_of(rated(), "inverter_lowest_speed") is None
    assert warned(rated(asked=enquiry(cases=cases)), "the pump file has no inverter")
    assert not warned(rating, "the pump file has no inverter")


def test_slowest_speed_of_the_circulation():
    boiling = CASE.replace('suction_pressure = "2 bar a"', 'above_vapour_pressure = "0.3 bar"')
    speeds = rated(pump("medium", INVERTER), enquiry(cases=CASE + boiling.replace('"A"', '"B"'))).situation.slow_running
    lowest = 1500 * np.pi / 30
    assert speeds[0] == pytest.approx(lowest)
    assert speeds[1] >= speeds[0]
    assert np.isnan(rated().situation.slow_running).all()


def test_works_test_on_water_is_foretold():
    """The estimate without a solve against the rating of the same flow with water."""
    propane = CASE.replace("60 degC", "20 degC").replace('"2 bar a"', '"10 bar a"').replace("45 m3/h", "56 m3/h")
    more = '[[other_liquids]]\nname = "water"\nliquid = { source = "reference equation", substance = "water" }\n'
    test = propane.replace('"A"', '"B"').replace('"rated"', '"works test"') + 'liquid = "water"\n'
    foretold = rated(pump("medium_light"), enquiry(cases=propane, substance="propane"), "propane")
    solved = rated(pump("medium_light"), enquiry(cases=propane + test, more=more, substance="propane"), "propane",
                   water=liquid())
    state = foretold.situation.driver
    assert state.water_power[0] == pytest.approx(solved.losses.shaft[1], rel=0.02)
    assert state.water_power[0] > 1.5 * foretold.losses.shaft[0]
    assert state.water_coupling_ratio[0] == pytest.approx(solved.losses.coupling_ratio[1], rel=0.03)
    assert warned(foretold, "a works test with water")
    assert not warned(solved, "a works test with water")
    assert np.isnan(solved.situation.driver.water_power[1])


def test_motor_efficiency_and_input():
    assert check_of(rated(), "motor_efficiency") is None
    for asked, holds in (("IE3", True), ("IE4", False), ("EU 2019/1781", True)):
        check = check_of(rated(asked=enquiry(site=f'motor_efficiency = "{asked}"')), "motor_efficiency")
        assert check.holds.all() == holds
    better = pump("medium", ('poles = 2\nspeed', 'efficiency_class = "IE4"\npoles = 2\nspeed'))
    assert check_of(rated(better, enquiry(site='motor_efficiency = "IE4"')), "motor_efficiency").holds.all()
    state, losses = rated().situation.driver, rated().losses
    assert (state.input_power > losses.shaft).all()
    assert (state.largest_input_power > state.input_power).all()
    six = pump("medium", ("poles = 2\nspeed", "poles = 6\nspeed"))
    assert np.isnan(rated(six).situation.driver.efficiency)
    assert warned(rated(six), "no efficiency is tabled here")
