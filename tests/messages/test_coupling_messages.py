"""What the user reads when a coupling's geometry is wrong or outside the model, word for word."""

from dataclasses import replace

import numpy as np
import pytest

from wetpath.coupling.geometry import CouplingGeometry
from wetpath.coupling.response import coupling_response
from wetpath.errors import InputError

GOOD = CouplingGeometry(
    pole_pairs=6, inner_back_radius=0.052, inner_face_radius=0.060, outer_face_radius=0.065,
    outer_back_radius=0.073, inner_length=0.06, outer_length=0.06, shell_inner_radius=0.0622,
    shell_thickness=0.0015, shell_start=-0.055, shell_end=0.055, inner_arc=0.9, outer_arc=0.8)


@pytest.mark.parametrize(("change", "message"), [
    ({"pole_pairs": 0}, "pole_pairs = 0 must be a whole number from 1 up\n"
                        "  do:  give the number of north poles of one ring"),
    ({"shell_inner_radius": 0.0595},
     "shell_inner_radius = 59.5 mm must be larger than inner_face_radius (60 mm)\n"
     "  why: from the axis outwards follow inner magnets, shell and outer magnets\n"
     "  do:  check them against the section drawing; they are radii, not diameters"),
    ({"shell_thickness": 0.004},
     "outer_face_radius = 65 mm must be larger than shell_inner_radius + shell_thickness (66.2 mm)\n"
     "  why: from the axis outwards follow inner magnets, shell and outer magnets\n"
     "  do:  check them against the section drawing; they are radii, not diameters"),
    ({"inner_iron_radius": 0.053}, "inner_iron_radius = 53 mm must be at most 52 mm\n"
                                   "  why: iron stands behind the magnets, seen from the shell\n"
                                   "  do:  leave it out where the magnets sit directly on iron"),
    ({"outer_iron_radius": 0.070}, "outer_iron_radius = 70 mm must be at least 73 mm\n"
                                   "  why: iron stands behind the magnets, seen from the shell\n"
                                   "  do:  leave it out where the magnets sit directly on iron"),
    ({"outer_length": 0.0}, "outer_length = 0 must be larger than 0"),
    ({"inner_arc": 1.2}, "inner_arc = 1.2 is outside 0 to 1\n"
                         "  why: it is the angle covered by one pole's magnet over the pole pitch\n"
                         "  do:  give 1 for magnets that touch each other"),
    ({"outer_permeability": 0.9},
     "outer_permeability = 0.9 must be 1 or larger\n"
     "  why: it is the relative recoil permeability, 1.03 to 1.10 for rare-earth magnets"),
    ({"inner_segments": 1.5}, "inner_segments = 1.5 must be a whole number from 1 up"),
    ({"shell_end": -0.06},
     "shell_end = -60 mm must be larger than shell_start (-55 mm)\n"
     "  why: both are positions from the middle of the inner magnets, the first usually negative"),
])
def test_geometry_errors(change, message):
    with pytest.raises(InputError) as caught:
        replace(GOOD, **change)
    assert str(caught.value) == message


def test_pieces_must_cover_the_wall():
    with pytest.raises(InputError) as caught:
        coupling_response(GOOD, cell_edges=np.array([-0.055, 0.0, 0.05]))
    assert str(caught.value) == ("cell_edges must rise from shell_start to shell_end\n"
                                 "  why: the pieces of the loss map add up to the loss of the whole wall")


@pytest.mark.parametrize(("change", "message"), [
    ({"shell_end": 0.045},
     "conducting wall ends 15 mm beyond the magnets; where it is joined to a thick flange or end, the loss is "
     "up to 2 % higher than computed"),
    ({"shell_end": 0.02},
     "conducting wall ends under the magnets; the loss holds only if the wall is insulated there"),
    ({"outer_offset": 0.003},
     "axial force is that between the magnet rings with long yokes; the pull on the ends of the "
     "iron is not in it"),
    ({"inner_permeability": 1.3},
     "inner magnets have a recoil permeability of 1.3; the torque model holds up to 1.15"),
    ({"pole_pairs": 30, "shell_thickness": 0.002},
     "wall over pole pitch: p t / r is 0.95; the loss model holds up to 0.6"),
])
def test_limits_of_the_geometry(change, message):
    assert coupling_response(GOOD).warnings == ()
    assert coupling_response(replace(GOOD, **change)).warnings == (message,)


def test_limits_of_the_operating_point():
    response = coupling_response(replace(GOOD, inner_yoke_thickness=0.005, outer_yoke_thickness=0.012))
    assert response.operating_warnings(300.0, 1 / 1.3e-6, 0.5, 0.5) == ()
    assert response.operating_warnings(300.0, 1 / 1.7e-8, 1.2, 1.2) == (
        "shell wall is 0.67 skin depths thick at the third harmonic; the loss model holds up to 0.3",
        "inner yoke would carry 2.69 T, above the 1.5 T at which iron is taken as saturated; the real torque "
        "is lower than computed")
    without = coupling_response(GOOD)
    assert without.yoke_density(1.2, 1.2) == (None, None)
    assert without.operating_warnings(300.0, 0.0, 1.2, 1.2) == ()
