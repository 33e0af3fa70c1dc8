"""Field in the magnets with equal poles facing each other, against finite elements.

Rows: least radial field over the middle 90 % of the section, and mean over the whole section, in the inner and the
outer magnet; 2-D, air between the magnets. The model takes one permeability in each ring.
"""

import numpy as np
import pytest
from coupling_cases import CASES

from wetpath.physics.magnetics.demagnetisation import field_inside_magnets

ROW = ("coupling-finite-elements", "computed")


def radial_field(case, ring, reach, count):
    geometry = case.geometry
    start, end, arc, permeability = (
        (geometry.inner_back_radius, geometry.inner_face_radius, geometry.inner_arc, geometry.inner_permeability),
        (geometry.outer_face_radius, geometry.outer_back_radius, geometry.outer_arc, geometry.outer_permeability),
    )[ring]
    across = reach * (np.arange(-count, count + 1) / count if reach < 1 else (np.arange(count) * 2 + 1) / count - 1)
    radius, angle = (grid.ravel() for grid in np.meshgrid(
        (start + end) / 2 + (end - start) / 2 * across, arc * np.pi / (2 * geometry.pole_pairs) * across))
    order = geometry.pole_pairs * np.arange(1, 162, 2.0)
    own, _, other, _ = field_inside_magnets(ring, order, geometry.section, *geometry.magnetisation(order), radius,
                                            angle, np.pi)
    lean = np.cos(angle) if geometry.inner_magnetisation == "parallel" else 1.0
    here, there = case.remanence[ring], case.remanence[1 - ring]
    return permeability * (here * own + there * other) + here * lean, radius


@pytest.mark.published("coupling-finite-elements", status="derived")
@pytest.mark.parametrize(("name", "least", "mean"), [
    ("A1", (0.036, 0.057), (0.251, 0.235)), ("A2", (0.057, 0.129), (0.353, 0.334)),
    ("A3", (0.101, 0.090), (0.335, 0.335)), ("A4", (0.128, 0.155), (0.383, 0.364))])
def test_field_in_magnets_facing_equal_poles(against, name, least, mean):
    for ring, which in enumerate(("inner", "outer")):
        field, _ = radial_field(CASES[name], ring, 0.9, 20)
        against(*ROW, f"{name}, least B_r in the {which} magnet", field.min(), least[ring], abs=0.004, unit="T")
        field, radius = radial_field(CASES[name], ring, 1.0, 60)
        against(*ROW, f"{name}, mean B_r in the {which} magnet", np.average(field, weights=radius), mean[ring],
                abs=0.007, unit="T")
