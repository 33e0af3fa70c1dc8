"""The containment shell as a pressure part: what it bears inside and outside, and its stresses, case by case."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.edge.tables import ShellMaterial
from wetpath.machine.containment_shell import ContainmentShell
from wetpath.physics.constants import STANDARD_GRAVITY, ZERO_CELSIUS
from wetpath.physics.heat.shell_wall import wall_gradient_drop
from wetpath.physics.strength.allowable_stress import allowable_stress_asme, at_temperature
from wetpath.physics.strength.external_pressure import (
    allowed_external_pressure,
    cylinder_collapse,
    external_pressure_limits,
)
from wetpath.physics.strength.internal_pressure import (
    cylinder_limits,
    cylinder_pressure,
    cylinder_pressure_en,
    flat_end_pressure,
    hemispherical_pressure,
    torispherical_pressure,
)
from wetpath.physics.strength.thermal_stress import heated_wall_stress
from wetpath.physics.validity import Limit

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Crown and knuckle radius of a dished end over the inside diameter of the cylinder (ASME flanged and dished head).
CROWN_RATIO, KNUCKLE_RATIO = 1.0, 0.06
#: Attachment factor C of a flat end welded to the cylinder (ASME VIII-1 UG-34, the usual upper value).
FLAT_FACTOR = 0.33
#: Temperature of the hydrostatic test [K].
TEST_TEMPERATURE = ZERO_CELSIUS + 20.0


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
    cells = situation.cells
    outside = situation.demands.atmosphere
    wall = part.wall * (1 - part.mill_tolerance) - part.corrosion_allowance
    inner_radius = part.bore / 2 + part.wall - wall
    hottest = situation.scalars[:, solve.HOTTEST_WALL]
    differential = situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * situation.solved.point.shut_off_head
    inside = np.maximum(situation.solved.inputs.pressure + differential,
                        situation.solution.states.pressure.max(axis=1)) - outside
    stress = _allowable(material, hottest)
    cylinder = np.asarray(cylinder_pressure(wall, inner_radius, stress, part.weld_factor))
    end = _end_pressure(part, wall, inner_radius, stress)
    rated = part.pressure_rating
    bears = np.minimum(cylinder, end) if rated is None else np.full(hottest.size, rated - outside)
    cell_area = 2 * np.pi * (part.bore / 2) * situation.pump.inner_ring.wet_length / cells.shape[2]
    gradient = wall_gradient_drop(cells[:, annulus_cells.CELL_TO_LIQUID].max(axis=1) / cell_area, part.wall,
                                  material.thermal_conductivity)
    modulus = material.elastic_modulus
    collapse = float(cylinder_collapse(wall, inner_radius + wall / 2, part.length, modulus))
    cold = _allowable(material, np.array([TEST_TEMPERATURE]))
    cold_bears = float(np.minimum(cylinder_pressure(wall, inner_radius, cold, part.weld_factor),
                                  _end_pressure(part, wall, inner_radius, cold))[0])
    test = situation.practice["hydrostatic_test_ratio"].value * (cold_bears if rated is None else rated - outside)
    return ShellState(
        sound_wall=wall, temperature=hottest, gradient=gradient, allowable_stress=stress, inside=inside,
        cylinder=cylinder,
        cylinder_en=np.asarray(cylinder_pressure_en(wall, 2 * inner_radius, stress, part.weld_factor)),
        end=end, bears=bears, membrane_stress=inside * (inner_radius + wall / 2) / wall,
        thermal_stress=np.asarray(heated_wall_stress(gradient, modulus, material.thermal_expansion)),
        vacuum=outside - situation.solution.states.pressure.min(axis=1),
        bears_outside=float(allowed_external_pressure(collapse, wall, inner_radius + wall / 2,
                                                      material.yield_strength)),
        test_pressure=test, test_stress_share=test * (inner_radius + wall / 2) / wall / material.yield_strength,
        limits=(*cylinder_limits(wall, np.maximum(inside, 0.0), inner_radius, stress, part.weld_factor),
                *external_pressure_limits(collapse, wall, inner_radius + wall / 2, material.yield_strength)))


def _allowable(material: ShellMaterial, temperature: Array) -> Array:
    if material.allowable_stresses:
        return np.asarray(at_temperature(temperature, material.allowable_temperatures, material.allowable_stresses))
    return np.full(temperature.size, allowable_stress_asme(material.tensile_strength, material.yield_strength))


def _end_pressure(part: ContainmentShell, wall: float, inner_radius: float, stress: Array) -> Array:
    """What the closed end bears; its wall is that of the cylinder unless the pump file says otherwise."""
    end_wall = wall if part.end_wall is None else part.end_wall * (1 - part.mill_tolerance) - part.corrosion_allowance
    if part.end == "hemispherical":
        return np.asarray(hemispherical_pressure(end_wall, inner_radius, stress, part.weld_factor))
    if part.end == "flat":
        return np.asarray(flat_end_pressure(end_wall, 2 * inner_radius, FLAT_FACTOR, stress, part.weld_factor))
    return np.asarray(torispherical_pressure(end_wall, CROWN_RATIO * 2 * inner_radius, KNUCKLE_RATIO * 2 * inner_radius,
                                             stress, part.weld_factor))
