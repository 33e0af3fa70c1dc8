"""Balances, limits and scaling laws of the coupling model, over drawn geometries."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import coupling_response
from wetpath.physics.magnetics.eddy_loss import Wall, overhang_factor, reaction_time, wall_loss
from wetpath.physics.magnetics.end_effect import Extent, box_response, coupling_amplitudes, radial_field
from wetpath.physics.magnetics.magnet_harmonics import parallel_magnetisation, radial_magnetisation
from wetpath.physics.magnetics.radial_modes import RadialModes, radial_modes, slope_rows
from wetpath.physics.magnetics.ring_field import CrossSection, gap_field
from wetpath.physics.magnetics.torque import load_angle, pull_out, sine_series, stiffness, torque_amplitudes


@st.composite
def couplings(draw):
    pole_pairs = draw(st.integers(2, 12))
    back = draw(st.floats(0.015, 0.12))
    thick, outer = draw(st.floats(0.003, 0.012)), draw(st.floats(0.003, 0.012))
    gap = draw(st.floats(0.003, 0.009))
    face = back + thick
    length = draw(st.floats(0.015, 0.15))
    beyond = draw(st.floats(0.005, 0.04))
    kind = draw(st.sampled_from(["radial", "parallel"]))
    offset = draw(st.sampled_from([0.0, 0.004]))
    return CouplingGeometry(
        pole_pairs=pole_pairs, inner_back_radius=back, inner_face_radius=face, outer_face_radius=face + gap,
        outer_back_radius=face + gap + outer, inner_length=length,
        outer_length=length * draw(st.floats(0.8, 1.2)),
        shell_inner_radius=face + 0.3 * gap, shell_thickness=0.3 * gap, shell_start=-length - beyond,
        shell_end=length + beyond, inner_arc=draw(st.floats(0.6, 1.0)), outer_arc=draw(st.floats(0.6, 1.0)),
        inner_magnetisation=kind, outer_magnetisation=kind, inner_permeability=draw(st.floats(1.0, 1.1)),
        outer_permeability=draw(st.floats(1.0, 1.1)), outer_offset=offset)


def solved(geometry):
    order = geometry.pole_pairs * np.arange(1, 12, 2.0)
    magnetisation = geometry.magnetisation(order)
    return order, magnetisation, radial_modes(order, geometry.section, *magnetisation)


CASUAL = settings(max_examples=25, deadline=None)


@CASUAL
@given(couplings(), st.floats(0.0, 1.0))
def test_torque_does_not_depend_on_the_radius_of_the_stress(geometry, place):
    order, magnetisation, _ = solved(geometry)
    section = geometry.section
    radius = section.inner_face + place * (section.outer_face - section.inner_face)
    here = torque_amplitudes(radius, *gap_field(order, radius, section, *magnetisation))
    face = section.inner_face
    start = torque_amplitudes(face, *gap_field(order, face, section, *magnetisation))
    np.testing.assert_allclose(here, start, rtol=1e-9, atol=1e-9 * abs(start[0]))


@CASUAL
@given(couplings())
def test_long_rings_have_the_torque_of_the_endless_section(geometry):
    """Two methods for one number: radial modes with far ends, and the closed three-layer solution."""
    order, magnetisation, modes = solved(geometry)
    amplitudes, _ = coupling_amplitudes(modes, Extent(1e4, 1e4))
    radius = geometry.wall.mean_radius
    endless = torque_amplitudes(radius, *gap_field(order, radius, geometry.section, *magnetisation))
    np.testing.assert_allclose(amplitudes / 1e4, endless, rtol=1e-4, atol=1e-5 * abs(endless[0]))


@CASUAL
@given(couplings())
def test_field_in_the_middle_of_long_rings_is_that_of_the_endless_section(geometry):
    order, magnetisation, modes = solved(geometry)
    radius = geometry.wall.mean_radius
    row = slope_rows(modes, np.array([radius]))[0]
    middle = radial_field(modes, row, Extent(10.0, 10.0), np.array([0.0]))
    endless = gap_field(order, radius, geometry.section, *magnetisation)
    for ring, expected in ((0, endless[0]), (1, endless[2])):
        np.testing.assert_allclose(middle[ring][:, 0], expected, atol=5e-5 * abs(expected[0]))


@CASUAL
@given(couplings())
def test_currents_dissipate_what_the_field_induces(geometry):
    """Loss from the current density equals the power that the field feeds into the stream function."""
    order, _, modes = solved(geometry)
    wall, extent = geometry.wall, geometry.extent
    total = wall_loss(modes, extent, wall, np.linspace(wall.start, wall.end, 41), depths=1)
    z, step = np.linspace(wall.start, wall.end, 4001, retstep=True)
    fields = radial_field(modes, slope_rows(modes, np.array([wall.mean_radius]))[0], extent, z)
    turn = order[0] / wall.mean_radius
    inside = z[1:-1]
    matrix = np.zeros((3, inside.size))                # U'' - turn^2 U = B by second differences
    matrix[0, 1:] = matrix[2, :-1] = 1 / step**2
    matrix[1] = -2 / step**2 - turn**2
    for field, ours in ((fields[0][0], total.inner[0]), (fields[1][0], total.outer[0])):
        stream = solve_banded((1, 1), matrix, field[1:-1])
        power = -np.pi * wall.mean_radius * wall.thickness * order[0] ** 2 * stream @ field[1:-1] * step
        assert ours.sum() == pytest.approx(power, rel=2e-4)   # second differences on 4001 points


@CASUAL
@given(couplings(), st.floats(0.0, np.pi), st.floats(1e4, 1e8), st.floats(10.0, 800.0))
def test_drag_of_both_rings_carries_the_loss(geometry, angle, conductivity, speed):
    response = coupling_response(geometry, cells=5)
    loss = response.cell_loss(angle, speed, conductivity, 1.0, 0.9).sum()
    assert sum(response.drag(angle, speed, conductivity, 1.0, 0.9)) * speed == pytest.approx(loss, rel=1e-9)
    assert loss > 0


@CASUAL
@given(couplings(), st.floats(-np.pi, np.pi))
def test_torque_is_odd_and_vanishes_where_poles_face_each_other(geometry, angle):
    response = coupling_response(geometry, cells=2)
    largest = response.pull_out(1.0, 1.1)[1]
    assert response.static_torque(0.0, 1.0, 1.1) == 0
    assert abs(response.static_torque(np.pi, 1.0, 1.1)) < 1e-12 * largest
    assert response.static_torque(-angle, 1.0, 1.1) == pytest.approx(-response.static_torque(angle, 1.0, 1.1))
    assert abs(response.static_torque(angle, 1.0, 1.1)) <= largest * (1 + 1e-12)


@CASUAL
@given(couplings())
def test_force_is_the_slope_of_the_coenergy(geometry):
    """Work of the axial force over a small way equals the change of the torque's co-energy."""
    order, _, modes = solved(geometry)
    step = 1e-6
    extent = geometry.extent._replace(offset=0.003)
    _, force = coupling_amplitudes(modes, extent)
    near, far = (coupling_amplitudes(modes, extent._replace(offset=0.003 + sign * step))[0] / order
                 for sign in (-1, 1))
    np.testing.assert_allclose(force, -(far - near) / (2 * step), rtol=1e-6, atol=1e-7 * abs(force).max())


