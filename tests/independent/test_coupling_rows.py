"""Four couplings against finite elements, a second method for the field of finite rings, and magpylib.

The finite-element rows (NGSolve, vector potential in 2-D, scalar potential in 3-D, air between the magnets
unless said otherwise) were computed before this code was written. They are good to 0.02 % in 2-D, to 0.2 %
on torque and 0.5 % on loss in 3-D. Yokes are 10 mm thick and, in 3-D, as long as the magnets; the code takes
them as longer, which costs about 1 % of torque.
"""

from dataclasses import replace

import numpy as np
import pytest
from coupling_cases import CASES, Case

from wetpath.coupling.response import CouplingResponse, coupling_response
from wetpath.physics.magnetics.eddy_loss import reaction_time, wall_loss
from wetpath.physics.magnetics.end_effect import coupling_amplitudes
from wetpath.physics.magnetics.radial_modes import radial_modes
from wetpath.physics.magnetics.ring_field import gap_field
from wetpath.physics.magnetics.torque import sine_series, torque_amplitudes

FEM = pytest.mark.published("coupling-finite-elements", status="derived")
ROW = ("coupling-finite-elements", "computed")
LONG = 1000.0     # m: end effects of a few mm vanish per length


def long_response(case: Case) -> CouplingResponse:
    return coupling_response(replace(case.geometry, inner_length=LONG, outer_length=LONG, shell_start=-LONG,
                                     shell_end=LONG), cells=4)


@FEM
@pytest.mark.parametrize(("name", "wave", "amplitudes"), [
    ("A1", 1, (0.437765, 0.255779, 0.484767, -0.340913)),
    ("A1", 3, (-0.076836, -0.074109, -0.111186, 0.110016)),
    ("A2", 1, (0.425680, 0.293035, 0.497998, -0.395947)),
    ("A2", 3, (-0.074733, -0.072884, -0.080274, 0.079418))])
def test_field_of_single_rings_at_mid_wall(against, name, wave, amplitudes):
    """A collocation solution of the same layers, six digits given."""
    case = CASES[name]
    order = float(wave * case.geometry.pole_pairs)
    inner, outer = case.geometry.magnetisation(np.array([order]))
    field = gap_field(order, case.geometry.wall.mean_radius, case.geometry.section,
                      [case.remanence[0] * part[0] for part in inner],
                      [case.remanence[1] * part[0] for part in outer])
    names = ("inner B_r", "inner B_theta", "outer B_r", "outer B_theta")
    for what, ours, expected in zip(names, field, amplitudes, strict=True):
        against(*ROW, f"{name}, harmonic {wave} at mid-wall, {what}", ours,
                expected, abs=1e-6, unit="T")


@FEM
@pytest.mark.parametrize(("name", "torque"), [
    ("A1", 915.05), ("A2", 3000.09), ("A3", 1693.04), ("A4", 5395.24)])
def test_endless_torque_with_uniform_rings(against, name, torque):
    case = CASES[name]
    order = case.geometry.pole_pairs * np.arange(1, 42, 2.0)
    radius = case.geometry.wall.mean_radius
    series = torque_amplitudes(radius, *gap_field(order, radius, case.geometry.section,
                                                  *case.geometry.magnetisation(order)))
    ours = np.prod(case.remanence) * sine_series(order / case.geometry.pole_pairs, series, case.angle)
    against(*ROW, f"{name}, torque per length, one permeability in each ring",
            ours, torque, rel=2e-4, unit="N m/m")                     # accuracy of the finite elements


AIR = {"A1": {45: 915.05, 30: 687.01, 60: 1055.39, 90: 1151.11, 120: 1055.41, 150: 686.98},
       "A2": {30: 1692.11, 60: 2710.80, 90: 3007.62, 120: 2700.46, 150: 1678.40},
       "A3": {30: 1709.81, 60: 2729.23, 90: 3028.13, 120: 2718.41, 150: 1695.62},
       "A4": {30: 3268.05, 60: 5459.23, 90: 6173.09, 120: 5420.15, 150: 3223.55}}


@FEM
@pytest.mark.parametrize(("name", "angle"), [(name, angle) for name, row in AIR.items() for angle in row])
def test_endless_torque_with_air_between_the_magnets(against, name, angle):
    """Without the correction for air the same rows differ by up to 1.7 %."""
    case = CASES[name]
    ours = long_response(case).static_torque(np.radians(angle), *case.remanence) / LONG
    against(*ROW, f"{name}, torque per length at {angle} deg", ours,
            AIR[name][angle], rel=6e-4, unit="N m/m")     # second order of the permeability


@FEM
@pytest.mark.parametrize(("name", "synchronous", "outer_only", "inner_torque", "outer_torque"), [
    ("A1", 12389.3, 4196.7, 895.98, 936.78), ("A2", 36962.2, 21374.6, 2955.19, 3076.90),
    ("A3", 119255.9, 35219.3, 1520.89, 1913.62), ("A4", 500081.4, 200113.3, 4842.01, 6187.17)])
