"""The couplings of ``validation/coupling_fem`` as geometries of ours, with their working states."""

import importlib.util
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import numpy as np

from wetpath.coupling.geometry import CouplingGeometry

VALIDATION = Path(__file__).parents[2] / "validation"


class Case(NamedTuple):
    """Geometry, remanences [T], resistivity [ohm m], speed [rad/s] and load angle [electrical rad]."""

    geometry: CouplingGeometry
    remanence: tuple[float, float]
    resistivity: float
    speed: float
    angle: float

    @property
    def state(self) -> tuple[float, float, float, float, float]:
        """Load angle, speed, conductivity and remanences, as the response takes them."""
        return self.angle, self.speed, 1 / self.resistivity, *self.remanence


def _load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("coupling_fem_cases", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _ours(case) -> Case:
    magnetisation, (back, face, outer_face, outer_back) = case.magnetisation, case.radii
    return Case(CouplingGeometry(
        pole_pairs=case.pole_pairs, inner_back_radius=back, inner_face_radius=face, outer_face_radius=outer_face,
        outer_back_radius=outer_back, inner_length=case.length, outer_length=case.length,
        shell_inner_radius=case.wall[0], shell_thickness=case.wall[1] - case.wall[0], shell_start=-case.wall_end,
        shell_end=case.wall_end, inner_arc=case.arcs[0], outer_arc=case.arcs[1], inner_magnetisation=magnetisation,
        outer_magnetisation=magnetisation, inner_segments=case.segments, outer_segments=case.segments,
        inner_permeability=case.permeability[0], outer_permeability=case.permeability[1],
        inner_yoke_thickness=case.yoke, outer_yoke_thickness=case.yoke),
        case.remanence, case.resistivity, case.speed * np.pi / 30, np.radians(case.angle))


CASES = {case.name: _ours(case) for case in _load(VALIDATION / "coupling_fem" / "cases.py").CASES}