@CASUAL
@given(couplings())
def test_shifted_rings_are_pulled_together_and_carry_less(geometry):
    equal = replace(geometry, outer_length=geometry.inner_length)
    aligned, shifted = (coupling_response(replace(equal, outer_offset=offset), cells=2)
                        for offset in (0.0, 0.004))
    assert shifted.pull_out(1.0, 1.0)[1] < aligned.pull_out(1.0, 1.0)[1]
    assert shifted.axial_force(0.0, 1.0, 1.0) > 0     # the outer ring lies towards +z and pulls
    assert abs(aligned.axial_force(0.0, 1.0, 1.0)) < 1e-9 * shifted.axial_force(0.0, 1.0, 1.0)


@CASUAL
@given(couplings(), st.floats(1.2, 3.0))
def test_scaling_of_all_lengths(geometry, scale):
    """Torque grows with volume; loss with the fifth power: wall length, wall and the cube of the radius."""
    lengths = {name: scale * getattr(geometry, name) for name in (
        "inner_back_radius", "inner_face_radius", "outer_face_radius", "outer_back_radius", "inner_length",
        "outer_length", "shell_inner_radius", "shell_thickness", "shell_start", "shell_end", "outer_offset")}
    small = coupling_response(geometry, cells=3)
    large = coupling_response(replace(geometry, **lengths), cells=3)
    orders = min(small.torque.size, large.torque.size)
    np.testing.assert_allclose(large.torque[:orders], scale**3 * small.torque[:orders], rtol=1e-6,
                               atol=1e-6 * scale**3 * small.torque[0])
    np.testing.assert_allclose(large.loss_inner[0], scale**5 * small.loss_inner[0], rtol=1e-6)


@CASUAL
@given(couplings(), st.integers(1, 40))
def test_pieces_of_the_wall_add_up(geometry, cells):
    one, many = coupling_response(geometry, cells=7), coupling_response(geometry, cells=cells)
    assert many.loss_cross.sum() == pytest.approx(one.loss_cross.sum(), rel=1e-4)
    assert many.loss_inner.sum() == pytest.approx(one.loss_inner.sum(), rel=1e-4)


