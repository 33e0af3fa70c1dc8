"""The tables against CoolProp on a dense grid between the knots, our formulas against the chemicals library."""

import re
from functools import cache

import chemicals
import numpy as np
import pytest
import thermo
from CoolProp import CoolProp
from scipy.interpolate import CubicSpline

from wetpath.liquids.bubble_point import second_virial_coefficient
from wetpath.liquids.chemical_database import compressed_viscosity_ratio, compressed_volume_ratio
from wetpath.liquids.specification import GivenProperties, LiquidSpecification, load_liquid

SUBSTANCES = ["water", "propane", "n-butane", "ammonia", "methanol", "toluene", "benzene", "n-hexane", "R152A"]
ALLOWED = {"density": 1e-4, "heat_capacity": 1e-4, "viscosity": 1e-4, "conductivity": 1e-4}


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
    equation = CoolProp.AbstractState("HEOS", name.replace("n-b", "n-B").replace("n-h", "n-H"))
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


# where the critical enhancement of the conductivity sets in along the saturation line, and 10 MPa above it [K]
ONSETS = {"water": (430.2, 436.1), "propane": (214.3, 226.0), "toluene": (314.1, 327.1), "argon": (96.6, 104.5),
          "R152A": (258.0, 266.5)}


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("name", ONSETS)
def test_conductivity_where_its_enhancement_sets_in(against, name):
    # the library's conductivity is continuous there and rises as a square root: steps of 0.02 K, at many pressures
    liquid = liquids("reference equation", name)
    first, last = ONSETS[name]
    temperatures = np.arange(first - 3.0, last + 3.0, 0.02)
    equation = CoolProp.AbstractState("HEOS", name)
    for share in (0.0, 0.04, 0.15, 0.3, 0.5, 0.72, 0.93, 1.0):
        excess = share * liquid.highest_excess_pressure
        expected = np.array([reference(equation, temperature, excess) for temperature in temperatures]).T
        error = np.abs(liquid.state(temperatures, expected[0] + excess).conductivity / expected[5] - 1).max()
        against("coolprop", "computed", f"largest relative error of the conductivity of {name} around its bend, "
                f"{excess / 1e6:g} MPa above saturation", error, 0.0, abs=1e-4)


@pytest.mark.parametrize("name", SUBSTANCES)
def test_measured_errors_are_not_smaller_than_found_here(name):
    # the errors stored with the table are maxima over their own points: another grid may exceed them a little
    liquid = liquids("reference equation", name)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low, high, 1313)
    equation = CoolProp.AbstractState("HEOS", name.replace("n-b", "n-B").replace("n-h", "n-H"))
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


CODES = {"ethylene glycol": "MEG", "sea salt": "MITSW", "calcium chloride": "MCA", "glycerol": "MGL", "methanol": "MMA"}


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize(("dissolved", "fraction"), [("ethylene glycol", 0.4), ("sea salt", 0.035), ("glycerol", 0.5),
                                                     ("calcium chloride", 0.2), ("methanol", 0.4)])
def test_solution_between_the_knots(against, dissolved, fraction):
    liquid = liquids("solution", dissolved, fractions=(fraction,))
    low, high = liquid.temperature_range
    temperatures = np.linspace(low + 0.1, high - 0.1, 211)
    base = np.nan_to_num(liquid.vapour_pressure(temperatures), nan=1e5)
    # taken as incompressible: density, viscosity and conductivity are the same at every pressure
    for above in (0.0, 1e6, 9e6):
        state = liquid.state(temperatures, base + above)
        for symbol, ours in (("D", state.density), ("V", state.viscosity), ("L", state.conductivity),
                             *([("C", state.heat_capacity)] if above == 0.0 else [])):
            expected = CoolProp.PropsSI(symbol, "T", temperatures, "P", 3e6, f"INCOMP::{CODES[dissolved]}[{fraction}]")
            against("coolprop", "computed", f"largest relative error of {symbol} of {liquid.name} {above / 1e6:g} MPa "
                    "above saturation", np.abs(ours / expected - 1).max(), 0.0, abs=1e-4)


def of_the_library(liquid, model, quantity):
    """The method of the library that a liquid names as the origin of a property, as a function of temperature."""
    method = re.fullmatch(r"method (.+) of the chemicals .*", liquid.origins[quantity].text).group(1)
    return np.vectorize(lambda temperature: model.calculate(temperature, method))


@pytest.mark.published("chemicals-library", status="computed")
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::FutureWarning", "ignore::ResourceWarning")
@pytest.mark.parametrize("name", ["dichloromethane", "acetone", "toluene", "aniline", "pyridine", "1-butanol",
                                  "diethyl ether"])
