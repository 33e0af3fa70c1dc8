"""Casing and containment shell under the highest pressure they can see, and the shell under vacuum."""

import numpy as np

from wetpath.circulation import solve
from wetpath.edge.quantities import LENGTH, PRESSURE, PRESSURE_DIFFERENCE
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Array, Situation
from wetpath.words import told


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
                 by_choice=True, where="casing", source="pump-file", status="given",
                 meaning="suction pressure plus shut-off head must stay below the maximum allowable working pressure",
                 remedy="a casing of a higher rating, or a relief device at the suction vessel")


def shell(situation: Situation) -> Check:
    """Highest pressure against what the shell bears: the maker's rating, else the code formulas."""
    state, outside = situation.shell, situation.demands.atmosphere
    if situation.pump.containment_shell.pressure_rating is not None:
        source, status, meaning = "pump-file", "given", "maximum allowable working pressure stated by the maker"
    else:
        source, status = "asme-viii-1-ug-27", "recalled"
        part = "cylinder" if (state.cylinder <= state.end).all() else "end"
        meaning = told("code formula of the {part} at the temperature of the wall, less corrosion and mill tolerance",
                       part=part)
    return check("shell_pressure", "pressure inside the containment shell at shut-off", PRESSURE,
                 state.inside + outside, state.bears + outside, sense="at most", scale=np.abs(state.bears),
                 difference_kind=PRESSURE_DIFFERENCE, by_choice=True, where="containment shell", source=source,
                 status=status, meaning=meaning, remedy="a thicker wall (more loss, less torque) or a stronger alloy")


def shell_vacuum(situation: Situation) -> Check:
    """Pressure from outside, where the pump runs below the atmosphere, against elastic collapse."""
    state = situation.shell
    return check("shell_vacuum", "pressure on the containment shell from outside", PRESSURE_DIFFERENCE, state.vacuum,
                 state.bears_outside, sense="at most", applies=state.vacuum > 0, where="containment shell",
                 source="asme-viii-1-ug-28", status="recalled",
                 meaning="a third of elastic collapse of the cylinder, at most two thirds of yield",
                 remedy="a thicker wall, or keep the pump above the atmosphere")


def shell_wall(situation: Situation) -> Check:
    """Sound wall of a metal shell against the least that the practice asks for."""
    limit = situation.practice["shell_wall_least"]
    metal = situation.pump.shell_material.conduction == "metal"
    return check("shell_wall", "wall of the containment shell", LENGTH,
                 np.full(situation.count, situation.pump.containment_shell.wall), limit, applies=metal, by_choice=True,
                 where="containment shell")
