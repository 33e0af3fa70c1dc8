"""Loads and films of the journal bearings that run in the pumped liquid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.passage_states import DENSITY, MEAN_TEMPERATURE, VISCOSITY, states_between
from wetpath.circulation.rotor_loads import (
    DOUBLE_VOLUTE,
    PULL_STIFFNESS,
    SINGLE_VOLUTE,
    SINGLE_VOLUTE_GIVEN,
    SideRow,
    side_forces,
)
from wetpath.coupling.geometry import CouplingGeometry
from wetpath.liquids.liquid import Liquid
from wetpath.machine.bearings import JournalBearing
from wetpath.machine.branches import JournalPassage
from wetpath.machine.impeller import STEEL_DENSITY
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.film.bearing_reactions import bearing_reactions
from wetpath.physics.film.film_regime import laminar_limit
from wetpath.physics.film.journal_film import FilmRow, film_limits, fine_row
from wetpath.physics.film.loaded_films import LAMINAR as LAMINAR
from wetpath.physics.film.loaded_films import REGIME, FilmShapes, loaded_films
from wetpath.physics.film.loaded_films import TURBULENT as TURBULENT
from wetpath.physics.film.loaded_films import VORTICES as VORTICES
from wetpath.physics.magnetics.eccentric_pull import PullStiffness, ring_pull_stiffness
from wetpath.physics.pump.radial_thrust import SHUT_OFF_FACTOR, partial_flow_exponent, radial_thrust_limits
from wetpath.physics.pump.specific_speed import specific_speed_us
from wetpath.physics.validity import Limit, limit
from wetpath.rating.machine_arrays import coupling_geometry, magnets_of
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.pump_model import Selection, Solved
from wetpath.words import told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: A bearing with axial grooves is entered into the film table with its load times this. Common practice.
GROOVED_LOAD_FACTOR = 2.0
#: Odd orders of the ring field that the side pull sums.
PULL_WAVES = np.arange(1.0, 12.0, 2.0)
#: Viscosity from which a liquid lubricates well at starts and stops too [Pa s]. Common practice.
OILY = 5e-3


@dataclass(frozen=True, eq=False)
class BearingState:
    """Journal bearings over a batch, SI; arrays (cases,) or (cases, bearings), bearings from front to rear.

    Loads are amounts, each part in its worst direction: radial force, weight and side pull are added. The lift of
    the liquid in wear rings and annulus, which carries a part of the rotor, is left out.
    """

    bearings: tuple[JournalBearing, ...]
    radial_force: Array          # (cases,) of the casing on the impeller
    magnet_pull: Array           # (cases,) between the rings, at the largest offset
    pull_stiffness: Array        # (cases,) [N/m]
    ring_offset: float           # offset of the rings that the pull is taken at: as made, and the rotor in its bearings
    rotor_weight: float          # impeller, shaft and inner ring, in air
    load: Array                  # on each bearing
    temperature: Array           # mean of both ends
    viscosity: Array
    density: Array
    reynolds: Array              # of the film
    regime: NDArray[np.int64]    # LAMINAR, VORTICES or TURBULENT
    sommerfeld: Array            # with the factors for grooves and turbulence
    eccentricity_ratio: Array
    film_thickness: Array        # least
    film_ratio: Array            # over the combined roughness
    specific_load: Array
    sliding_speed: Array
    flow_share: Array            # (cases,) flow over that of best efficiency, for the limits of the radial force

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of the bearings as they are printed."""
        return tuple(told("{bearing} journal bearing", bearing=bearing.name) for bearing in self.bearings)

    @cached_property
    def limits(self) -> tuple[Limit, ...]:
        """Where the laws behind loads and films are used outside their range."""
        return (*radial_thrust_limits(self.flow_share),
                *_film_limits(self.sommerfeld, self.bearings, self.reynolds), *_lone_bearing(self.bearings))

    @property
    def load_times_speed(self) -> Array:
        """Specific load times sliding speed [Pa m/s]."""
        return self.specific_load * self.sliding_speed

    def lubricity(self, thin: float) -> tuple[tuple[str, ...], ...]:
        """How the liquid in each bearing lubricates by its viscosity: thin (below ``thin``), water-like or oily."""
        return tuple(tuple("thin" if one < thin else "oily" if one > OILY else "water-like" for one in row)
                     for row in self.viscosity)

    def film_words(self, full: float = 3.0) -> tuple[tuple[str, ...], ...]:
        """What carries each bearing in each case: full film, mixed film, surfaces."""
        return tuple(tuple("full film" if ratio >= full else "mixed film" if ratio >= 1 else "surfaces carry"
                           for ratio in row) for row in self.film_ratio)


