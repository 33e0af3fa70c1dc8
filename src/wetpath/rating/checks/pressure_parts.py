"""Casing and containment shell under the highest pressure they can see."""

import numpy as np

from wetpath.circulation import solve
from wetpath.edge.quantities import PRESSURE, PRESSURE_DIFFERENCE
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.strength.allowable_stress import allowable_stress_asme, at_temperature
from wetpath.physics.strength.internal_pressure import cylinder_pressure
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Array, Situation


def highest_pressure(situation: Situation) -> Array:
    """Suction pressure plus shut-off differential of every case [Pa]."""
    density = situation.scalars[:, solve.DENSITY_IN]
    return np.asarray(situation.solved.inputs.pressure
                      + density * STANDARD_GRAVITY * situation.solved.point.shut_off_head)


def casing(situation: Situation) -> Check:
    """Highest pressure against the casing's rating."""
    rating = situation.pump.casing.pressure_rating
    return check("casing_pressure", "pressure in the casing at shut-off", PRESSURE, highest_pressure(situation), rating,
                 sense="at most", scale=rating - situation.demands.atmosphere, difference_kind=PRESSURE_DIFFERENCE,
                 where="casing", source="pump-file", status="given",
                 meaning="suction pressure plus shut-off head must stay below the maximum allowable working pressure",
                 remedy="a casing of a higher rating, or a relief device at the suction vessel")


def shell(situation: Situation) -> Check:
    """Highest pressure against what the shell bears: the maker's rating, else the code formula."""
    part, material = situation.pump.containment_shell, situation.pump.shell_material
    pressure = highest_pressure(situation)
    outside = situation.demands.atmosphere
    if part.pressure_rating is not None:
        bears = np.full(situation.count, part.pressure_rating)
        source, status, meaning = "pump-file", "given", "maximum allowable working pressure stated by the maker"
    else:
        hottest = situation.scalars[:, solve.HOTTEST_WALL]
        if material.allowable_stresses:
            stress = at_temperature(hottest, material.allowable_temperatures, material.allowable_stresses)
        else:
            stress = np.full(situation.count, allowable_stress_asme(material.tensile_strength, material.yield_strength))
        sound = part.wall * (1 - part.mill_tolerance) - part.corrosion_allowance
        bears = outside + cylinder_pressure(sound, part.bore / 2 + part.wall - sound, stress, part.weld_factor)
        source, status = "asme-viii-1", "recalled"
        meaning = "code formula for the cylinder at the temperature of the wall, less corrosion and mill tolerance"
    return check("shell_pressure", "pressure inside the containment shell at shut-off", PRESSURE, pressure, bears,
                 sense="at most", scale=np.abs(bears - outside), difference_kind=PRESSURE_DIFFERENCE,
                 where="containment shell", source=source, status=status, meaning=meaning,
                 remedy="a thicker wall (more loss, less torque) or a stronger alloy")
