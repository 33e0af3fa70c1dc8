"""Bubble pressures of mixtures against published equilibria.

Benzene and toluene: the textbook ideal mixture. The printed compositions follow from Raoult's law with the
printed vapour pressures, which differ by up to 0.7 % from ours; the real vapour takes off some 2 % more at 1
atm. Tolerance 2.5 %.
"""

from functools import cache

import pytest

from wetpath.liquids.specification import LiquidSpecification, load_liquid

# Geankoplis table 11.1-1 at 101.325 kPa: degC, mole fraction of benzene in the boiling liquid
BENZENE_TOLUENE = [(85.0, 0.780), (90.0, 0.581), (95.0, 0.411), (100.0, 0.258), (105.0, 0.130)]


@cache
def liquids(kind, *components, **options):
    return load_liquid(LiquidSpecification(kind, components, **options), cache=False)


@pytest.mark.published("geankoplis-benzene-toluene", status="recalled")
@pytest.mark.parametrize(("celsius", "benzene"), BENZENE_TOLUENE)
def test_benzene_and_toluene_boil_at_one_atmosphere(against, celsius, benzene):
    liquid = liquids("mixture", "benzene", "toluene", fractions=(benzene, 1 - benzene), basis="mole")
    against("geankoplis-benzene-toluene", "recalled",
            f"bubble pressure at {celsius:g} degC, mole fraction of benzene {benzene:g}",
            liquid.vapour_pressure(celsius + 273.15), 101325.0, rel=0.025, unit="Pa")


@pytest.mark.published("handbook-liquids", status="recalled")
def test_azeotrope_of_ethanol_and_water(against):
    # 78.15 degC, 0.894 mole fraction of ethanol; group contribution methods are good to 1 to 2 % here
    liquid = liquids("mixture", "ethanol", "water", fractions=(0.894, 0.106), basis="mole")
    against("handbook-liquids", "recalled",
            "bubble pressure of the azeotrope of ethanol and water at 78.15 degC",
            liquid.vapour_pressure(351.30), 101325.0, rel=0.02, unit="Pa")
