"""Films: limits of the light load, monotone tables, kernel and array code, regime laws, rolling bearings."""

import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from wetpath.physics.film import film_regime, thrust_face
from wetpath.physics.film.journal_film import (
    eccentricity_ratio,
    fine_row,
    journal_film,
    journal_film_at_load,
    printed_row,
)
from wetpath.physics.film.rolling_bearing_life import (
    RELIABILITY_FACTORS,
    ROLLER_EXPONENT,
    deep_groove_equivalent_load,
    rating_life,
)

SHAPES = st.floats(0.25, 2.0)


@given(shape=SHAPES)
def test_light_load_has_the_friction_of_petroff(shape):
    film = journal_film(length_to_diameter=shape, eccentricity_ratio=1e-3)
    assert float(film.friction_number / film.sommerfeld) == pytest.approx(2 * np.pi**2, rel=2e-3)


@given(shape=SHAPES)
def test_rows_fall_and_ratios_invert_them(shape):
    for row in (printed_row(shape), fine_row(shape)):
        assert np.all(np.diff(row.sommerfeld) < 0)
        assert eccentricity_ratio(row.sommerfeld, row) == pytest.approx(row.eccentricity, abs=1e-12)


@given(shape=SHAPES, first=st.floats(1e-4, 1e2), factor=st.floats(1.001, 10.0))
def test_more_load_more_eccentricity(shape, first, factor):
    row = fine_row(shape)
    light, heavy = eccentricity_ratio(first * factor, row), eccentricity_ratio(first, row)
    assert 0 < light < heavy < 1


def test_ratio_is_continuous_at_both_ends_of_the_row():
    for row in (printed_row(0.5), fine_row(0.5)):
        for number in (row.sommerfeld[0], row.sommerfeld[-1]):
            sides = eccentricity_ratio(number * np.array([1 - 1e-9, 1 + 1e-9]), row)
            assert sides[0] == pytest.approx(sides[1], abs=1e-8)


def test_film_at_load_and_film_at_ratio_agree():
    film = journal_film_at_load(length_to_diameter=0.7, sommerfeld=np.array([0.02, 0.2, 2.0, 20.0]))
    again = journal_film(length_to_diameter=0.7, eccentricity_ratio=film.eccentricity_ratio)
    assert again.sommerfeld == pytest.approx(film.sommerfeld, rel=5e-3)
    assert again.friction_number == pytest.approx(film.friction_number, rel=5e-3)


def test_kernel_and_array_code_give_the_same_ratio():
    row = fine_row(0.5)

    @numba.njit
    def compiled(number, row):
        return eccentricity_ratio(number, row)

    for number in (0.0, 1e-3, 0.05, 0.8, 30.0):
        assert compiled(number, row) == float(eccentricity_ratio(number, row))
    assert np.isnan(compiled(np.nan, row))
    assert np.isnan(eccentricity_ratio(np.nan, row))


def test_thrust_friction_is_the_integral_of_the_shear():
    mu, omega, ro, ri, h = 5e-4, 303.7, 0.021, 0.015, 22e-6
    integral, _ = quad(lambda r: mu * omega * r / h * omega * r * 2 * np.pi * r, ri, ro)
    assert thrust_face.land_friction_power(mu, omega, ro, ri, h, 0.8) == pytest.approx(0.8 * integral, rel=1e-10)


@pytest.mark.published("incline-slider", status="exact")
def test_best_incline_is_1_19_and_carries_0_160(against):
    tapers = np.linspace(0.5, 2.5, 4001)
    loads = thrust_face.wide_pad_load(1.0, 1.0, 1.0, 1.0, 1.0, tapers)
    against("incline-slider", "recalled", "best taper ratio", tapers[np.argmax(loads)], 1.189, abs=2e-3)
    against("incline-slider", "recalled", "largest load coefficient", loads.max(), 0.1602, abs=1e-4)


@pytest.mark.published("taylor-1923", status="recalled")
def test_laminar_limits(against):
    against(
        "taylor-1923",
        "recalled",
        "limit at R/c 500",
        film_regime.laminar_limit(0.0175, 35e-6),
        41.2 * np.sqrt(500),
        rel=1e-12,
    )
    assert float(film_regime.laminar_limit(0.1, 20e-6)) == 2000.0
    reynolds = film_regime.film_reynolds(1000.0, 5e-4, 300.0, 0.0175, 35e-6)
    against("couette-flow", "computed", "film Reynolds number of the check film", reynolds, 367.5, rel=1e-12)


@pytest.mark.parametrize(
    "factor",
    [
        film_regime.turbulent_shear_factor,
        film_regime.turbulent_axial_resistance,
        film_regime.turbulent_circumferential_resistance,
    ],
)
def test_turbulence_only_adds_resistance(factor):
    values = factor(np.array([10.0, 999.0, 1001.0, 5e3, 5e4]), 1000.0)
    assert values[:2].tolist() == [1.0, 1.0]
    assert np.all(np.diff(values[1:]) > 0)


