"""Strength: inverses, limits of buckling, formed ends against each other, thermal stress by integration."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from wetpath.physics.heat.shell_wall import wall_gradient_drop
from wetpath.physics.strength import external_pressure as external
from wetpath.physics.strength import internal_pressure as internal
from wetpath.physics.strength import thermal_stress
from wetpath.physics.validity import messages

PRESSURES, RADII, STRESSES, JOINTS = (
    st.floats(1e5, 1e7),
    st.floats(0.02, 0.2),
    st.floats(80e6, 240e6),
    st.floats(0.7, 1),
)


@given(PRESSURES, RADII, STRESSES, JOINTS)
def test_pressure_and_wall_are_inverses(pressure, radius, stress, joint):
    wall = internal.cylinder_thickness(pressure, radius, stress, joint)
    assert internal.cylinder_pressure(wall, radius, stress, joint) == pytest.approx(pressure, rel=1e-9)
    wall = internal.cylinder_thickness_en(pressure, 2 * radius, stress, joint)
    assert internal.cylinder_pressure_en(wall, 2 * radius, stress, joint) == pytest.approx(pressure, rel=1e-9)


@given(PRESSURES, RADII, STRESSES)
def test_both_codes_tend_to_the_thin_tube(pressure, radius, stress):
    thin = pressure * radius / stress
    room = 1.2 * pressure / stress
    assert internal.cylinder_thickness(pressure, radius, stress) == pytest.approx(thin, rel=room)
    assert internal.cylinder_thickness_en(pressure, 2 * radius, stress) == pytest.approx(thin, rel=room)


@given(RADII, STRESSES)
def test_formed_ends_meet_the_hemisphere(radius, stress):
    sphere = internal.hemispherical_pressure(1e-3, radius, stress)
    assert internal.torispherical_pressure(1e-3, radius, radius, stress) == pytest.approx(sphere, rel=1e-12)
    # an ellipsoid as deep as its radius is a hemisphere: K = 1/2
    assert internal.ellipsoidal_pressure(1e-3, 2 * radius, radius, stress) == pytest.approx(sphere, rel=1e-12)
    shallow = internal.ellipsoidal_pressure(1e-3, 2 * radius, radius / 2, stress)
    assert shallow < sphere


@pytest.mark.published("asme-viii-1-ug-32", status="recalled")
def test_standard_dished_end(against):
    # UG-32(e): t = 0.885 P L/(S E - 0.1 P) for a knuckle of 6 % of the crown radius; 0.885 is M/2 rounded.
    pressure = internal.torispherical_pressure(3e-3, 0.2, 0.012, 138e6)
    wall = 0.885 * pressure * 0.2 / (138e6 - 0.1 * pressure)
    against(
        "asme-viii-1-ug-32",
        "recalled",
        "wall of the standard dished end",
        3.0,
        wall * 1e3,
        rel=1e-3,
        unit="mm",
    )


def test_flat_end_bends_like_a_plate():
    # A clamped plate has the edge stress 0.75 p (R/t)^2 = 0.1875 p (d/t)^2: between C 0.17 and 0.33.
    pressure = internal.flat_end_pressure(8e-3, 0.130, 0.1875, 138e6)
    assert 0.75 * pressure * (0.065 / 8e-3) ** 2 == pytest.approx(138e6)


@pytest.mark.published("bryan-long-tube", status="recalled")
def test_long_tube_collapses_like_a_ring(against):
    wall, radius, modulus = 1e-3, 0.05, 200e9
    ours = external.cylinder_collapse(wall, radius, 1e3 * radius, modulus)
    against(
        "bryan-long-tube",
        "recalled",
        "collapse of a long tube",
        ours,
        modulus * (wall / radius) ** 3 / (4 * (1 - 0.3**2)),
        rel=2e-3,
        unit="Pa",
    )


@pytest.mark.published("windenburg-trilling-1934", status="recalled")
@pytest.mark.parametrize("length", [0.06, 0.08, 0.12, 0.20])
@pytest.mark.parametrize("wall", [0.8e-3, 1.2e-3])
def test_two_formulas_of_collapse_agree(wall, length, against):
    # The closed form is an envelope of the other over whole numbers of lobes: a few per cent between them.
    exact = external.cylinder_collapse(wall, 0.0655, length, 200e9)
    closed = external.cylinder_collapse_short(wall, 0.131, length, 200e9)
    against(
        "von-mises-1914",
        "recalled",
        f"collapse, wall {wall}, length {length}",
        closed,
        exact,
        rel=0.06,
        unit="Pa",
    )


@given(st.floats(0.5e-3, 3e-3), RADII, st.floats(0.3, 5.0))
def test_collapse_grows_with_wall_and_falls_with_length(wall, radius, slender):
    collapse = external.cylinder_collapse(wall, radius, slender * radius, 200e9)
    assert external.cylinder_collapse(1.1 * wall, radius, slender * radius, 200e9) > collapse
    assert external.cylinder_collapse(wall, radius, 1.1 * slender * radius, 200e9) <= collapse * (1 + 1e-12)


def test_collapse_broadcasts():
    batch = external.cylinder_collapse(np.array([1e-3, 2e-3]), 0.0655, np.array([[0.08], [0.1]]), 200e9)
    assert batch.shape == (2, 2)
    assert batch[0, 0] == external.cylinder_collapse(1e-3, 0.0655, 0.08, 200e9)


def test_allowed_pressure_is_held_by_yield_when_stubby():
    assert float(external.allowed_external_pressure(1e9, 1e-3, 0.05, 200e6)) == pytest.approx(2 / 3 * 200e6 * 0.02)
    assert float(external.allowed_external_pressure(3e6, 1e-3, 0.05, 200e6)) == pytest.approx(1e6)
    assert messages(*external.external_pressure_limits(1e6, 1e-3, 0.05, 200e6)) == ()
    assert len(messages(*external.external_pressure_limits(4e6, 1e-3, 0.05, 200e6))) == 1


@pytest.mark.published("asme-viii-1-ug-28", status="recalled")
def test_sphere_rule_is_the_classic_value_with_a_knock_down(against):
    ratio = external.allowed_external_pressure_sphere(1e-3, 0.065, 200e9) / external.sphere_collapse(1e-3, 0.065, 200e9)
    # 1.21 E (t/R)^2 against 0.0625 E (t/R)^2
    against("zoelly-1915", "recalled", "allowed over classic collapse of a sphere", ratio, 0.0625 / 1.21, rel=2e-3)


def test_wall_temperatures_and_stresses_from_the_parabola():
    flux, wall, conductivity, modulus, expansion, nu = 44e3, 1e-3, 10.0, 205e9, 11.2e-6, 0.3
    drop = wall_gradient_drop(flux, wall, conductivity)
    assert drop == pytest.approx(2.2)
    x = np.linspace(0, 1, 20001)
    temperature = drop * (1 - x**2)  # 0 at the insulated face, 1 at the cooled one
    mean = np.trapezoid(temperature, x)
    stress = modulus * expansion * (mean - temperature) / (1 - nu)
    assert thermal_stress.heated_wall_stress(drop, modulus, expansion, nu) == pytest.approx(stress.max(), rel=1e-6)
    assert stress.min() == pytest.approx(-stress.max() / 2, rel=1e-6)
    straight = modulus * expansion * drop * (0.5 - (1 - x)) / (1 - nu)
    assert thermal_stress.linear_gradient_stress(drop, modulus, expansion, nu) == pytest.approx(straight.max())


def test_most_dangerous_number_of_lobes_is_a_minimum_over_real_numbers():
    # The least over whole lobes is never below the least over real ones, and close to it.
    wall, radius, length, modulus, nu = 1e-3, 0.0655, 0.080, 200e9, 0.3

    def pressure(n):
        a2, n2 = (np.pi * radius / length) ** 2, n**2
        inside = 1 / (1 + n2 / a2) ** 2 + wall**2 / (12 * radius**2 * (1 - nu**2)) * (n2 - 1 + a2) ** 2
        return modulus * wall / radius / (n2 - 1 + a2 / 2) * inside

    least = minimize_scalar(pressure, bounds=(2, 20), method="bounded").fun
    ours = float(external.cylinder_collapse(wall, radius, length, modulus))
    assert least <= ours <= 1.03 * least


def test_limit_of_elastic_buckling_is_at_half_of_yield():
    # p a/t = 100 MPa at p = 2 MPa, a/t = 50
    assert messages(*external.external_pressure_limits(1.99e6, 1e-3, 0.05, 200e6)) == ()
    assert messages(*external.external_pressure_limits(2.01e6, 1e-3, 0.05, 200e6)) != ()


def test_code_limits_are_where_they_are():
    assert messages(*internal.cylinder_limits(0.0324, 50e6, 0.065, 138e6)) == ()
    assert len(messages(*internal.cylinder_limits(0.0326, 50e6, 0.065, 138e6))) == 1
    assert messages(*internal.cylinder_limits(1e-3, 0.384 * 138e6, 0.065, 138e6)) == ()
    assert len(messages(*internal.cylinder_limits(1e-3, 0.386 * 138e6, 0.065, 138e6))) == 1


@pytest.mark.published("asme-viii-1-ug-32", status="recalled")
@pytest.mark.parametrize(("aspect", "factor"), [(2.0, 1.0), (3.0, 1.83), (1.0, 0.5)])
def test_ellipsoidal_factor(aspect, factor, against):
    # appendix 1-4, table of K over D/2h, printed with two decimals: P D K = t (2 S E - 0.2 P)
    pressure = internal.ellipsoidal_pressure(2e-3, 0.130, 0.065 / aspect, 138e6)
    ours = 2e-3 * (2 * 138e6 - 0.2 * pressure) / (pressure * 0.130)
    against("asme-viii-1-ug-32", "recalled", f"K at D/2h {aspect}", ours, factor, abs=0.0051)