def test_loss_rises_with_conductivity_then_falls():
    """Largest where the reaction w is 1; for one harmonic P = w/(1 + w^2) times its asymptote."""
    geometry = CouplingGeometry(
        pole_pairs=4, inner_back_radius=0.034, inner_face_radius=0.040, outer_face_radius=0.044,
        outer_back_radius=0.050, inner_length=0.04, outer_length=0.04, shell_inner_radius=0.0418,
        shell_thickness=0.001, shell_start=-0.032, shell_end=0.032)
    response = coupling_response(geometry, highest=1)
    top = 1 / (300.0 * response.reaction[0])
    weak, most, strong = (response.cell_loss(0.3, 300.0, sigma, 1.0, 1.0).sum() for sigma in (
        1e-6 * top, top, 1e6 * top))
    assert weak == pytest.approx(2e-6 * most, rel=1e-9)
    assert strong == pytest.approx(2e-6 * most, rel=1e-9)


def box_modes(rate, reading, order):
    """One artificial mode that decays so fast that its field is a box along the magnets."""
    return RadialModes(np.array([order]), np.array([0.0, 1.0]), (slice(0, 2),) * 3, np.array([[rate**2]]),
                       np.array([[[0.0], [-1.0]]]) / reading, np.array([[1.0]]), np.array([[1.0]]))


@pytest.mark.parametrize(("length", "overhang"), [(0.06, 0.0), (0.06, 0.01), (0.03, 0.2), (0.12, 0.004)])
def test_box_shaped_field_gives_the_overhang_factor(monkeypatch, length, overhang):
    """The stream function of a field uniform along the magnets is the closed end factor."""
    radius, order, rate = 0.0423, 4.0, 3e6
    monkeypatch.setattr("wetpath.physics.magnetics.eddy_loss.slope_rows",
                        lambda modes, radii: np.array([[0.0, 1.0]]))
    modes = box_modes(rate, 1 / rate**2, order)
    wall = Wall(radius - 5e-4, 1e-3, -length / 2 - overhang, length / 2 + overhang)
    edges = np.unique([wall.start, -length / 2, 0.0, length / 2, wall.end])
    loss = wall_loss(modes, Extent(length, length), wall, edges, depths=1, points=40).inner.sum()
    endless = np.pi * 1e-3 * radius**3 * length
    factor = overhang_factor(order * length / (2 * radius), order * overhang / radius)
    assert loss / endless == pytest.approx(factor, rel=1e-4)


def test_anisotropic_wall_equals_a_stretched_one():
    """Hoop conductivity chi times the axial one acts like a turn number sqrt(chi) times as large."""
    order, section = np.array([4.0]), CrossSection(0.034, 0.040, 0.044, 0.050)
    arcs = radial_magnetisation(order, 4, 0.85)
    modes = radial_modes(order, section, arcs, arcs)
    extent, edges = Extent(0.04, 0.04), np.linspace(-0.032, 0.032, 9)
    losses = [wall_loss(modes, extent, Wall(0.0418, 0.001, -0.032, 0.032, chi), edges).inner.sum()
              for chi in (1e-3, 0.1, 1.0, 10.0, 1e3)]
    assert all(np.diff(losses) > 0)
    endless = losses[-1]       # hoop shorted: no end effect left, as if each ring of wall were endless
    z = np.linspace(-0.032, 0.032, 2001)
    middle = radial_field(modes, slope_rows(modes, np.array([0.0423]))[0], extent, z)
    square = np.trapezoid(middle[0][0] ** 2, z)
    assert endless == pytest.approx(np.pi * 1e-3 * 0.0423**3 * square, rel=2e-2)


@pytest.mark.parametrize("order", [1.0, 2.0, 9.0, 200.0])
def test_single_diametral_magnet_and_high_orders_stay_finite(order):
    field = gap_field(np.array([order]), 0.0423, CrossSection(0.034, 0.040, 0.044, 0.050, 1.05, 1.1),
                      (np.ones(1), np.ones(1)), (np.ones(1), -np.ones(1)))
    assert np.all(np.isfinite(field))


def test_first_order_is_the_limit_of_its_neighbours():
    section, magnets = CrossSection(0.034, 0.040, 0.044, 0.050, 1.05, 1.1), (np.ones(3), -np.ones(3))
    field = gap_field(np.array([1 - 1e-5, 1.0, 1 + 1e-5]), 0.0423, section, magnets, magnets)
    for amplitude in field:
        assert amplitude[1] == pytest.approx((amplitude[0] + amplitude[2]) / 2, rel=1e-8)


