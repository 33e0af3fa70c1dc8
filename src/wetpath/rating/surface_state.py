"""The hottest surfaces of the pump, in normal operation and in malfunctions, and which trips keep them cool."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells, solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.dry_shell import dry_heating_time
from wetpath.physics.heat.shell_wall import wall_gradient_drop, wall_temperature
from wetpath.physics.heat.temperature_class import class_limit, temperature_class
from wetpath.physics.validity import Limit, limit
from wetpath.rating.machine_arrays import remanences, response_for, shell_conductivity
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.protection import DRY_DELAY, Trip
from wetpath.rating.pump_model import solve_each
from wetpath.words import joined, told

if TYPE_CHECKING:
    from wetpath.rating.situation import Situation

Array = NDArray[np.float64]

#: Classes whose margin is the larger one.
HOT_CLASSES = ("T1", "T2")
#: So many speeds are kept with a pump.
MOST_SPEEDS = 256


@dataclass(frozen=True, eq=False)
class Surface:
    """The hottest surface in one state of the pump, first axis the case."""

    name: str
    where: tuple[str, ...]
    temperature: Array             # [K]; NaN where it cannot be told, infinite where nothing holds it
    guards: tuple[Trip, ...] = ()  # trips of the enquiry that act before it is reached

    def classes(self, *, with_margin: bool = True) -> NDArray[np.str_]:
        """Temperature class of every case."""
        return np.asarray(temperature_class(self.temperature, with_margin=with_margin))


@dataclass(frozen=True, eq=False)
class SurfaceState:
    """Hottest surfaces; help for whoever judges explosion protection, no certificate."""

    normal: Surface
    malfunctions: tuple[Surface, ...]
    slip_heat_ratio: Array         # heat in the shell with the inner ring at rest over that in step; NaN: no heat
    dry_time: Array                # from normal to the limit of the class asked in dry running [s]; NaN: none asked
    dry_rate: Array                # of the hottest wall at the beginning of dry running [K/s]
    limits: tuple[Limit, ...]

    @property
    def unguarded(self) -> tuple[Surface, ...]:
        """Malfunctions for which the enquiry names no trip."""
        return tuple(one for one in self.malfunctions if not one.guards)

    def hottest(self, surfaces: tuple[Surface, ...], count: int) -> tuple[Array, tuple[str, ...]]:
        """Hottest temperature of several states in every case, and in which; NaN where one of them cannot be told."""
        if not surfaces:
            return np.full(count, np.nan), ("",) * count
        table = np.array([one.temperature for one in surfaces])
        governing = np.where(np.isnan(table), np.inf, table).argmax(axis=0)
        return table.max(axis=0), tuple(told("{state}: {place}", state=surfaces[one].name,
                                             place=surfaces[one].where[case])
                                        for case, one in enumerate(governing))


def class_limit_asked(situation: Situation) -> float:
    """Highest surface temperature of the class asked, less the margin of the practice [K]; NaN when none is asked."""
    asked = situation.demands.site.temperature_class
    if asked == "none":
        return float("nan")
    margin = "temperature_class_margin_hot" if asked in HOT_CLASSES else "temperature_class_margin"
    return class_limit(asked, with_margin=False) - situation.practice[margin].value


@once_per_pump
def outside_areas(pump: PumpFile) -> Array:
    """Outside of each piece of the shell's wall [m2]."""
    part = pump.containment_shell
    return np.asarray(2 * pi * (part.bore / 2 + part.thickness) * np.diff(response_for(pump).cell_edges))


def wall_capacity(pump: PumpFile) -> float:
    """Heat capacity of the shell's wall for each area of it [J/(m2 K)]; both walls taken as of the first's material."""
    material = pump.shell_material
    return material.density * material.heat_capacity * pump.containment_shell.thickness


