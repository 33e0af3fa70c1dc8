"""Water against the printed verification values of IAPWS-IF97 and remembered points of the NIST WebBook.

The tables stand on the scientific formulation of 1995, not on IF97. The vapour pressure of both is uncertain
by 0.025 % (recalled), which is the tolerance here; 11 mK of boiling temperature at 1 MPa is the same. The
tables themselves are within 1e-5 of their source.
"""

from functools import cache

import numpy as np
import pytest

from wetpath.liquids.specification import LiquidSpecification, load_liquid

SATURATION = [(300.0, 3536.58941), (500.0, 2.63889776e6), (600.0, 12.3443146e6)]           # table 35: T, p
BOILING = [(0.1e6, 372.755919), (1e6, 453.035632), (10e6, 584.149488)]                      # table 36: p, T
REGION_1 = [(300.0, 3e6, 1.00215168e-3, 115.331273e3, 4.17301218e3),                        # table 5
            (500.0, 3e6, 1.20241800e-3, 975.542239e3, 4.65580682e3)]                        # T, p, v, h, cp


@cache
def liquids(kind, *components, **options):
    return load_liquid(LiquidSpecification(kind, components, **options), cache=False)


@pytest.mark.published("iapws-if97", status="recalled")
@pytest.mark.parametrize(("temperature", "pressure"), SATURATION)
def test_vapour_pressure(against, temperature, pressure):
    water = liquids("reference equation", "water")
    against("iapws-if97", "recalled", f"vapour pressure of water at {temperature:.0f} K",
            water.vapour_pressure(temperature), pressure, rel=2.5e-4, unit="Pa")


@pytest.mark.published("iapws-if97", status="recalled")
@pytest.mark.parametrize(("pressure", "temperature"), BOILING)
def test_saturation_temperature(against, pressure, temperature):
    water = liquids("reference equation", "water")
    against("iapws-if97", "recalled", f"boiling temperature of water at {pressure / 1e6:g} MPa",
            water.saturation_temperature(pressure), temperature, abs=0.011, unit="K")


@pytest.mark.published("iapws-if97", status="recalled")
@pytest.mark.parametrize(("temperature", "pressure", "volume", "enthalpy", "heat_capacity"), REGION_1)
def test_compressed_liquid(against, temperature, pressure, volume, enthalpy, heat_capacity):
    state = liquids("reference equation", "water").state(temperature, pressure)
    against("iapws-if97", "recalled", "density of compressed water", state.density, 1 / volume, rel=1e-4,
            unit="kg/m3")
    against("iapws-if97", "recalled", "heat capacity of compressed water", state.heat_capacity, heat_capacity,
            rel=1e-3, unit="J/(kg K)")


@pytest.mark.published("iapws-if97", status="recalled")
def test_enthalpy_difference(against):
    cold, hot = REGION_1
    state = liquids("reference equation", "water").state([cold[0], hot[0]], [cold[1], hot[1]])
    against("iapws-if97", "recalled", "enthalpy of compressed water from 300 to 500 K",
            state.enthalpy[1] - state.enthalpy[0], hot[3] - cold[3], rel=1e-4, unit="J/kg")


@pytest.mark.published("nist-webbook", status="recalled")
def test_vapour_pressure_at_100_degrees(against):
    against("nist-webbook", "recalled", "vapour pressure of water at 100 degC",
            liquids("reference equation", "water").vapour_pressure(373.15), 101.418e3, rel=5e-5, unit="Pa")


@pytest.mark.published("nist-webbook", status="recalled")
@pytest.mark.parametrize(("name", "boiling"), [("ammonia", -33.3), ("propane", -42.1), ("methanol", 64.5),
                                               ("n-butane", -0.5), ("toluene", 110.6)])
def test_normal_boiling_point(against, name, boiling):
    ours = liquids("reference equation", name).saturation_temperature(101325.0) - 273.15
    against("nist-webbook", "recalled", f"normal boiling point of {name}", ours, boiling, abs=0.1,
            unit="degC")


@pytest.mark.published("nist-webbook", status="recalled")
def test_viscosity_and_conductivity_of_water(against):
    # viscosity 1.0016 mPa s at 20 degC, 1 atm: the reference value of ISO/TR 3666
    water = liquids("reference equation", "water")
    against("nist-webbook", "recalled", "viscosity of water at 20 degC",
            water.state(293.15, 101325.0).viscosity,
            1.0016e-3, rel=5e-4, unit="Pa s")
    against("nist-webbook", "recalled", "conductivity of water at 25 degC",
            water.state(298.15, 101325.0).conductivity, 0.6065, rel=2e-3, unit="W/(m K)")


def test_ends_of_the_table_reach_what_is_pumped():
    low, high = liquids("reference equation", "water").temperature_range
    assert low < 273.3
    assert high > 600.0
    assert np.isfinite(high)
