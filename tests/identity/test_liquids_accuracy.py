"""Every table against its own source, between the knots: all liquids of the demo and liquids of every kind."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

import wetpath
from wetpath.edge.files import load_document
from wetpath.liquids import specification, table
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.liquids.specification import GivenProperties, LiquidSpecification, load_liquid
from wetpath.rating.enquiry import Enquiry

DEMO = Path(wetpath.__file__).parent / "data" / "demo"
#: Pressures above the base pressure, as shares of the height of the table; others than it is checked at when built
SHARES = np.array([0.0, 1e-5, 4e-4, 0.007, 0.06, 0.23, 0.55, 0.87, 1.0])
TEMPERATURES = 1501


def of(kind, *components, **more):
    return LiquidSpecification(kind, components, **more)


def rounded(digits):
    """A table as users have them: an invented liquid, each value to a few digits."""
    temperatures = np.linspace(270.0, 390.0, 25)
    away = temperatures - 330.0

    def told(values):
        return tuple(float(f"{value:.{digits}g}") for value in values)

    return GivenProperties(
        temperature=tuple(temperatures), density=told(870.0 - 0.95 * away - 8e-4 * away**2),
        heat_capacity=told(1850.0 + 3.6 * away), viscosity=told(4e-4 * np.exp(1100.0 * (1 / temperatures - 1 / 330.0))),
        conductivity=told(0.128 - 2.4e-4 * away),
        vapour_pressure=told(2.4e4 * np.exp(-4400.0 * (1 / temperatures - 1 / 330.0))), compressibility=9e-10,
        molar_mass=0.09)


def demo():
    """Each liquid of the demo once, by its name there."""
    found = {path.stem: load_document(path, LiquidFile).liquid.specification()
             for path in sorted((DEMO / "liquids").glob("*.toml"))}
    for path in sorted((DEMO / "enquiries").glob("*.toml")):
        enquiry = load_document(path, Enquiry)
        for liquid in (enquiry.liquid, *(other.liquid for other in enquiry.other_liquids)):
            if liquid is not None and liquid.specification() not in found.values():
                found[f"{path.stem}: {'+'.join(liquid.specification().components)}"] = liquid.specification()
    return found


LIQUIDS = {
    **demo(),
    **{name: of("reference equation", name) for name in (
        "water", "heavy water", "propane", "toluene", "benzene", "methanol", "n-hexane", "carbon dioxide", "argon",
        "nitrogen", "R152A", "R22")},
    **{f"{name} of the database": of("chemical database", name) for name in (
        "acetone", "toluene", "ethyl acetate", "styrene", "chloroform", "water", "n-butane", "propylene", "n-decane",
        "n-hexadecane", "methanol", "ammonia", "chlorine", "ethylene oxide", "pyridine", "diethanolamine", "cumene")},
    "ethanol and water": of("mixture", "ethanol", "water", fractions=(0.4, 0.6)),
    "pentane and hexane": of("mixture", "n-pentane", "n-hexane", fractions=(0.3, 0.7)),
    "propane and decane": of("mixture", "propane", "n-decane", fractions=(0.2, 0.8)),
    "acetone, toluene and methanol": of("mixture", "acetone", "toluene", "methanol", fractions=(0.3, 0.3, 0.4)),
    **{f"{name} in water": of("solution", name, fractions=(share,)) for name, share in (
        ("ethylene glycol", 0.4), ("sea salt", 0.035), ("calcium chloride", 0.2), ("methanol", 0.4),
        ("glycerol", 0.5))},
    **{f"table of {digits} digits": LiquidSpecification("table", name="solvent", given=rounded(digits))
       for digits in (3, 4, 6)},
    "table of three points": LiquidSpecification("table", name="solvent", given=GivenProperties(
        temperature=(280.0, 330.0, 360.0), vapour_pressure=(900.0, 1.7e4, 5.8e4), density=(900.0, 860.5, 834.0),
        heat_capacity=(1900.0, 2030.0, 2110.0), viscosity=(8e-4, 4.2e-4, 3.2e-4), conductivity=(0.14, 0.13, 0.124),
        compressibility=9e-10)),
    "given density of acetone": of("chemical database", "acetone", given=GivenProperties(
        temperature=tuple(np.linspace(270.0, 330.0, 13)),
        density=tuple(np.round(791.0 - 1.15 * (np.linspace(270.0, 330.0, 13) - 293.15))))),
    "given conductivity of acetone": of("reference equation", "acetone", given=GivenProperties(
        temperature=(270.0, 290.0, 310.0, 330.0), viscosity=(4.1e-4, 3.3e-4, 2.7e-4, 2.3e-4),
        conductivity=(0.171, 0.164, 0.156, 0.149)))}


@cache
def errors(name):
    """Largest relative errors of a table on a grid that is not the one it was built with; the liquid."""
    wanted = LIQUIDS[name]
    liquid = load_liquid(wanted, cache=False)
    source = specification._source(wanted)
    low, high = liquid.temperature_range
    temperatures = np.linspace(low, high, TEMPERATURES)[1:-1]
    excess = np.tile(liquid.highest_excess_pressure * SHARES, (temperatures.size, 1))
    expected = source.state(temperatures, excess)
    boiling = source.saturation(temperatures)[0]
    base = np.where(np.isnan(boiling), table.BASE_PRESSURE_IF_UNKNOWN, boiling)
    ours = np.asarray(liquid.state(temperatures[:, None], base[:, None] + excess))
    found = dict(zip(("density", "enthalpy", "heat_capacity", "viscosity", "conductivity"),
                     np.abs(ours / np.where(expected == 0.0, 1.0, expected) - 1.0).max(axis=(1, 2)), strict=True))
    # enthalpy: its rise by heating through a fiftieth of the range, and by compressing, against the heat of 1 K
    del found["enthalpy"]
    apart = temperatures.size // 50
    rise, own_rise = (values[1, apart:] - values[1, :-apart] for values in (expected, ours))
    found["enthalpy_difference"] = np.abs(own_rise / rise - 1.0).max()
    if liquid.has_vapour_pressure:
        found["vapour_pressure"] = np.abs(liquid.vapour_pressure(temperatures) / boiling - 1.0).max()
    return found, liquid


@pytest.mark.parametrize("name", LIQUIDS)
def test_table_keeps_what_is_promised(name):
    # 1e-5 of the vapour pressure, 1e-4 of all else
    found, liquid = errors(name)
    for quantity, error in found.items():
        assert error <= (1e-5 if quantity == "vapour_pressure" else 1e-4), f"{quantity}: {error:.1e}"
    assert not [text for text in liquid.warnings if "misses its accuracy" in text]


@pytest.mark.parametrize("name", LIQUIDS)
def test_errors_stored_are_the_errors_found(name):
    # maxima over other points, which this grid may exceed; a bend of the conductivity is looked at closely from 3e-5 on
    found, liquid = errors(name)
    for quantity, error in found.items():
        assert error <= max(2.0 * getattr(liquid.table_errors, quantity), 3e-5), quantity


@pytest.mark.parametrize("name", ["water", "argon", "R152A", "toluene", "heavy water"])
def test_value_and_slope_run_through_every_knot(name):
    arrays = errors(name)[1].arrays
    left, right = arrays.rows[:-1], arrays.rows[1:]
    known = ~np.isnan(arrays.rows).any(axis=(0, 2))
    size = np.abs(arrays.rows[:, known]).max(axis=(0, 2))
    value, slope = left.sum(axis=2) - right[:, :, 0], left @ np.arange(4.0) - right[:, :, 1]
    assert (np.abs(value[:, known]) <= 1e-11 * size).all()
    assert (np.abs(slope[:, known]) <= 1e-11 * size).all()
