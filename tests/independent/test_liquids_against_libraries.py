"""The tables against CoolProp on a dense grid between the knots, our formulas against the chemicals library."""

from functools import cache

import chemicals
import numpy as np
import pytest
from CoolProp import CoolProp

from wetpath.liquids.bubble_point import second_virial_coefficient
from wetpath.liquids.chemical_database import compressed_viscosity_ratio, compressed_volume_ratio
from wetpath.liquids.specification import LiquidSpecification, load_liquid

SUBSTANCES = ["water", "propane", "n-butane", "ammonia", "methanol", "toluene"]
ALLOWED = {"density": 1e-4, "heat_capacity": 1e-4, "viscosity": 1e-4, "conductivity": 5e-4}


@cache
def liquids(kind, *components, **options):
    return load_liquid(LiquidSpecification(kind, components, **options), cache=False)


def reference(equation, temperature, excess):
    equation.unspecify_phase()
    equation.update(CoolProp.QT_INPUTS, 0.0, temperature)
    boiling = equation.p()
    if excess > 0.0:
        equation.specify_phase(CoolProp.iphase_liquid)
        equation.update(CoolProp.PT_INPUTS, boiling + excess, temperature)
    return (boiling, equation.rhomass(), equation.hmass(), equation.cpmass(), equation.viscosity(),
            equation.conductivity())


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("name", SUBSTANCES)
def test_table_keeps_its_accuracy_between_the_knots(against, name):
    liquid = liquids("reference equation", name)
    low, high = liquid.temperature_range
    rng = np.random.default_rng(20)
    temperatures = np.sort(rng.uniform(low, high, 700))
    excess = liquid.highest_excess_pressure * rng.choice([0.0, 0.003, 0.05, 0.21, 0.62, 0.98],
                                                         temperatures.size)
    equation = CoolProp.AbstractState("HEOS", name.replace("n-b", "n-B"))
    expected = np.array([reference(equation, *pair) for pair in zip(temperatures, excess, strict=True)]).T
    against("coolprop", "computed", f"largest relative error of the vapour pressure of {name}",
            np.abs(liquid.vapour_pressure(temperatures) / expected[0] - 1).max(), 0.0, abs=1e-5)
    ours = liquid.state(temperatures, expected[0] + excess)
    for row, (quantity, allowed) in zip((1, 3, 4, 5), ALLOWED.items(), strict=True):
        error = np.abs(getattr(ours, quantity) / expected[row] - 1).max()
        label = f"largest relative error of the {quantity.replace('_', ' ')} of {name}"
        against("coolprop", "computed", label, error, 0.0, abs=allowed)
    # differences of enthalpy, over at least 5 K, at any pressures
    apart = np.abs(temperatures[:-30] - temperatures[30:]) > 5.0
    ours_rise, rise = (values[30:][apart] - values[:-30][apart] for values in (ours.enthalpy, expected[2]))
    against("coolprop", "computed", f"largest error of differences of enthalpy of {name}, of the heat of 1 K",
            (np.abs(ours_rise - rise) / expected[3].min()).max(), 0.0, abs=1e-3)


@pytest.mark.parametrize("name", SUBSTANCES)
def test_measured_errors_are_not_smaller_than_found_here(name):
    # the errors stored with the table are maxima over their own points: another grid may exceed them a little
    liquid = liquids("reference equation", name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low, high, 1313)
    equation = CoolProp.AbstractState("HEOS", name.replace("n-b", "n-B"))
    expected = np.array([reference(equation, temperature, 0.0) for temperature in temperatures]).T
    found = np.abs(liquid.state(temperatures, expected[0]).density / expected[1] - 1).max()
    assert found <= max(3 * liquid.table_errors.density, 1e-8)


