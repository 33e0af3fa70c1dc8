"""The smooth fit of test points against numpy's least squares, brute-force leaving out, and a known noisy curve."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.physics.pump.smooth_fit import smooth_fit

KEY = "numpy-polyfit"


def test_coefficients_are_those_of_plain_least_squares(against):
    rng = np.random.default_rng(3)
    q = np.linspace(0, 70, 15)
    h = 70 - 0.0035 * q**2 + rng.normal(0, 0.2, q.size)
    fit = smooth_fit(q, h)
    plain = np.polynomial.Polynomial.fit(q, h, fit.degree)
    for flow in (0.0, 33.0, 70.0):
        against(KEY, "computed", f"fitted head at {flow:g}", fit(flow), plain(flow), rel=1e-9, unit="m")


def test_degree_is_the_one_that_predicts_left_out_points_best():
    rng = np.random.default_rng(11)
    q = np.linspace(0, 70, 12)
    for true_degree, curve in ((2, 70 - 0.0035 * q**2), (1, 3 + 0.1 * q), (3, 60 + 0.2 * q - 1.6e-4 * q**3)):
        y = curve + rng.normal(0, 0.02, q.size)
        left_out = {}
        for degree in range(1, 5):
            errors = []
            for one in range(q.size):
                kept = np.arange(q.size) != one
                errors.append(y[one] - np.polynomial.Polynomial.fit(q[kept], y[kept], degree)(q[one]))
            left_out[degree] = np.sum(np.square(errors))
        best = smooth_fit(q, y).degree
        assert left_out[best] <= min(left_out.values()) * 1.002
        assert best >= true_degree


def test_a_small_rise_is_noise_a_large_one_is_told():
    q = np.linspace(0, 70, 15)
    rng = np.random.default_rng(5)
    flat = 70 - 1.1e-5 * q**3.2
    noisy = smooth_fit(q, flat + rng.normal(0, 0.5, q.size), "falling")
    heads = noisy(np.linspace(0, 70, 500))
    assert (np.diff(heads) <= 1e-9).all()
    humped = smooth_fit(q, 60 + 0.4 * q - 0.008 * q**2 + rng.normal(0, 0.02, q.size), "falling")
    assert not humped.held
    assert float(humped(25.0)) > float(humped(0.0)) + 4


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-0.4, 0.4), min_size=9, max_size=9), st.floats(0.0, 0.01))
def test_a_held_curve_never_rises(noise, steepness):
    q = np.linspace(0, 64, 9)
    fit = smooth_fit(q, 60 - steepness * q**2 / 2 + np.array(noise), "falling")
    heads = fit(np.linspace(0, 64, 300))
    if fit.held:
        assert (np.diff(heads) <= 1e-8).all()
    assert np.isfinite(heads).all()


def test_too_few_points_are_refused():
    with pytest.raises(ValueError, match="at least three different points"):
        smooth_fit([0.0, 1.0, 1.0], [3.0, 2.0, 2.1])
