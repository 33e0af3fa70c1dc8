"""Points that fill the space of the inputs evenly, and the shares of a result's variance that each input causes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc, sobol_indices

from wetpath.physics.published import published

Array = NDArray[np.float64]

#: Confidence of the intervals of the indices.
CONFIDENCE = 0.95
#: Resamplings from which those intervals are found.
RESAMPLINGS = 200


@dataclass(frozen=True, eq=False)
class Indices:
    """Sobol indices of one result, first axis the input; intervals are (inputs, 2)."""

    first: Array
    total: Array
    first_interval: Array
    total_interval: Array


def sobol_points(inputs: int, count: int, seed: int) -> tuple[Array, Array]:
    """Two independent sets of scrambled Sobol points in the unit cube, each (count, inputs); count a power of two."""
    return PointStream(inputs, seed).rows(0, count)


class PointStream:
    """Rows of the two sets of `sobol_points` in any order, without keeping them; cheapest in ascending order."""

    def __init__(self, inputs: int, seed: int) -> None:
        self._inputs = inputs
        self._generator = qmc.Sobol(d=2 * inputs, scramble=True, rng=np.random.default_rng(seed))

    def rows(self, first: int, count: int) -> tuple[Array, Array]:
        """Rows ``first`` to ``first + count - 1`` of both sets; count a power of two."""
        generator = self._generator
        if first < generator.num_generated:
            generator.reset()
        if first > generator.num_generated:
            generator.fast_forward(first - generator.num_generated)
        # scrambled points may be exactly 0 or 1 once in 2**30, where a normal quantile is infinite
        both = np.clip(generator.random(count), 1e-12, 1 - 1e-12)
        return both[:, :self._inputs], both[:, self._inputs:]


def exchanged(first: Array, second: Array) -> Array:
    """The first set with one column after the other taken from the second, (inputs, count, inputs)."""
    inputs = first.shape[1]
    points = np.repeat(first[None], inputs, axis=0)
    each = np.arange(inputs)
    points[each, :, each] = second.T
    return points


@published("saltelli-2010", status="recalled")
def indices_of(at_first: Array, at_second: Array, at_exchanged: Array, seed: int) -> Indices:
    r"""First-order and total Sobol indices from a function at two sets of points and at the exchanged ones.

    :math:`S_i = V(E(f|x_i))/V(f)` and :math:`S_{Ti} = E(V(f|x_{\sim i}))/V(f)`.

    Parameters
    ----------
    at_first, at_second : array, shape (count,)
        Values at the points of `sobol_points`.
    at_exchanged : array, shape (inputs, count)
        Values at `exchanged`.
    seed : int
        Of the resampling from which the confidence intervals come.

    Returns
    -------
    Indices

    Notes
    -----
    Estimators of Saltelli et al. as SciPy has them; intervals by resampling the points. Inputs are taken as
    independent. The estimates may come out a little below 0 or above 1. All are 0 where the result does not vary.

    References
    ----------
    .. [1] Saltelli et al., Comput. Phys. Commun. 181 (2010) 259. Recalled.
    """
    inputs = at_exchanged.shape[0]
    indices = Indices(np.zeros(inputs), np.zeros(inputs), np.zeros((inputs, 2)), np.zeros((inputs, 2)))
    # inputs that change nothing have no interval to resample
    acting = np.flatnonzero((at_exchanged != at_first).any(axis=1))
    if not acting.size:
        return indices
    chosen = at_exchanged[acting]
    indices.first[acting], indices.total[acting] = _first_and_total(at_first, at_second, chosen)
    generator, count = np.random.default_rng(seed), at_first.size
    resampled = np.array([
        _first_and_total(at_first[rows], at_second[rows], chosen[:, rows])
        for rows in generator.integers(0, count, (RESAMPLINGS, count))])
    tail = (1 - CONFIDENCE) / 2
    ends = np.quantile(resampled, (tail, 1 - tail), axis=0)
    indices.first_interval[acting], indices.total_interval[acting] = ends[:, 0].T, ends[:, 1].T
    return indices


def _first_and_total(at_first: Array, at_second: Array, at_exchanged: Array) -> tuple[Array, Array]:
    inputs = at_exchanged.shape[0]
    padded = np.concatenate((at_exchanged, at_exchanged[:1]))     # SciPy refuses a single input
    values: dict[Literal["f_A", "f_B", "f_AB"], Array] = {
        "f_A": at_first[None], "f_B": at_second[None], "f_AB": padded[:, None, :]}
    found = sobol_indices(func=values, n=at_first.size)
    return found.first_order[:inputs], found.total_order[:inputs]
