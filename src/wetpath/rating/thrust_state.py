"""Axial thrust on the rotor, new and with a worn rear ring, and what carries it; positive towards the suction."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.machine.bearings import ThrustBearing
from wetpath.machine.branches import Cavity, ImpellerTap, ThrustPassage
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.film.thrust_face import face_pressure
from wetpath.physics.flow.rotor_stator_cavity import STILL_CORE_RATIO
from wetpath.physics.pump.axial_thrust import (
    eye_momentum_force,
    impeller_thrust,
    side_room_force,
    side_room_pressure,
)
from wetpath.physics.pump.balance_chamber import chamber_share, ring_gap_loss
from wetpath.rating.machine_arrays import remanences, response_for
from wetpath.rating.pump_model import Inputs, Solved

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Loss of balance holes on their own velocity: sharp entry and exit, and the turning impeller. Common practice.
HOLE_LOSS = 2.0
#: Best load number of an inclined pad without side leakage, W h^2/(mu u l^2 b). The film found with it is a bound.
BEST_PAD = 0.160


@dataclass(frozen=True, eq=False)
class AxialThrust:
    """Parts of the axial force on the rotor [N], each (cases,), positive towards the suction."""

    rear_shroud: Array       # pressure behind the impeller
    front_shroud: Array      # pressure in front of it, negative
    eye: Array               # pressure inside the front ring, negative
    momentum: Array          # of the entering flow, negative
    magnet_rotor: Array      # rear face less front face of the inner ring
    magnetic: Array          # between rings that are offset axially

    @property
    def total(self) -> Array:
        """Their sum."""
        return (self.rear_shroud + self.front_shroud + self.eye + self.momentum + self.magnet_rotor + self.magnetic)


@dataclass(frozen=True, eq=False)
class ThrustState:
    """Axial thrust over a batch, and the thrust faces that carry it; NaN while the pump file states no balance."""

    stated: bool                 # the pump file says what relieves the thrust
    ring_counts: bool            # a worn rear ring changes it
    new: AxialThrust
    worn: AxialThrust
    bearings: tuple[ThrustBearing, ...]
    sliding_speed: Array         # (cases, bearings) at the mean radius
    film_bound: Array            # (cases, bearings) film that ideal inclined pads would have with a new ring [m]

    def carrier(self, thrust: Array) -> NDArray[np.int64]:
        """Number of the bearing that carries, (cases,); -1 where none takes this direction."""
        return carrier(self.bearings, thrust)

    def allowable(self, thrust: Array, specific_load: float) -> Array:
        """Load allowed on the faces that carry: the maker's, else land area times a specific load [N]; 0: no face."""
        return allowable_load(self.bearings, thrust, specific_load)

    def face_pressure(self, thrust: Array) -> Array:
        """Mean pressure on the lands that carry [Pa]; NaN where no face takes this direction."""
        areas = np.array([*(face_pressure(1.0, bearing.outer_diameter / 2, bearing.inner_diameter / 2,
                                          bearing.land_share) for bearing in self.bearings), np.nan])
        return np.abs(thrust) * areas[self.carrier(thrust)]

    def where(self, thrust: Array) -> tuple[str, ...]:
        """The faces that carry, in words."""
        names = [*(f"{bearing.name} thrust face" for bearing in self.bearings), "no thrust face for this direction"]
        return tuple(names[number] for number in self.carrier(thrust))


@dataclass(frozen=True, eq=False)
class ThrustCurve:
    """Thrust over flow at the conditions of one case, positive towards the suction."""

    flow: Array                         # [m3/s]
    new: Array                          # [N]
    worn: Array
    reversals_new: tuple[float, ...]    # flows at which the thrust changes its direction [m3/s]
    reversals_worn: tuple[float, ...]


def carrier(bearings: tuple[ThrustBearing, ...], thrust: Array) -> NDArray[np.int64]:
    """Number of the bearing that carries, (cases,); -1 where none takes this direction."""
    found = np.full(thrust.shape, -1, np.int64)
    for number in range(len(bearings)):
        found = np.where(np.sign(thrust) == _sign(bearings, number), number, found)
    return found


def allowable_load(bearings: tuple[ThrustBearing, ...], thrust: Array, specific_load: float) -> Array:
    """Load allowed on the faces that carry: the maker's, else land area times a specific load [N]; 0: no face."""
    loads = np.array([*(one.allowable_load or one.land_area * specific_load for one in bearings), 0.0])
    return np.where(np.isnan(thrust), np.nan, loads[carrier(bearings, thrust)])


def _sign(bearings: tuple[ThrustBearing, ...], number: int) -> int:
    takes = bearings[number].takes
    if takes is None:
        takes = "away from suction" if number == 0 else "towards suction"
    return 1 if takes == "towards suction" else -1