# CoolProp 8.0.0, liquid this much above its vapour pressure: K, Pa, then vapour pressure, density, viscosity,
# conductivity, heat capacity, slope of the vapour pressure
POINTS = {
    "water": (353.15, 1.5e5, 47414.5, 971.834, 3.54077e-4, 0.66705, 4196.5, 1919.9),
    "propane": (293.15, 1.5e5, 836460.9, 500.484, 1.02589e-4, 0.096392, 2662.1, 22035.0),
    "n-butane": (303.15, 0.6e5, 283411.9, 567.087, 1.51201e-4, 0.102751, 2469.0, 8494.9),
    "ammonia": (263.15, 1.0e5, 290639.5, 652.078, 1.90234e-4, 0.590192, 4559.8, 11820.0),
    "methanol": (313.15, 1.0e5, 35518.3, 772.206, 4.41721e-4, 0.197366, 2633.8, 1654.2),
    "toluene": (423.15, 0.6e5, 275364.6, 737.090, 1.89511e-4, 0.097846, 2157.6, 6245.6)}


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("name", POINTS)
def test_property_points(against, name):
    temperature, excess, boiling, density, viscosity, conductivity, heat_capacity, slope = POINTS[name]
    liquid = liquids("reference equation", name)
    state = liquid.state(temperature, liquid.vapour_pressure(temperature) + excess)
    for quantity, ours, expected, allowed in (
            ("vapour pressure", liquid.vapour_pressure(temperature), boiling, 1e-5),
            ("density", state.density, density, 1e-5), ("viscosity", state.viscosity, viscosity, 1e-4),
            ("conductivity", state.conductivity, conductivity, 1e-4),
            ("heat capacity", state.heat_capacity, heat_capacity, 1e-4),
            ("slope of the vapour pressure", liquid.vapour_pressure_slope(temperature), slope, 1e-4)):
        against("coolprop", "computed", f"{quantity} of {name} at {temperature} K", ours, expected,
                rel=allowed)


# saturated: degC, kPa, kg/m3, J/(kg K), mPa s, kPa/K
SATURATED = [
    ("water", 20, 2.3393, 998.16, 4184.4, 1.0016, 0.1449),
    ("water", 60, 19.946, 983.16, 4185.1, 0.4660, 0.9231),
    ("water", 100, 101.418, 958.35, 4215.7, 0.2816, 3.6193),
    ("water", 150, 476.16, 917.01, 4307.1, 0.1826, 12.764),
    ("ammonia", 0, 429.25, 638.64, 4609.7, 0.1702, 16.05),
    ("ammonia", 20, 857.04, 610.39, 4738.9, 0.1385, 27.41),
    ("ammonia", 50, 2033.0, 562.99, 5068.8, 0.1039, 52.78),
    ("propane", 0, 474.46, 528.59, 2493.2, 0.1256, 14.49),
    ("propane", 20, 836.46, 500.06, 2666.2, 0.1023, 22.04),
    ("propane", 50, 1713.3, 448.87, 3089.3, 0.0741, 37.26),
    ("methanol", 0, 4.0562, 809.65, 2401.1, 0.8054, 0.2559),
    ("methanol", 25, 16.981, 786.24, 2534.6, 0.5434, 0.8823),
    ("methanol", 80, 181.11, 732.58, 2965.8, 0.2742, 6.4461)]


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize(("name", "celsius", "boiling", "density", "heat_capacity", "viscosity", "slope"),
                         SATURATED)
def test_saturated_points(against, name, celsius, boiling, density, heat_capacity, viscosity, slope):
    # the rows are printed to four or five digits
    liquid = liquids("reference equation", name)
    temperature = celsius + 273.15
    state = liquid.state(temperature, liquid.vapour_pressure(temperature))
    for quantity, ours, expected, allowed in (
            ("vapour pressure", liquid.vapour_pressure(temperature), 1e3 * boiling, 1e-4),
            ("density", state.density, density, 2e-5),
            ("heat capacity", state.heat_capacity, heat_capacity, 1e-4),
            ("viscosity", state.viscosity, 1e-3 * viscosity, 7e-4),
            ("slope of the vapour pressure", liquid.vapour_pressure_slope(temperature), 1e3 * slope, 5e-4)):
        against("coolprop", "computed", f"{quantity} of saturated {name} at {celsius} degC", ours, expected,
                rel=allowed)


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize(("dissolved", "fraction"), [("ethylene glycol", 0.4), ("sea salt", 0.035),
                                                     ("calcium chloride", 0.2)])
