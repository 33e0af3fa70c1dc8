"""Full journal bearing with a laminar film: load, eccentricity, friction, flow after Raimondi and Boyd."""

from functools import lru_cache
from math import pi
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.piecewise_polynomial import PiecewisePolynomial, monotone_through_points, value
from wetpath.physics.published import choose, in_kernel, published
from wetpath.physics.validity import Limit, limit

Numeric = Any
Array = NDArray[np.float64]

#: Rows of the tables; the first is the limit of the centred journal, where S has no end.
ECCENTRICITIES = np.array([0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 0.97])

#: Length over diameter -> columns over ECCENTRICITIES. Recalled, except S, friction and flow of the
#: infinitely long bearing at 0.97, which are computed. The tests compare every row with a finite-difference
#: solution.
_SOMMERFELD = {
    np.inf: [0.240, 0.123, 0.0626, 0.0389, 0.0210, 0.0115, 0.00375],
    1.0: [1.33, 0.631, 0.264, 0.121, 0.0446, 0.0188, 0.00474],
    0.5: [4.31, 2.03, 0.779, 0.319, 0.0923, 0.0313, 0.00609],
    0.25: [16.2, 7.57, 2.83, 1.07, 0.261, 0.0736, 0.0101],
}
_ATTITUDE_DEGREES = {
    np.inf: [69.10, 67.26, 61.94, 54.31, 42.22, 31.62, 18.22],
    1.0: [79.5, 74.02, 63.10, 50.58, 36.24, 26.45, 15.47],
    0.5: [81.62, 74.94, 61.45, 48.14, 33.31, 23.66, 13.75],
    0.25: [82.31, 75.18, 60.86, 46.72, 31.04, 21.85, 12.22],
}
_FRICTION = {
    np.inf: [4.80, 2.57, 1.52, 1.20, 0.961, 0.756, 0.456],
    1.0: [26.4, 12.8, 5.79, 3.22, 1.70, 1.05, 0.514],
    0.5: [85.6, 40.9, 17.0, 8.10, 3.26, 1.60, 0.610],
    0.25: [322.0, 153.0, 61.1, 26.7, 8.80, 3.50, 0.922],
}
_FLOW = {
    np.inf: [3.03, 2.83, 2.26, 1.56, 0.760, 0.411, 0.116],
    1.0: [3.37, 3.59, 3.99, 4.33, 4.62, 4.74, 4.82],
    0.5: [3.43, 3.72, 4.29, 4.85, 5.41, 5.69, 5.88],
    0.25: [3.45, 3.76, 4.37, 4.99, 5.60, 5.91, 6.12],
}
_SIDE_FLOW_SHARE = {
    np.inf: [0.0] * 7,
    1.0: [0.150, 0.280, 0.497, 0.680, 0.842, 0.919, 0.973],
    0.5: [0.173, 0.318, 0.552, 0.730, 0.874, 0.939, 0.980],
    0.25: [0.180, 0.330, 0.567, 0.746, 0.884, 0.945, 0.984],
}
_PRESSURE_RATIO = {
    np.inf: [0.826, 0.814, 0.764, 0.667, 0.495, 0.358, 0.199],
    1.0: [0.540, 0.529, 0.484, 0.415, 0.313, 0.247, 0.152],
    0.5: [0.523, 0.506, 0.441, 0.365, 0.267, 0.206, 0.126],
    0.25: [0.515, 0.489, 0.415, 0.334, 0.240, 0.180, 0.108],
}


class JournalFilm(NamedTuple):
    """Dimensionless state of the film: every number of a chart row."""

    #: Eccentricity over radial clearance [-].
    eccentricity_ratio: Numeric
    #: Sommerfeld number :math:`(R/c)^2\mu N/p` [-], N in revolutions per second.
    sommerfeld: Numeric
    #: Angle from the load to the line of centres [rad].
    attitude_angle: Numeric
    #: Friction coefficient times R/c [-].
    friction_number: Numeric
    #: Flow drawn into the film over R c N L [-].
    flow_number: Numeric
    #: Share of that flow which leaves at the sides [-].
    side_flow_share: Numeric
    #: Load per projected area over highest film pressure [-].
    pressure_ratio: Numeric


