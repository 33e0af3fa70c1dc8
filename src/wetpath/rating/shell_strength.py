"""What a containment shell bears: inside, outside and at its test, at temperatures of its wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.tables import ShellMaterial
from wetpath.machine.containment_shell import ContainmentShell
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import ZERO_CELSIUS
from wetpath.physics.strength.allowable_stress import allowable_stress_asme, at_temperature
from wetpath.physics.strength.external_pressure import allowed_external_pressure, cylinder_collapse
from wetpath.physics.strength.internal_pressure import (
    cylinder_pressure,
    cylinder_pressure_en,
    flat_end_pressure,
    hemispherical_pressure,
    torispherical_pressure,
)
from wetpath.rating.per_pump import once_per_pump

Array = NDArray[np.float64]

#: Crown and knuckle radius of a dished end over the inside diameter of the cylinder (ASME flanged and dished head).
CROWN_RATIO, KNUCKLE_RATIO = 1.0, 0.06
#: Attachment factor C of a flat end welded to the cylinder (ASME VIII-1 UG-34, the usual upper value).
FLAT_FACTOR = 0.33
#: Temperature of the hydrostatic test [K].
TEST_TEMPERATURE = ZERO_CELSIUS + 20.0


@dataclass(frozen=True)
class ShellStrength:
    """Pressures above the outside that a shell bears; SI, first axis the temperature of the wall."""

    sound_wall: float              # wall less corrosion allowance and mill tolerance [m]
    inner_radius: float            # of what is left of it [m]
    allowable_stress: Array        # NaN beyond the table of the material
    cylinder: Array                # what the cylinder bears by UG-27
    cylinder_en: Array             # the same by EN 13445-3
    end: Array                     # what the end bears
    bears: Array                   # the maker's rating above the atmosphere, else the least of cylinder and end
    collapse: float                # elastic collapse pressure from outside
    bears_outside: float           # allowed pressure from outside
    test_pressure: float           # above the atmosphere, NaN when what the cold shell bears is not known
    test_stress_share: float       # hoop stress at the test over yield

    @property
    def mean_radius(self) -> float:
        """Of what is left of the wall [m]."""
        return self.inner_radius + self.sound_wall / 2

    def membrane_stress(self, pressure: Array) -> Array:
        """Hoop stress at a pressure inside above that outside [Pa]."""
        stress: Array = pressure * self.mean_radius / self.sound_wall
        return stress


def shell_strength(pump: PumpFile, temperature: Array, atmosphere: float, test_ratio: float) -> ShellStrength:
    """What the shell of a pump bears at temperatures of its wall; ``test_ratio`` is test over rated pressure."""
    part, material = pump.containment_shell, pump.shell_material
    wall = part.wall * (1 - part.mill_tolerance) - part.corrosion_allowance
    inner_radius = part.wall_radius + part.wall - wall
    stress = _allowable(material, temperature)
    cylinder = np.asarray(cylinder_pressure(wall, inner_radius, stress, part.weld_factor))
    end = _end_pressure(part, wall, inner_radius, stress)
    rated = part.pressure_rating
    collapse, bears_outside, cold_bears = _cold_strength(pump)
    test = test_ratio * (cold_bears if rated is None else rated - atmosphere)
    return ShellStrength(
        sound_wall=wall, inner_radius=inner_radius, allowable_stress=stress, cylinder=cylinder,
        cylinder_en=np.asarray(cylinder_pressure_en(wall, 2 * inner_radius, stress, part.weld_factor)), end=end,
        bears=np.minimum(cylinder, end) if rated is None else np.full(temperature.size, rated - atmosphere),
        collapse=collapse, bears_outside=bears_outside,
        test_pressure=test, test_stress_share=test * (inner_radius + wall / 2) / wall / material.yield_strength)


@once_per_pump
def _cold_strength(pump: PumpFile) -> tuple[float, float, float]:
    """Collapse pressure, pressure allowed from outside, and what cylinder and end bear at the works test [Pa]."""
    part, material = pump.containment_shell, pump.shell_material
    wall = part.wall * (1 - part.mill_tolerance) - part.corrosion_allowance
    inner_radius = part.wall_radius + part.wall - wall
    collapse = float(cylinder_collapse(wall, inner_radius + wall / 2, part.length, material.elastic_modulus))
    cold = _allowable(material, np.array([TEST_TEMPERATURE]))
    cold_bears = float(np.minimum(cylinder_pressure(wall, inner_radius, cold, part.weld_factor),
                                  _end_pressure(part, wall, inner_radius, cold))[0])
    return collapse, float(allowed_external_pressure(collapse, wall, inner_radius + wall / 2,
                                                     material.yield_strength)), cold_bears


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