@pytest.mark.published("ng-pan-1965", status="recalled")
def test_turbulent_factors_by_hand(against):
    # At Re 1e4: 1e4^0.94 = 5754.4, 1e4^0.96 = 6918.3, 1e4^0.90 = 3981.1.
    for key, factor, want in (
        ("constantinescu-1959", film_regime.turbulent_shear_factor, 1 + 0.0012 * 5754.4),
        ("ng-pan-1965", film_regime.turbulent_axial_resistance, (12 + 0.0043 * 6918.3) / 12),
        ("ng-pan-1965", film_regime.turbulent_circumferential_resistance, (12 + 0.0136 * 3981.1) / 12),
    ):
        against(key, "recalled", f"{factor.__name__} at Re 1e4", factor(1e4, 1000.0), want, rel=1e-4)


@pytest.mark.published("robertson-1959", status="recalled")
@pytest.mark.parametrize(("reynolds", "room"), [(3e3, 0.05), (1e4, 0.05), (3e4, 0.15)])
def test_turbulent_shear_against_plane_couette_flow(reynolds, room, against):
    # Robertson: sqrt(Cf/2) = 0.19/log10(Uh/4nu), Cf on half the wall speed. Another law of the same flow; the two drift
    # apart slowly above Re 1e4 because one is a power and the other a logarithm.
    shear = 2 * (0.19 / np.log10(reynolds / 4)) ** 2 * 0.5 / 4
    against(
        "robertson-1959",
        "recalled",
        f"turbulent over laminar shear at Re {reynolds:g}",
        film_regime.turbulent_shear_factor(reynolds, 1000.0),
        shear * reynolds,
        rel=room,
    )


def test_pad_load_scales_as_reynolds_equation_says():
    def load(viscosity=1e-3, speed=5.0, length=0.01, width=0.012, film=5e-6):
        return thrust_face.wide_pad_load(viscosity, speed, length, width, film, 1.2)

    once = load()
    assert load(viscosity=2e-3) == pytest.approx(2 * once)
    assert load(speed=10.0) == pytest.approx(2 * once)
    assert load(length=0.02) == pytest.approx(4 * once)
    assert load(width=0.024) == pytest.approx(2 * once)
    assert load(film=10e-6) == pytest.approx(once / 4)


def test_face_pressure_carries_the_load():
    ring = np.pi * (0.021**2 - 0.015**2)
    assert thrust_face.face_pressure(100.0, 0.021, 0.015, 0.8) * ring * 0.8 == pytest.approx(100.0)


def test_film_ratio():
    assert float(film_regime.film_ratio(3e-6, 0.6e-6, 0.8e-6)) == pytest.approx(3.0)


@pytest.mark.published("iso-281-2007", status="recalled")
def test_rolling_bearing_life(against):
    # C/P = 10, ball: 1000 million turns; at 1500 r/min 11 111 h.
    hours = rating_life(50e3, 5e3, 1500 * np.pi / 30) / 3600
    against("iso-281-2007", "computed", "life at C/P 10, 1500 r/min", hours, 1e9 / (60 * 1500), rel=1e-9, unit="h")
    ratio = rating_life(50e3, 5e3, 100.0, ROLLER_EXPONENT) / rating_life(50e3, 5e3, 100.0)
    against("iso-281-2007", "computed", "roller over ball at C/P 10", ratio, 10 ** (1 / 3), rel=1e-9)
    for share, want in {0.90: 1.0, 0.95: 0.64, 0.96: 0.55, 0.97: 0.47, 0.98: 0.37, 0.99: 0.25}.items():
        against("iso-281-2007", "recalled", f"factor for {share}", RELIABILITY_FACTORS[share], want, rel=1e-12)


@pytest.mark.published("iso-281-2007", status="recalled")
@pytest.mark.parametrize(
    ("relative", "e", "y"),
    [
        (0.172, 0.19, 2.30),
        (0.345, 0.22, 1.99),
        (0.689, 0.26, 1.71),
        (1.03, 0.28, 1.55),
        (1.38, 0.30, 1.45),
        (2.07, 0.34, 1.31),
        (3.45, 0.38, 1.15),
        (5.17, 0.42, 1.04),
        (6.89, 0.44, 1.00),
    ],
)
def test_deep_groove_rows(relative, e, y, against):
    axial, f0 = 1000.0, 14.0
    static = f0 * axial / relative
    below, above = axial / e * 1.01, axial / e * 0.5
    assert float(deep_groove_equivalent_load(below, axial, static, f0)) == pytest.approx(below)
    against(
        "iso-281-2007",
        "recalled",
        f"equivalent load at f0 Fa/C0 {relative}",
        deep_groove_equivalent_load(above, axial, static, f0),
        0.56 * above + y * axial,
        rel=1e-9,
        unit="N",
    )
