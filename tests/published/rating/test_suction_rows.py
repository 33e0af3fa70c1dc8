"""NPSH by hand arithmetic and by ANSI/HI 9.6.1, least thermal flow and dissolved gas, all through a whole rating."""

from dataclasses import replace
from pathlib import Path

import CoolProp.CoolProp as CP
import numpy as np
import pytest

import wetpath
from wetpath.edge.files import load_document, loads_document
from wetpath.edge.practice import Practice, default_practice
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.dissolved_gas import GAS_CONSTANT, degassing_pressure, dissolved_share, released_gas_share
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import rate
from wetpath.rating.suction_state import henry_at, npsh_needed

PUMPS = Path(wetpath.__file__).parent / "data" / "demo" / "pumps"
HAND, RULES = "handbook-affinity-arithmetic", "hi-9.6.1-2012"
GALLON_PER_MINUTE, HORSEPOWER, FAHRENHEIT = 231 * 0.0254**3 / 60, 745.699872, 5 / 9


def rated(substance, case, *, service="chemical", npsh=None, practice=None, more=""):
    pump = load_document(PUMPS / "medium.toml", PumpFile)
    if npsh is not None:
        tested = pump.impeller.tested.model_copy(update={"npsh": npsh})
        tested.__dict__.pop("curve", None)
        impeller = pump.impeller.model_copy(update={"tested": tested, "diameter": tested.diameter})
        pump = pump.model_copy(update={"impeller": impeller})
    enquiry = loads_document(f"""
        wetpath = "enquiry/1"
        title = "one case"
        service = "{service}"
        [liquid]
        source = "reference equation"
        substance = "{substance}"
        {more}
        [[cases]]
        name = "A"
        {case}
        """, Enquiry)
    return rate(pump, enquiry, load_liquid(LiquidSpecification("reference equation", (substance,))), practice)


@pytest.mark.published(HAND, status="derived")
@pytest.mark.parametrize(("name", "substance", "case", "want", "room"), [
    ("N1 water 60 degC, open tank", "Water",
     'flow = "45 m3/h"\ntemperature = "60 degC"\nvessel = { pressure = "1.01325 bar a", level = "2 m", '
     'line_loss = "0.8 m" }', 9.640, 5e-4),
    ("N2 propane at its boiling point: density drops out", "Propane",
     'flow = "45 m3/h"\ntemperature = "20 degC"\nvessel = { boiling = true, level = "4.5 m", line_loss = "0.7 m" }',
     3.800, 5e-4),
    ("N3 methanol at altitude, suction lift", "Methanol",
     'flow = "20 m3/h"\ntemperature = "40 degC"\nvessel = { pressure = "0.95 bar a", level = "-1.5 m", '
     'line_loss = "0.6 m" }', 5.756, 1e-3),
])
def test_npsh_available_out_of_a_vessel(name, substance, case, want, room, against):
    """Room: density at the flange is not exactly that in the vessel; methanol's vapour pressure has three digits."""
    situation = rated(substance, case).situation
    against(HAND, "computed", name, situation.npsh_available[0], want, rel=room, unit="m")


FLAT = (3.0,) * 8
#: 1.639 m at best flow makes a suction specific speed of 240; 6 m at 70 m3/h, beyond 1.2 times best flow.
HIGH = (1.639, 1.639, 1.639, 1.639, 1.639, 1.639, 3.0, 6.0)


@pytest.mark.published(RULES, status="read")
@pytest.mark.parametrize(("name", "service", "npsh", "flow", "speed_range", "want"), [
    ("N4 hydrocarbon, NPSH3 3.0 m", "hydrocarbon", FLAT, 45, (100, 210), 4.0),
    ("N5 chemical, below 210, NPSH3 3.0 m", "chemical", FLAT, 45, (100, 210), 3.6),
    ("N6 chemical, 240 outside the preferred region, NPSH3 6.0 m", "chemical", HIGH, 70, (235, 245), 7.2),
])
def test_npsh_needed_in_a_rating(name, service, npsh, flow, speed_range, want, against):
    """Room: six digits; the curve goes through the tested points."""
    rating = rated("Water", f'flow = "{flow} m3/h"\ntemperature = "20 degC"\nsuction_pressure = "3 bar a"',
                   service=service, npsh=npsh)
    low, high = speed_range
    assert low < rating.point.suction_specific_speed[0] < high
    needed, _ = npsh_needed(rating.situation)
    against(RULES, "read", name, needed[0], want, rel=1e-6, unit="m")
    check = next(one for one in rating.checks if one.name == "npsh")
    assert check.limit[0] == needed[0]
    assert check.sense == "at least"


@pytest.mark.published("customary-thermal-flow", status="read")
@pytest.mark.parametrize(("rise", "divisor"), [(10, 1.96), (15, 2.95), (20, 3.93)])
def test_least_flow_by_temperature_rise_in_the_customary_form(rise, divisor, against):
    """Q = BHP/(divisor cp s) in US gal/min, cp and s of water at 20 degC being 1. BHP is that at the least flow.

    Room 4 %: the formula takes all of the power as heat, what is left as head is not.
    """
    limits = default_practice()
    asked = replace(limits["bulk_temperature_rise"], value=rise * FAHRENHEIT)
    own = Practice("with another rise", {**limits, "bulk_temperature_rise": asked})
    case = 'temperature = "20 degC"\nsuction_pressure = "3 bar a"'
    limit = rated("Water", f'flow = "45 m3/h"\n{case}', practice=own).flow_limits["temperature rise of the pump"]
    at_limit = rated("Water", f'flow = "{limit.lowest[0] * 3600} m3/h"\n{case}', practice=own)
    curve = at_limit.point.power_over_density[0] * 998.2
    power = curve + at_limit.losses.circulation_heat[0]
    against("customary-thermal-flow", "read", f"least flow for {rise} degF, US gal/min",
            limit.lowest[0] / GALLON_PER_MINUTE, power / HORSEPOWER / divisor, rel=0.04, unit="gpm")