@published("raimondi-boyd-1958", status="exact")
@in_kernel
def sommerfeld_number(viscosity: Numeric, speed: Numeric, load: Numeric, radius: Numeric, length: Numeric,
                      clearance: Numeric) -> Numeric:
    r"""Sommerfeld number, :math:`S=(R/c)^2\mu N/p`, :math:`p=W/(2RL)`, N in revolutions per second.

    Parameters
    ----------
    viscosity, speed, load : array [Pa s], [rad/s], [N]
    radius, length, clearance : array [m]
        Journal radius, bearing length, radial clearance.

    Returns
    -------
    array [-]; infinite at no load.

    References
    ----------
    .. [1] Raimondi, Boyd (1958). Definition.

    Examples
    --------
    >>> round(sommerfeld_number(0.6e-3, 2950 * pi / 30, 300.0, 0.020, 0.040, 30e-6), 5)
    0.06993
    """
    return (radius / clearance)**2 * viscosity * speed / (2 * pi) * 2 * radius * length / load


class FilmRow(NamedTuple):
    """Eccentricity ratios (rising) and Sommerfeld numbers (falling) of one bearing shape."""

    eccentricity: Array
    sommerfeld: Array


@published("raimondi-boyd-1958", status="recalled")
def printed_row(length_to_diameter: float) -> FilmRow:
    """Sommerfeld numbers of one bearing shape at the seven eccentricity ratios of the printed table.

    Parameters
    ----------
    length_to_diameter : float [-], 0.25 or more

    Returns
    -------
    FilmRow of 7, made once for a bearing and given to :func:`eccentricity_ratio`.

    Examples
    --------
    >>> float(printed_row(0.5).sommerfeld[3])
    0.319
    """
    return FilmRow(ECCENTRICITIES, _row(_SOMMERFELD, length_to_diameter))


@published("raimondi-boyd-1958", status="recalled")
def fine_row(length_to_diameter: float) -> FilmRow:
    """The same table with a smooth curve laid through the printed rows, in steps of 0.01 of eccentricity.

    Parameters
    ----------
    length_to_diameter : float [-], 0.25 or more

    Returns
    -------
    FilmRow of 88

    Examples
    --------
    >>> row = fine_row(0.5)
    >>> len(row.sommerfeld), round(float(row.sommerfeld[-1]), 5)
    (88, 0.00609)
    """
    ratios = np.linspace(ECCENTRICITIES[0], ECCENTRICITIES[-1], 88)
    return FilmRow(ratios, np.asarray(_sommerfeld_at(ratios, length_to_diameter)))


@published("raimondi-boyd-1958", status="recalled")
@in_kernel
def eccentricity_ratio(sommerfeld: Numeric, row: FilmRow) -> Numeric:
    r"""Eccentricity ratio from the Sommerfeld number, linear in ln S between the entries of a row.

    Parameters
    ----------
    sommerfeld : array [-], >= 0
    row : FilmRow
        :func:`printed_row` or :func:`fine_row` of the bearing.

    Returns
    -------
    array [-]

    Notes
    -----
    Above the first entry :math:`\varepsilon=0.1\,S(0.1)/S`, the limit of a light load. Below the last
    (ratio 0.97) the film is taken as proportional to S, which makes it thinner than it is, and
    :func:`film_limits` flags it. Against a finite-difference solution the printed row is off by up to 0.012
    between its entries (a film 15 % too thick at a ratio of 0.94), the fine row by less than 0.004.

    References
    ----------
    .. [1] Raimondi, Boyd: Trans. ASLE 1 (1958) 159. Table recalled, interpolation ours.

    Examples
    --------
    >>> [round(float(eccentricity_ratio(s, printed_row(1.0))), 6) for s in (0.264, 0.18, 2.0)]
    [0.4, 0.498183, 0.0665]
    """
    ratios, numbers = row.eccentricity, row.sommerfeld
    inside = np.minimum(np.maximum(sommerfeld, numbers[-1]), numbers[0])
    last = len(numbers) - 1
    piece = np.minimum(np.maximum(last - np.searchsorted(numbers[::-1], inside), 0), last - 1)
    share = np.log(numbers[piece] / inside) / np.log(numbers[piece] / numbers[piece + 1])
    between = ratios[piece] + share * (ratios[piece + 1] - ratios[piece])
    light = ratios[0] * numbers[0] / np.maximum(sommerfeld, numbers[0])
    heavy = 1 - (1 - ratios[-1]) * sommerfeld / numbers[-1]
    return choose(sommerfeld > numbers[0], light, choose(sommerfeld < numbers[-1], heavy, between))


