"""Limits of the field inside the magnets, and of the margin against demagnetisation."""

from dataclasses import replace

import numpy as np
import pytest

from wetpath.coupling.demagnetisation import KNEE, opposing_field
from wetpath.coupling.geometry import CouplingGeometry
from wetpath.errors import LimitError
from wetpath.physics.magnetics.demagnetisation import at_temperature, field_inside_magnets
from wetpath.physics.magnetics.ring_field import CrossSection, gap_field

COUPLING = CouplingGeometry(
    pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065,
    outer_back_radius=0.073, inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622,
    shell_thickness=0.0015, shell_start=-0.045, shell_end=0.045, inner_arc=0.9, outer_arc=0.8)


@pytest.mark.parametrize("ring", [0, 1])
@pytest.mark.parametrize("order", [1.0, 6.0, 54.0])
def test_field_crosses_the_face_of_the_magnets_unbroken(ring, order):
    """B_r and H_theta inside, at the face, are those of the gap."""
    section = CrossSection(0.052, 0.060, 0.065, 0.073, 1.05, 1.08)
    magnets = ([np.array([0.9]), np.array([-0.2])], [np.array([1.1]), np.array([0.3])])
    face, permeability = ((0.060, 1.05), (0.065, 1.08))[ring]
    angle = np.array([0.3 / order, 1.1 / order])
    own_r, own_t, other_r, other_t = field_inside_magnets(
        ring, np.array([order]), section, *magnets, np.full(2, face), angle, 0.0)
    b = gap_field(order, face, section, [part[0] for part in magnets[0]], [part[0] for part in magnets[1]])
    mine, theirs = (b[:2], b[2:]) if ring == 0 else (b[2:], b[:2])
    cosine, sine = np.cos(order * angle), np.sin(order * angle)
    magnet = magnets[ring][0] * cosine
    np.testing.assert_allclose(permeability * own_r + magnet, mine[0] * cosine, rtol=1e-10)
    np.testing.assert_allclose(own_t, mine[1] * sine, rtol=1e-10)
    np.testing.assert_allclose(permeability * other_r, theirs[0] * cosine, rtol=1e-10)
    np.testing.assert_allclose(other_t, theirs[1] * sine, rtol=1e-10)


@pytest.mark.parametrize("ring", [0, 1])
def test_field_has_neither_source_nor_curl_beyond_the_magnetisation(ring):
    """Finite differences of the field of one harmonic: curl H = 0, mu div H = -div M."""
    section = CrossSection(0.052, 0.060, 0.065, 0.073, 1.05, 1.08)
    magnets = ([np.array([0.9]), np.array([-0.2])], [np.array([1.1]), np.array([0.3])])
    order, step = 6.0, 1e-6
    r0, a0, permeability = ((0.057, 0.07, 1.05), (0.069, 0.07, 1.08))[ring]
    r = np.array([r0, r0 + step, r0 - step, r0, r0])
    a = np.array([a0, a0, a0, a0 + step, a0 - step])
    h_r, h_t, _, _ = field_inside_magnets(ring, np.array([order]), section, *magnets, r, a, 0.0)
    divergence = (r[1] * h_r[1] - r[2] * h_r[2]) / (2 * step * r0) + (h_t[3] - h_t[4]) / (2 * step * r0)
    curl = (r[1] * h_t[1] - r[2] * h_t[2]) / (2 * step) - (h_r[3] - h_r[4]) / (2 * step)
    radial, tangential = (part[0] for part in magnets[ring])
    source = (radial + order * tangential) / r0 * np.cos(order * a0)
    assert permeability * divergence == pytest.approx(-source, rel=1e-6)
    assert curl == pytest.approx(0.0, abs=1e-6 * abs(h_t[0]) * order)


def test_opposing_poles_demagnetise_more_than_the_ring_alone():
    field = opposing_field(COUPLING)
    alone, _ = field.demagnetising(1.05, 0.0)
    against, _ = field.demagnetising(1.05, 1.05)
    assert against > 1.2 * alone > 0
    assert against < 1.05 / (4e-7 * np.pi) * 1.3


def test_field_scales_with_both_remanences_and_broadcasts():
    field = opposing_field(COUPLING)
    inner, outer = field.demagnetising(np.array([1.0, 0.5]), np.array([1.0, 0.5]))
    assert inner[0] == pytest.approx(2 * inner[1])
    assert outer[0] == pytest.approx(2 * outer[1])


def test_margin_is_zero_at_the_knee_and_negative_when_hot():
    field = opposing_field(COUPLING)
    inner, outer = field.demagnetising(1.05, 1.05)
    assert field.margins((1.05, 1.05), (inner / KNEE, outer / KNEE)) == (pytest.approx(0), pytest.approx(0))
    cold, hot = 293.15, 453.15
    margins = [field.margins((at_temperature(1.2, -1.1e-3, t),) * 2, (at_temperature(950e3, -6e-3, t),) * 2)[0]
               for t in (cold, hot)]
    assert margins[0] > margins[1]
    assert margins[1] < 0


def test_segments_are_judged_along_their_own_direction():
    """Many parallel segments behave like a radial arc."""
    many = opposing_field(replace(COUPLING, inner_magnetisation="parallel", inner_segments=60))
    radial = opposing_field(COUPLING)
    assert many.demagnetising(1.0, 1.0)[0] == pytest.approx(radial.demagnetising(1.0, 1.0)[0], rel=0.02)


def test_on_the_centre_line_of_a_segment_the_field_is_the_radial_one():
    """Two segments a pole; 5/9 of 0.9 of the half arc is the centre line of one of them."""
    halves = replace(COUPLING, inner_magnetisation="parallel", inner_segments=2)
    field = opposing_field(halves, depths=1, places=19)
    order = 6 * np.arange(1, 82, 2.0)
    centre = 0.9 * np.pi / 12 / 2
    radius = np.array([0.056 - 0.004 * 0.9])
    radial = field_inside_magnets(0, order, halves.section, *halves.magnetisation(order), radius,
                                  np.array([centre]), np.pi)
    assert field.own[0, 14] == pytest.approx(-radial[0][0], rel=1e-9)
    assert field.other[0, 14] == pytest.approx(-radial[2][0], rel=1e-9)
    off_centre = field_inside_magnets(0, order, halves.section, *halves.magnetisation(order), radius,
                                      np.array([centre * 9 / 5]), np.pi)
    assert field.own[0, 18] != pytest.approx(-off_centre[0][0], rel=1e-3)


def test_iron_that_stands_back_is_refused():
    with pytest.raises(LimitError) as caught:
        opposing_field(replace(COUPLING, inner_iron_radius=0.0))
    assert str(caught.value) == (
        "the field inside the magnets is modelled for magnets that sit directly on iron; leave out "
        "inner_iron_radius and outer_iron_radius, or check demagnetisation by other means")
