"""Friction of round passages against printed rows and the library fluids."""

import fluids
import numpy as np
import pytest

from wetpath.physics.flow.pipe_friction import pipe_friction_factor


@pytest.mark.published("wetpath-worked-example-w1", status="computed")
@pytest.mark.parametrize(("reynolds", "roughness", "factor"), [
    (1000.0, 0.0, 0.064000), (1e5, 0.0, 0.0178748), (1e5, 1e-3, 0.0223432)])
def test_check_values(against, reynolds, roughness, factor):
    """Six digits are printed."""
    against("wetpath-worked-example-w1", "computed", f"Darcy factor at Re {reynolds:g}, e/D {roughness:g}",
            pipe_friction_factor(reynolds, roughness), factor, abs=6e-8 if reynolds > 1e4 else 5e-7)


@pytest.mark.published("fluids-library", status="computed")
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 1e-3, 1e-2, 0.05])
@pytest.mark.parametrize("reynolds", [1.0, 500.0, 2300.0, 4e3, 1e4, 1e6, 1e8])
def test_same_formula_in_the_library_fluids(against, reynolds, roughness):
    """Both hold the same equation: equal to rounding."""
    against("fluids-library", "computed", f"Darcy factor at Re {reynolds:g}, e/D {roughness:g}",
            pipe_friction_factor(reynolds, roughness), fluids.friction.Churchill_1977(reynolds, roughness), rel=1e-12)


@pytest.mark.published("churchill-1977", status="recalled")
@pytest.mark.parametrize("roughness", [1e-5, 1e-4, 1e-3, 1e-2, 0.05])
@pytest.mark.parametrize("reynolds", [4e3, 1e4, 1e5, 1e6, 1e8])
def test_turbulent_values_follow_colebrook(against, reynolds, roughness):
    """Churchill's approximation of Colebrook's equation; 4 % covers the grid, the worst is at Re 4000."""
    colebrook = fluids.friction.Colebrook(reynolds, roughness)
    against("fluids-library", "computed", f"Colebrook's factor at Re {reynolds:g}, e/D {roughness:g}",
            pipe_friction_factor(reynolds, roughness), colebrook, rel=0.04)


@pytest.mark.published("churchill-1977", status="recalled")
@pytest.mark.parametrize("reynolds", [1e-2, 1.0, 100.0, 1500.0])
def test_laminar_limit(against, reynolds):
    """64/Re is exact; the blend with the turbulent branch costs 3e-7 at Re 1500."""
    against("churchill-1977", "derived", f"64/Re at Re {reynolds:g}", pipe_friction_factor(reynolds, 0.0),
            64.0 / reynolds, rel=1e-6)


def test_array_and_nan():
    factors = pipe_friction_factor(np.array([np.nan, 1e5]), 0.0)
    assert np.isnan(factors[0])
    assert factors[1] == pytest.approx(pipe_friction_factor(1e5, 0.0), rel=1e-14)
