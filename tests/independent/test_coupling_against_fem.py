"""Couplings of four to twenty-four poles against finite elements with the magnets and the air between them as they are.

The results stand in ``validation/coupling_fem`` beside the programs that made them; there too, how far they moved
from a coarser mesh (under 1e-5 in the plane, under 1e-3 with ends). Tolerances are what the model states for itself.
"""

import json
from dataclasses import replace

import numpy as np
import pytest
from coupling_cases import CASES, VALIDATION

from wetpath.coupling.demagnetisation import opposing_field
from wetpath.coupling.response import coupling_response

ROW = ("coupling-finite-elements", "computed")
PLANE = json.loads((VALIDATION / "coupling_fem" / "planar.json").read_text())
SOLID = json.loads((VALIDATION / "coupling_fem" / "spatial.json").read_text())
STEEL = json.loads((VALIDATION / "coupling_fem" / "saturation.json").read_text())
FREE = json.loads((VALIDATION / "coupling_magpylib" / "without_iron.json").read_text())
FEM = pytest.mark.published("coupling-finite-elements", status="derived")
LONG = 1000.0     # m: end effects of a few mm vanish per length
PLANE_NAMES = [name for name in CASES if name in PLANE]


@pytest.fixture(scope="module")
def long_responses():
    return {name: coupling_response(replace(case.geometry, inner_length=LONG, outer_length=LONG, shell_start=-LONG,
                                            shell_end=LONG), cells=4) for name, case in CASES.items()}


def test_finite_elements_have_converged():
    assert len(PLANE_NAMES) >= 6
    for name in PLANE_NAMES:
        assert max(PLANE[name]["change_of_torque_and_loss_from_coarse"]) < 2e-5
    for name in set(SOLID) - {"program"}:
        for quantity in ("torque", "loss_without_reaction"):
            assert SOLID[name]["coarse"][quantity] == pytest.approx(SOLID[name]["iron_ends"][quantity], rel=2e-3)


@FEM
@pytest.mark.parametrize("name", PLANE_NAMES)
def test_torque_curve_per_length(against, long_responses, name):
    case, response = CASES[name], long_responses[name]
    largest = max(PLANE[name]["torque_curve"].values())
    for degrees, expected in PLANE[name]["torque_curve"].items():
        ours = response.static_torque(np.radians(float(degrees)), *case.remanence) / LONG
        against(*ROW, f"{name}, torque per length at {degrees} deg", ours, expected, abs=2e-3 * largest, unit="N m/m")


@FEM
@pytest.mark.parametrize("name", PLANE_NAMES)
def test_field_loss_and_drag_per_length(against, long_responses, name):
    """The loss lets the magnets' permeability fill the spaces between them; B3 with arcs of 0.7 and 1.10 is worst."""
    case, response, row = CASES[name], long_responses[name], PLANE[name]
    inner, outer = response.shell_field[:, :3]
    field = np.abs(case.remanence[0] * inner
                   + case.remanence[1] * outer * np.exp(-1j * response.loss_orders[:3] * case.angle))
    for index, expected in enumerate(row["field_harmonics"]):
        against(*ROW, f"{name}, |B_r| harmonic {2 * index + 1} at mid-wall", field[index], expected,
                abs=0.01 * row["field_harmonics"][0], unit="T")
    middle = slice(1, 3)
    loss = response.cell_loss(*case.state)[middle].sum() / LONG
    slip = response.slip_loss(0.0, case.speed, 1 / case.resistivity, *case.remanence)[middle].sum() / LONG
    against(*ROW, f"{name}, shell loss per length", loss, row["loss"], rel=0.01, unit="W/m")
    against(*ROW, f"{name}, shell loss per length in slip", slip, row["loss_outer_only"], rel=0.02, unit="W/m")
    static = response.static_torque(case.angle, *case.remanence) / LONG
    inner_drag, outer_drag = (part / LONG for part in response.drag(*case.state))
    against(*ROW, f"{name}, torque on the inner ring per length", static - inner_drag, row["inner_torque"], rel=3e-3,
            unit="N m/m")
    against(*ROW, f"{name}, torque of the outer ring per length", static + outer_drag, row["outer_torque"], rel=3e-3,
            unit="N m/m")