def thrust_state(situation: Situation) -> ThrustState:
    """Thrust of every case with a new and with a worn rear ring."""
    pump, solved = situation.pump, situation.solved
    impeller = pump.impeller
    new = situation.new_thrust
    worn = axial_thrust(pump, solved, impeller.worn_clearance)
    speed = solved.inputs.speed[:, None]
    mean_radius = np.array([(one.inner_diameter + one.outer_diameter) / 4 for one in pump.thrust_bearings])
    return ThrustState(
        stated=impeller.balance != "not stated", ring_counts=impeller.balance == "holes", new=new, worn=worn,
        bearings=pump.thrust_bearings, sliding_speed=speed * mean_radius,
        film_bound=_film_bound(situation, np.abs(new.total)))


def axial_thrust(pump: PumpFile, solved: Solved, ring_clearance: float) -> AxialThrust:
    """Parts of the thrust for a radial clearance of the rear ring.

    Density everywhere is that of the liquid entering; the side rooms turn as solid bodies, each with its own core
    rotation; the faces of the inner ring take the pressures of the circulation at the ends of the annulus.
    """
    impeller, inputs, point = pump.impeller, solved.inputs, solved.point
    density = solved.solution.states.scalars[:, solve.DENSITY_IN]
    rim, eye, hub = (diameter / 2 for diameter in (
        impeller.diameter, impeller.eye_diameter, impeller.hub_diameter))
    share, rear_core = _side_room(pump)
    outlet = inputs.pressure + share * density * STANDARD_GRAVITY * point.head
    eye_area = pi * eye**2
    suction_velocity = inputs.flow / (pi * pump.casing.suction_bore**2 / 4)
    at_eye = inputs.pressure + density / 2 * (suction_velocity**2 - (inputs.flow / eye_area) ** 2)
    front = side_room_force(eye, outlet, rim, density, impeller.front_core_rotation, inputs.speed)
    momentum = eye_momentum_force(inputs.flow, density, eye_area)
    rear = _rear_force(pump, outlet, at_eye, density, inputs.speed, rear_core, ring_clearance)
    stated = np.where(impeller.balance == "not stated", np.nan, 1.0)
    zero = np.zeros_like(density)
    return AxialThrust(
        rear_shroud=rear * stated, front_shroud=impeller_thrust(zero, front, zero, eye, zero),
        eye=impeller_thrust(zero, zero, at_eye, eye, zero), momentum=impeller_thrust(zero, zero, zero, eye, momentum),
        magnet_rotor=_magnet_rotor_force(pump, solved, density, hub), magnetic=_magnetic_force(pump, solved))


def _side_room(pump: PumpFile) -> tuple[float, float]:
    """Static share of the head at the outlet and core rotation behind the impeller: those of a tap, else its own."""
    tap = next((tap for tap in pump.taps if isinstance(tap, ImpellerTap)), None)
    if tap is not None:
        return tap.head_share, tap.core_rotation
    return pump.impeller.outlet_head_share, pump.impeller.rear_core_rotation


def _rear_force(pump: PumpFile, outlet: Array, at_eye: Array, density: Array, speed: Array, core: float,
                ring_clearance: float) -> Array:
    """Force of the pressure behind the impeller, from the rim to the hub."""
    impeller = pump.impeller
    rim, ring, hub = impeller.diameter / 2, impeller.rear_ring_diameter / 2, impeller.hub_diameter / 2
    if impeller.back_vanes is not None:
        vanes = impeller.back_vanes
        outside, inside = min(vanes.outer_diameter / 2, rim), max(vanes.inner_diameter / 2, hub)
        return _stepped_force((rim, outside, inside, hub), (core, vanes.core_rotation, core), outlet, density, speed)
    if impeller.balance_holes is None:
        return _stepped_force((rim, hub), (core,), outlet, density, speed)
    holes = impeller.balance_holes
    ahead = side_room_pressure(ring, outlet, rim, density, core, speed)
    share = chamber_share(2 * pi * ring * ring_clearance, ring_gap_loss(impeller.rear_ring_length, ring_clearance),
                          holes.count * pi * holes.diameter**2 / 4, HOLE_LOSS)
    chamber = at_eye + share * (ahead - at_eye)
    outer = side_room_force(ring, outlet, rim, density, core, speed)
    return np.asarray(outer + side_room_force(hub, chamber, ring, density, core, speed))


def _stepped_force(radii: tuple[float, ...], cores: tuple[float, ...], pressure: Array, density: Array, speed: Array
                   ) -> Array:
    """Force on rings one inside the other, each with its own core rotation, from the outermost inwards."""
    force = np.zeros_like(pressure)
    for outer, inner, core in zip(radii, radii[1:], cores, strict=False):
        force = force + side_room_force(inner, pressure, outer, density, core, speed)
        pressure = side_room_pressure(inner, pressure, outer, density, core, speed)
    return force


