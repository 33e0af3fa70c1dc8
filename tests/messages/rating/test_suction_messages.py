"""What the user reads when vessel, gas or suction pressure of an enquiry cannot be, word for word."""

import pytest

from wetpath.edge.files import loads_document
from wetpath.errors import InputError, WetpathError
from wetpath.liquids.specification import LiquidSpecification, load_liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import rate


def enquiry(suction, more=""):
    return f"""wetpath = "enquiry/1"
title = "one case"
{more}
[liquid]
source = "reference equation"
substance = "water"
[[cases]]
name = "A"
flow = "45 m3/h"
temperature = "60 degC"
{suction}
"""


def told(text):
    with pytest.raises(WetpathError) as caught:
        loads_document(text, Enquiry)
    return str(caught.value)


@pytest.mark.parametrize(("suction", "words"), [
    ("", 'cases["A"].suction_pressure is missing'),
    ('suction_pressure = "1 bar a"\nabove_vapour_pressure = "1 bar"',
     'is given besides above_vapour_pressure; give one of them'),
    ('suction_pressure = "1 bar a"\nvessel = { boiling = true, level = "3 m", line_loss = "0.5 m" }',
     "is given besides vessel; give one of them"),
    ('vessel = { level = "3 m", line_loss = "0.5 m" }', 'cases["A"].vessel.pressure is missing'),
    ('vessel = { boiling = true, pressure = "2 bar a", level = "3 m", line_loss = "0.5 m" }',
     "is given for a vessel that is said to boil"),
    ('vessel = { boiling = true, level = "3 m" }', 'cases["A"].vessel.line_loss is missing'),
    ('vessel = { boiling = true, level = "3 m", line_loss = "0.5 m", line_pressure_loss = "0.1 bar" }',
     "is given besides line_pressure_loss"),
])
def test_one_way_to_give_the_suction(suction, words):
    assert words in told(enquiry(suction))


@pytest.mark.parametrize(("gas", "words"), [
    ('name = "air"', "gas.dissolved is missing"),
    ('name = "air"\ndissolved = "10 ppm"', "gas.henry_constant is missing"),
    ('name = "air"\ndissolved = "10 ppm"\nsaturated_pressure = "1 bar a"\nhenry_constant = "7000 MPa"',
     "is given besides saturated_pressure"),
    ('name = "air"\ndissolved = "10 ppm"\nhenry_constant = ["6000 MPa", "7000 MPa"]', "gas.temperatures is missing"),
    ('name = "air"\ndissolved = "10 ppm"\nhenry_constant = "6000 MPa"\ntemperatures = "20 40 degC"',
     "has 1 values; allowed: 2, one for each of the temperatures"),
    ('name = "air"\ndissolved = "10 ppm"\nhenry_constant = "6000 7000 MPa"\ntemperatures = "40 20 degC"',
     "does not rise from value to value"),
])
def test_gas_is_told_whole(gas, words):
    assert words in told(enquiry('suction_pressure = "2 bar a"', f"[gas]\n{gas}"))


def test_a_vessel_that_lets_the_liquid_boil_before_the_pump(demo_pump):
    asked = loads_document(enquiry('vessel = { boiling = true, level = "0.3 m", line_loss = "0.5 m" }'), Enquiry)
    with pytest.raises(InputError) as caught:
        rate(demo_pump, asked, load_liquid(LiquidSpecification("reference equation", ("Water",))))
    problem = caught.value.problem
    assert problem.field == "cases[1].vessel"
    assert problem.text.replace("\u202f", " ").replace("\u2009", " ") == (
        "leaves 0.15 bar a at the suction flange, below the vapour pressure at 60.0 °C (0.199 bar a): the liquid would "
        "boil before the pump")
    assert problem.do == ("a higher level, less loss in the suction line, or a colder liquid; check gauge against "
                          "absolute")


@pytest.fixture
def demo_pump():
    from importlib.resources import files

    from wetpath.edge.files import load_document

    return load_document(str(files("wetpath") / "data" / "demo" / "pumps" / "medium.toml"), PumpFile)