@published("raimondi-boyd-1958", status="recalled")
def journal_film(*, length_to_diameter: float, eccentricity_ratio: Numeric) -> JournalFilm:
    """Film of a full bearing at an eccentricity ratio.

    Parameters
    ----------
    length_to_diameter : float [-], 0.25 or more
    eccentricity_ratio : array [-], 0 < ratio <= 0.97

    Returns
    -------
    JournalFilm, each the shape of ``eccentricity_ratio``.

    Notes
    -----
    Full 360 degree bearing, laminar, film broken where its pressure would fall below that around it, aligned,
    viscosity uniform. Friction counts the broken part of the film as fully sheared. Axially grooved bearings
    carry less. NaN above 0.97.

    References
    ----------
    .. [1] Raimondi, Boyd: A solution for the finite journal bearing and its application to analysis and
       design, parts I to III. Trans. ASLE 1 (1958) 159-209. Rows and the interpolation in L/D recalled.

    Examples
    --------
    >>> film = journal_film(length_to_diameter=1.0, eccentricity_ratio=0.6)
    >>> [round(float(x), 3) for x in (film.sommerfeld, film.friction_number, np.degrees(film.attitude_angle))]
    [0.121, 3.22, 50.58]
    """
    ratio = np.asarray(eccentricity_ratio, dtype=np.float64)
    found = _sommerfeld_at(ratio, length_to_diameter)
    petroff = np.log(_row(_FRICTION, length_to_diameter) / _row(_SOMMERFELD, length_to_diameter)
                     * np.sqrt(1 - ECCENTRICITIES**2))
    drag = np.exp(_over(ratio, petroff, float(np.log(2 * pi**2)))) / np.sqrt(1 - ratio**2)
    centred_angle = 70.92 if np.isinf(length_to_diameter) else 90.0
    return JournalFilm(
        ratio, found,
        np.radians(_over(ratio, _row(_ATTITUDE_DEGREES, length_to_diameter), centred_angle)),
        drag * found,
        _over(ratio, _monotone_row(_FLOW, length_to_diameter), pi),
        _over(ratio, _monotone_row(_SIDE_FLOW_SHARE, length_to_diameter), 0.0),
        _over(ratio, _monotone_row(_PRESSURE_RATIO, length_to_diameter), None))


@published("raimondi-boyd-1958", status="recalled")
def journal_film_at_load(*, length_to_diameter: float, sommerfeld: Numeric) -> JournalFilm:
    """Film of a full bearing at a Sommerfeld number: :func:`eccentricity_ratio`, then :func:`journal_film`.

    Parameters
    ----------
    length_to_diameter : float [-], 0.25 or more
    sommerfeld : array [-]

    Returns
    -------
    JournalFilm, its ``sommerfeld`` the one given.

    Examples
    --------
    >>> film = journal_film_at_load(length_to_diameter=0.5, sommerfeld=0.319)
    >>> round(float(film.eccentricity_ratio), 3), round(float(film.friction_number), 2)
    (0.6, 8.1)
    """
    ratio = eccentricity_ratio(np.asarray(sommerfeld, dtype=np.float64), fine_row(length_to_diameter))
    film = journal_film(length_to_diameter=length_to_diameter, eccentricity_ratio=ratio)
    return film._replace(friction_number=film.friction_number / film.sommerfeld * sommerfeld,
                         sommerfeld=np.asarray(sommerfeld, dtype=np.float64))


@published("raimondi-boyd-1958", status="exact")
@in_kernel
def least_film(clearance: Numeric, ratio: Numeric) -> Numeric:
    r"""Least film thickness, :math:`h_{min}=c(1-\varepsilon)`.

    Parameters
    ----------
    clearance, ratio : array [m], [-]
        Radial clearance and eccentricity ratio.

    Returns
    -------
    array [m]

    Examples
    --------
    >>> round(least_film(30e-6, 0.6) * 1e6, 6)
    12.0
    """
    return clearance * (1 - ratio)


