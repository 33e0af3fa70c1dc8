"""The robust slope of a trend against the example of its publication, and against all its pairs counted by hand."""

import itertools

import numpy as np
import pytest

from wetpath.fleet.trend import robust_slope

#: Example of Sen (1968), section 6: slope 4.0, interval at 93 % from 26/7 to 35/8.
X = np.array([1.0, 2, 3, 4, 10, 12, 18])
Y = np.array([9.0, 15, 19, 20, 45, 55, 78])


@pytest.mark.published("sen-1968", status="recalled")
def test_the_example_of_the_publication(against):
    slope, low, high = robust_slope(X, Y, 0.93)
    against("sen-1968", "recalled", "slope of the example", slope, 4.0, abs=1e-12)
    against("sen-1968", "recalled", "lower bound of the example at 93 %", low, 26 / 7, abs=1e-12)
    against("sen-1968", "recalled", "upper bound of the example at 93 %", high, 35 / 8, abs=1e-12)


@pytest.mark.published("sen-1968", status="derived")
@pytest.mark.parametrize("seed", [1, 2])
def test_the_slope_is_the_median_of_all_pairs(seed, against):
    random = np.random.default_rng(seed)
    day = np.sort(random.uniform(0, 30, 24))
    level = 3.0 - 0.02 * day + 0.1 * random.standard_cauchy(24)
    pairs = [(level[b] - level[a]) / (day[b] - day[a]) for a, b in itertools.combinations(range(24), 2)]
    against("sen-1968", "derived", f"slope of 24 points with outliers, seed {seed}", robust_slope(day, level, 0.95)[0],
            np.median(pairs), abs=1e-12)