@pytest.mark.published("sander-2015", status="recalled")
@pytest.mark.published("bunsen-coefficients", status="recalled")
@pytest.mark.parametrize(("gas", "solubility", "bunsen"), [
    ("nitrogen", 6.4e-6, 0.01434), ("carbon dioxide", 3.4e-4, 0.759)])
def test_gas_volume_against_the_bunsen_coefficient(gas, solubility, bunsen, against):
    """Gas of 0 degC and 1 atm out of water saturated with it at 25 degC and 1 atm, from the Henry constant.

    Solubility in mol/(m3 Pa), two digits printed: room 2 %.
    """
    molar_volume, atmosphere = 18.015e-3 / 997.05, 101325.0
    henry = 1 / (solubility * molar_volume)
    share = dissolved_share(atmosphere, 0.0, henry)
    volume = float(released_gas_share(share, 0.0, atmosphere, 0.0, 273.15, molar_volume))
    against("bunsen-coefficients", "recalled", f"Bunsen coefficient of {gas} in water at 25 degC",
            volume / (1 - volume), bunsen, rel=0.02)


def carbon_dioxide_in_water(temperature):
    """Henry constant of IAPWS G7-04 [Pa], coefficients recalled, over the vapour pressure of water [Pa] and K."""
    reduced = temperature / 647.096
    apart = 1 - reduced
    vapour = CP.PropsSI("P", "T", temperature, "Q", 0, "Water")
    return vapour * np.exp(-8.55445 / reduced + 4.01195 * apart**0.355 / reduced
                           + 9.52345 * reduced**-0.41 * np.exp(apart))


@pytest.mark.published("iapws-g7-04", status="recalled")
@pytest.mark.parametrize(("temperature", "logarithm"), [(300.0, -1.7508), (400.0, -0.5450)])
def test_the_formula_for_carbon_dioxide_gives_its_check_values(temperature, logarithm, against):
    """Printed is the logarithm of the constant in GPa, four decimals."""
    against("iapws-g7-04", "recalled", f"ln of the Henry constant of carbon dioxide at {temperature:g} K",
            np.log(carbon_dioxide_in_water(temperature) / 1e9), logarithm, abs=6e-5)


@pytest.mark.published("iapws-g7-04", status="recalled")
def test_henry_constants_of_the_demo_are_those_of_carbon_dioxide(against):
    """The demo rounds to whole MPa, and draws straight lines over 1/T between: room 0.5 %."""
    gas = load_document(PUMPS.parent / "enquiries" / "scrubber_water.toml", Enquiry).gas
    for temperature in (293.15, 298.15, 303.15, 313.15, 323.15):
        against("iapws-g7-04", "recalled", f"Henry constant of the demo at {temperature - 273.15:.0f} degC",
                henry_at(gas, np.array(temperature)) / 1e6, carbon_dioxide_in_water(temperature) / 1e6, rel=5e-3,
                unit="MPa")


def test_water_saturated_with_gas_degasses_where_it_was_saturated():
    for pressure in (5e4, 1.01325e5, 8e5):
        share = dissolved_share(pressure, 3169.0, 8.65e9)
        assert degassing_pressure(3169.0, 8.65e9, share) == pytest.approx(pressure, rel=1e-12)


@pytest.mark.published("henry-law", status="derived")
def test_gas_share_in_a_rating(against):
    """Water of 20 degC saturated with nitrogen at 4 bar a, let down to 1.5 bar a at the flange.

    By hand: (4 - 0.0234) bar over 8 GPa dissolved, (1.5 - 0.0234) bar stays; the rest as ideal gas at 1.4766 bar beside
    18.05 cm3 of water to the mole. Room: the flange is the place, its vapour pressure is that of the table.
    """
    rating = rated("Water", 'flow = "45 m3/h"\ntemperature = "20 degC"\nsuction_pressure = "1.5 bar a"', more="""
        [gas]
        name = "nitrogen"
        henry_constant = "8000 MPa"
        saturated_pressure = "4 bar a"
        """)
    moles = (4e5 - 1.5e5) / 8e9
    volume = moles * GAS_CONSTANT * 293.15 / (1.5e5 - 2339.0)
    by_hand = volume / (volume + 18.015e-3 / 998.2)
    suction = rating.situation.suction
    against("henry-law", "derived", "gas share of water let down from 4 to 1.5 bar a", suction.gas_share[0], by_hand,
            rel=1e-3)
    assert suction.gas_at == ("suction flange",)
    assert suction.degassing[0] == pytest.approx(4e5, rel=1e-6)
    assert any("nitrogen comes out of the liquid below 4.00" in warning for warning in rating.warnings)
    check = next(one for one in rating.checks if one.name == "gas_share")
    assert (check.sense, float(check.limit[0]), bool(check.holds[0])) == ("at most", 0.02, False)


@pytest.mark.common_practice
def test_bubbles_shrink_where_the_pressure_is_higher():
    rating = rated("Water", 'flow = "45 m3/h"\ntemperature = "20 degC"\nsuction_pressure = "1.5 bar a"', more="""
        [gas]
        name = "air"
        bubbles = "1 %"
        """)
    suction = rating.situation.suction
    assert suction.gas_share[0] == pytest.approx(0.01)
    assert suction.gas_at == ("suction flange",)
    assert np.isnan(suction.degassing[0])