def bearing_state(situation: Situation) -> BearingState:
    """Loads, local liquid and films of the journal bearings."""
    pump, solved = situation.pump, situation.solved
    bearings, films = _in_order(pump), _films_of(pump)
    radial, stiffness = _side_forces(pump, solved)
    offset = ring_offset(pump)
    load = journal_loads(pump, radial, stiffness * offset)
    local = _middle(situation)
    viscosity, density = (np.ascontiguousarray(local[:, :, place]) for place in (VISCOSITY, DENSITY))
    speed = solved.inputs.speed
    found = loaded_films(films, viscosity, density, np.ascontiguousarray(speed), load)
    reynolds, _, number, eccentricity, thickness, ratio, specific, _ = found
    return BearingState(
        bearings=bearings, radial_force=radial, magnet_pull=stiffness * offset, pull_stiffness=stiffness,
        ring_offset=offset, rotor_weight=rotor_weight(pump), load=load, temperature=local[:, :, MEAN_TEMPERATURE],
        viscosity=viscosity, density=density, reynolds=reynolds, regime=found[REGIME].astype(np.int64),
        sommerfeld=number, eccentricity_ratio=eccentricity, film_thickness=thickness, film_ratio=ratio,
        specific_load=specific, sliding_speed=speed[:, None] * films.radius, flow_share=solved.point.flow_share)


@once_per_pump
def _in_order(pump: PumpFile) -> tuple[JournalBearing, ...]:
    """Journal bearings from front to rear."""
    return tuple(sorted(pump.journal_bearings, key=lambda bearing: bearing.position))


@once_per_pump
def _films_of(pump: PumpFile) -> FilmShapes:
    bearings = _in_order(pump)
    radius, clearance, length, roughness = (np.array(column) for column in zip(*(
        (one.diameter / 2, one.clearance, one.length, one.roughness) for one in bearings), strict=True))
    rows = [_row(float(value)) for value in length / (2 * radius)]
    return FilmShapes(radius, clearance, length, roughness,
                      np.array([GROOVED_LOAD_FACTOR if one.grooves else 1.0 for one in bearings]),
                      np.asarray(laminar_limit(radius, clearance)), np.array([row.eccentricity for row in rows]),
                      np.array([row.sommerfeld for row in rows]))


def _side_forces(pump: PumpFile, solved: Solved) -> Array:
    """Radial force of the casing on the impeller [N] and side pull between the rings per offset [N/m], two rows."""
    return np.asarray(side_forces(_side_row(pump), magnets_of(pump), solved.solution.states.scalars,
                                  np.ascontiguousarray(solved.point.head),
                                  np.ascontiguousarray(solved.point.flow_share)))


def magnet_stiffness(pump: PumpFile, solved: Solved) -> Array:
    """Side pull between the rings per offset [N/m], at the temperatures and the load angle of every case."""
    found: Array = _side_forces(pump, solved)[PULL_STIFFNESS]
    return found


@once_per_pump
def _side_row(pump: PumpFile) -> SideRow:
    impeller, pull, best = pump.impeller, _own_pull_coefficients(pump), pump.impeller.tested.curve
    given = impeller.radial_force_factor
    casing = SINGLE_VOLUTE_GIVEN if given else SINGLE_VOLUTE
    if pump.casing.volute != "single":      # a diffuser as a double volute: common practice
        casing = DOUBLE_VOLUTE
    exponent = partial_flow_exponent(specific_speed_us(impeller.tested.speed, best.best_flow, best.best_head))
    return SideRow(casing, float(given or SHUT_OFF_FACTOR), float(exponent), float(impeller.diameter),
                   float(impeller.outlet_width), float(pull.inner.sum()), float(pull.outer.sum()),
                   np.ascontiguousarray(pull.cross, float), PULL_WAVES)


@once_per_pump
def _own_pull_coefficients(pump: PumpFile) -> PullStiffness:
    return _pull_coefficients(coupling_geometry(pump))


@lru_cache(maxsize=512)
def _pull_coefficients(geometry: CouplingGeometry) -> PullStiffness:
    order: Array = geometry.pole_pairs * PULL_WAVES
    inner, outer = geometry.magnetisation(order)
    return ring_pull_stiffness(order, geometry.section, inner, outer, geometry.extent)


@lru_cache(maxsize=512)
def _row(length_to_diameter: float) -> FilmRow:
    return fine_row(length_to_diameter)


@once_per_pump
def ring_position(pump: PumpFile) -> float:
    """Middle of the inner ring behind the middle of the impeller outlet, given or right behind the rear bearing [m]."""
    if pump.inner_ring.position is not None:
        return pump.inner_ring.position
    rear = max(pump.journal_bearings, key=lambda bearing: bearing.position)
    return rear.position + rear.length / 2 + pump.inner_ring.wet_length / 2


