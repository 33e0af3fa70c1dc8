"""Forces on the rotor in every solved case, across and along the shaft, compiled."""

from math import pi
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.solve import ANGLE, DENSITY_IN, INNER_RING, OUTER_RING
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.shell_wall import RESISTIVITY_REFERENCE
from wetpath.physics.published import compiled, in_kernel
from wetpath.physics.pump.axial_thrust import (
    eye_momentum_force,
    impeller_thrust,
    side_room_force,
    side_room_pressure,
)
from wetpath.physics.pump.balance_chamber import chamber_share, ring_gap_loss
from wetpath.physics.pump.radial_thrust import (
    SHUT_OFF_FACTOR,
    double_volute_factor,
    radial_force,
    single_volute_factor,
    single_volute_factor_by_exponent,
)

Array = NDArray[np.float64]

#: Loss of balance holes on their own velocity: sharp entry and exit, and the turning impeller. Common practice.
HOLE_LOSS = 2.0
# How the casing presses on the impeller.
DOUBLE_VOLUTE, SINGLE_VOLUTE, SINGLE_VOLUTE_GIVEN = range(3)
# Rows of the forces across and along the shaft.
RADIAL_FORCE, PULL_STIFFNESS = range(2)
REAR_SHROUD, FRONT_SHROUD, EYE, MOMENTUM, MAGNET_ROTOR, MAGNETIC = range(6)


class Magnets(NamedTuple):
    """Remanence of inner and outer ring at 20 degC [T] and its relative slopes [1/K]."""

    inner: float
    outer: float
    inner_slope: float
    outer_slope: float


class SideRow(NamedTuple):
    """What the forces across the shaft take from the pump; SI."""

    casing: int             # DOUBLE_VOLUTE, SINGLE_VOLUTE or SINGLE_VOLUTE_GIVEN
    shut_off_factor: float  # of the radial force
    exponent: float         # over flow, where a factor is given
    diameter: float         # of the impeller
    width: float            # of its outlet
    pull_inner: float       # pull per offset of one ring on the iron of the other, for unit remanence
    pull_outer: float
    pull_cross: Array       # of both rings on each other, (orders,)
    waves: Array            # (orders,) orders over the load angle


class ThrustRow(NamedTuple):
    """What the forces along the shaft take from the pump; SI."""

    head_share: float       # static share of the head at the outlet of the impeller
    flange_area: float
    rim: float              # radii
    eye: float
    hub: float
    front_core: float       # core rotation in front of the impeller
    radii: Array            # of the rings behind the impeller, from the rim inwards
    cores: Array            # core rotation between them, one less
    hole_area: float        # of balance holes; 0: none
    rear_ring: float        # radius and length of the rear ring, where there are holes
    rear_ring_length: float
    sheath: float           # radius of the inner ring
    rear_station: int       # stations and core rotations at its faces
    rear_core: float
    front_station: int
    face_core: float
    force: Array            # amplitudes of the axial force of the outer ring on the inner one, magnets at 20 degC
    orders: Array           # their orders over the load angle


@in_kernel
def _strengths(magnets: Magnets, inner_ring: float, outer_ring: float) -> tuple[float, float]:
    """Remanence of both rings at their temperatures over that at 20 degC."""
    return (1.0 + magnets.inner_slope * (inner_ring - RESISTIVITY_REFERENCE),
            1.0 + magnets.outer_slope * (outer_ring - RESISTIVITY_REFERENCE))


@in_kernel
def _cosines(amplitudes: Any, orders: Any, angle: float) -> float:
    """Sum of amplitudes x cos(orders x angle); beyond pull-out, where there is no load angle, at none."""
    turned = 0.0 if np.isnan(angle) else angle
    total = 0.0
    for k in range(amplitudes.size):
        total += amplitudes[k] * np.cos(orders[k] * turned)
    return total