def _magnet_rotor_force(pump: PumpFile, solved: Solved, density: Array, hub: float) -> Array:
    """Pressure on the rear face of the inner ring less that on its front face outside the hub."""
    network, speed = pump.network, solved.inputs.speed
    radius = pump.inner_ring.sheath_diameter / 2
    annulus = network.branches[network.annulus]
    towards = next(entry.towards for entry in pump.branches if entry.kind == "annulus")
    rear, front = (annulus.start, annulus.end) if towards == "impeller" else (annulus.end, annulus.start)
    pressure = solved.solution.states.pressure
    at_rear, at_front = (pressure[:, network.stations.index(name)] for name in (rear, front))
    behind = side_room_force(0.0, at_rear, radius, density, _core_at(pump, rear), speed)
    ahead = side_room_force(hub, at_front, radius, density, _core_at(pump, front), speed)
    return np.asarray(behind - ahead)


def _core_at(pump: PumpFile, station: str) -> float:
    """Core rotation of the cavity that touches an end of the annulus."""
    return next((entry.core_rotation for entry in pump.branches
                 if isinstance(entry, Cavity) and station in (entry.start, entry.end)), STILL_CORE_RATIO)


def _magnetic_force(pump: PumpFile, solved: Solved) -> Array:
    """Axial pull of the outer ring on the inner one; the offset of the outer ring counts backwards."""
    scalars = solved.solution.states.scalars
    response = response_for(pump)
    inner, outer = remanences(pump)
    hot = [1 + magnet.remanence_coefficient * (scalars[:, column] - ROOM_TEMPERATURE)
           for magnet, column in ((pump.inner_magnet, solve.INNER_RING), (pump.outer_magnet, solve.OUTER_RING))]
    backwards = response.axial_force(solved.load_angle, inner, outer)
    return np.asarray(-backwards * hot[0] * hot[1])


def _film_bound(situation: Situation, thrust: Array) -> Array:
    """Film of inclined pads at their best between the grooves of each bearing: no face of this size has more."""
    pump, states = situation.pump, situation.solution.states
    columns = []
    for bearing in pump.thrust_bearings:
        passage = next((entry for entry in pump.branches
                        if isinstance(entry, ThrustPassage) and entry.bearing == bearing.name), None)
        if passage is None:
            columns.append(np.full(thrust.size, np.nan))
            continue
        place = pump.network.stations.index(passage.start)
        viscosity = situation.per_liquid(lambda liquid, chosen, place=place: liquid.state(  # type: ignore[misc]
            states.temperature[chosen, place], states.pressure[chosen, place]).viscosity)
        radius = (bearing.inner_diameter + bearing.outer_diameter) / 4
        width = (bearing.outer_diameter - bearing.inner_diameter) / 2
        pads = bearing.grooves.count
        length = bearing.land_share * 2 * pi * radius / pads
        speed = situation.solved.inputs.speed * radius
        with np.errstate(divide="ignore", invalid="ignore"):
            columns.append(length * np.sqrt(BEST_PAD * viscosity * speed * width * pads / thrust))
    return np.stack(columns, axis=1) if columns else np.zeros((thrust.size, 0))


def thrust_curve(situation: Situation, case: int = 0, count: int = 41) -> ThrustCurve:
    """Thrust from a tenth of best flow to the end of the tested curve, all else as in one case; solved on call.

    Takes about ``count`` solves of the circulation.
    """
    model = situation.models[situation.model_of[case]]
    here = situation.solved.inputs.chosen(np.array([case]))
    best = float(situation.solved.point.best_flow[case])
    tested = model.pump.impeller.tested
    furthest = tested.flow[-1] * float(here.speed[0]) / tested.speed * model.pump.impeller.diameter / tested.diameter
    flow = np.linspace(0.1 * best, furthest, count)
    solved = model.solve(Inputs.of(flow, here.temperature, here.pressure, here.speed, here.air))
    impeller = model.pump.impeller
    new = axial_thrust(model.pump, solved, impeller.rear_ring_clearance).total
    worn = axial_thrust(model.pump, solved, impeller.worn_clearance).total
    return ThrustCurve(flow, new, worn, _crossings(flow, new), _crossings(flow, worn))


def _crossings(flow: Array, thrust: Array) -> tuple[float, ...]:
    """Flows at which the thrust passes zero, straight between the points."""
    at = np.flatnonzero(thrust[:-1] * thrust[1:] < 0)
    found = flow[at] - thrust[at] * (flow[at + 1] - flow[at]) / (thrust[at + 1] - thrust[at])
    return tuple(float(value) for value in found)
