"""Side pull of eccentric magnet rings against the exact plane field, and against Earnshaw's theorem."""

import numpy as np
import pytest
from eccentric_rings import side_pull

from wetpath.physics.magnetics.eccentric_pull import pull_stiffness, ring_pull_stiffness
from wetpath.physics.magnetics.end_effect import Extent, coupling_amplitudes
from wetpath.physics.magnetics.magnet_harmonics import radial_magnetisation
from wetpath.physics.magnetics.radial_modes import radial_modes
from wetpath.physics.magnetics.ring_field import CrossSection

SHAPES = {2: (0.040, 0.047, 0.051, 0.058), 3: (0.030, 0.036, 0.042, 0.047), 4: (0.040, 0.047, 0.051, 0.058),
          6: (0.040, 0.047, 0.051, 0.058), 10: (0.090, 0.098, 0.104, 0.112)}


def rings(pole_pairs):
    orders = pole_pairs * np.array([1.0, 3.0, 5.0])
    return orders, radial_magnetisation(orders, pole_pairs, 0.88)[0]


@pytest.mark.published("eccentric-plane-field", status="computed")
@pytest.mark.parametrize("pole_pairs", SHAPES)
@pytest.mark.parametrize("angle", [0.0, 1.2])
def test_against_the_exact_plane_field(against, pole_pairs, angle):
    """4 %: what the slow change of the gap costs with few poles or a wide gap; 1.2 to 3.8 % low when written."""
    orders, size = rings(pole_pairs)
    nothing = np.zeros_like(size)
    ours = pull_stiffness(orders, CrossSection(*SHAPES[pole_pairs]), (size, nothing), (size, nothing))
    together = float((ours.inner + ours.outer + ours.cross * np.cos(orders / pole_pairs * angle)).sum())
    offset = 2e-5
    series = dict(zip(orders.astype(int).tolist(), size.tolist(), strict=True))
    exact, across = side_pull(pole_pairs, SHAPES[pole_pairs], series, series, offset, angle / pole_pairs)
    assert abs(across) < 1e-3 * exact
    against("eccentric-plane-field", "computed", f"side pull per offset, {pole_pairs} pole pairs, angle {angle}",
            together, exact / offset, rel=0.04, unit="N/m2")


def test_oracle_has_no_pull_without_iron():
    """Plane potentials of two sets of magnets have no mean second derivative: Earnshaw."""
    _, size = rings(4)
    series = {4: float(size[0])}
    with_iron = side_pull(4, SHAPES[4], series, series, 1e-4)[0]
    without = side_pull(4, SHAPES[4], series, series, 1e-4, iron=False)[0]
    assert abs(without) < 1e-6 * with_iron


@pytest.mark.published("eccentric-rings", status="derived")
def test_long_rings_are_as_the_plane(against):
    orders, size = rings(4)
    orders, size = orders[:1], size[:1]
    magnets, section, length = (size, np.zeros(1)), CrossSection(*SHAPES[4], 1.05, 1.08), 5.0
    plane = pull_stiffness(orders, section, magnets, magnets)
    long = ring_pull_stiffness(orders, section, magnets, magnets, Extent(length, length))
    for name, ours, expected in zip(plane._fields, long, plane, strict=True):
        # ends are a thousandth of such a length; differences of the energy leave less
        against("eccentric-rings", "derived", f"{name}, per length", ours[0] / length, expected[0], rel=0.01,
                unit="N/m2")


@pytest.mark.published("eccentric-rings", status="derived")
@pytest.mark.parametrize("pole_pairs", [4, 6, 10])
def test_without_iron_half_of_the_axial_stiffness(against, pole_pairs):
    """Earnshaw: the three stiffnesses add to nothing, so the side pull is half of what holds the rings axially."""
    orders, size = rings(pole_pairs)
    section = CrossSection(*SHAPES[pole_pairs])._replace(inner_iron=0.0, outer_iron=np.inf)
    magnets, length, step = (size, np.zeros_like(size)), 0.04, 1e-6
    ours = sum(float(part.sum()) for part in ring_pull_stiffness(orders, section, magnets, magnets,
                                                                 Extent(length, length)))
    force = coupling_amplitudes(radial_modes(orders, section, magnets, magnets), Extent(length, length, step))[1]
    against("eccentric-rings", "derived", f"pull without iron, {pole_pairs} pole pairs", ours,
            float(force.sum()) / step / 2, rel=0.08, unit="N/m")