def surface_state(situation: Situation) -> SurfaceState:
    """Surfaces of every case.

    Notes
    -----
    Dry and out-of-step temperatures are those of the hottest piece of wall that gives its heat to the air alone:
    upper bounds without radiation, conduction along the shell, and the loss of remanence on the way; rubbing dry
    bearings are not in them.
    """
    protection, count = situation.demands.protection, situation.count
    dry, slip = _wall_heat(situation)
    part = situation.pump.containment_shell
    outside = outside_areas(situation.pump)
    heated = bool(dry.any())
    dry_wall, slip_wall = (_air_cooled(situation, np.array([dry, slip]), outside) if heated
                           else np.full((2, count), np.nan))
    air = situation.demands.air_highest
    flux = (dry / outside).max(axis=1)
    capacity = wall_capacity(situation.pump)
    normal = _normal(situation)
    limit_asked = class_limit_asked(situation)
    found = [("dry running", "containment shell", dry_wall), ("circulation lost", "containment shell", dry_wall),
             ("rings out of step", "containment shell", slip_wall),
             ("valves closed", "casing", _boiling_shut_off(situation)),
             *(("least flow", "containment shell", hottest) for hottest in _least_flow(situation))]
    malfunctions = tuple(Surface(name, (where,) * count, temperature, protection.guarding(name))
                         for name, where, temperature in found)
    total = dry.sum(axis=1)
    dry_time = np.full(count, np.nan)
    if heated and not np.isnan(limit_asked):
        dry_time = np.asarray(dry_heating_time(flux, capacity, part.air_side_coefficient,
                                               situation.scalars[:, solve.HOTTEST_WALL], limit_asked, air))
    return SurfaceState(
        normal=normal, malfunctions=malfunctions,
        slip_heat_ratio=np.where(total > 0, slip.sum(axis=1) / np.where(total > 0, total, 1.0), np.nan),
        dry_time=dry_time, dry_rate=flux / capacity,
        limits=_limits(situation, malfunctions, limit_asked, heated, dry_time))


def _normal(situation: Situation) -> Surface:
    """Hottest of casing, shell from outside, and outer ring, at the conditions of each case and the warmest air."""
    pump, cells, scalars = situation.pump, situation.cells, situation.scalars
    part = pump.containment_shell
    area = pi * part.bore * pump.inner_ring.wet_length / cells.shape[2]
    flux = np.maximum(cells[:, annulus_cells.CELL_TO_LIQUID] / area, 0.0)
    drop = wall_gradient_drop(flux, part.thickness, pump.shell_material.thermal_conductivity)
    shell = (cells[:, annulus_cells.CELL_WALL] + drop).max(axis=1)
    casing = np.maximum(situation.solution.states.temperature.max(axis=1), situation.solved.inputs.temperature)
    air = np.full(situation.count, situation.demands.air_highest)
    table = np.array([casing, shell, scalars[:, solve.OUTER_RING], air])
    names = ("casing", "containment shell, outside", "outer ring", "surroundings")
    lost = situation.solution.outcome == Outcome.NO_SOLUTION
    return Surface("normal operation", tuple(names[place] for place in table.argmax(axis=0).tolist()),
                   np.where(lost, np.nan, table.max(axis=0)))


def _wall_heat(situation: Situation) -> tuple[Array, Array]:
    """Eddy heat of the pieces of wall at 20 degC, rings in step without load, and with the inner ring at rest [W]."""
    pump, scalars = situation.pump, situation.scalars
    strength_inner = 1 + pump.inner_magnet.remanence_coefficient * (scalars[:, solve.INNER_RING] - ROOM_TEMPERATURE)
    strength_outer = 1 + pump.outer_magnet.remanence_coefficient * (scalars[:, solve.OUTER_RING] - ROOM_TEMPERATURE)
    dry = np.zeros((situation.count, response_for(pump).cell_edges.size - 1))
    slip = np.zeros_like(dry)
    speeds = situation.solved.inputs.speed
    for speed in set(speeds.tolist()):
        chosen = speeds == speed
        alone_inner, alone_outer, both = _heat_at(pump, speed)
        bi, bo = strength_inner[chosen, None], strength_outer[chosen, None]
        slip[chosen] = bo**2 * alone_outer
        dry[chosen] = bi**2 * alone_inner + slip[chosen] + bi * bo * both
    return dry, slip


def _heat_at(pump: PumpFile, speed: float) -> tuple[Array, Array, Array]:
    """Heat of the pieces of wall [W], magnets at 20 degC: of the inner ring alone, of the outer alone, of both more."""
    known = _heat_by_speed(pump)
    found = known.get(speed)
    if found is None:
        response, conductivity = response_for(pump), shell_conductivity(pump)
        inner, outer = remanences(pump)
        alone_inner = response.cell_loss(0.0, speed, conductivity, inner, 0.0)
        alone_outer = response.slip_loss(0.0, speed, conductivity, 0.0, outer)
        both = response.cell_loss(0.0, speed, conductivity, inner, outer) - alone_inner - alone_outer
        found = alone_inner, alone_outer, both
        if len(known) < MOST_SPEEDS:
            known[speed] = found
    return found


