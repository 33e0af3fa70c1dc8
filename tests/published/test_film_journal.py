"""Raimondi and Boyd (1958), full bearing: printed rows recalled.

The table holds these rows, so that they must come back exactly; what checks them against nature is
tests/independent/test_film_journal_solver.py, which solves Reynolds' equation for every row.
"""

import numpy as np
import pytest

from wetpath.physics.film.journal_film import (
    eccentricity_ratio,
    film_limits,
    fine_row,
    journal_film,
    least_film,
    printed_row,
    sommerfeld_number,
    specific_load,
)
from wetpath.physics.validity import messages

KEY = "raimondi-boyd-1958"
ROWS = [  # L/D, ratio, S, attitude degrees, (R/c)f, Q/(RcNL), Qs/Q, P/pmax
    (1.0, 0.2, 0.631, 74.02, 12.8, 3.59, 0.280, 0.529),
    (1.0, 0.6, 0.121, 50.58, 3.22, 4.33, 0.680, 0.415),
    (1.0, 0.8, 0.0446, 36.24, 1.70, 4.62, 0.842, 0.313),
    (1.0, 0.9, 0.0188, 26.45, 1.05, 4.74, 0.919, 0.247),
    (0.5, 0.2, 2.03, 74.94, 40.9, 3.72, 0.318, 0.506),
    (0.5, 0.4, 0.779, 61.45, 17.0, 4.29, 0.552, 0.441),
    (0.5, 0.8, 0.0923, 33.31, 3.26, 5.41, 0.874, 0.267),
    (0.25, 0.4, 2.83, 60.86, 61.1, 4.37, 0.567, 0.415),
    (0.25, 0.6, 1.07, 46.72, 26.7, 4.99, 0.746, 0.334),
]


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize("row", ROWS, ids=[f"L/D {row[0]}, ratio {row[1]}" for row in ROWS])
def test_printed_row(row, against):
    film = journal_film(length_to_diameter=row[0], eccentricity_ratio=row[1])
    ours = (
        film.sommerfeld,
        np.degrees(film.attitude_angle),
        film.friction_number,
        film.flow_number,
        film.side_flow_share,
        film.pressure_ratio,
    )
    for name, number, want in zip(
        ("S", "attitude", "friction", "flow", "side flow", "pressure ratio"), ours, row[2:], strict=True
    ):
        # Half a digit of the last place where a row was printed with another number of digits.
        against(KEY, "recalled", f"L/D {row[0]}, ratio {row[1]}: {name}", number, want, rel=1e-3)


@pytest.mark.published(KEY, status="recalled")
@pytest.mark.parametrize(
    ("shape", "number", "want"),
    [(1.0, 0.264, 0.4), (1.0, 0.18, 0.498183), (1.0, 2.0, 0.0665), (0.5, 0.5, 0.499326)],
)
def test_ratio_by_the_straight_line_in_ln_s(shape, number, want, against):
    ours = eccentricity_ratio(number, printed_row(shape))
    against(KEY, "computed", f"ratio at S {number}, L/D {shape}", ours, want, abs=1e-6)


@pytest.mark.published(KEY, status="recalled")
def test_worked_bearing(against):
    # D = L = 40 mm, c 30 um, 0.6 mPa.s, 2950 r/min, 300 N
    number = sommerfeld_number(0.6e-3, 2950 * np.pi / 30, 300.0, 0.020, 0.040, 30e-6)
    against(KEY, "computed", "Sommerfeld number", number, 0.06993, rel=1e-4)
    against(
        KEY, "computed", "specific load", specific_load(300.0, 0.020, 0.040), 187500, rel=1e-12, unit="Pa"
    )
    ratio = float(eccentricity_ratio(number, fine_row(1.0)))
    assert 0.6 < ratio < 0.8
    assert least_film(30e-6, ratio) == pytest.approx(30e-6 * (1 - ratio))


@pytest.mark.published("wetpath-worked-example-w1", status="computed")
@pytest.mark.parametrize(
    ("case", "number", "want"),
    [("W1-a", 0.072073, 0.82287), ("W1-b", 0.014848, 0.93189), ("W1-c", 0.014827, 0.93195)],
)
def test_bearings_of_the_worked_example(case, number, want, against):
    ours = eccentricity_ratio(number, printed_row(0.5))
    # S is printed with five digits: the ratio moves by less than 1e-5.
    against("wetpath-worked-example-w1", "computed", f"{case}: eccentricity ratio", ours, want, abs=1e-5)


def test_load_beyond_the_table_is_flagged_and_leaves_a_film():
    assert messages(*film_limits(0.1, 0.5)) == ()
    assert messages(*film_limits([0.1, 0.001], 0.5)) == (
        "bearing load beyond the film table (eccentricity ratio above 0.97): the film is at most 3 % of the "
        "clearance; what is shown is a lower bound",
    )
    assert 0.97 < float(eccentricity_ratio(0.001, printed_row(0.5))) < 1
    assert float(eccentricity_ratio(0.0, printed_row(0.5))) == 1.0


def test_shapes_outside_the_interpolation_are_refused():
    with pytest.raises(ValueError, match=r"0\.25 or more"):
        printed_row(0.2)
    assert len(messages(*film_limits(0.1, 2.0))) == 1