def test_diametral_magnetisation_is_uniform_and_many_segments_are_radial():
    radial, tangential = parallel_magnetisation(np.array([1.0]), 1, 1.0)
    assert (radial[0], tangential[0]) == (pytest.approx(1.0), pytest.approx(-1.0))
    order = 4 * np.array([1.0, 3.0, 5.0, 7.0])
    target, _ = radial_magnetisation(order, 4, 0.85)
    radial, tangential = parallel_magnetisation(order, 4, 0.85, segments=400)
    np.testing.assert_allclose(radial, target, atol=1e-5)
    np.testing.assert_allclose(tangential, 0.0, atol=2e-2 / 4)
    assert radial_magnetisation(4.0, 4, 1.0)[0] == pytest.approx(4 / np.pi)


@pytest.mark.parametrize("segments", [1, 2, 3])
def test_harmonics_of_segments_by_direct_integration(segments):
    pole_pairs, arc = 3, 0.9
    order = pole_pairs * np.array([1.0, 3.0, 5.0])
    edge = arc * np.pi / (2 * pole_pairs)
    x, weight = np.polynomial.legendre.leggauss(60)
    radial, tangential = np.zeros(3), np.zeros(3)
    for piece in range(segments):
        low = -edge + 2 * edge * piece / segments
        angle = low + edge / segments * (x + 1)
        lean = angle - (low + edge / segments)
        radial += 4 * pole_pairs / (2 * np.pi) * np.cos(np.outer(order, angle)) @ (
            np.cos(lean) * weight) * edge / segments
        tangential += 4 * pole_pairs / (2 * np.pi) * np.sin(np.outer(order, angle)) @ (
            -np.sin(lean) * weight) * edge / segments
    ours = parallel_magnetisation(order, pole_pairs, arc, segments)
    np.testing.assert_allclose(ours, (radial, tangential), atol=1e-12)


def test_box_response_solves_its_equation():
    z = np.linspace(-0.2, 0.3, 20001)
    value, slope = box_response(60.0, -0.05, 0.1, z)
    smooth = (np.abs(z + 0.05) > 1e-4) & (np.abs(z - 0.1) > 1e-4)     # the slope has kinks at both ends
    np.testing.assert_allclose(np.gradient(value, z)[smooth], slope[smooth], atol=1e-6, rtol=1e-3)
    inside = (z > -0.04) & (z < 0.09)
    np.testing.assert_allclose(3600 * value[inside] - np.gradient(slope, z)[inside], 1.0, atol=1e-5)


def test_load_angle_and_pull_out_of_a_peaked_curve():
    orders, amplitudes = np.array([1.0, 2.0, 3.0]), np.array([40.0, 0.6, 5.0])
    top, most = pull_out(orders, amplitudes)
    grid = np.linspace(0, np.pi, 200001)
    assert most == pytest.approx(sine_series(orders, amplitudes, grid).max(), rel=1e-9)
    assert stiffness(orders, amplitudes, top) == pytest.approx(0.0, abs=1e-6)
    assert stiffness(orders, amplitudes) == pytest.approx(40 + 1.2 + 15)
    angles = load_angle(orders, amplitudes, np.array([0.3, 0.9]) * most)
    np.testing.assert_allclose(sine_series(orders, amplitudes, angles), np.array([0.3, 0.9]) * most)
    assert np.all(angles < top)
    assert np.isnan(load_angle(orders, amplitudes, 1.001 * most))


def test_touching_magnets_have_no_air_between_them():
    geometry = CouplingGeometry(
        pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065,
        outer_back_radius=0.073, inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622,
        shell_thickness=0.0015, shell_start=-0.045, shell_end=0.045)
    full = coupling_response(geometry)
    assert np.abs(full.torque_inner).max() < 1e-12 * full.torque[0]
    gappy = coupling_response(replace(geometry, inner_arc=0.8, outer_arc=0.8))
    assert gappy.torque_inner[1] > 1e-4 * gappy.torque[0]


def test_each_ring_turns_the_spaces_of_the_other():
    """Spaces in the inner ring only: the outer ring's field alone makes the torque of twice the angle."""
    geometry = CouplingGeometry(
        pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065,
        outer_back_radius=0.073, inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622,
        shell_thickness=0.0015, shell_start=-0.045, shell_end=0.045, inner_arc=0.7, outer_arc=1.0)
    response = coupling_response(geometry)
    assert np.abs(response.torque_inner).max() < 1e-12 * response.torque[0]
    assert response.torque_outer[1] > 1e-4 * response.torque[0]


def test_reaction_time_of_a_wall_between_far_yokes():
    """Iron far off on both sides: w = mu0 sigma t r Omega / 2."""
    section = CrossSection(0.034, 0.040, 0.044, 0.050, inner_iron=0.0, outer_iron=np.inf)
    free = 4e-7 * np.pi * 1e-3 * 0.0423 / 2
    assert reaction_time(4.0, 0.0423, 1e-3, section) == pytest.approx(free, rel=1e-9)