def test_solution_between_the_knots(against, dissolved, fraction):
    code = {"ethylene glycol": "MEG", "sea salt": "MITSW", "calcium chloride": "MCA"}[dissolved]
    liquid = liquids("solution", dissolved, fractions=(fraction,))
    low, high = liquid.temperature_range
    temperatures = np.linspace(low + 0.1, high - 0.1, 211)
    state = liquid.state(temperatures, liquid.vapour_pressure(temperatures))
    for symbol, ours in (("D", state.density), ("C", state.heat_capacity), ("V", state.viscosity),
                         ("L", state.conductivity)):
        expected = CoolProp.PropsSI(symbol, "T", temperatures, "P", 3e6, f"INCOMP::{code}[{fraction}]")
        against("coolprop", "computed", f"largest relative error of {symbol} of {liquid.name}",
                np.abs(ours / expected - 1).max(), 0.0, abs=1e-4)


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("name", ["toluene", "ammonia", "n-butane"])
def test_compressed_liquid_of_the_chemical_database(against, name):
    # the database's own compressed volume against the reference equation: the authors claim 0.5 %
    ours, reference_liquid = liquids("chemical database", name), liquids("reference equation", name)
    for temperature in (260.0, 320.0):
        pressure = reference_liquid.vapour_pressure(temperature) + 8e6
        against("coolprop", "computed", f"density of {name} at {temperature} K, 8 MPa above boiling",
                ours.state(temperature, pressure).density,
                reference_liquid.state(temperature, pressure).density, rel=0.005)
        against("coolprop", "computed", f"heat capacity of {name} at {temperature} K, 8 MPa above boiling",
                ours.state(temperature, pressure).heat_capacity,
                reference_liquid.state(temperature, pressure).heat_capacity, rel=0.02)


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("temperature", [250.0, 290.0, 330.0])
def test_bubble_pressure_of_propane_and_butane(against, temperature):
    # the reference mixture model is itself good to about 1 %
    ours = liquids("mixture", "propane", "n-butane", fractions=(0.5, 0.5), basis="mole")
    equation = CoolProp.AbstractState("HEOS", "Propane&n-Butane")
    equation.set_mole_fractions([0.5, 0.5])
    equation.update(CoolProp.QT_INPUTS, 0.0, temperature)
    against("coolprop", "computed", f"bubble pressure of propane and n-butane at {temperature} K",
            ours.vapour_pressure(temperature), equation.p(), rel=0.01, unit="Pa")
    against("coolprop", "computed", f"density of propane and n-butane at {temperature} K",
            ours.state(temperature, equation.p()).density, equation.rhomass(), rel=0.02, unit="kg/m3")


CONSTANTS = {"toluene": (591.75, 4.1263e6, 0.2657), "propane": (369.9, 4.251e6, 0.1521)}


@pytest.mark.published("chemicals-library", status="computed")
@pytest.mark.parametrize("name", CONSTANTS)
def test_formulas_of_the_compressed_liquid(against, name):
    critical_temperature, critical_pressure, omega = CONSTANTS[name]
    for reduced, pressure in ((0.5, 5e6), (0.7, 2e6), (0.9, 1e7)):
        temperature, saturation = reduced * critical_temperature, 1e5
        constants = (critical_temperature, critical_pressure, omega)
        against("chemicals-library", "computed", "compressed volume ratio",
                compressed_volume_ratio(temperature, saturation, pressure, *constants),
                chemicals.COSTALD_compressed(temperature, pressure, saturation, *constants, 1.0), rel=1e-9)
        against("chemicals-library", "computed", "compressed viscosity ratio",
                compressed_viscosity_ratio(temperature, saturation, pressure, *constants),
                chemicals.viscosity.Lucas(temperature, pressure, *constants, saturation, 1.0), rel=1e-9)
        against("chemicals-library", "computed", "second virial coefficient",
                second_virial_coefficient(np.array(temperature), *constants),
                chemicals.virial.BVirial_Tsonopoulos(temperature, *constants), rel=1e-9, unit="m3/mol")