def test_chemical_database_between_the_knots(against, name):
    liquid = liquids("chemical database", name)
    number = chemicals.CAS_from_any(name)
    mass = chemicals.MW(number) * 1e-3
    constants = {"CASRN": number, "Tc": chemicals.Tc(number), "Pc": chemicals.Pc(number),
                 "omega": chemicals.omega(number)}
    boiling = of_the_library(liquid, thermo.VaporPressure(Tb=chemicals.Tb(number), **constants), "vapour pressure")
    volume = of_the_library(liquid, thermo.VolumeLiquid(MW=1e3 * mass, **constants), "density")
    conductivity = of_the_library(liquid, thermo.ThermalConductivityLiquid(CASRN=number, MW=1e3 * mass), "conductivity")
    temperatures = np.linspace(*liquid.temperature_range, 403)[1:-1]
    saturation = boiling(temperatures)
    if not liquid.origins["heat capacity"].text.startswith("estimated"):
        heat = of_the_library(liquid, thermo.HeatCapacityLiquid(CASRN=number, MW=1e3 * mass), "heat capacity")
        against("chemicals-library", "computed", f"largest relative error of the saturated heat capacity of {name}",
                np.abs(liquid.state(temperatures, saturation).heat_capacity / heat(temperatures) * mass - 1).max(), 0.0,
                abs=1e-4)
    against("chemicals-library", "computed", f"largest relative error of the vapour pressure of {name}",
            np.abs(liquid.vapour_pressure(temperatures) / saturation - 1).max(), 0.0, abs=1e-5)
    compressed = np.vectorize(chemicals.COSTALD_compressed)
    for above in (0.0, 8e5, 5e6, 9.7e6):
        state = liquid.state(temperatures, saturation + above)
        expected = compressed(temperatures, saturation + above, saturation, constants["Tc"], constants["Pc"],
                              constants["omega"], volume(temperatures)) / mass
        for quantity, ours, theirs in (("density", state.density, 1 / expected),
                                       ("conductivity", state.conductivity, conductivity(temperatures))):
            against("chemicals-library", "computed", f"largest relative error of the {quantity} of {name} "
                    f"{above / 1e6:g} MPa above saturation", np.abs(ours / theirs - 1).max(), 0.0, abs=1e-4)


@pytest.mark.published("coolprop", status="computed")
@pytest.mark.parametrize("digits", [3, 4, 6])
@pytest.mark.parametrize("count", [3, 6, 21])
def test_heat_capacity_of_a_rounded_table_under_pressure(against, count, digits):
    # a user's table of toluene, rounded: its second derivative must not be the rounding. The reference equation says
    # how much pressure takes off, 0.5 to 3 % at 10 MPa. One compressibility for all temperatures leaves 0.5 %; three
    # rows, through which a straight line is the best guess, leave 1.1 %.
    temperatures = np.linspace(280.0, 440.0, count)

    def told(symbol):
        return tuple(float(f"{value:.{digits}g}") for value in
                     CoolProp.PropsSI(symbol, "T", temperatures, "Q", 0, "Toluene"))

    table = GivenProperties(temperature=tuple(temperatures), vapour_pressure=told("P"), density=told("D"),
                            heat_capacity=told("C"), viscosity=told("V"), conductivity=told("L"),
                            compressibility=1.1e-9)
    liquid = load_liquid(LiquidSpecification("table", name="toluene", given=table), cache=False)
    equation = CoolProp.AbstractState("HEOS", "Toluene")
    between = np.linspace(285.0, 435.0, 61)
    base = liquid.vapour_pressure(between)
    ours = liquid.state(between, base + 1e7).heat_capacity / liquid.state(between, base).heat_capacity
    theirs = np.array([reference(equation, temperature, 1e7)[3] / reference(equation, temperature, 0.0)[3]
                       for temperature in between])
    against("coolprop", "computed", f"largest error of the effect of 10 MPa on the heat capacity of toluene, from a "
            f"table of {count} rows and {digits} digits", np.abs(ours - theirs).max(), 0.0, abs=0.012)


@pytest.mark.parametrize("digits", [3, 5])
def test_given_table_between_its_points(digits):
    # the curve through the points is defined as the spline of the value over T, of the logarithm over 1/T
    temperatures = np.array([280.0, 292.0, 301.0, 315.0, 333.0, 350.0, 362.0, 380.0])
    columns = {name: tuple(float(f"{value:.{digits}g}") for value in values) for name, values in {
        "density": 905.0 - 0.9 * (temperatures - 280.0) - 6e-4 * (temperatures - 280.0)**2,
        "heat_capacity": 1700.0 + 3.4 * (temperatures - 280.0), "conductivity": 0.14 - 2.3e-4 * (temperatures - 280.0),
        "viscosity": 7e-4 * np.exp(1000.0 * (1 / temperatures - 1 / 280.0)),
        "vapour_pressure": 2e3 * np.exp(-4500.0 * (1 / temperatures - 1 / 280.0))}.items()}
    table = GivenProperties(temperature=tuple(temperatures), compressibility=9e-10, **columns)
    liquid = load_liquid(LiquidSpecification("table", name="solvent", given=table), cache=False)
    for places in (temperatures, np.linspace(280.0, 380.0, 501)):
        boiling = liquid.vapour_pressure(places)
        state = liquid.state(places, boiling)
        for name, values in columns.items():
            if name in ("viscosity", "vapour_pressure"):
                expected = np.exp(CubicSpline(1 / temperatures[::-1], np.log(values[::-1]))(1 / places))
            else:
                expected = CubicSpline(temperatures, values)(places)
            ours = boiling if name == "vapour_pressure" else getattr(state, name)
            np.testing.assert_allclose(ours, expected, rtol=1e-5 if name == "vapour_pressure" else 1e-4, err_msg=name)


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
