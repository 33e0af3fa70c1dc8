"""Heat transfer: balances, limits, monotony; NaN in, NaN out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.physics.heat.annulus_heat_transfer import annulus_nusselt
from wetpath.physics.heat.boiling import critical_heat_flux, vapour_volume_share
from wetpath.physics.heat.cooler import counterflow_effectiveness
from wetpath.physics.heat.shell_wall import RESISTIVITY_REFERENCE, wall_temperature

QUICK = settings(max_examples=60, deadline=None)


@QUICK
@given(st.floats(0, 5e3), st.floats(0, 5e-3), st.floats(0.1, 500), st.floats(200, 500), st.floats(0, 50),
       st.floats(230, 330))
def test_wall_balance_closes(heat, slope, inside, liquid, outside, air):
    """Eddy heat of the wall's own resistivity equals heat to liquid plus heat to air."""
    wall = wall_temperature(heat, slope, inside, liquid, outside, air)
    made = heat / (1 + slope * (wall - RESISTIVITY_REFERENCE))
    given_away = inside * (wall - liquid) + outside * (wall - air)
    rounding = 1e-14 * (inside + outside) * max(liquid, wall)
    assert made - given_away == pytest.approx(0.0, abs=1e-9 * made + rounding)


def test_unheated_wall_stands_between_liquid_and_air():
    assert wall_temperature(0.0, 1e-3, 3.0, 350.0, 1.0, 310.0) == pytest.approx(340.0)


@QUICK
@given(st.floats(0.0, 20.0), st.floats(0.0, 1.0))
def test_effectiveness_lies_between_the_balanced_and_the_boiling_exchanger(units, ratio):
    ours = counterflow_effectiveness(units, ratio)
    assert units / (1 + units) - 1e-7 <= ours <= 1 - np.exp(-units) + 1e-12


def test_effectiveness_is_continuous_at_balance():
    """The difference of ones loses digits near balance, 1e-7 at a ratio of 1 - 1e-8."""
    assert counterflow_effectiveness(2.0, 1 - 1e-8) == pytest.approx(2 / 3, rel=2e-7)
    assert counterflow_effectiveness(2.0, 1.0) == pytest.approx(2 / 3, rel=1e-12)


@QUICK
@given(st.floats(1.0, 1e6), st.floats(0.5, 50.0))
def test_nusselt_never_falls_with_flow_and_never_below_laminar(effective, prandtl):
    low, high = annulus_nusselt(effective * np.array([1.0, 1.01]), prandtl, 0.0011, 0.05, 1.026)
    assert high >= low >= 5.385


@QUICK
@given(st.floats(1e-6, 1.0))
def test_vapour_fills_more_volume_than_mass(share):
    volume = vapour_volume_share(share, 600.0, 8.0)
    mass = volume * 8.0 / (volume * 8.0 + (1 - volume) * 600.0)
    assert mass == pytest.approx(share, rel=1e-9)


def test_critical_flux_vanishes_at_the_critical_point():
    assert critical_heat_flux(220.0, 220.0, 0.0, 0.0) == 0.0


@pytest.mark.parametrize("value", [
    wall_temperature(np.nan, 0.0, 1.0, 300.0, 0.0, 300.0), annulus_nusselt(np.nan, 3.0, 0.001, 0.05, 1.02),
    counterflow_effectiveness(np.nan, 0.5), counterflow_effectiveness(1.0, np.nan)])
def test_nan_in_nan_out(value):
    assert np.isnan(value)
