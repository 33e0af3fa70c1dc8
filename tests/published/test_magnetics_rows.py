"""Printed values of magnetisation harmonics, end factor and slab loss.

The harmonics and the end factor are closed forms whose digits were worked out apart from this code; the slab
loss is the textbook formula p = (B v)^2 / (2 rho) with its end factor.
"""

import numpy as np
import pytest

from wetpath.physics.magnetics.eddy_loss import endless_wall_loss, overhang_factor
from wetpath.physics.magnetics.magnet_harmonics import parallel_magnetisation, radial_magnetisation

ARCS = ("fourier-series-of-arcs", "derived")
SLAB = ("shell-loss-slab-formula", "derived")
ORDERS = 4 * np.array([1.0, 3.0, 5.0])


@pytest.mark.published("fourier-series-of-arcs", status="derived")
@pytest.mark.parametrize(("index", "radial", "parallel", "tangential"), [
    (0, 1.238060, 1.221740, -0.208053), (1, -0.322726, -0.299468, -0.065350),
    (2, 0.097450, 0.088438, 0.072658)])
def test_harmonics_of_arcs_with_eight_poles(against, index, radial, parallel, tangential):
    ours, none = radial_magnetisation(ORDERS, 4, 0.85)
    along, across = parallel_magnetisation(ORDERS, 4, 0.85)
    name = f"harmonic {2 * index + 1} of eight arcs of 0.85"        # six digits given
    against(*ARCS, f"{name}, radial", ours[index], radial, abs=6e-7, unit="T/T")
    against(*ARCS, f"{name}, parallel", along[index], parallel, abs=6e-7, unit="T/T")
    against(*ARCS, f"{name}, parallel, tangential", across[index], tangential,
            abs=6e-7, unit="T/T")
    assert none[index] == 0


@pytest.mark.published("russell-norsworthy-1958", status="recalled")
@pytest.mark.parametrize(("active", "overhang", "factor"), [
    (1.0, 0.0, 0.238406), (1.0, 0.5, 0.436668), (2.0, 0.0, 0.517986), (2.0, 1.0, 0.722054),
    (2.0, 50.0, 0.754579), (5.0, 1.0, 0.886472)])
def test_overhang_factor(against, active, overhang, factor):
    against("russell-norsworthy-1958", "derived", f"end factor at a {active:g}, b {overhang:g}",
            overhang_factor(active, overhang), factor, abs=6e-7)


@pytest.mark.published("shell-loss-slab-formula", status="derived")
@pytest.mark.parametrize(("speed", "endless", "finite"), [(2950.0, 355.7, 228.3), (1475.0, 88.9, 57.06)])
def test_slab_loss_of_a_thin_shell(against, speed, endless, finite):
    """Peak field 0.30 T, diameter 130 mm, 60 mm long, wall 1.0 mm, 1.25e-6 ohm m, 12 poles."""
    radius, length, pole_pairs = 0.065, 0.060, 6
    loss = endless_wall_loss(0.30, radius, 1e-3, 1 / 1.25e-6, speed * np.pi / 30) * length
    against(*SLAB, f"shell loss, endless, {speed:g} r/min", loss, endless, rel=1e-3,
            unit="W")
    against(*SLAB, f"shell loss, ends inside the field, {speed:g} r/min",
            loss * overhang_factor(pole_pairs * length / (2 * radius), 0.0), finite, rel=1e-3, unit="W")
