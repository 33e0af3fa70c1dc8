"""Our table of units against pint, unit by unit, and pint as the dictionary for the others."""

import pint
import pytest

from wetpath.edge import quantities as q
from wetpath.edge.quantities import KINDS
from wetpath.edge.units import find_unit, parse
from wetpath.errors import UnitError

REGISTRY = pint.UnitRegistry(cache_folder=None)
REGISTRY.define("kilocalorie_it = 1000 * cal_it")
# How pint spells what we spell otherwise.
SPELLED = {
    "gpm": "gallon/minute", "imp gpm": "imperial_gallon/minute", "imp gal": "imperial_gallon",
    "gal": "gallon", "bbl/d": "oil_bbl/day", "rpm": "revolution/minute", "uohm m": "microohm*m",
    "uohm cm": "microohm*cm", "ohm mm2/m": "ohm*mm**2/m", "degC": "delta_degC", "degF": "delta_degF",
    "degR": "delta_degF", "1": "", "%": "percent", "%/K": "percent/kelvin", "ppm/K": "ppm/kelvin",
    "1/degF": "1/delta_degF", "%/degF": "percent/delta_degF", "BTU/h": "Btu_it/hour", "BTU/lb": "Btu_it/lb",
    "BTU/(lb degF)": "Btu_it/lb/delta_degF", "BTU/(h ft degF)": "Btu_it/hour/ft/delta_degF",
    "BTU/(h ft2 degF)": "Btu_it/hour/ft**2/delta_degF", "kcal/(kg K)": "kilocalorie_it/kg/K", "mil": "thou",
    "P": "poise", "hp": "horsepower", "T": "tesla", "t": "metric_ton", "t/h": "metric_ton/hour",
    "kgf/cm2": "kilogram_force/cm**2", "inHg": "inch_Hg", "um": "micrometer", "uPa s": "micropascal*second",
    "psi": "pound_force_per_square_inch", "lbf ft": "pound_force*foot", "lbf in": "pound_force*inch",
    "l": "liter", "d": "day", "m3/d": "m**3/day", "1/K": "1/kelvin",
}
# pint counts gauss and oersted as units of the Gaussian system; their factors are checked against printed rows.
GAUSSIAN = ("G", "kG", "Oe", "kOe")
ALL = [(kind, unit) for kind in KINDS.values() for unit in kind.units if unit.name not in GAUSSIAN]


def _spelled(name: str) -> str:
    if name in SPELLED:
        return SPELLED[name]
    text = "".join(f"**{c}" if c.isdigit() else c for c in name).replace("/**1", "/1")
    return text.replace(" ", "*") if not text.startswith("**") else text


# pint keeps its pounds, gallons and mercury columns to 7 and more digits.
@pytest.mark.parametrize(("kind", "unit"), ALL, ids=lambda item: item.name.replace(" ", "_"))
def test_unit_agrees_with_pint(against, kind, unit):
    theirs = REGISTRY.Quantity(1.0, _spelled(unit.name)).to(_spelled(kind.si.name)).magnitude
    against("pint", "computed", f"{unit.name} of {kind.name}", unit.factor, theirs, rel=1e-6, unit=kind.si.name)


@pytest.mark.parametrize("degrees", [-40.0, 0.0, 25.0, 212.0])
@pytest.mark.parametrize("unit", ["degC", "degF", "degR"])
def test_temperatures_with_their_own_zero_agree_with_pint(unit, degrees):
    if unit == "degR" and degrees <= 0:
        return
    theirs = REGISTRY.Quantity(degrees, unit).to("kelvin").magnitude
    assert parse(f"{degrees} {unit}", q.TEMPERATURE) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize(("text", "kind", "expected"), [
    ("3 acre*foot/day", q.VOLUME_FLOW, 3 * 43560 * 0.3048**3 / 86400), ("2 fathom", q.LENGTH, 2 * 1.8288),
    ("5 N/mm2 a", q.PRESSURE, 5e6), ("1 slug", q.MASS, 14.5939029), ("3 mile/hour", q.VELOCITY, 3 * 0.44704)])
def test_units_outside_our_table_come_from_pint(text, kind, expected):
    # The acre of pint is the survey acre, 4 parts per million larger.
    assert parse(text, kind) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("text", ["m**99999999", "9**9**9**9", "__import__", "m" * 300, "(((", "m3/h/h", "%"])
def test_odd_unit_texts_are_refused_at_once(text):
    with pytest.raises(UnitError):
        find_unit(text, q.VOLUME_FLOW)
