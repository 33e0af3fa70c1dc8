"""Drag of cylinders against printed rows, exact laminar Couette flow and a sister correlation."""

import numpy as np
import pytest

from wetpath.physics.drag.cylinder_drag import couette_torque_coefficient, cylinder_torque, thrust_land_torque

#: Inner and outer radius [mm], viscosity [Pa s], coefficient; density 1000 kg/m3, speed 300 rad/s.
ROWS = [(50.0, 51.5, 1.0, 0.1858172), (50.0, 51.5, 0.1, 0.0270930), (50.0, 51.5, 0.01, 0.00758372),
        (50.0, 51.5, 4e-4, 0.00254698), (17.5, 17.535, 5e-4, 0.0109170)]


@pytest.mark.published("wetpath-worked-example-w1", status="computed")
@pytest.mark.parametrize(("inner", "outer", "viscosity", "coefficient"), ROWS)
def test_check_values(against, inner, outer, viscosity, coefficient):
    """Six digits are printed."""
    reynolds = 1000.0 * 300.0 * inner * (outer - inner) * 1e-6 / viscosity
    against("wetpath-worked-example-w1", "computed",
            f"torque coefficient at Re {reynolds:g}, t/r {(outer - inner) / inner:g}",
            couette_torque_coefficient(reynolds, (outer - inner) / inner), coefficient, rel=3e-6)


@pytest.mark.published("bilgen-boulos-1973", status="recalled")
@pytest.mark.parametrize("gap_ratio", [0.002, 0.03, 0.047])
def test_exact_laminar_couette_flow(against, gap_ratio):
    """M = 4 pi mu w L ri2 ro2/(ro2 - ri2), exact; the floor holds up to t/r 0.047 at low Reynolds numbers."""
    radius, viscosity, speed, length = 0.05, 0.5, 40.0, 0.08
    outer = radius * (1 + gap_ratio)
    exact = 4 * np.pi * viscosity * speed * length * radius**2 * outer**2 / (outer**2 - radius**2)
    against("bilgen-boulos-1973", "derived", f"laminar torque at t/r {gap_ratio:g}",
            cylinder_torque(900.0, viscosity, speed, radius, outer - radius, length), exact, rel=1e-9, unit="N m")


@pytest.mark.published("bilgen-boulos-1973", status="recalled")
@pytest.mark.parametrize(("reynolds", "step"), [(64.0, 0.056), (500.0, -0.041), (1e4, 0.0003)])
def test_steps_where_regimes_meet(against, reynolds, step):
    """The four formulas do not meet: +6, -4 and 0 % (wide gap, so that the laminar floor does not show)."""
    below, above = couette_torque_coefficient(np.array([0.999999, 1.000001]) * reynolds, 0.3)
    against("bilgen-boulos-1973", "recalled", f"step at Re {reynolds:g}", above / below - 1.0, step, abs=0.002)


@pytest.mark.published("wendt-1933", status="recalled")
@pytest.mark.parametrize("radius_ratio", [0.7, 0.8, 0.9, 0.95, 0.974, 0.99])
@pytest.mark.parametrize("reynolds", [400.0, 1e3, 3e3, 9e3, 1.5e4, 3e4, 1e5])
def test_sister_correlation(against, reynolds, radius_ratio):
    """Wendt's torques of the same geometry.

    Within 12 % up to Re 1e4. Above, Wendt's exponent is 1.7 where ours is 1.8: by Re 1e5, the end of his range,
    they have drifted 11 to 24 % apart, ours higher, hence 25 % there.
    """
    eta = radius_ratio
    constant, power = (1.45, 1.5) if reynolds < 1e4 else (0.23, 1.7)
    dimensionless = constant * eta**1.5 / (1 - eta) ** 1.75 * reynolds**power          # M/(rho nu2 L)
    gap_ratio = 1 / eta - 1
    expected = 2 * dimensionless * gap_ratio**2 / (np.pi * reynolds**2)
    against("wendt-1933", "recalled", f"torque coefficient at Re {reynolds:g}, ri/ro {eta:g}",
            couette_torque_coefficient(reynolds, gap_ratio), expected, rel=0.12 if reynolds < 1e4 else 0.25)


@pytest.mark.published("thin-film-couette", status="exact")
def test_thrust_land_is_the_integral_of_the_film_shear(against):
    """Rings of width dr carry the shear mu w r/h on the arm r; summed over a fine grid of rings."""
    viscosity, speed, inner, outer, film = 3e-4, 303.7, 0.015, 0.021, 22e-6
    edges = np.linspace(inner, outer, 20001)
    middle = 0.5 * (edges[1:] + edges[:-1])
    summed = (viscosity * speed * middle / film * middle * 2 * np.pi * middle * np.diff(edges)).sum()
    against("thin-film-couette", "derived", "torque of a thrust land",
            thrust_land_torque(viscosity, speed, inner, outer, film, 0.8), 0.8 * summed, rel=1e-7, unit="N m")
