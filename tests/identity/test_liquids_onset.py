"""The levelling of a conductivity that sets in along a line: less error, nothing else touched, smooth at its ends."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from wetpath.liquids import lookup, onset

INTERVALS, TERMS = 40, 6
CONDUCTIVITY = slice(lookup.STATE + lookup.CONDUCTIVITY, None, 5)


def bent(intervals, x, y):
    """Grows as the square root of the distance from a line that crosses four intervals, as published equations do."""
    along = (intervals + x)[:, None]
    return 0.6 - 2e-3 * along + 0.02 * y + 1.2e-3 * np.sqrt(np.maximum(along - 17.3 - 4.0 * y, 0.0))


def straight(intervals, x, y):
    return 0.6 - 2e-3 * (intervals + x)[:, None] + 0.02 * y


def table(source):
    """Rows of a table that meets the source at the knots and the levels of the pressure polynomials."""
    y = 0.5 - 0.5 * np.cos(np.pi * np.arange(TERMS) / (TERMS - 1))
    knots = np.arange(INTERVALS + 1)
    polynomials = source(knots, np.zeros(knots.size), y) @ np.linalg.inv(np.vander(y, increasing=True)).T
    rows = np.ones((INTERVALS, lookup.STATE + 5 * TERMS, 4))
    rows[:, CONDUCTIVITY] = np.moveaxis(CubicSpline(knots, polynomials).c[::-1], 0, -1)
    return rows


def dense(rows, source):
    intervals, x = np.repeat(np.arange(INTERVALS), 41), np.tile(np.linspace(0.0, 1.0, 41), INTERVALS)
    y = np.linspace(0.0, 1.0, 61)
    errors = np.abs(onset.conductivity(rows, TERMS, intervals, x, y) / source(intervals, x, y) - 1.0)
    return errors.reshape(INTERVALS, -1).max(axis=1)


def test_the_largest_error_falls_to_less_than_half():
    before = table(bent)
    first, end = onset.stretches(dense(before, bent), 5e-5)[0]
    after = onset.levelled(before, TERMS, first, end, bent)
    assert dense(before, bent).max() > 2e-4
    assert dense(after, bent).max() < 0.5 * dense(before, bent).max()
    found, place = onset.largest_error(after, TERMS, first, end, bent)
    assert found == pytest.approx(dense(after, bent).max(), rel=0.25)
    assert first <= place <= end


def test_nothing_else_moves():
    before = table(bent)
    kept = before.copy()
    after = onset.levelled(before, TERMS, 15, 24, bent)
    np.testing.assert_array_equal(before, kept)
    changed = np.ones(before.shape, dtype=bool)
    changed[15:24, CONDUCTIVITY] = False
    np.testing.assert_array_equal(after[changed], before[changed])


@pytest.mark.parametrize(("first", "end"), [(15, 24), (0, 24), (15, INTERVALS)])
def test_value_and_slope_run_through(first, end):
    rows = onset.levelled(table(bent), TERMS, first, end, bent)[:, CONDUCTIVITY]
    np.testing.assert_allclose(rows[:-1].sum(axis=2), rows[1:, :, 0], atol=1e-12)
    np.testing.assert_allclose(rows[:-1] @ np.arange(4.0), rows[1:, :, 1], atol=1e-12)


def test_what_is_met_already_stays():
    before = table(straight)
    np.testing.assert_allclose(onset.levelled(before, TERMS, 10, 20, straight), before, atol=1e-12)


def test_stretches_are_one_wider_and_grow_together():
    errors = np.zeros(30)
    errors[[0, 5, 6, 9, 20, 29]] = 1.0
    assert onset.stretches(errors, 0.5) == [(0, 2), (4, 11), (19, 22), (28, 30)]
    assert onset.stretches(np.ones(30), 0.5) == []
    assert onset.stretches(errors, 2.0) == []
