"""A wall without liquid against a step-by-step integration, and settling temperatures by hand."""

import numpy as np
import pytest

from wetpath.edge.tables import material
from wetpath.physics.heat.dry_shell import common_temperature, dry_heating_time


@pytest.mark.published("dry-wall-balance", status="derived")
@pytest.mark.parametrize("reached", [305.0, 400.0, 700.0])
def test_time_against_small_steps(against, reached):
    flux, capacity, loss, air, start = 33e3, 3040.0, 40.0, 310.0, 300.0
    temperature, time, step = start, 0.0, 1e-3
    while temperature < reached:
        temperature += step * (flux - loss * (temperature - air)) / capacity
        time += step
    against("dry-wall-balance", "derived", f"time of a dry wall to {reached:.0f} K",
            dry_heating_time(flux, capacity, loss, start, reached, air), time, rel=2e-3, unit="s")


def test_ends_of_the_range():
    assert dry_heating_time(1e4, 3000.0, 0.0, 300.0, 290.0, 300.0) == 0.0
    assert dry_heating_time(1e4, 3000.0, 50.0, 300.0, 501.0, 300.0) == np.inf      # settles at 500 K
    assert dry_heating_time(0.0, 3000.0, 50.0, 300.0, 301.0, 300.0) == np.inf
    nearly = dry_heating_time(1e4, 3000.0, 1e-9, 300.0, 320.0, 300.0)
    assert nearly == pytest.approx(float(dry_heating_time(1e4, 3000.0, 0.0, 300.0, 320.0, 300.0)), rel=1e-6)


def test_common_temperature_keeps_the_heat():
    capacities, temperatures = np.array([[1.0, 2.0], [5.0, 7.0]]), np.array([[300.0, 310.0], [350.0, 330.0]])
    settled = common_temperature(capacities, temperatures)
    assert (capacities * (temperatures - settled)).sum(axis=0) == pytest.approx(0.0, abs=1e-9)


# Rule of Dulong and Petit, 3 R for each mole: metals that are nearly one element. Atomic masses of the periodic table.
@pytest.mark.published("dulong-petit", status="recalled")
@pytest.mark.parametrize(("uns", "molar_mass"), [("R50400", 47.867e-3), ("R60702", 91.224e-3), ("N04400", 60.2e-3)])
def test_heat_capacities_of_metals(against, uns, molar_mass):
    against("dulong-petit", "recalled", f"heat capacity of {uns}", material(uns).heat_capacity,
            3 * 8.314462 / molar_mass, rel=0.06, unit="J/(kg K)")     # the rule holds to some 5 % at room temperature
