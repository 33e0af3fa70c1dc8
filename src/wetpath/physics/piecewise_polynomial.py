"""A curve through tested points as a chain of polynomials, for array code and for the compiled kernel."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import in_kernel

Numeric = Any
Array = NDArray[np.float64]


class PiecewisePolynomial(NamedTuple):
    """Polynomials up to the fourth degree between knots; outside them the end goes on as a straight line.

    ``coefficients[i]`` are ascending powers of ``x - knots[i]`` for ``knots[i] <= x <= knots[i + 1]``.
    """

    knots: Array
    coefficients: Array


@in_kernel
def value(curve: PiecewisePolynomial, x: Numeric) -> Numeric:
    """Ordinate at ``x`` (array or, in the kernel, scalar); straight line beyond the first and last knot.

    Examples
    --------
    >>> line = through_points([0.0, 1.0, 2.0], [3.0, 2.0, 1.0])
    >>> [round(float(value(line, x)), 9) for x in (0.5, 3.0)]
    [2.5, 0.0]
    """
    inside = np.minimum(np.maximum(x, curve.knots[0]), curve.knots[-1])
    piece = np.minimum(np.maximum(np.searchsorted(curve.knots, inside) - 1, 0), len(curve.knots) - 2)
    s = inside - curve.knots[piece]
    c = curve.coefficients
    c1, c2, c3, c4 = c[piece, 1], c[piece, 2], c[piece, 3], c[piece, 4]
    ordinate = c[piece, 0] + s * (c1 + s * (c2 + s * (c3 + s * c4)))
    tangent = c1 + s * (2 * c2 + s * (3 * c3 + s * 4 * c4))
    return ordinate + tangent * (x - inside)


@in_kernel
def slope(curve: PiecewisePolynomial, x: Numeric) -> Numeric:
    """First derivative at ``x``; constant beyond the first and last knot.

    Examples
    --------
    >>> line = through_points([0.0, 1.0, 2.0], [3.0, 2.0, 1.0])
    >>> round(float(slope(line, 5.0)), 9)
    -1.0
    """
    inside = np.minimum(np.maximum(x, curve.knots[0]), curve.knots[-1])
    piece = np.minimum(np.maximum(np.searchsorted(curve.knots, inside) - 1, 0), len(curve.knots) - 2)
    s = inside - curve.knots[piece]
    c = curve.coefficients
    return c[piece, 1] + s * (2 * c[piece, 2] + s * (3 * c[piece, 3] + s * 4 * c[piece, 4])) + 0.0 * x


def through_points(x: Any, y: Any) -> PiecewisePolynomial:
    """Smooth curve through every point, without waves the points do not show.

    A cubic spline (third derivative continuous at the second and last but one point), which repeats a
    parabola or a cubic exactly and can have its maximum between points. Where such a spline would turn
    between two points although the points on both sides run the same way, the monotone cubic of Fritsch and
    Butland takes its place.

    Parameters
    ----------
    x, y : sequence of float
        At least two points, ``x`` strictly rising.
    """
    abscissa, ordinate = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if abscissa.ndim != 1 or abscissa.shape != ordinate.shape or len(abscissa) < 2:
        raise ValueError("a curve takes two sequences of equal length, two points at least")
    if not (np.isfinite(abscissa).all() and np.isfinite(ordinate).all() and (np.diff(abscissa) > 0).all()):
        raise ValueError("the points of a curve must be finite and rise strictly in x")
    spline = _hermite(abscissa, ordinate, _spline_slopes(abscissa, ordinate))
    return monotone_through_points(abscissa, ordinate) if makes_waves(spline, ordinate) else spline


def monotone_through_points(x: Any, y: Any) -> PiecewisePolynomial:
    """Monotone cubics through points, which turn only where the points turn (Fritsch and Butland 1984)."""
    abscissa, ordinate = np.asarray(x, float), np.asarray(y, float)
    return _hermite(abscissa, ordinate, _monotone_slopes(abscissa, ordinate))


def least_squares(x: Any, y: Any, degree: int) -> PiecewisePolynomial:
    """One polynomial of ``degree`` 1 to 4 fitted to scattered points by least squares.

    Parameters
    ----------
    x, y : sequence of float
        More points than ``degree``; order and repeats do not matter.
    degree : int
    """
    abscissa, ordinate = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    if not 1 <= degree <= 4:
        raise ValueError(f"degree must be 1 to 4, not {degree}")
    if len(np.unique(abscissa)) <= degree:
        raise ValueError(f"a polynomial of degree {degree} needs at least {degree + 1} different points")
    first, last = float(abscissa.min()), float(abscissa.max())
    scaled = np.polynomial.Polynomial.fit(abscissa, ordinate, degree, domain=[first, last], window=[0.0, 1.0])
    coefficients = np.zeros((1, 5))
    fitted = np.asarray(scaled.coef, dtype=np.float64)
    coefficients[0, :degree + 1] = fitted / (last - first) ** np.arange(degree + 1)
    return PiecewisePolynomial(np.array([first, last]), coefficients)


def makes_waves(curve: PiecewisePolynomial, ordinates: Array) -> bool:
    """Whether a cubic curve turns inside an interval whose own and neighbouring chords all run one way."""
    chord = np.sign(np.diff(ordinates))
    padded = np.concatenate([chord[:1], chord, chord[-1:]])
    one_way = (padded[:-2] == chord) & (padded[2:] == chord)
    width = np.diff(curve.knots)[:, None] * np.linspace(0, 1, 33)
    c = curve.coefficients
    tangent = c[:, 1:2] + width * (2 * c[:, 2:3] + width * 3 * c[:, 3:4])
    room = 1e-9 * np.ptp(ordinates) / np.ptp(curve.knots)
    turns = np.any(tangent * chord[:, None] < -room, axis=1) | (
        (chord == 0) & np.any(np.abs(tangent) > room, axis=1))
    return bool(np.any(turns & one_way))


def turning_points(curve: PiecewisePolynomial) -> Array:
    """Abscissas between the first and last knot where the slope is zero and changes its sign."""
    found = []
    for left, right, c in zip(curve.knots[:-1], curve.knots[1:], curve.coefficients, strict=True):
        roots = np.polynomial.polynomial.polyroots(np.trim_zeros(c[1:] * np.arange(1, 5), "b")) \
            if np.any(c[2:]) else np.array([])
        real = np.real(roots[np.abs(np.imag(roots)) < 1e-9 * (right - left)])
        found.extend(left + real[(real >= 0) & (real < right - left)])
    inside = np.array([x for x in found if curve.knots[0] < x < curve.knots[-1]])
    step = 1e-6 * np.ptp(curve.knots)
    return np.unique([x for x in inside if slope(curve, x - step) * slope(curve, x + step) < 0])


def _spline_slopes(x: Array, y: Array) -> Array:
    """Slopes at the points of the cubic spline whose third derivative is continuous next to both ends."""
    width, chord = np.diff(x), np.diff(y) / np.diff(x)
    count = x.size
    if count == 2:
        return np.repeat(chord, 2)
    if count == 3:                                   # the parabola through them
        bend = (chord[1] - chord[0]) / (x[2] - x[0])
        return np.array([chord[0] - bend * width[0], chord[0] + bend * width[0], chord[1] + bend * width[1]])
    matrix, right = np.zeros((count, count)), np.empty(count)
    inner = np.arange(1, count - 1)
    matrix[inner, inner - 1], matrix[inner, inner + 1] = width[1:], width[:-1]
    matrix[inner, inner] = 2 * (width[:-1] + width[1:])
    right[inner] = 3 * (width[1:] * chord[:-1] + width[:-1] * chord[1:])
    for row, near, w0, w1, c0, c1 in ((0, 1, width[0], width[1], chord[0], chord[1]),
                                      (-1, -2, width[-1], width[-2], chord[-1], chord[-2])):
        both = w0 + w1
        matrix[row, row], matrix[row, near] = w1, both
        right[row] = ((w0 + 2 * both) * w1 * c0 + w0**2 * c1) / both
    return np.asarray(np.linalg.solve(matrix, right))


def _monotone_slopes(x: Array, y: Array) -> Array:
    """Slopes of Fritsch and Butland: weighted harmonic means of the chords, zero where these turn."""
    width, chord = np.diff(x), np.diff(y) / np.diff(x)
    if x.size == 2:
        return np.repeat(chord, 2)
    slopes = np.zeros(x.size)
    one_way = np.flatnonzero(chord[:-1] * chord[1:] > 0)
    before, after = 2 * width[1:] + width[:-1], width[1:] + 2 * width[:-1]
    slopes[one_way + 1] = ((before + after)[one_way]
                           / (before[one_way] / chord[one_way] + after[one_way] / chord[one_way + 1]))
    for end, w0, w1, c0, c1 in ((0, width[0], width[1], chord[0], chord[1]),
                                (-1, width[-1], width[-2], chord[-1], chord[-2])):
        slope_there = ((2 * w0 + w1) * c0 - w0 * c1) / (w0 + w1)
        if np.sign(slope_there) != np.sign(c0):
            slope_there = 0.0
        elif np.sign(c0) != np.sign(c1) and abs(slope_there) > 3 * abs(c0):
            slope_there = 3 * c0
        slopes[end] = slope_there
    return slopes


def _hermite(x: Array, y: Array, slopes: Array) -> PiecewisePolynomial:
    """Cubics through points with given slopes."""
    width, chord = np.diff(x), np.diff(y) / np.diff(x)
    bend = (slopes[:-1] + slopes[1:] - 2 * chord) / width
    coefficients = np.stack([y[:-1], slopes[:-1], (chord - slopes[:-1]) / width - bend, bend / width,
                             np.zeros(width.size)], axis=1)
    return PiecewisePolynomial(np.ascontiguousarray(x), np.ascontiguousarray(coefficients))
