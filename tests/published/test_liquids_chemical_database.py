"""Liquids of the chemical database against remembered handbook values."""

from functools import cache

import numpy as np
import pytest

from wetpath.liquids.specification import LiquidSpecification, load_liquid

# vapour pressure: four published correlations differ by 2 %
DICHLOROMETHANE = [(20.0, 47.2e3), (25.0, 57.9e3)]
BOILING = [("dichloromethane", 39.9, 0.4), ("acetone", 56.1, 0.2), ("benzene", 80.1, 0.1),
           ("ethanol", 78.3, 0.2),
           ("chlorine", -34.0, 0.3), ("ethylene glycol", 197.3, 1.0)]
DENSITY = [("dichloromethane", 1326.0, 0.005), ("acetone", 790.0, 0.003), ("toluene", 866.9, 0.002),
           ("ethylene glycol", 1113.0, 0.003)]                   # at 20 degC
VISCOSITY = [("dichloromethane", 0.43e-3, 0.05), ("acetone", 0.32e-3, 0.05), ("toluene", 0.59e-3, 0.03),
             ("ethylene glycol", 20.8e-3, 0.06)]                 # at 20 degC; handbooks differ by this much
HEAT_CAPACITY = [("dichloromethane", 1190.0, 0.015), ("acetone", 2160.0, 0.02), ("toluene", 1700.0, 0.02)]


@cache
def liquids(kind, *components, **options):
    return load_liquid(LiquidSpecification(kind, components, **options), cache=False)


@pytest.mark.published("handbook-liquids", status="recalled")
@pytest.mark.parametrize(("celsius", "pressure"), DICHLOROMETHANE)
def test_vapour_pressure_of_dichloromethane(against, celsius, pressure):
    ours = liquids("chemical database", "dichloromethane").vapour_pressure(celsius + 273.15)
    against("handbook-liquids", "recalled", f"vapour pressure of dichloromethane at {celsius:g} degC", ours,
            pressure,
            rel=0.025, unit="Pa")


@pytest.mark.published("handbook-liquids", status="recalled")
@pytest.mark.parametrize(("name", "celsius", "allowed"), BOILING)
def test_normal_boiling_point(against, name, celsius, allowed):
    ours = liquids("chemical database", name).saturation_temperature(101325.0) - 273.15
    against("handbook-liquids", "recalled", f"normal boiling point of {name}", ours, celsius, abs=allowed,
            unit="degC")


@pytest.mark.published("handbook-liquids", status="recalled")
@pytest.mark.parametrize(("name", "density", "allowed"), DENSITY)
def test_density(against, name, density, allowed):
    ours = liquids("chemical database", name).state(293.15, 2e5).density
    against("handbook-liquids", "recalled", f"density of {name} at 20 degC", ours, density, rel=allowed,
            unit="kg/m3")


@pytest.mark.published("handbook-liquids", status="recalled")
@pytest.mark.parametrize(("name", "viscosity", "allowed"), VISCOSITY)
def test_viscosity(against, name, viscosity, allowed):
    ours = liquids("chemical database", name).state(293.15, 2e5).viscosity
    against("handbook-liquids", "recalled", f"viscosity of {name} at 20 degC", ours, viscosity, rel=allowed,
            unit="Pa s")


@pytest.mark.published("handbook-liquids", status="recalled")
@pytest.mark.parametrize(("name", "heat_capacity", "allowed"), HEAT_CAPACITY)
def test_heat_capacity(against, name, heat_capacity, allowed):
    ours = liquids("chemical database", name).state(298.15, 2e5).heat_capacity
    against("handbook-liquids", "recalled", f"heat capacity of {name} at 25 degC", ours, heat_capacity,
            rel=allowed,
            unit="J/(kg K)")


def test_curve_that_jumps_ends_before_the_jump() -> None:
    """Two thirds of a smooth curve, then another: the longer part is kept. A curve that only gets steeper is whole."""
    from wetpath.liquids.chemical_database import _unbroken

    low, high = _unbroken(lambda t: np.where(t < 400.0, 1.0, 0.7) * np.exp(-t / 100.0), 300.0, 450.0)
    assert (low, high) == pytest.approx((300.0, 400.0), abs=0.76)
    assert _unbroken(lambda t: (501.0 - t) ** 0.3, 300.0, 500.0) == (300.0, 500.0)
