"""Where a published conductivity bends sharply, sets the spline so that its largest error is the least possible.

The critical enhancement of the published equations is zero in the cold liquid and sets in along one line of
temperature and pressure, as about the square root of the distance from it (water: at 430 K and its vapour pressure, at
436 K 10 MPa above). Conductivity is continuous there, its slope is not, and a spline through the source at the knots
swings around it. Of the splines on the same knots this takes the one whose largest relative error is (nearly) least:
a third of the error, at no cost in size or at look-up.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded

from wetpath.liquids import lookup

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
#: Conductivity (m, q) at m interval numbers and places in them (0 to 1) and q values of y
Conductivity = Callable[[Whole, Array, Array], Array]

_PLACES = np.linspace(0.0, 1.0, 13)                                # of the samples in each interval
_LEVELS = 0.5 - 0.5 * np.cos(np.pi * np.linspace(0.0, 1.0, 25))    # of the samples over y
_MOST = 24                       # intervals one onset may spread over; what is wider is no onset
_ITERATIONS, _GROWTH, _HIGHEST_POWER = 16, 1.3, 12.0
_LEAST_SHARE = 0.1               # of the largest error, below which all samples weigh the same


def stretches(errors: Array, limit: float) -> list[tuple[int, int]]:
    """Runs of intervals (first, one past the last) with an error above the limit, one interval more on either side.

    ``errors`` (n) holds one error for each interval. Empty where a run would be longer than 24 intervals.
    """
    runs: list[tuple[int, int]] = []
    for interval in np.flatnonzero(errors > limit).tolist():
        first, end = max(interval - 1, 0), min(interval + 2, errors.size)
        if runs and first <= runs[-1][1]:
            first = runs.pop()[0]
        runs.append((first, end))
    return [] if any(end - first > _MOST for first, end in runs) else runs


def levelled(rows: Array, terms: int, first: int, end: int, source: Conductivity) -> Array:
    """The rows of a table with the conductivity of least largest error in the intervals ``first`` to ``end - 1``.

    ``rows`` (n, 9 + 5 k, 4) as in `lookup.LiquidArrays`, ``terms`` k. Values and slopes at the knots inside are free,
    those at the outer two stay: value and slope run through everywhere. The rows given are left as they are.
    """
    intervals, x = _everywhere(first, end, _PLACES)
    expected = source(intervals, x, _LEVELS)
    wanted = 1.0 - conductivity(rows, terms, intervals, x, _LEVELS) / expected
    effects = np.einsum("ms,qk->mqsk", _cubics(x), _polynomials(_LEVELS, terms)) / expected[:, :, None, None]
    free = np.ones((end - first + 1, 2, terms), dtype=bool)        # value and slope at each knot
    free[0] = first == 0                                           # an end of the table has no neighbour
    free[-1] = end == rows.shape[0]
    changes = _least_largest(effects.reshape(end - first, -1, 4 * terms), wanted.reshape(end - first, -1), free.ravel())
    new = rows.copy()
    for interval, (left, right) in enumerate(pairwise(changes.reshape(free.shape) @ _powers(terms)), start=first):
        rise = right[0] - left[0]
        new[interval, lookup.STATE + lookup.CONDUCTIVITY::5] += np.stack(
            [left[0], left[1], 3.0 * rise - 2.0 * left[1] - right[1], left[1] + right[1] - 2.0 * rise], axis=-1)
    return new


def largest_error(rows: Array, terms: int, first: int, end: int, source: Conductivity) -> tuple[float, float]:
    """Largest relative error midway between the samples of `levelled`, and where: interval number plus place in it."""
    intervals, x = _everywhere(first, end, 0.5 * (_PLACES[1:] + _PLACES[:-1]))
    y = np.concatenate([[0.0], 0.5 * (_LEVELS[1:] + _LEVELS[:-1]), [1.0]])
    errors = np.abs(conductivity(rows, terms, intervals, x, y) / source(intervals, x, y) - 1.0).max(axis=1)
    worst = int(np.argmax(errors))
    return float(errors[worst]), float(intervals[worst] + x[worst])


def conductivity(rows: Array, terms: int, intervals: Whole, x: Array, y: Array) -> Array:
    """Conductivity (m, q) of a table at m interval numbers and places in them and q values of y."""
    cubics = rows[intervals, lookup.STATE + lookup.CONDUCTIVITY::5]                          # (m, k, 4)
    return np.asarray(np.einsum("mkp,mp->mk", cubics, np.vander(x, 4, increasing=True))
                      @ np.vander(y, terms, increasing=True).T)


def _everywhere(first: int, end: int, places: Array) -> tuple[Whole, Array]:
    return np.repeat(np.arange(first, end), places.size), np.tile(places, end - first)


def _cubics(x: Array) -> Array:
    """What value and slope at the left knot, value and slope at the right one do at places x (m): (m, 4)."""
    return np.stack([(1.0 - x)**2 * (1.0 + 2.0 * x), x * (1.0 - x)**2, x**2 * (3.0 - 2.0 * x), x**2 * (x - 1.0)],
                    axis=-1)


def _polynomials(y: Array, terms: int) -> Array:
    """Chebyshev polynomials of 2 y - 1 at y (q): (q, k)."""
    return np.asarray(np.polynomial.chebyshev.chebvander(2.0 * y - 1.0, terms - 1))


def _powers(terms: int) -> Array:
    """Row j: the j-th of these polynomials in ascending powers of y."""
    y = 0.5 - 0.5 * np.cos(np.pi * np.arange(terms) / (terms - 1))
    return np.asarray(np.linalg.solve(np.vander(y, increasing=True), _polynomials(y, terms)).T, dtype=np.float64)


def _least_largest(effects: Array, wanted: Array, free: NDArray[np.bool_]) -> Array:
    """The unknowns (2 k (n + 1)) of nearly least largest ``|effect - wanted|``; those not free stay 0.

    ``effects`` (n, s, 4 k) of the unknowns at the two knots of each of n intervals on its s samples, ``wanted`` (n, s).
    Least sums of powers of the error by weighted least squares: the power p rises to 12, each step is taken by the
    share 1 / (p - 1), which makes the iteration settle.
    """
    intervals, _, both = effects.shape
    places = [slice(interval * both // 2, interval * both // 2 + both) for interval in range(intervals)]
    row, column = np.tril_indices(both)
    lower = row - column                                            # which band of the matrix, the diagonal the first
    unknowns, best, least = np.zeros(free.size), np.zeros(free.size), np.abs(wanted).max()
    power, weights = 2.0, np.ones(wanted.shape)
    for _ in range(_ITERATIONS):
        # plain sums and a banded solver: the threads of a matrix library cost more than products this small
        weighted = effects * weights[:, :, None]
        squares, sides = np.einsum("nsf,nsg->nfg", weighted, effects), np.einsum("nsf,ns->nf", weighted, wanted)
        bands, right = np.zeros((both, free.size)), np.zeros(free.size)
        for place, square, side in zip(places, squares, sides, strict=True):
            bands[lower, place.start + column] += square[row, column]
            right[place] += side
        solved = np.zeros(free.size)
        solved[free] = solveh_banded(bands[:, free], right[free], lower=True)
        unknowns = unknowns + (solved - unknowns) / (power - 1.0)
        errors = np.abs(wanted - np.einsum("nsf,nf->ns", effects, np.stack([unknowns[place] for place in places])))
        if errors.max() < least:
            best, least = unknowns, errors.max()
        power = min(power * _GROWTH, _HIGHEST_POWER)
        weights = np.maximum(errors / errors.max(), _LEAST_SHARE)**(power - 2.0)
    return best
