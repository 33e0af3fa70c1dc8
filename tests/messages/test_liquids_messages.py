"""What the liquids say to the user, word for word."""

import math

import pytest

from wetpath.liquids.errors import PropertyMissing, UnknownLiquid, UnusableLiquid
from wetpath.liquids.specification import GivenProperties, LiquidSpecification, load_liquid

GAP = math.nan
ROWS = (280.0, 300.0, 320.0, 340.0)
FULL = {"temperature": ROWS, "vapour_pressure": (1e3, 3.4e3, 9.8e3, 2.5e4),
        "density": (900.0, 890.0, 880.0, 870.0),
        "heat_capacity": (2000.0, 2010.0, 2020.0, 2030.0), "viscosity": (1e-3, 8e-4, 6.5e-4, 5.4e-4),
        "conductivity": (0.14, 0.138, 0.136, 0.134), "compressibility": 1e-9}


def table(**changes):
    return LiquidSpecification("table", name="solvent", given=GivenProperties(**{**FULL, **changes}))


ERRORS = [
    (LiquidSpecification("reference equation", ("propaen",)), UnknownLiquid,
     'liquid = "propaen" is not a liquid with a reference equation known here. Did you mean n-Propane, '
     "Propylene or Propyne?\n  do:  use the chemical database, which knows far more substances, or give a table"),
    (LiquidSpecification("reference equation", ("acetone",)), PropertyMissing,
     'liquid = "acetone" has no viscosity and conductivity in the reference equations of state (CoolProp).\n'
     "  why: a rating needs density, heat capacity, viscosity and conductivity\n"
     '  do:  use the source "chemical database", or give the property in a table'),
    (LiquidSpecification("chemical database", ("dicloromethane",)), UnknownLiquid,
     'liquid.components = "dicloromethane" is not a substance of the chemical database known here. Did you '
     "mean dichloromethane, dichloroethane or dichloromethanone?\n"
     "  do:  use its CAS number, or give a table of its properties"),
    (LiquidSpecification("chemical database", ("sulfuric acid",)), PropertyMissing,
     'liquid = "sulfuric acid" has no vapour pressure and viscosity in the chemical database (chemicals and '
     'thermo).\n'
     "  why: a rating needs density, heat capacity, viscosity and conductivity\n"
     '  do:  give a table (source "table")'),
    (LiquidSpecification("mixture", ("benzene", "toluene"), (0.5, 0.4)), UnusableLiquid,
     "liquid.fractions = 0.5, 0.4 must be positive and add up to 1; they add up to 0.9.\n"
     "  do:  give the composition as fractions of 1"),
    (LiquidSpecification("mixture", ("benzene",), (1.0,)), UnusableLiquid,
     "liquid.components = benzene needs at least two different components and a fraction for each.\n"
     "  do:  give one fraction per component"),
    (LiquidSpecification("solution", ("sodium chloride",), (0.3,)), UnusableLiquid,
     "liquid.fractions = 0.3 is outside the correlation of sodium chloride; allowed: 0 to 0.23 by mass.\n"
     '  do:  give a table of the solution instead (source "table")'),
    (table(vapour_pressure=(1e3, 900.0, 9.8e3, 2.5e4)), UnusableLiquid,
     "liquid.given.vapour_pressure = 900 Pa does not rise from 280 K to 300 K.\n"
     "  why: a vapour pressure always rises with temperature\n  do:  correct the point"),
    (table(density=(900.0, -890.0, 880.0, 870.0)), UnusableLiquid,
     "liquid.given.density = -890 must be positive.\n  do:  correct the value, or leave a gap"),
    (table(conductivity=()), PropertyMissing,
     'liquid = "solvent" has no conductivity in the table.\n'
     "  why: a rating needs density, heat capacity, viscosity and conductivity\n"
     "  do:  add it to the table; one value is enough if it hardly changes"),
    (table(temperature=(280.0, 300.0, 300.0, 340.0)), UnusableLiquid,
     "liquid.given.temperature = 280, 300, 300, 340 must be positive and rise from row to row.\n"
     "  do:  sort the table by temperature and give each temperature once"),
    (table(compressibility=1e-7), UnusableLiquid,
     "liquid.given.compressibility = 1e-07 1/Pa is not the compressibility of a liquid; allowed: 0 to 1e-08 "
     "1/Pa.\n"
     "  do:  give the isothermal compressibility, for most liquids 3e-10 to 2e-9 1/Pa"),
]


@pytest.mark.parametrize(("specification", "kind", "text"), ERRORS)
def test_error(specification, kind, text):
    with pytest.raises(kind) as caught:
        load_liquid(specification, cache=False)
    assert str(caught.value) == text


WARNINGS = [
    (table(), ()),
    (table(compressibility=None),
     ("solvent is taken as incompressible: the table gives no compressibility.",)),
    (table(vapour_pressure=()), ("The vapour pressure of solvent is not known: no margin to boiling can be "
                                 "stated. Add it to the table.",)),
    (table(vapour_pressure=(GAP, 3.4e3, 9.8e3, 2.5e4)),
     ("The vapour pressure of solvent stands on 3 points only.",
      "The vapour pressure of solvent is continued below its points, from 300 K to 280 K.")),
    (table(vapour_pressure=(1e3, 3.4e3, 1.4e4, 2.5e4)),
     ("At 320 K the vapour pressure of solvent bends: its latent heat would jump from 56 to 26 kJ/mol "
      "(Clausius-Clapeyron). One of the points nearby is probably wrong.",)),
    (table(viscosity=(1e-3, 8e-4, 9e-4, 5.4e-4)),
     ("The viscosity of solvent rises from 300 K to 320 K; for almost every liquid it falls.",)),
    (table(heat_capacity=(2000.0, GAP, GAP, GAP)),
     ("The heat capacity of solvent is one value at 280 K, taken for all temperatures.",)),
]


@pytest.mark.parametrize(("specification", "texts"), WARNINGS)
def test_warning(specification, texts):
    assert load_liquid(specification, cache=False).warnings == texts


def test_unknown_vapour_pressure_of_a_volatile_solution():
    liquid = load_liquid(LiquidSpecification("solution", ("ethanol",), (0.3,)), cache=False)
    assert liquid.warnings == (
        "The vapour pressure of water with 30 % by mass of ethanol is not known: no margin to boiling can be "
        "stated. Give a vapour pressure table with the liquid.",)


def test_estimates_are_told():
    liquid = load_liquid(LiquidSpecification("chemical database", ("dichloromethane",)), cache=False)
    assert liquid.warnings == (
        "The heat capacity of dichloromethane is an estimate from its critical constants (ROWLINSON_POLING "
        "scaled to CRCSTD at 298.15 K), not a fit to measurements.",)


def test_a_range_that_is_not_reached_is_told():
    liquid = load_liquid(LiquidSpecification("reference equation", ("water",),
                                             temperature_range=(274.0, 800.0)),
                         cache=False)
    assert len(liquid.warnings) == 1
    assert liquid.warnings[0].startswith("The table of water ends at ")
    assert liquid.warnings[0].endswith(" K, not at 800.00 K: above that the source gives no value or changes "
                                       "too fast.")
