"""The stopped pump and the pump shut in: bounds, balances, and the check where it restarts hot."""

import pytest
from demo_enquiries import CASE, check_of, enquiry, pump, rated

from wetpath.circulation import solve
from wetpath.machine.shut_in_volume import liquid_volume, metal_mass, rear_liquid_volume

RESTART = "[protection]\nrestarts_hot = true\n"


def test_settled_lies_between_the_bodies_and_the_soak_is_no_colder_than_the_liquid_pumped():
    rating = rated()
    state, scalars = rating.situation.standstill, rating.situation.scalars
    bodies = scalars[:, [solve.MEAN_WALL, solve.INNER_RING, solve.MEAN_LIQUID]]
    assert (state.settled > bodies.min(axis=1)).all()
    assert (state.settled < bodies.max(axis=1)).all()
    assert (state.soaked >= rating.inputs.temperature).all()
    assert (state.soaked >= state.settled).all()
    assert (state.magnets >= scalars[:, solve.INNER_RING]).all()


def test_a_cooled_rear_soaks_up_to_the_casing():
    """The flush keeps the rear at 20 degC; after a stop it may warm to the liquid in the casing."""
    warm = rated(pump("medium_flush"), enquiry(cases=CASE))
    state = warm.situation.standstill
    assert state.settled[0] < warm.inputs.temperature[0] - 10
    assert state.soaked == pytest.approx(warm.inputs.temperature)


def test_restart_is_checked_where_it_is_asked():
    cold = CASE.replace("60 degC", "30 degC").replace("2 bar a", "30 bar a")
    near = cold.replace('suction_pressure = "30 bar a"', 'above_vapour_pressure = "0.2 bar"')
    for cases, holds in ((cold, True), (near, False)):
        again = rated(asked=enquiry(cases=cases, more=RESTART, substance="propane"), substance="propane")
        once = rated(asked=enquiry(cases=cases, substance="propane"), substance="propane")
        assert check_of(again, "boiling_after_stop").holds.all() == holds
        assert check_of(once, "boiling_after_stop") is None
        assert any("after a stop the liquid" in one for one in once.warnings) != holds


def test_magnets_that_may_soak_too_hot_are_pointed_out():
    limit = pump("medium").inner_magnet.highest_temperature
    ndfeb = pump("medium", ('magnets = "Sm2Co17"\npoles', 'magnets = "NdFeB-950"\npoles'))
    assert ndfeb.inner_magnet.highest_temperature < limit
    hot = enquiry(cases=CASE.replace("60 degC", "95 degC"))
    assert any("inner magnets may soak" in one for one in rated(ndfeb, hot).warnings)
    assert not any("inner magnets may soak" in one for one in rated(asked=hot).warnings)


def test_heating_rate_is_power_over_all_that_warms():
    rating = rated()
    state, point = rating.situation.standstill, rating.inputs
    capacity = rating.liquid.state(point.temperature, point.pressure).heat_capacity
    warmed = state.liquid_mass * capacity + state.metal_mass * 480.0
    assert state.heating_rate * warmed == pytest.approx(state.shut_in_power, rel=2e-3)   # pressure moves cp a little
    losses = rating.losses
    assert (state.shut_in_power < rating.situation.driver.shut_off_power).all()
    assert (state.shut_in_power > losses.circulation_heat).all()


def test_a_full_casing_reaches_its_pressure_long_before_it_boils():
    state = rated().situation.standstill
    assert (state.time_to_relief > 0).all()
    assert (state.time_to_relief < 0.1 * state.time_to_boiling).all()
    line = 'rating_temperature = "120 degC"'
    relieved = pump("medium", (line, f'{line}\nrelief_pressure = "5 bar g"'))
    earlier = rated(relieved).situation.standstill
    assert earlier.time_to_relief == pytest.approx(0.0)          # shut-off head alone is above it
    assert (earlier.time_to_boiling < state.time_to_boiling).all()


def test_more_metal_and_liquid_heat_more_slowly():
    line = 'rating_temperature = "120 degC"'
    given = pump("medium", (line, f'{line}\nliquid_volume = "6 L"\nmetal_mass = "40 kg"'))
    assert liquid_volume(given) == pytest.approx(6e-3)
    assert metal_mass(given) == 40.0
    assert rated(given).situation.standstill.heating_rate < 0.6 * rated().situation.standstill.heating_rate


@pytest.mark.common_practice
def test_estimated_volume_is_that_of_pumps_of_its_size():
    """A pump of 80 and 50 mm flanges and a 210 mm impeller holds some 3 to 6 L."""
    assert 2.5e-3 < liquid_volume(pump()) < 6e-3
    assert 0.01 < rear_liquid_volume(pump()) / liquid_volume(pump()) < 0.1
    assert liquid_volume(pump("small")) < liquid_volume(pump()) < liquid_volume(pump("large"))