@published("raimondi-boyd-1958", status="exact")
@in_kernel
def specific_load(load: Numeric, radius: Numeric, length: Numeric) -> Numeric:
    r"""Load per projected area, :math:`p=W/(2RL)`.

    Parameters
    ----------
    load, radius, length : array [N], [m], [m]

    Returns
    -------
    array [Pa]

    Examples
    --------
    >>> round(specific_load(300.0, 0.020, 0.040))
    187500
    """
    return load / (2 * radius * length)


def film_limits(sommerfeld: Numeric, length_to_diameter: float) -> tuple[Limit, ...]:
    """Where a Sommerfeld number or a bearing shape leaves the table.

    Parameters
    ----------
    sommerfeld : array [-]
    length_to_diameter : float [-]

    Returns
    -------
    tuple of Limit
    """
    number, shape = np.asarray(sommerfeld), np.asarray(length_to_diameter)
    return (
        limit("bearing load beyond the film table (eccentricity ratio above 0.97): the film is at most 3 % of the "
              "clearance; what is shown is a lower bound", number < _least_number(length_to_diameter)),
        limit("bearing longer than 1.5 diameters: side flow and peak pressure of the film table are "
              "uncertain there", shape > 1.5),
    )


@lru_cache(maxsize=512)
def _least_number(length_to_diameter: float) -> float:
    """Sommerfeld number at the end of the table."""
    return float(_row(_SOMMERFELD, length_to_diameter)[-1])


def _row(table: dict[float, list[float]], length_to_diameter: float) -> Array:
    """Raimondi and Boyd's interpolation in L/D: the cubic in D/L through infinity, 1, 1/2 and 1/4."""
    slenderness, nodes = _slenderness(table, length_to_diameter)
    weights = [np.prod([(slenderness - other) / (node - other) for other in nodes if other != node])
               for node in nodes]
    return np.asarray(np.array(weights) @ np.array(list(table.values())), dtype=np.float64)


def _monotone_row(table: dict[float, list[float]], length_to_diameter: float) -> Array:
    """Monotone cubic in D/L, for quantities on which the plain cubic swings."""
    slenderness, nodes = _slenderness(table, length_to_diameter)
    columns = np.array(list(table.values())).T
    return np.array([value(monotone_through_points(nodes, column), slenderness) for column in columns])


def _slenderness(table: dict[float, list[float]], length_to_diameter: float) -> tuple[float, Array]:
    if not length_to_diameter >= 0.25:
        raise ValueError(f"length over diameter must be 0.25 or more, not {length_to_diameter}")
    return 1 / length_to_diameter, np.array([1 / key for key in table])


def _sommerfeld_at(ratio: Array, length_to_diameter: float) -> Array:
    """Smooth S: S e/(1-e) varies little from the centred journal to the touching one."""
    smooth = np.log(_row(_SOMMERFELD, length_to_diameter) * ECCENTRICITIES / (1 - ECCENTRICITIES))
    centred = smooth[0] + np.log(1 - ECCENTRICITIES[0])      # S e is constant for a light load
    return np.exp(_over(ratio, smooth, float(centred))) * (1 - ratio) / ratio


def _over(ratio: Array, column: Array, centred: float | None) -> Array:
    """Monotone cubic over the eccentricity ratio, with the value of the centred journal where it is known."""
    if centred is None:
        curve = monotone_through_points(ECCENTRICITIES, column)
        return _inside(ratio, curve, np.maximum(ratio, ECCENTRICITIES[0]))
    knots = np.concatenate([[0.0], ECCENTRICITIES])
    values = np.concatenate([[centred], column])
    return _inside(ratio, monotone_through_points(knots, values), np.asarray(ratio))


def _inside(ratio: Array, curve: PiecewisePolynomial, place: Array) -> Array:
    """The curve, NaN beyond the last row of the tables."""
    return np.where(np.asarray(ratio) <= ECCENTRICITIES[-1], value(curve, place), np.nan)
