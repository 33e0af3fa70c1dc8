"""Pressure laws of the passages: signs, limits, scaling, continuity; NaN in, NaN out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.physics.flow.annulus import annulus_friction_factor, film_axial_conductance
from wetpath.physics.flow.orifice import dynamic_pressure, orifice_loss_coefficient
from wetpath.physics.flow.pipe_friction import pipe_friction_exponent, pipe_friction_factor
from wetpath.physics.flow.rotating_hole import incidence_loss, rotating_pipe_friction_ratio, rotation_head
from wetpath.physics.flow.rotor_stator_cavity import STILL_CORE_RATIO, outflow_core_ratio

QUICK = settings(max_examples=60, deadline=None)
reynolds = st.floats(1e-2, 1e8)
roughness = st.floats(0.0, 0.05)


@QUICK
@given(reynolds, roughness)
def test_loss_rises_with_flow_and_with_roughness(re, rough):
    """f Re^2, the loss at given fluid and size, never falls: one flow for one pressure difference."""
    loss = pipe_friction_factor(re * np.array([1.0, 1.001]), rough) * (re * np.array([1.0, 1.001])) ** 2
    assert loss[1] > loss[0]
    assert pipe_friction_factor(re, rough) >= pipe_friction_factor(re, 0.0) * (1 - 1e-12)


@QUICK
@given(reynolds, roughness)
def test_exponent_of_friction_is_the_slope_on_logarithmic_axes(re, rough):
    """Against a central difference of the factor itself; 1e-6 covers its error where laminar flow breaks down."""
    step = 1e-5
    below, above = np.log(pipe_friction_factor(re * np.exp([-step, step]), rough))
    assert pipe_friction_exponent(re, rough) == pytest.approx((above - below) / (2 * step), abs=1e-6)


@pytest.mark.parametrize("rough", [1e-3, 0.01, 0.05])
def test_fully_rough_flow_forgets_the_reynolds_number(rough):
    """Nikuradse: f = [2 lg(3.7 D/e)]^-2 far out (recalled); 2 % covers Churchill's constants."""
    far = pipe_friction_factor(1e10, rough)
    assert far == pytest.approx(pipe_friction_factor(1e12, rough), rel=1e-4)
    assert far == pytest.approx((2 * np.log10(3.7 / rough)) ** -2, rel=0.02)


@QUICK
@given(st.floats(1e-2, 1e5), st.floats(0.0, 200.0))
def test_annulus_loss_rises_with_flow_and_with_speed(axial, ratio):
    """The loss f V^2 rises with flow at constant rotor speed, and never falls with the speed."""
    more = 1.001
    assert annulus_friction_factor(more * axial, ratio / more) * more**2 > annulus_friction_factor(axial, ratio)
    assert annulus_friction_factor(axial, 1.01 * ratio) >= annulus_friction_factor(axial, ratio)


def test_annulus_friction_is_continuous():
    axial = np.geomspace(1.0, 1e5, 20001)
    for ratio in (0.0, 1.0, 40.0):
        factor = annulus_friction_factor(axial, ratio)
        assert np.abs(np.diff(np.log(factor))).max() < 1.1 * np.log(axial[1] / axial[0])


def test_an_eccentric_film_passes_two_and_a_half_times_the_flow():
    """1 + 1.5 eps^2 at eps 1, a classic of lubrication."""
    concentric = film_axial_conductance(0.02, 4e-5, 0.03, 800.0, 3e-4, 0.0)
    assert film_axial_conductance(0.02, 4e-5, 0.03, 800.0, 3e-4, 1.0) == pytest.approx(2.5 * concentric)
    assert film_axial_conductance(0.02, 8e-5, 0.03, 800.0, 3e-4, 0.0) == pytest.approx(8 * concentric)


@QUICK
@given(st.floats(-50, 50), st.floats(100, 1500))
def test_dynamic_pressure_is_odd(velocity, density):
    assert dynamic_pressure(density, -velocity) == -dynamic_pressure(density, velocity)
    assert dynamic_pressure(density, 2 * velocity) == pytest.approx(4 * dynamic_pressure(density, velocity))


def test_a_perfect_orifice_loses_its_dynamic_pressure():
    assert orifice_loss_coefficient(1.0) == 1.0


@QUICK
@given(st.floats(0, 0.2), st.floats(0, 0.2), st.floats(0, 0.2), st.floats(0, 1))
def test_rotation_head_adds_up_and_turns_its_sign(a, b, c, core):
    head = [rotation_head(900.0, 310.0, *pair, core) for pair in ((a, b), (b, c), (a, c), (c, a))]
    assert head[0] + head[1] == pytest.approx(head[2], abs=1e-6)
    assert head[2] == -head[3]


def test_no_speed_no_body_terms():
    assert rotation_head(900.0, 0.0, 0.01, 0.05, 1.0) == 0.0
    assert incidence_loss(900.0, 0.0, 0.014, 0.1, 1.0) == 0.0


@QUICK
@given(st.floats(1e3, 1e6), st.floats(0.0, 1e6))
def test_friction_in_rotation_is_never_below_that_at_rest(re, turning):
    assert 1.0 <= rotating_pipe_friction_ratio(re, turning) <= 0.942 + 0.058 * 5e5**0.282


@QUICK
@given(st.floats(-0.1, 1.0), st.floats(0.1, 1.0))
def test_outflow_slows_the_core(flow, share):
    ratio = outflow_core_ratio(flow, 4e-4, 0.042 * share, 0.042, 1e6)
    assert 0.0 < ratio <= STILL_CORE_RATIO
    assert ratio >= outflow_core_ratio(flow + 0.1, 4e-4, 0.042 * share, 0.042, 1e6)


@pytest.mark.parametrize("value", [
    annulus_friction_factor(np.nan, 1.0), annulus_friction_factor(1e3, np.nan), pipe_friction_factor(1e3, np.nan),
    rotation_head(np.nan, 1.0, 0.0, 0.1, 1.0), outflow_core_ratio(np.nan, 1e-3, 0.01, 0.02, 1e5),
    film_axial_conductance(0.02, np.nan, 0.03, 800.0, 3e-4, 0.0)])
def test_nan_in_nan_out(value):
    assert np.isnan(value)
