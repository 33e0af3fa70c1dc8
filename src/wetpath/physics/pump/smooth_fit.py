"""A smooth curve through test points that scatter, without waves and without rises that the points do not show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear
from scipy.special import comb

from wetpath.physics.piecewise_polynomial import PiecewisePolynomial, turning_points, value

Array = NDArray[np.float64]
Shape = Literal["falling", "one hill", "one valley", "any"]

HIGHEST_DEGREE = 4
#: A rise of a curve that should fall counts as shown by the points when it is more than this many times their scatter.
SHOWN = 2.0


@dataclass(frozen=True)
class SmoothFit:
    """A fitted polynomial, its degree, and the scatter of the points around it (standard deviation)."""

    curve: PiecewisePolynomial
    degree: int
    scatter: float
    held: bool      # whether the curve was held to fall although the plain fit rose somewhere

    def __call__(self, x: Any) -> Any:
        """Ordinate at ``x``; straight line beyond the first and last point."""
        return value(self.curve, x)


def smooth_fit(x: Any, y: Any, shape: Shape = "any") -> SmoothFit:
    """Fit a polynomial of the degree that predicts left-out points best.

    For every degree from 1 to 4 that leaves at least one point over, each point is predicted from all others; the
    least sum of squares wins (the prediction sum of squares, computed from the diagonal of the projection).

    Parameters
    ----------
    x, y : sequence of float
        At least three different ``x``; order and repeats do not matter.
    shape : str
        ``falling``: a fit that rises by less than twice the scatter is held to fall (Bernstein coefficients that do
        not rise); a larger rise stays, the points show it. ``one hill`` and ``one valley``: degrees whose fit
        turns more than once, or the wrong way, are left out.

    Returns
    -------
    SmoothFit

    Notes
    -----
    Predicts best between points; says nothing of the region outside them, where the ends go on straight.

    References
    ----------
    .. [1] Leave-one-out residual of linear least squares, e / (1 - h): an algebraic identity. Derived.

    Examples
    --------
    >>> q = np.linspace(0.0, 70.0, 8)
    >>> fit = smooth_fit(q, 70 - 0.0035 * q**2, "falling")
    >>> fit.degree, round(float(fit(50.0)), 6), fit.held
    (2, 61.25, False)
    """
    abscissa, ordinate = np.asarray(x, np.float64), np.asarray(y, np.float64)
    if len(np.unique(abscissa)) < 3:
        raise ValueError("a smooth fit needs at least three different points")
    first, last = float(abscissa.min()), float(abscissa.max())
    inside = (abscissa - first) / (last - first)
    best: tuple[float, SmoothFit] | None = None
    for degree in range(1, min(HIGHEST_DEGREE, len(np.unique(abscissa)) - 2) + 1):
        coefficients, left_out = _least_squares(inside, ordinate, degree)
        fit = _packed(first, last, inside, ordinate, coefficients, held=False)
        if best is not None and not _has_shape(fit, shape):
            continue
        # a higher degree has to earn its place against rounding, too
        if best is None or left_out < 0.999 * best[0] - 1e-20 * float(np.sum(ordinate**2)):
            best = left_out, fit
    assert best is not None
    fit = best[1]
    if shape == "falling" and 0 < _rise(fit) <= SHOWN * fit.scatter + 1e-9 * float(np.ptp(ordinate)):
        return _packed(first, last, inside, ordinate, _falling(inside, ordinate, fit.degree), held=True)
    return fit


def _least_squares(x: Array, y: Array, degree: int) -> tuple[Array, float]:
    """Bernstein coefficients, and the sum of squares of the left-out predictions."""
    basis = _bernstein(x, degree)
    orthogonal, triangle = np.linalg.qr(basis)
    coefficients = np.linalg.solve(triangle, orthogonal.T @ y)
    leverage = np.sum(orthogonal**2, axis=1)
    residual = (y - basis @ coefficients) / np.maximum(1 - leverage, 1e-12)
    return coefficients, float(np.sum(residual**2))


def _falling(x: Array, y: Array, degree: int) -> Array:
    """Bernstein coefficients of the best fit whose coefficients do not rise, so that the curve does not."""
    steps = np.tril(np.ones((degree + 1, degree + 1)))
    upper = np.r_[np.inf, np.zeros(degree)]
    found = lsq_linear(_bernstein(x, degree) @ steps, y, bounds=(np.full(degree + 1, -np.inf), upper), method="bvls")
    return np.asarray(steps @ found.x, np.float64)


def _bernstein(x: Array, degree: int) -> Array:
    order = np.arange(degree + 1)
    return np.asarray(comb(degree, order) * x[:, None] ** order * (1 - x[:, None]) ** (degree - order), np.float64)


def _packed(first: float, last: float, x: Array, y: Array, bernstein: Array, *, held: bool) -> SmoothFit:
    degree = len(bernstein) - 1
    powers = np.zeros((1, HIGHEST_DEGREE + 1))
    for order in range(degree + 1):
        weights = [(-1) ** (order - i) * comb(order, i) * bernstein[i] for i in range(order + 1)]
        powers[0, order] = comb(degree, order) * sum(weights) / (last - first) ** order
    curve = PiecewisePolynomial(np.array([first, last]), powers)
    residual = y - _bernstein(x, degree) @ bernstein
    freedom = max(len(y) - degree - 1, 1)
    return SmoothFit(curve, degree, float(np.sqrt(np.sum(residual**2) / freedom)), held)


def _has_shape(fit: SmoothFit, shape: Shape) -> bool:
    turns = turning_points(fit.curve)
    if shape == "any" or not len(turns):
        return True
    if len(turns) > 1:
        return False
    low, high = fit.curve.knots
    highest = float(fit(turns[0])) >= max(float(fit(low)), float(fit(high)))
    return highest if shape in ("falling", "one hill") else not highest


def _rise(fit: SmoothFit) -> float:
    """Largest climb of the curve from left to right between its ends."""
    low, high = fit.curve.knots
    heights = np.asarray(fit(np.linspace(low, high, 201)))
    return float(np.max(heights - np.minimum.accumulate(heights)))
