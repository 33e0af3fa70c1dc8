"""What one branch of the circulation does to the liquid: pressure lost, head given by rotation, heat taken up.

A branch is a row of numbers; every feature it lacks is zero, so that one law serves holes, grooves, cavities,
bearings, thrust faces, coolers and auxiliary impellers alike. Geometry becomes rows in
`wetpath.circulation.branch`; the annulus under the magnets has cells of its own in
`wetpath.circulation.annulus_cells`.
"""

from typing import Any

import numpy as np

from wetpath.physics.drag.cylinder_drag import cylinder_torque, thrust_land_torque
from wetpath.physics.drag.disc_friction import ring_face_torque
from wetpath.physics.flow.annulus import film_axial_conductance
from wetpath.physics.flow.orifice import dynamic_pressure
from wetpath.physics.flow.pipe_friction import pipe_friction
from wetpath.physics.flow.rotating_hole import incidence_loss, rotation_head
from wetpath.physics.heat.cooler import counterflow_effectiveness
from wetpath.physics.published import in_kernel

#: How the pressure loss of a branch is computed.
PASSAGE, FILM, ANNULUS = range(3)

# Columns of a branch row, SI.
AREA, DIAMETER, LENGTH, ROUGHNESS, LOSS = 0, 1, 2, 3, 4
ROTATION_FROM, ROTATION_TO, CORE = 5, 6, 7
INCIDENCE, INCIDENCE_RADIUS, PLENUM_SWIRL, INCIDENCE_FLOW = 8, 9, 10, 11
AUXILIARY_HEAD, AUXILIARY_RADIUS = 12, 13
DISC_OUTER, DISC_INNER, DISC_GAP = 14, 15, 16
JOURNAL_RADIUS, JOURNAL_CLEARANCE, JOURNAL_LENGTH, ECCENTRICITY = 17, 18, 19, 20
LAND_INNER, LAND_OUTER, LAND_FILM, LAND_SHARE = 21, 22, 23, 24
ROTOR_RADIUS, GAP = 25, 26
COOLER_CONDUCTANCE, COOLANT_CAPACITY, COOLANT_TEMPERATURE = 27, 28, 29
COLUMNS = 30

#: Below this Reynolds number a passage is taken as creeping: friction linear in the flow, no inertia losses.
CREEPING_REYNOLDS = 1e-3


@in_kernel
def passage_loss(row: Any, flow: float, density: float, viscosity: float, speed: float) -> tuple[float, float]:
    """Pressure lost in a hole, pipe or groove at a signed mass flow [Pa], and its slope [Pa s/kg].

    Entry incidence of a turning hole does not depend on the flow; it is faded in over ``INCIDENCE_FLOW`` so that
    the law stays odd and rising at rest.
    """
    area, diameter = row[AREA], row[DIAMETER]
    velocity = flow / (density * area)
    reynolds = density * np.abs(velocity) * diameter / viscosity
    slenderness = row[LENGTH] / diameter
    if reynolds < CREEPING_REYNOLDS:
        slope = 32.0 * viscosity * slenderness / (diameter * density * area)
        loss = slope * flow
    else:
        roughness = row[ROUGHNESS] / diameter
        factor, steepness = pipe_friction(reynolds, roughness)
        friction = slenderness * factor
        loss = (row[LOSS] + friction) * dynamic_pressure(density, velocity)
        exponent = 2.0 + steepness
        slope = (2.0 * row[LOSS] + exponent * friction) * dynamic_pressure(density, np.abs(velocity)) / np.abs(flow)
    if row[INCIDENCE] > 0.0:
        step = incidence_loss(density, speed, row[INCIDENCE_RADIUS], row[PLENUM_SWIRL], row[INCIDENCE])
        reach = np.tanh(flow / row[INCIDENCE_FLOW])
        loss += step * reach
        slope += step * (1.0 - reach * reach) / row[INCIDENCE_FLOW]
    return loss, slope


@in_kernel
def film_loss(row: Any, flow: float, density: float, viscosity: float) -> tuple[float, float]:
    """Pressure lost along the film of a journal bearing at a signed mass flow [Pa], and its slope [Pa s/kg]."""
    slope = 1.0 / film_axial_conductance(row[JOURNAL_RADIUS], row[JOURNAL_CLEARANCE], row[LENGTH],
                                         density, viscosity, row[ECCENTRICITY])
    return slope * flow, slope


@in_kernel
def branch_head(row: Any, density: float, speed: float) -> float:
    """Pressure given by rotation in the direction of the branch [Pa], whatever its flow."""
    head = 0.0
    if row[CORE] > 0.0:
        head += rotation_head(density, speed, row[ROTATION_FROM], row[ROTATION_TO], row[CORE])
    if row[AUXILIARY_HEAD] > 0.0:
        head += 0.5 * row[AUXILIARY_HEAD] * density * (speed * row[AUXILIARY_RADIUS]) ** 2
    return head


@in_kernel
def disc_power(row: Any, density: float, viscosity: float, speed: float) -> float:
    """Friction power of the disc face that bounds the branch [W]."""
    if row[DISC_OUTER] <= 0.0:
        return 0.0
    return speed * ring_face_torque(density, viscosity, speed, row[DISC_OUTER], row[DISC_INNER], row[DISC_GAP])


@in_kernel
def journal_power(row: Any, density: float, viscosity: float, speed: float) -> float:
    """Friction power of the concentric journal of the branch [W]."""
    if row[JOURNAL_LENGTH] <= 0.0:
        return 0.0
    return speed * cylinder_torque(density, viscosity, speed, row[JOURNAL_RADIUS], row[JOURNAL_CLEARANCE],
                                   row[JOURNAL_LENGTH])


@in_kernel
def thrust_power(row: Any, viscosity: float, speed: float) -> float:
    """Friction power of the thrust face of the branch [W]."""
    if row[LAND_OUTER] <= 0.0:
        return 0.0
    return speed * thrust_land_torque(viscosity, speed, row[LAND_INNER], row[LAND_OUTER], row[LAND_FILM],
                                      row[LAND_SHARE])


@in_kernel
def cooler_heat(row: Any, flow: float, heat_capacity: float, temperature: float) -> float:
    """Heat given to the liquid by the external cooler of the branch [W], negative when it cools."""
    if row[COOLER_CONDUCTANCE] <= 0.0 or flow == 0.0:
        return 0.0
    own = np.abs(flow) * heat_capacity
    smaller = min(own, row[COOLANT_CAPACITY])
    larger = max(own, row[COOLANT_CAPACITY])
    effectiveness = counterflow_effectiveness(row[COOLER_CONDUCTANCE] / smaller, smaller / larger)
    return -effectiveness * smaller * (temperature - row[COOLANT_TEMPERATURE])
