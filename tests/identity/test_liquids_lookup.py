"""Identities of the liquid tables: thermodynamics, inverses, ends, and that nothing asked of them breaks them."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.liquids import lookup
from wetpath.liquids.specification import GivenProperties, LiquidSpecification, load_liquid

SUBSTANCES = ["water", "propane", "n-butane", "ammonia", "methanol", "toluene"]
KINDS = [*(("reference equation", name) for name in SUBSTANCES), ("chemical database", "dichloromethane"),
         ("chemical database", "acetone"), ("solution", "ethylene glycol"), ("solution", "methanol")]


@cache
def liquids(kind, *components):
    fractions = (0.4,) if kind == "solution" else ()
    return load_liquid(LiquidSpecification(kind, components, fractions), cache=False)


def grid(liquid, count=37):
    low, high = liquid.temperature_range
    temperatures = np.linspace(low + 0.013, high - 0.017, count)[:, None]
    base = np.nan_to_num(liquid.vapour_pressure(temperatures), nan=1e5)
    return temperatures, base + liquid.highest_excess_pressure * np.array([0.02, 0.13, 0.47, 0.9])


@pytest.mark.parametrize("name", SUBSTANCES)
def test_clausius_clapeyron(name):
    # dp/dT = h_fg / (T (v_g - v_l)): exact for the source; the slope of a spline has an error of some 1e-5
    liquid = liquids("reference equation", name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low + 1.0, high - 1.0, 41)
    saturated = liquid.saturation_state(temperatures)
    boiling = liquid.state(temperatures, liquid.vapour_pressure(temperatures))
    volume = 1 / saturated.vapour_density - 1 / boiling.density
    expected = saturated.latent_heat / (temperatures * volume)
    np.testing.assert_allclose(liquid.vapour_pressure_slope(temperatures), expected, rtol=2e-4)


@pytest.mark.parametrize(("kind", "name"), KINDS)
def test_heat_capacity_is_the_slope_of_enthalpy_at_constant_pressure(kind, name):
    # both are splines good to 1e-4; the slope of one is good to a few times that
    liquid = liquids(kind, name)
    temperatures, pressures = grid(liquid)
    half = 0.01
    above, below = liquid.state(temperatures + half, pressures), liquid.state(temperatures - half, pressures)
    slope = (above.enthalpy - below.enthalpy) / (2 * half)
    np.testing.assert_allclose(slope, liquid.state(temperatures, pressures).heat_capacity, rtol=1e-3)


@pytest.mark.parametrize("name", ["water", "propane", "toluene"])
def test_isothermal_enthalpy_follows_from_the_volume(name):
    # (dh/dp)_T = v - T (dv/dT)_p
    liquid = liquids("reference equation", name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low + 5.0, low + 0.8 * (high - low), 25)
    pressures = liquid.vapour_pressure(temperatures) + 2e6
    lower, upper = liquid.state(temperatures, pressures - 2e5), liquid.state(temperatures, pressures + 2e5)
    warm, cold = liquid.state(temperatures + 0.5, pressures), liquid.state(temperatures - 0.5, pressures)
    volume = 1 / liquid.state(temperatures, pressures).density
    expected = volume - temperatures * (1 / warm.density - 1 / cold.density)
    np.testing.assert_allclose((upper.enthalpy - lower.enthalpy) / 4e5, expected, atol=1e-2 * volume.max())


@pytest.mark.parametrize(("kind", "name"), KINDS[:-1])
def test_vapour_pressure_rises_everywhere(kind, name):
    liquid = liquids(kind, name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(max(low - 60.0, 5.0), high + 100.0, 20001)
    assert (np.diff(np.log(liquid.vapour_pressure(temperatures))) > 0.0).all()
    assert (liquid.vapour_pressure_slope(temperatures) > 0.0).all()


@pytest.mark.parametrize(("kind", "name"), KINDS[:-1])
def test_saturation_temperature_is_the_inverse(kind, name):
    liquid = liquids(kind, name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low - 10.0, high + 30.0, 1501)
    there = liquid.vapour_pressure(temperatures) > 10 * lookup.LOWEST_PRESSURE
    back = liquid.saturation_temperature(liquid.vapour_pressure(temperatures[there]))
    np.testing.assert_allclose(back, temperatures[there], rtol=1e-10)


@pytest.mark.parametrize("guess", [-1e3, 0.0, 250.0, 300.0, 1e9, np.nan])
def test_saturation_temperature_does_not_depend_on_the_guess(guess):
    arrays = liquids("reference equation", "water").arrays
    assert lookup.saturation_temperature(arrays, 1e5, guess) == pytest.approx(372.756, abs=2e-3)


@pytest.mark.parametrize("pressure", [0.0, -1e5, 1e-9, lookup.LOWEST_PRESSURE])
def test_lowest_pressure_has_a_temperature(pressure):
    liquid = liquids("reference equation", "water")
    found = liquid.saturation_temperature(pressure)
    assert 50.0 < found < 200.0
    assert liquid.vapour_pressure(found) == pytest.approx(lookup.LOWEST_PRESSURE)


def test_below_the_saturation_line_it_stays_the_saturated_liquid():
    liquid = liquids("reference equation", "propane")
    boiling = liquid.vapour_pressure(300.0)
    saturated = liquid.state(300.0, boiling)
    for pressure in (0.999 * boiling, 1.0, -1e6):
        np.testing.assert_allclose(liquid.state(300.0, pressure), saturated, rtol=1e-12)


def test_outside_the_table_properties_stay_and_enthalpy_goes_on():
    liquid = liquids("reference equation", "water")
    low, high = liquid.temperature_range
    for end, beyond in ((low, low - 30.0), (high, high + 30.0)):
        at, away = liquid.state(end, 9e6), liquid.state(beyond, 9e6)
        assert away.density == at.density
        assert away.viscosity == at.viscosity
        assert away.enthalpy - at.enthalpy == pytest.approx(float(at.heat_capacity) * (beyond - end))


def test_nothing_jumps_at_the_ends_of_the_table():
    liquid = liquids("reference equation", "water")
    for end in liquid.temperature_range:
        for values in liquid.state([end - 1e-7, end + 1e-7], 2e7):
            assert values[1] == pytest.approx(values[0], rel=1e-6, abs=1e-3)
        left, right = liquid.vapour_pressure([end - 1e-7, end + 1e-7])
        assert right == pytest.approx(left, rel=1e-6)
        left, right = liquid.vapour_pressure_slope([end - 1e-7, end + 1e-7])
        assert right == pytest.approx(left, rel=1e-5)


@settings(max_examples=300, deadline=None)
@given(name=st.sampled_from(KINDS), temperature=st.floats(-1e4, 1e5), pressure=st.floats(-1e9, 1e10))
def test_any_temperature_and_pressure_gives_finite_liquid(name, temperature, pressure):
    liquid = liquids(*name)
    state = liquid.state(temperature, pressure)
    assert np.isfinite(state).all()
    assert state.density > 0.0
    assert state.heat_capacity > 0.0
    assert state.viscosity > 0.0
    assert state.conductivity > 0.0
    if liquid.has_vapour_pressure:
        assert liquid.vapour_pressure(min(temperature, 2e3)) >= 0.0
        assert np.isfinite(liquid.saturation_temperature(pressure))


def test_not_a_number_stays_not_a_number():
    liquid = liquids("reference equation", "water")
    assert np.isnan(liquid.state(np.nan, 1e5)).all()
    assert np.isnan(liquid.state(300.0, np.nan)).all()
    assert np.isnan(liquid.vapour_pressure(np.nan))
    assert np.isnan(liquid.saturation_temperature(np.nan))


def test_unknown_vapour_pressure_is_not_a_number_and_the_rest_is_known():
    liquid = liquids("solution", "methanol")
    assert not liquid.has_vapour_pressure
    assert np.isnan(liquid.vapour_pressure(290.0))
    assert np.isnan(liquid.saturation_temperature(1e5))
    assert np.isnan(liquid.saturation_state(290.0)).all()
    assert np.isfinite(liquid.state(290.0, 1e5)).all()


def test_plain_python_gives_what_compiled_code_gives():
    liquid = liquids("reference equation", "ammonia")
    for temperature, pressure in ((100.0, 1e6), (200.0, 1e5), (293.15, 2e6), (389.0, 2e7), (500.0, 1e7)):
        np.testing.assert_allclose(lookup.liquid_state(liquid.arrays, temperature, pressure),
                                   liquid.state(temperature, pressure), rtol=1e-12)
        assert lookup.vapour_pressure(liquid.arrays, temperature) == pytest.approx(
            float(liquid.vapour_pressure(temperature)), rel=1e-12)


def test_shapes_broadcast():
    liquid = liquids("reference equation", "water")
    assert liquid.state(np.full((3, 1), 300.0), np.array([1e5, 2e5])).density.shape == (3, 2)
    assert liquid.vapour_pressure(np.full((2, 2), 300.0)).shape == (2, 2)
    assert liquid.state(300.0, 1e5).density.shape == ()


def test_limits_crossed_are_named():
    liquid = liquids("reference equation", "water")
    assert liquid.outside([300.0, 400.0], 1e6) == ()
    below, above, high = liquid.outside([200.0, 300.0, 700.0], 5e7)
    assert "200.00 K is below the 273.17 K" in below
    assert "700.00 K is above the 621.21 K" in above
    assert "50000000 Pa is more than 10000000 Pa above the vapour pressure" in high


TEMPERATURES = (280.0, 300.0, 320.0, 340.0, 360.0)
GIVEN = GivenProperties(temperature=TEMPERATURES, vapour_pressure=(900.0, 3300.0, 9900.0, 25500.0, 58000.0),
                        density=(900.0, 885.0, 869.0, 852.0, 834.0),
                        heat_capacity=(1900.0, 1950.0, 2000.0, 2055.0, 2110.0),
                        viscosity=(8e-4, 6e-4, 4.7e-4, 3.8e-4, 3.2e-4),
                        conductivity=(0.14, 0.136, 0.132, 0.128, 0.124),
                        compressibility=9e-10, molar_mass=0.09)


def test_a_given_table_meets_its_points():
    liquid = load_liquid(LiquidSpecification("table", name="solvent", given=GIVEN), cache=False)
    boiling = liquid.vapour_pressure(TEMPERATURES)
    np.testing.assert_allclose(boiling, GIVEN.vapour_pressure, rtol=1e-5)
    state = liquid.state(TEMPERATURES, boiling)
    for name in ("density", "heat_capacity", "viscosity", "conductivity"):
        np.testing.assert_allclose(getattr(state, name), getattr(GIVEN, name), rtol=1e-4, err_msg=name)
    pressed = liquid.state(TEMPERATURES, boiling + 5e6)
    np.testing.assert_allclose(pressed.density / state.density, 1 + 9e-10 * 5e6, rtol=1e-5)
    assert liquid.warnings == ()


def test_kinematic_viscosity_is_made_dynamic():
    kinematic = tuple(mu / rho for mu, rho in zip(GIVEN.viscosity, GIVEN.density, strict=True))
    table = GivenProperties(**{**vars(GIVEN), "viscosity": (), "kinematic_viscosity": kinematic})
    liquid = load_liquid(LiquidSpecification("table", name="solvent", given=table), cache=False)
    np.testing.assert_allclose(liquid.state(TEMPERATURES, 1e5).viscosity, GIVEN.viscosity, rtol=1e-4)


def test_given_properties_replace_those_of_the_chemical_database():
    table = GivenProperties(temperature=TEMPERATURES, density=GIVEN.density, viscosity=GIVEN.viscosity, origin="ours")
    liquid = load_liquid(LiquidSpecification("chemical database", ("acetone",), given=table), cache=False)
    state = liquid.state(TEMPERATURES, liquid.vapour_pressure(TEMPERATURES))
    np.testing.assert_allclose(state.density, GIVEN.density, rtol=1e-4)
    np.testing.assert_allclose(state.viscosity, GIVEN.viscosity, rtol=1e-3)
    assert liquid.temperature_range == (TEMPERATURES[0], TEMPERATURES[-1])
    assert liquid.origins["density"].text == liquid.origins["viscosity"].text == "ours"
    acetone = liquids("chemical database", "acetone")
    np.testing.assert_allclose(liquid.vapour_pressure(300.0), acetone.vapour_pressure(300.0), rtol=1e-5)


def test_given_viscosity_fills_in_what_the_reference_equation_lacks():
    table = GivenProperties(temperature=TEMPERATURES, viscosity=GIVEN.viscosity, conductivity=GIVEN.conductivity)
    liquid = load_liquid(LiquidSpecification("reference equation", ("acetone",), given=table), cache=False)
    np.testing.assert_allclose(liquid.state(TEMPERATURES, 5e5).viscosity, GIVEN.viscosity, rtol=1e-4)
    np.testing.assert_allclose(liquid.state(TEMPERATURES, 5e5).conductivity, GIVEN.conductivity, rtol=5e-4)
    # acetone boils at 56.1 degC
    assert liquid.saturation_temperature(101325.0) == pytest.approx(329.2, abs=0.2)


def test_given_vapour_pressure_makes_margins_of_a_volatile_solution_known():
    table = GivenProperties(temperature=(275.0, 285.0, 295.0, 305.0), vapour_pressure=(1.4e3, 2.7e3, 4.9e3, 8.5e3))
    liquid = load_liquid(LiquidSpecification("solution", ("ethanol",), (0.3,), given=table), cache=False)
    np.testing.assert_allclose(liquid.vapour_pressure([275.0, 285.0, 295.0, 305.0]), table.vapour_pressure, rtol=1e-5)


@pytest.mark.parametrize("share", [1e-6, 1 - 1e-6])
def test_bubble_pressure_of_a_nearly_pure_mixture_is_that_of_the_substance(share):
    mixed = load_liquid(LiquidSpecification("mixture", ("n-pentane", "n-hexane"), (share, 1 - share), "mole"),
                        cache=False)
    pure = liquids("chemical database", "n-pentane" if share > 0.5 else "n-hexane")
    # a millionth of the other changes the bubble pressure by some millionths; the tables are good to 1e-5
    np.testing.assert_allclose(mixed.vapour_pressure([280.0, 320.0, 360.0]),
                               pure.vapour_pressure([280.0, 320.0, 360.0]),
                               rtol=2e-5)
    np.testing.assert_allclose(mixed.state(320.0, 1e6).density, pure.state(320.0, 1e6).density, rtol=1e-5)


@settings(max_examples=15, deadline=None)
@given(share=st.floats(0.02, 0.98))
def test_bubble_pressure_lies_between_those_of_like_components(share):
    mixed = load_liquid(LiquidSpecification("mixture", ("n-pentane", "n-hexane"), (share, 1 - share), "mole"),
                        cache=False)
    temperatures = np.array([260.0, 300.0, 340.0])
    assert (mixed.vapour_pressure(temperatures) < liquids("chemical database", "n-pentane").vapour_pressure(
        temperatures)).all()
    assert (mixed.vapour_pressure(temperatures) > liquids("chemical database", "n-hexane").vapour_pressure(
        temperatures)).all()


def test_dissolved_salt_keeps_the_vapour_pressure_of_water_as_its_bound():
    brine = load_liquid(LiquidSpecification("solution", ("sodium chloride",), (0.2,)), cache=False)
    water = liquids("reference equation", "water")
    np.testing.assert_allclose(brine.vapour_pressure(300.0), water.vapour_pressure(300.0), rtol=1e-5)
    assert any("on the safe side" in text for text in brine.warnings)
