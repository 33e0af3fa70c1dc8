"""Our splines against those of scipy, which would cost a quarter of a second at every start."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline, PchipInterpolator

from wetpath.physics import piecewise_polynomial as ours


@pytest.mark.parametrize("seed", range(40))
def test_both_splines_are_those_of_scipy(seed):
    random = np.random.default_rng(seed)
    count = int(random.integers(4, 12))
    x = np.cumsum(random.uniform(0.2, 2.0, count))
    y = random.normal(size=count)
    places = np.linspace(x[0], x[-1], 97)
    found = ours.value(ours.through_points(x, y), places)
    either = [CubicSpline(x, y)(places), PchipInterpolator(x, y)(places)]
    assert min(np.abs(found - reference).max() for reference in either) < 1e-12
    monotone = ours.monotone_through_points(x, y)
    assert ours.value(monotone, places) == pytest.approx(PchipInterpolator(x, y)(places), rel=1e-12, abs=1e-12)


def test_a_smooth_curve_takes_the_cubic_spline():
    x = np.linspace(0.0, 3.0, 9)
    y = 5.0 - x**2
    places = np.linspace(0.0, 3.0, 50)
    assert ours.value(ours.through_points(x, y), places) == pytest.approx(CubicSpline(x, y)(places), rel=1e-12)