@once_per_pump
def _heat_by_speed(_pump: PumpFile) -> dict[float, tuple[Array, Array, Array]]:
    """What `_heat_at` has found for a pump, kept with it."""
    return {}


def _air_cooled(situation: Situation, heat: Array, outside: Array) -> Array:
    """Steady temperature of the hottest piece of wall that gives all its heat to the air [K]; pieces last."""
    conductance = situation.pump.containment_shell.air_side_coefficient * outside
    if conductance.max() <= 0:
        return np.full(heat.shape[:-1], np.inf)
    slope, air = max(situation.pump.shell_material.resistivity_coefficient, 0.0), situation.demands.air_highest
    return np.asarray(wall_temperature(heat, slope, 0.0, air, conductance, air)).max(axis=-1)


def _boiling_shut_off(situation: Situation) -> Array:
    """Boiling temperature of the liquid at the pressure of closed discharge [K]."""
    point, pressure = situation.solved.point, situation.solved.inputs.pressure
    closed = pressure + situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * point.shut_off_head
    return situation.per_liquid(lambda liquid, chosen: liquid.saturation_temperature(closed[chosen]))


def _least_flow(situation: Situation) -> list[Array]:
    """The hottest surface at the least flow the maker allows [K]; judged only where a class is asked."""
    impeller, inputs = situation.pump.impeller, situation.solved.inputs
    if impeller.lowest_flow is None or situation.demands.site.temperature_class == "none":
        return []
    # whatever flow a case has, its least flow is the same: cases that differ in nothing else are solved once
    rows = list(zip(situation.model_of, inputs.temperature, inputs.pressure, inputs.speed, inputs.air, strict=True))
    places = {row: case for case, row in reversed(list(enumerate(rows)))}
    first = np.array(list(places.values()))
    order = {row: number for number, row in enumerate(places)}
    own = np.array([order[row] for row in rows])
    alone = inputs.chosen(first)
    solved = solve_each(situation.models, situation.model_of[first], alone.changed(
        flow=impeller.lowest_flow * alone.speed / impeller.tested.speed))
    states = solved.solution.states
    hottest = np.maximum(states.scalars[:, solve.HOTTEST_WALL], states.temperature.max(axis=1))[own]
    lost = (solved.solution.outcome == Outcome.NO_SOLUTION)[own]
    return [np.where(lost, np.nan, hottest)]


def _limits(situation: Situation, malfunctions: tuple[Surface, ...], limit_asked: float, heated: bool,
            dry_time: Array) -> tuple[Limit, ...]:
    site = situation.demands.site
    asked = site.temperature_class != "none"
    judged = asked and site.protection_level != "Gc"
    above = [one for one in malfunctions if not (one.temperature <= limit_asked).all()]
    delay = min((DRY_DELAY[trip] for trip in malfunctions[0].guards), default=np.inf)
    late = judged & np.isfinite(delay) & (dry_time < delay)
    leaning = [told("{guards} ({state})", guards=joined(", ", one.guards), state=one.name)
               for one in above if one.guards]
    return (
        limit(told("temperature class {temperature_class} depends on trips that must work: {trips}; a trip that keeps "
                   "a surface cool is part of the explosion protection, with its demands on reliability",
                   temperature_class=site.temperature_class, trips=joined("; ", leaning)),
              judged and bool(leaning)),
        *([limit(told("running dry the shell reaches the limit of class {temperature_class} in {time:.0f} s, and "
                      "the trips named act in {delay:.0f} s or more: name one that acts before, of level or suction "
                      "pressure", temperature_class=site.temperature_class, time=np.nanmin(dry_time), delay=delay),
                 late)] if late.any() else []),
        limit("protection level Ga asks for rare malfunctions as well: they are not judged here",
              asked and site.protection_level == "Ga"),
        limit("a shell that does not conduct has no eddy heat: when it runs dry the bearings are the hot part, and "
              "their rubbing is not computed", judged and not heated))