@compiled
def side_forces(row: SideRow, magnets: Magnets, scalars: Any, head: Any, flow_share: Any) -> Any:
    """Radial force of the casing [N], and side pull between the rings per offset [N/m], two rows.

    Parameters
    ----------
    row, magnets : SideRow, Magnets
    scalars : array (cases, SCALARS)
        Of the solve.
    head, flow_share : array (cases,) [m], [-]
        Flow share: over the flow of best efficiency.

    Returns
    -------
    array (2, cases), rows RADIAL_FORCE and PULL_STIFFNESS. The laws and their sources are those of `radial_thrust`
    and `eccentric_pull`.
    """
    found = np.empty((2, head.size))
    for case in range(head.size):
        share = flow_share[case]
        if row.casing == DOUBLE_VOLUTE:
            factor = double_volute_factor(share) * row.shut_off_factor / SHUT_OFF_FACTOR
        elif row.casing == SINGLE_VOLUTE_GIVEN:
            factor = single_volute_factor_by_exponent(share, row.shut_off_factor, row.exponent)
        else:
            factor = single_volute_factor(share)
        found[RADIAL_FORCE, case] = radial_force(factor, scalars[case, DENSITY_IN], head[case], row.diameter, row.width)
        warm_inner, warm_outer = _strengths(magnets, scalars[case, INNER_RING], scalars[case, OUTER_RING])
        inner, outer = magnets.inner * warm_inner, magnets.outer * warm_outer
        found[PULL_STIFFNESS, case] = (inner * inner * row.pull_inner + outer * outer * row.pull_outer
                                       + inner * outer * _cosines(row.pull_cross, row.waves, scalars[case, ANGLE]))
    return found


@in_kernel
def _rear_force(row: ThrustRow, outlet: float, at_eye: float, density: float, speed: float, ring_clearance: float
                ) -> float:
    """Force of the pressure behind the impeller, from the rim to the hub [N]."""
    if row.hole_area > 0.0:
        core, ring = row.cores[0], row.rear_ring
        ahead = side_room_pressure(ring, outlet, row.rim, density, core, speed)
        share = chamber_share(2 * pi * ring * ring_clearance, ring_gap_loss(row.rear_ring_length, ring_clearance),
                              row.hole_area, HOLE_LOSS)
        chamber = at_eye + share * (ahead - at_eye)
        return (side_room_force(ring, outlet, row.rim, density, core, speed)
                + side_room_force(row.hub, chamber, ring, density, core, speed))
    force, pressure = 0.0, outlet
    for k in range(row.cores.size):
        outer, inner, core = row.radii[k], row.radii[k + 1], row.cores[k]
        force += side_room_force(inner, pressure, outer, density, core, speed)
        pressure = side_room_pressure(inner, pressure, outer, density, core, speed)
    return force


@compiled
def axial_forces(row: ThrustRow, magnets: Magnets, ring_clearance: float, flow: Any, suction_pressure: Any, speed: Any,
                 head: Any, pressure: Any, scalars: Any) -> Any:
    """Parts of the axial force on the rotor [N], positive towards the suction.

    Parameters
    ----------
    row, magnets : ThrustRow, Magnets
    ring_clearance : float [m]
        Of the rear ring, radial.
    flow, suction_pressure, speed, head : array (cases,) [m3/s], [Pa], [rad/s], [m]
    pressure : array (cases, stations) [Pa]
    scalars : array (cases, SCALARS)
        Of the solve.

    Returns
    -------
    array (6, cases), rows as named in this module.

    Notes
    -----
    Density everywhere is that of the liquid entering; the side rooms turn as solid bodies, each with its own core
    rotation. The laws and their sources are those of `axial_thrust` and `balance_chamber`.
    """
    found = np.empty((6, flow.size))
    eye_area = pi * row.eye**2
    for case in range(flow.size):
        density, turning = scalars[case, DENSITY_IN], speed[case]
        outlet = suction_pressure[case] + row.head_share * density * STANDARD_GRAVITY * head[case]
        at_eye = suction_pressure[case] + density / 2 * (
            (flow[case] / row.flange_area) ** 2 - (flow[case] / eye_area) ** 2)
        front = side_room_force(row.eye, outlet, row.rim, density, row.front_core, turning)
        momentum = eye_momentum_force(flow[case], density, eye_area)
        found[REAR_SHROUD, case] = _rear_force(row, outlet, at_eye, density, turning, ring_clearance)
        found[FRONT_SHROUD, case] = impeller_thrust(0.0, front, 0.0, row.eye, 0.0)
        found[EYE, case] = impeller_thrust(0.0, 0.0, at_eye, row.eye, 0.0)
        found[MOMENTUM, case] = impeller_thrust(0.0, 0.0, 0.0, row.eye, momentum)
        found[MAGNET_ROTOR, case] = (
            side_room_force(0.0, pressure[case, row.rear_station], row.sheath, density, row.rear_core, turning)
            - side_room_force(row.hub, pressure[case, row.front_station], row.sheath, density, row.face_core, turning))
        warm_inner, warm_outer = _strengths(magnets, scalars[case, INNER_RING], scalars[case, OUTER_RING])
        found[MAGNETIC, case] = -_cosines(row.force, row.orders, scalars[case, ANGLE]) * warm_inner * warm_outer
    return found
