"""The containment shell as a pressure part: what it bears inside and outside, and its stresses, case by case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.shell_wall import wall_gradient_drop
from wetpath.physics.strength.external_pressure import external_pressure_limits
from wetpath.physics.strength.internal_pressure import cylinder_limits
from wetpath.physics.strength.thermal_stress import heated_wall_stress
from wetpath.physics.validity import Limit
from wetpath.rating.shell_strength import shell_strength

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

@dataclass(frozen=True)
class ShellState:
    """Pressures above the outside, stresses and temperatures of the shell; SI, first axis the case."""

    sound_wall: float              # wall less corrosion allowance and mill tolerance [m]
    temperature: Array             # hottest wetted wall
    gradient: Array                # drop through the wall where it is hottest; the outside is hotter [K]
    allowable_stress: Array        # NaN beyond the table of the material
    inside: Array                  # highest pressure inside above that outside [Pa]
    cylinder: Array                # what the cylinder bears by UG-27
    cylinder_en: Array             # the same by EN 13445-3
    end: Array                     # what the end bears
    bears: Array                   # the maker's rating above the atmosphere, else the least of cylinder and end
    membrane_stress: Array         # hoop stress at `inside`
    thermal_stress: Array          # by the gradient through the wall; information
    vacuum: Array                  # highest pressure outside above that inside
    bears_outside: float           # allowed pressure from outside
    test_pressure: float           # above the atmosphere, NaN when what the cold shell bears is not known
    test_stress_share: float       # hoop stress at the test over yield
    limits: tuple[Limit, ...]


def shell_state(situation: Situation) -> ShellState:
    """What the shell of a pump bears and has to bear in every case."""
    part, material = situation.pump.containment_shell, situation.pump.shell_material
    cells, outside = situation.cells, situation.demands.atmosphere
    hottest = situation.scalars[:, solve.HOTTEST_WALL]
    strength = shell_strength(situation.pump, hottest, outside, situation.practice["hydrostatic_test_ratio"].value)
    differential = situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * situation.solved.point.shut_off_head
    inside = np.maximum(situation.solved.inputs.pressure + differential,
                        situation.solution.states.pressure.max(axis=1)) - outside
    cell_area = 2 * np.pi * (part.bore / 2) * situation.pump.inner_ring.wet_length / cells.shape[2]
    gradient = wall_gradient_drop(cells[:, annulus_cells.CELL_TO_LIQUID].max(axis=1) / cell_area, part.thickness,
                                  material.thermal_conductivity)
    wall, mean_radius = strength.sound_wall, strength.mean_radius
    return ShellState(
        sound_wall=wall, temperature=hottest, gradient=gradient, allowable_stress=strength.allowable_stress,
        inside=inside, cylinder=strength.cylinder, cylinder_en=strength.cylinder_en, end=strength.end,
        bears=strength.bears, membrane_stress=strength.membrane_stress(inside),
        thermal_stress=np.asarray(heated_wall_stress(gradient, material.elastic_modulus, material.thermal_expansion)),
        vacuum=outside - situation.solution.states.pressure.min(axis=1), bears_outside=strength.bears_outside,
        test_pressure=strength.test_pressure, test_stress_share=strength.test_stress_share,
        limits=(*cylinder_limits(wall, np.maximum(inside, 0.0), strength.inner_radius, strength.allowable_stress,
                                 part.weld_factor),
                *external_pressure_limits(strength.collapse, wall, mean_radius, material.yield_strength)))