@FEM
@pytest.mark.parametrize("name", PLANE_NAMES)
def test_flux_in_the_yokes(against, name):
    """Harmonics up to the fifteenth: 1.5 %."""
    case = CASES[name]
    flux = np.abs(coupling_response(case.geometry).yoke_flux @ np.array(case.remanence))
    for ring, which in enumerate(("inner", "outer")):
        against(*ROW, f"{name}, flux in the {which} yoke", flux[ring], PLANE[name]["yoke_flux_facing"][ring], rel=0.02,
                unit="Wb/m")


@FEM
@pytest.mark.parametrize("name", sorted(set(SOLID) - {"program"}))
def test_torque_and_loss_with_ends(against, name):
    """Iron that runs on is what the model assumes; iron that ends with the magnets adds 1 to 2 % of torque."""
    case = CASES[name]
    response = coupling_response(case.geometry)
    torque = response.static_torque(case.angle, *case.remanence)
    angle, speed, conductivity, *remanence = case.state
    loss = response.cell_loss(angle, speed, 1e-6 * conductivity, *remanence).sum() * 1e6     # reaction switched off
    for iron, torque_room, loss_room in (("iron_runs_on", 0.006, 0.006), ("iron_ends", 0.03, 0.02)):
        row = SOLID[name][iron]
        against(*ROW, f"{name}, torque with ends, {iron.replace('_', ' ')}", torque, row["torque"], rel=torque_room,
                unit="N m")
        against(*ROW, f"{name}, shell loss with ends, {iron.replace('_', ' ')}", loss, row["loss_without_reaction"],
                rel=loss_room, unit="W")


@FEM
@pytest.mark.parametrize("name", [name for name in PLANE_NAMES
                                  if CASES[name].geometry.inner_magnetisation == "radial"])
def test_opposing_field_of_radial_magnets(name):
    """Field along the magnetisation at our points, against the least radial field over a finer grid."""
    case = CASES[name]
    fields = opposing_field(case.geometry).demagnetising(*case.remanence)
    permeability = (case.geometry.inner_permeability, case.geometry.outer_permeability)
    for ring in (0, 1):
        least = case.remanence[ring] - 4e-7 * np.pi * permeability[ring] * fields[ring]
        assert least == pytest.approx(PLANE[name]["opposing_field"][ring]["least"], abs=0.002)


@FEM
def test_yokes_below_the_limit_do_not_cost_torque(against):
    """Mild steel at pull-out: below the 1.5 T of the warning (magnets facing) the torque is that of ideal iron."""
    case = CASES[STEEL["case"]]
    for row in STEEL["rows"]:
        geometry = replace(case.geometry, inner_yoke_thickness=row["yoke"], outer_yoke_thickness=row["yoke"])
        response = coupling_response(geometry)
        densities = response.yoke_density(*case.remanence)
        assert densities == pytest.approx(row["density_facing"], rel=0.02)
        warned = bool(response.operating_warnings(0.0, 0.0, *case.remanence))
        ratio = row["torque_over_that_of_ideal_iron"]
        assert warned or ratio > 0.998
        assert warned == (max(row["density_facing"]) > 1.5)


@pytest.mark.published("magpylib", status="derived")
@pytest.mark.parametrize("index", range(len(FREE["rows"])))
def test_torque_and_axial_force_without_iron(against, index):
    """Radial arcs stand in twelve pieces there, with 12 x 12 points a face; with half of that torque moves 0.1 %."""
    row = FREE["rows"][index]
    case = CASES[row["case"]]
    bare = replace(case.geometry, inner_permeability=1.0, outer_permeability=1.0, inner_iron_radius=0.0,
                   outer_iron_radius=np.inf, outer_offset=row["offset"])
    response, angle = coupling_response(bare), np.radians(row["angle"])
    label = f"{row['case']} without iron, offset {row['offset'] * 1e3:g} mm, {row['angle']} deg"
    largest = response.pull_out(*case.remanence)[1]
    against("magpylib", "computed", f"{label}, torque", response.static_torque(angle, *case.remanence), row["torque"],
            abs=1e-3 * largest, unit="N m")
    against("magpylib", "computed", f"{label}, axial force", response.axial_force(angle, *case.remanence),
            row["axial_force"], abs=max(3e-3 * abs(row["axial_force"]), 1e-3), unit="N")
