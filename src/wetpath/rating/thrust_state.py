"""Axial thrust on the rotor, new and with a worn rear ring, and what carries it; positive towards the suction."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.rotor_loads import ThrustRow, axial_forces
from wetpath.machine.bearings import ThrustBearing
from wetpath.machine.branches import Cavity, ImpellerTap, ThrustPassage
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.film.thrust_face import face_pressure
from wetpath.physics.flow.rotor_stator_cavity import STILL_CORE_RATIO
from wetpath.rating.machine_arrays import magnets_of, remanences, response_for
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.pump_model import Inputs, Solved
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

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
        names = [*(told("{bearing} thrust face", bearing=bearing.name) for bearing in self.bearings),
                 "no thrust face for this direction"]
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
    # the ring changes nothing but the pressure behind the impeller
    worn = replace(new, rear_shroud=axial_thrust(pump, solved, impeller.worn_clearance).rear_shroud)
    speed = solved.inputs.speed[:, None]
    return ThrustState(
        stated=impeller.balance != "not stated", ring_counts=impeller.balance == "holes", new=new, worn=worn,
        bearings=pump.thrust_bearings, sliding_speed=speed * _pads(pump).radius,
        film_bound=_film_bound(situation, np.abs(new.total)))


def axial_thrust(pump: PumpFile, solved: Solved, ring_clearance: float) -> AxialThrust:
    """Parts of the thrust for a radial clearance of the rear ring.

    Density everywhere is that of the liquid entering; the side rooms turn as solid bodies, each with its own core
    rotation; the faces of the inner ring take the pressures of the circulation at the ends of the annulus.
    """
    inputs, states = solved.inputs, solved.solution.states
    flow, pressure, speed, head = (np.ascontiguousarray(column) for column in (
        inputs.flow, inputs.pressure, inputs.speed, solved.point.head))
    rear, front, eye, momentum, rotor, magnetic = axial_forces(
        _thrust_row(pump), magnets_of(pump), float(ring_clearance), flow, pressure, speed, head, states.pressure,
        states.scalars)
    if pump.impeller.balance == "not stated":
        rear = np.full(rear.size, np.nan)
    return AxialThrust(rear_shroud=rear, front_shroud=front, eye=eye, momentum=momentum, magnet_rotor=rotor,
                       magnetic=magnetic)


@once_per_pump
def _thrust_row(pump: PumpFile) -> ThrustRow:
    impeller, response = pump.impeller, response_for(pump)
    head_share, core = _side_room(pump)
    (rear, rear_core), (front, front_core) = _faces_of_ring(pump)
    inner, outer = remanences(pump)
    rim, hub = impeller.diameter / 2, impeller.hub_diameter / 2
    vanes, holes = impeller.back_vanes, impeller.balance_holes
    radii, cores = [rim, hub], [core]
    if vanes is not None:
        radii = [rim, min(vanes.outer_diameter / 2, rim), max(vanes.inner_diameter / 2, hub), hub]
        cores = [core, vanes.core_rotation, core]
    return ThrustRow(
        head_share=float(head_share), flange_area=pi * pump.casing.suction_bore**2 / 4, rim=rim,
        eye=impeller.eye_diameter / 2, hub=hub, front_core=float(impeller.front_core_rotation), radii=np.array(radii),
        cores=np.array(cores, float),
        hole_area=0.0 if holes is None or vanes is not None else holes.count * pi * holes.diameter**2 / 4,
        rear_ring=impeller.rear_ring_diameter / 2, rear_ring_length=float(impeller.rear_ring_length),
        sheath=pump.inner_ring.sheath_diameter / 2, rear_station=rear, rear_core=float(rear_core), front_station=front,
        face_core=float(front_core), force=inner * outer * np.asarray(response.force, float),
        orders=np.asarray(response.torque_orders, float))


@once_per_pump
def _side_room(pump: PumpFile) -> tuple[float, float]:
    """Static share of the head at the outlet and core rotation behind the impeller: those of a tap, else its own."""
    tap = next((tap for tap in pump.taps if isinstance(tap, ImpellerTap)), None)
    if tap is not None:
        return tap.head_share, tap.core_rotation
    return pump.impeller.outlet_head_share, pump.impeller.rear_core_rotation


@once_per_pump
def _faces_of_ring(pump: PumpFile) -> tuple[tuple[int, float], tuple[int, float]]:
    """Station at the rear and at the front face of the inner ring, and the core rotation beside it."""
    network = pump.network
    annulus = network.branches[network.annulus]
    towards = next(entry.towards for entry in pump.branches if entry.kind == "annulus")
    rear, front = (annulus.start, annulus.end) if towards == "impeller" else (annulus.end, annulus.start)
    return ((network.stations.index(rear), _core_at(pump, rear)),
            (network.stations.index(front), _core_at(pump, front)))


def _core_at(pump: PumpFile, station: str) -> float:
    """Core rotation of the cavity that touches an end of the annulus."""
    return next((entry.core_rotation for entry in pump.branches
                 if isinstance(entry, Cavity) and station in (entry.start, entry.end)), STILL_CORE_RATIO)


def _film_bound(situation: Situation, thrust: Array) -> Array:
    """Film of inclined pads at their best between the grooves of each bearing: no face of this size has more."""
    pads, states = _pads(situation.pump), situation.solution.states
    viscosity = situation.per_liquid(lambda liquid, chosen: liquid.state(
        states.temperature[chosen][:, pads.station], states.pressure[chosen][:, pads.station]).viscosity)
    speed = situation.solved.inputs.speed[:, None] * pads.radius
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(pads.length * np.sqrt(BEST_PAD * viscosity * speed * pads.width / thrust[:, None]))


@dataclass(frozen=True)
class _Pads:
    """Lands between the grooves of the thrust faces, (bearings,); SI."""

    station: NDArray[np.int64]   # where the liquid enters the grooves
    radius: Array                # mean
    length: Array                # of one land along the circle; NaN where no liquid passes the face
    width: Array                 # of all lands, one after the other


@once_per_pump
def _pads(pump: PumpFile) -> _Pads:
    station, lengths = [], []
    radius = np.array([(one.inner_diameter + one.outer_diameter) / 4 for one in pump.thrust_bearings])
    for bearing, mean in zip(pump.thrust_bearings, radius, strict=True):
        passage = next((entry for entry in pump.branches
                        if isinstance(entry, ThrustPassage) and entry.bearing == bearing.name), None)
        station.append(0 if passage is None else pump.network.stations.index(passage.start))
        lengths.append(np.nan if passage is None else bearing.land_share * 2 * pi * mean / bearing.grooves.count)
    width = [(one.outer_diameter - one.inner_diameter) / 2 * one.grooves.count for one in pump.thrust_bearings]
    return _Pads(np.array(station, np.int64), radius, np.array(lengths), np.array(width))


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