@once_per_pump
def ring_offset(pump: PumpFile) -> float:
    """Largest offset of the rings: as made, and the rotor tilted across the clearance of its bearings [m]."""
    front, rear = _ends(pump)
    made = pump.inner_ring.eccentricity
    if front is rear:
        return made + front.clearance
    beyond = (ring_position(pump) - rear.position) / (rear.position - front.position)
    straight = max(rear.clearance + beyond * (rear.clearance - front.clearance), 0.0)
    return made + max(straight, abs(rear.clearance + beyond * (rear.clearance + front.clearance)))


@once_per_pump
def rotor_weight(pump: PumpFile) -> float:
    """Weight of impeller, shaft and inner ring in air [N]."""
    return float(sum(weight for weight, _ in _weights(pump)))


@once_per_pump
def _weights(pump: PumpFile) -> tuple[tuple[float, float], ...]:
    """Weight [N] and position [m] of the parts of the rotor; the shaft is taken as solid up to the end of the ring."""
    ring, shaft_end = ring_position(pump), ring_position(pump) + pump.inner_ring.wet_length / 2
    shaft = STEEL_DENSITY * pi / 4 * pump.shaft.diameter**2 * shaft_end
    return tuple((STANDARD_GRAVITY * mass, position) for mass, position in (
        (pump.impeller.mass_or_estimate, 0.0), (shaft, shaft_end / 2), (pump.inner_ring.mass_or_estimate, ring)))


def _ends(pump: PumpFile) -> tuple[JournalBearing, JournalBearing]:
    ordered = _in_order(pump)
    return ordered[0], ordered[-1]


def journal_loads(pump: PumpFile, radial: Array, pull: Array) -> Array:
    """Load of each bearing (cases, bearings) [N]: radial force, weight and side pull, each in its worst direction.

    The first and the last bearing carry; what stands between them is taken to carry nothing.
    """
    lever = _levers(pump)
    return np.abs(radial[:, None] * lever.radial) + np.abs(pull[:, None] * lever.pull) + np.abs(lever.weight)


@dataclass(frozen=True)
class _Levers:
    """What each bearing carries of a radial force and of a side pull of 1 N, and of the weight [N]; (bearings,)."""

    radial: Array
    pull: Array
    weight: Array


@once_per_pump
def _levers(pump: PumpFile) -> _Levers:
    front, rear = _ends(pump)
    if front is rear:
        return _Levers(np.ones(1), np.ones(1), np.array([rotor_weight(pump)]))

    def carried(amount: float, position: float) -> Array:
        shares = np.zeros(len(pump.journal_bearings))
        shares[0], shares[-1] = bearing_reactions(amount, position, front.position, rear.position)
        return shares

    return _Levers(carried(1.0, 0.0), carried(1.0, ring_position(pump)),
                   np.sum([carried(*weight) for weight in _weights(pump)], axis=0))


def _middle(situation: Situation) -> Array:
    """Liquid in each bearing, between the stations at its ends, else that of the suction; see `passage_states`."""
    states, inputs = situation.solution.states, situation.solved.inputs
    ends, lubricated = _stations_beside(situation.pump)

    def of_liquid(liquid: Liquid, chosen: Selection) -> Array:
        return np.asarray(states_between(
            liquid.arrays, states.temperature[chosen], states.pressure[chosen], inputs.temperature[chosen],
            inputs.pressure[chosen], ends, lubricated))

    return situation.per_liquid(of_liquid)


@once_per_pump
def _stations_beside(pump: PumpFile) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Stations at both ends of each bearing, (bearings, 2), and whether the circulation passes it."""
    stations = pump.network.stations
    passages = [next((entry for entry in pump.branches
                      if isinstance(entry, JournalPassage) and entry.bearing == bearing.name), None)
                for bearing in _in_order(pump)]
    return (np.array([(0, 0) if one is None else (stations.index(one.start), stations.index(one.end))
                      for one in passages], np.int64), np.array([one is not None for one in passages]))


def _film_limits(number: Array, bearings: tuple[JournalBearing, ...], reynolds: Array
                 ) -> tuple[Limit, ...]:
    laminar = np.array([float(laminar_limit(one.diameter / 2, one.clearance)) for one in bearings])
    found: list[Limit] = []
    for i, bearing in enumerate(bearings):
        found += [limit(told("{bearing} journal bearing: {finding}", bearing=bearing.name, finding=one.text),
                        one.crossed)
                  for one in film_limits(number[:, i], bearing.length / bearing.diameter)]
    return (*found, limit("a bearing film is above the laminar limit: its thickness rests on a factor for turbulent "
                          "films, an estimate", (reynolds > laminar).any(axis=1)))


def _lone_bearing(bearings: tuple[JournalBearing, ...]) -> tuple[Limit, ...]:
    return (limit("the pump has one journal bearing: the moments on the rotor are left out of its load",
                  len(bearings) == 1),)
