"""Four couplings with known answers: their geometry, and a field to compute them by."""

from typing import Any, NamedTuple

import numpy as np

from wetpath.coupling.geometry import CouplingGeometry


class Case(NamedTuple):
    """Geometry, remanences [T], resistivity [ohm m], speed [rad/s] and load angle [electrical rad]."""

    geometry: CouplingGeometry
    remanence: tuple[float, float]
    resistivity: float
    speed: float
    angle: float


def _case(pole_pairs: int, radii: tuple[float, ...], wall: tuple[float, float], arcs: tuple[float, float],
          magnetisation: Any, remanence: tuple[float, float], permeability: float, length: float, end: float,
          resistivity: float, speed: float, angle: float) -> Case:
    mm = 1e-3
    return Case(CouplingGeometry(
        pole_pairs=pole_pairs, inner_back_radius=radii[0] * mm, inner_face_radius=radii[1] * mm,
        outer_face_radius=radii[2] * mm, outer_back_radius=radii[3] * mm, inner_length=length * mm,
        outer_length=length * mm, shell_inner_radius=wall[0] * mm, shell_thickness=(wall[1] - wall[0]) * mm,
        shell_start=-end * mm, shell_end=end * mm, inner_arc=arcs[0], outer_arc=arcs[1],
        inner_magnetisation=magnetisation, outer_magnetisation=magnetisation, inner_permeability=permeability,
        outer_permeability=permeability, inner_yoke_thickness=0.010, outer_yoke_thickness=0.010),
        remanence, resistivity, speed * np.pi / 30, np.radians(angle))


CASES = {
    "A1": _case(4, (34, 40, 44, 50), (41.8, 42.8), (0.85, 0.85), "radial", (1.05, 1.05), 1.0,
                40, 32, 1.30e-6, 2900, 45),
    "A2": _case(6, (52, 60, 65, 73), (62.2, 63.7), (0.9, 0.8), "radial", (1.05, 1.1), 1.05,
                60, 45, 1.30e-6, 2900, 90),
    "A3": _case(6, (52, 60, 65, 73), (62.2, 63.7), (0.9, 0.8), "parallel", (1.05, 1.1), 1.05,
                60, 45, 0.74e-6, 2900, 30),
    "A4": _case(10, (92, 101, 108.2, 117.2), (103.7, 106.7), (0.8, 0.8), "radial", (1.0, 1.0), 1.08,
                50, 35, 1.30e-6, 3550, 60),
}
