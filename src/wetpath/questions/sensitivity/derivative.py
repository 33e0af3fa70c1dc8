"""Derivatives of a computed function by central differences, extrapolated to a step of zero, with their proof."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.physics.published import published

Array = NDArray[np.float64]

#: Each step is this share of the one before.
STEP_RATIO = 0.5
#: Steps of one derivative.
STEPS = 7


@dataclass(frozen=True, eq=False)
class Derivative:
    """A derivative with what it was found from, further axes as those of the function."""

    value: Array
    error: Array           # estimate of what is wrong in it
    steps: Array           # (steps,)
    differences: Array     # (steps, ...) plain central differences


def step_lengths(longest: float) -> Array:
    """Steps at which a function is to be evaluated, on both sides."""
    return np.asarray(longest * STEP_RATIO ** np.arange(STEPS, dtype=float))


@published("ridders-1982", status="recalled")
def extrapolated_derivative(steps: ArrayLike, above: ArrayLike, below: ArrayLike) -> Derivative:
    r"""First derivative from values on both sides, by Richardson's extrapolation of central differences.

    :math:`A_{k,0}=\frac{f(x+h_k)-f(x-h_k)}{2h_k}`,
    :math:`A_{k,m}=\frac{A_{k,m-1}-r^{2m}A_{k-1,m-1}}{1-r^{2m}}` with :math:`r=h_k/h_{k-1}`.

    Parameters
    ----------
    steps : array [unit of x], shape (n,)
        Falling, each the same share r of the one before.
    above, below : array, shape (n, ...)
        Values of the function at :math:`x + h` and :math:`x - h`.

    Returns
    -------
    Derivative
        The entry of the table with the least error estimate, which is the larger of its differences to the two
        entries that it was made of.

    Notes
    -----
    Where the function has a kink within the longest step, entries made with it differ and are not chosen. The
    error is an estimate, not a bound. NaN in, NaN out.

    References
    ----------
    .. [1] Ridders, Adv. Eng. Software 4 (1982) 75. Recalled.

    Examples
    --------
    >>> h = step_lengths(0.4)
    >>> found = extrapolated_derivative(h, np.exp(1 + h), np.exp(1 - h))
    >>> abs(float(found.value) / np.e - 1) < 1e-12
    True
    """
    lengths, high, low = (np.asarray(each, float) for each in (steps, above, below))
    ratio = float(lengths[1] / lengths[0])
    column = (high - low) / (2 * lengths.reshape(-1, *(1,) * (high.ndim - 1)))
    differences = column
    value, error = column[-1].copy(), np.abs(column[-1] - column[-2])
    for order in range(1, lengths.size):
        power = ratio ** (2 * order)
        better = (column[1:] - power * column[:-1]) / (1 - power)
        doubt = np.maximum(np.abs(better - column[1:]), np.abs(better - column[:-1]))
        for entry, wrong in zip(better, doubt, strict=True):
            chosen = wrong < error
            value, error = np.where(chosen, entry, value), np.where(chosen, wrong, error)
        column = better
    return Derivative(value, error, lengths, differences)