def test_endless_shell_loss_and_its_drag(against, name, synchronous, outer_only, inner_torque, outer_torque):
    """The loss model lets the permeability of the magnets fill the spaces between them: up to 0.5 %."""
    case = CASES[name]
    response = long_response(case)
    middle = slice(1, 3)                                              # half of the wall, far from its ends
    loss = response.cell_loss(*case.state)[middle].sum() / LONG
    slip = response.slip_loss(0.0, case.speed, 1 / case.resistivity, *case.remanence)[middle].sum() / LONG
    against(*ROW, f"{name}, shell loss per length", loss, synchronous, rel=4e-3,
            unit="W/m")
    against(*ROW, f"{name}, shell loss per length in slip", slip, outer_only,
            rel=1e-2, unit="W/m")
    static = response.static_torque(case.angle, *case.remanence) / LONG
    inner, outer = (part / LONG for part in response.drag(*case.state))
    against(*ROW, f"{name}, torque on the inner ring per length", static - inner,
            inner_torque, rel=3e-3, unit="N m/m")
    against(*ROW, f"{name}, torque of the outer ring per length", static + outer, outer_torque,
            rel=3e-3, unit="N m/m")


@FEM
@pytest.mark.parametrize(("name", "amplitudes"), [
    ("A1", (0.85250, 0.07864, 0.01796)), ("A2", (0.65420, 0.11302, 0.02000)),
    ("A3", (0.89397, 0.11493, 0.00758)),
    ("A4", (0.65245, 0.02207, 0.00176))])
def test_radial_field_harmonics_at_mid_wall(against, name, amplitudes):
    case = CASES[name]
    response = coupling_response(case.geometry)
    wave = response.loss_orders[:3]
    inner, outer = response.shell_field[:, :3]
    ours = np.abs(case.remanence[0] * inner + case.remanence[1] * outer * np.exp(-1j * wave * case.angle))
    for index, expected in enumerate(amplitudes):
        against(*ROW, f"{name}, |B_r| harmonic {2 * index + 1} at mid-wall",
                ours[index], expected, abs=0.01 * amplitudes[0], unit="T")


@FEM
@pytest.mark.parametrize(("name", "torque", "loss"), [
    ("A1", 32.194, 348.8), ("A2", 162.194, 1789.8), ("A3", 92.541, 5755.6), ("A4", 233.918, 18357.6)])
def test_torque_and_loss_of_finite_rings(against, name, torque, loss):
    """Yokes that end with the magnets raise torque by about 1 %, which the model does not see."""
    case = CASES[name]
    response = coupling_response(case.geometry)
    against(*ROW, f"{name}, torque with ends",
            response.static_torque(case.angle, *case.remanence), torque, rel=0.015, unit="N m")
    against(*ROW, f"{name}, shell loss with ends",
            response.cell_loss(*case.state).sum(), loss, rel=0.015, unit="W")


SECOND_METHOD = [("A1", 45, 31.880, 346.7), ("A2", 90, 160.453, 1775.2), ("A3", 30, 90.981, 5703.6),
                 ("A4", 60, 228.564, 17926.8), ("A1", 0, 0.0, 423.6), ("A1", 30, 24.00, 385.7),
                 ("A1", 90, 39.89, 212.9), ("A2", 0, 0.0, 3521.7), ("A2", 30, 90.05, 3241.4),
                 ("A2", 60, 144.47, 2565.9)]


@FEM
@pytest.mark.parametrize(("name", "angle", "torque", "loss"), SECOND_METHOD)
def test_finite_rings_by_axial_fourier_series(against, name, angle, torque, loss):
    """Same assumptions (one permeability a ring, sheet at mid-wall), by collocation and axial series."""
    case = CASES[name]
    geometry = case.geometry
    order = geometry.pole_pairs * np.arange(1, 16, 2.0)
    modes = radial_modes(order, geometry.section, *geometry.magnetisation(order))
    amplitudes, _ = coupling_amplitudes(modes, geometry.extent)
    inner, outer = case.remanence
    wave, delta = order / geometry.pole_pairs, np.radians(angle)
    against(*ROW, f"{name}, torque of uniform rings at {angle} deg",
            inner * outer * sine_series(wave, amplitudes, delta), torque, abs=0.006, unit="N m")
    edges = np.linspace(geometry.shell_start, geometry.shell_end, 21)
    wall = wall_loss(modes, geometry.extent, geometry.wall, edges, depths=1)
    own = (inner**2 * wall.inner + outer**2 * wall.outer).sum(axis=1)
    cross = inner * outer * wall.cross.sum(axis=1)
    time = reaction_time(order, geometry.wall.mean_radius, geometry.wall.thickness, geometry.section)
    weakened = 1 + (case.speed / case.resistivity * time) ** 2
    ours = case.speed**2 / case.resistivity * ((own + cross * np.cos(wave * delta)) / weakened).sum()
    against(*ROW, f"{name}, loss of a sheet at mid-wall at {angle} deg", ours, loss, rel=2e-4, unit="W")


@pytest.mark.published("magpylib", status="derived")
@pytest.mark.parametrize(("name", "torque"), [("A1", 14.134), ("A2", 79.680), ("A4", 128.982)])
def test_torque_without_iron(against, name, torque):
    """magpylib 6.3.0, each radial arc in eight uniformly magnetised pieces (0.2 %), no yokes."""
    case = CASES[name]
    bare = replace(case.geometry, inner_permeability=1.0, outer_permeability=1.0, inner_iron_radius=0.0,
                   outer_iron_radius=np.inf)
    against("magpylib", "computed", f"{name}, torque without iron",
            coupling_response(bare).static_torque(case.angle, *case.remanence), torque, rel=3e-3, unit="N m")
