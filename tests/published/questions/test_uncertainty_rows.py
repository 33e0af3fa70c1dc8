"""Indices of variance and intervals of probabilities against published functions and closed forms."""

import numpy as np
import pytest

from wetpath.questions.uncertainty.indices import exchanged, indices_of, sobol_points
from wetpath.questions.uncertainty.study import probability_interval

COUNT = 4096


def indices(function, inputs: int, count: int = COUNT, seed: int = 3):
    first, second = sobol_points(inputs, count, seed)
    crossed = exchanged(first, second)
    return indices_of(function(first), function(second), np.array([function(page) for page in crossed]), seed)


def ishigami(points):
    x = np.pi * (2 * points - 1)
    return np.sin(x[:, 0]) + 7 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


@pytest.mark.published("ishigami-homma-1990", status="derived")
def test_ishigami_function(against):
    # closed form for a = 7, b = 0.1 (variance a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2); the tolerance is some four
    # standard errors of 4096 base points
    found = indices(ishigami, 3)
    variance = 7**2 / 8 + 0.1 * np.pi**4 / 5 + 0.01 * np.pi**8 / 18 + 0.5
    alone = np.array([0.5 * (1 + 0.1 * np.pi**4 / 5) ** 2, 49 / 8, 0.0]) / variance
    third = 0.01 * np.pi**8 * (1 / 18 - 1 / 50) / variance
    total = alone + np.array([third, 0.0, third])
    assert np.allclose(alone, [0.3139, 0.4424, 0.0], atol=5e-5)      # as printed
    assert np.allclose(total, [0.5576, 0.4424, 0.2437], atol=5e-5)
    for number in range(3):
        against("ishigami-homma-1990", "derived", f"first-order index of x{number + 1}", found.first[number],
                alone[number], abs=0.02)
        against("ishigami-homma-1990", "derived", f"total index of x{number + 1}", found.total[number], total[number],
                abs=0.02)
    inside = (found.total_interval[:, 0] <= total) & (total <= found.total_interval[:, 1])
    assert inside.all()


@pytest.mark.published("variance-of-a-sum", status="derived")
def test_sum_of_independent_inputs(against):
    # y = 1 a + 2 b + 3 c of inputs even between 0 and 1: shares 1, 4 and 9 of 14, alone as with others
    found = indices(lambda points: points @ np.array([1.0, 2.0, 3.0, 0.0]), 4)
    for number, share in enumerate((1 / 14, 4 / 14, 9 / 14, 0.0)):
        against("variance-of-a-sum", "derived", f"first-order index {number + 1} of a sum", found.first[number], share,
                abs=0.005)
        against("variance-of-a-sum", "derived", f"total index {number + 1} of a sum", found.total[number], share,
                abs=0.005)
    assert found.first_interval[3].tolist() == [0.0, 0.0]     # an input that does nothing


def test_a_constant_has_no_causes():
    found = indices(lambda points: np.full(len(points), 4.0), 2, count=128)
    assert found.first.tolist() == found.total.tolist() == [0.0, 0.0]


@pytest.mark.published("wilson-1927", status="derived")
@pytest.mark.parametrize(("holds", "count"), [(10, 10), (0, 50), (30, 100), (4095, 4096)])
def test_interval_of_a_probability(against, holds, count):
    # the closed form of the score interval, z = 1.959964
    z, share = 1.959963984540054, holds / count
    middle = (share + z**2 / (2 * count)) / (1 + z**2 / count)
    half = z / (1 + z**2 / count) * np.sqrt(share * (1 - share) / count + z**2 / (4 * count**2))
    low, high = probability_interval(holds, count)
    against("wilson-1927", "derived", f"lower end, {holds} of {count}", low, middle - half, abs=1e-12)
    against("wilson-1927", "derived", f"upper end, {holds} of {count}", high, middle + half, abs=1e-12)
