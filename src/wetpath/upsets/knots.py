"""The steady network solved at every knot of the course, and the constants of the pump; both as rows of numbers."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation import laws, solve
from wetpath.circulation.batch import BatchArrays, empty_batch, solve_batch
from wetpath.circulation.solve import CaseArrays, MachineArrays
from wetpath.coupling.slip import Sheath, magnet_loss, slip_state
from wetpath.errors import InputError
from wetpath.liquids import lookup
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.lookup import LiquidArrays
from wetpath.machine.shut_in_volume import liquid_volume, metal_mass, rear_liquid_volume
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.heat.shell_wall import RESISTIVITY_REFERENCE
from wetpath.physics.magnetics.demagnetisation import at_temperature
from wetpath.physics.pump.npsh import npsh_available
from wetpath.rating.machine_arrays import (
    coupling_geometry,
    remanences,
    resistivity_slope,
    response_for,
    shell_conductivity,
)
from wetpath.rating.operating_point import OperatingPoint, operating_point
from wetpath.rating.rate import Rating
from wetpath.rating.standstill_state import RING_CAPACITY, STEEL_CAPACITY
from wetpath.rating.start_state import inertias_of
from wetpath.rating.surface_state import wall_capacity
from wetpath.upsets import right_side as rhs
from wetpath.upsets.course import Course
from wetpath.upsets.right_side import BANDS

Array = NDArray[np.float64]

#: The network is solved at this share of the best flow and of the rated speed at least; below, affinity carries on.
LEAST_FLOW, LEAST_SPEED = 0.08, 0.2
#: No suction pressure is taken below this [Pa].
LEAST_PRESSURE = 1e3
#: Friction of dry ceramic bearings, vapour to walls [W/(m2 K)], dry bush to holder [W/K]. Common practice, no source.
DRY_FRICTION, DRY_FILM, BUSH_TO_HOLDER = 0.15, 60.0, 1.0
#: Share of the head that is static in the system around the pump. Common practice, no source; ask for the system.
STATIC_SHARE = 0.5
#: Emissivity of an oxidised metal wall. Recalled, textbooks tell 0.2 (bright) to 0.8 (well oxidised).
EMISSIVITY = 0.5
#: Dry seconds that ceramic bearings are taken to stand. Common practice, no source; carbon stands more.
DRY_SECONDS = 30.0
#: Gas comes in where the outlet of a vessel is covered by less than so many bores of the suction flange. Assumed.
COVER = 1.0
#: A heat capacity changes by no more than this share of itself over the temperatures it is used at.
MOST_CHANGE = 0.8
#: Columns of the course that tell another liquid: its density, viscosity, heat capacity and vapour pressure over those
#: of the liquid that is rated.
OF_THE_LIQUID = ("density", "viscosity", "heat_capacity", "vapour_pressure")
#: Heat capacity of a ceramic by volume [J/(m3 K)] (silicon carbide: 3100 kg/m3 times 700 J/(kg K), recalled).
CERAMIC_HEAT = 2.2e6


@dataclass(frozen=True)
class Factors:
    """Uncertain numbers of the model; the spread of them makes the bands."""

    dry_friction: float = DRY_FRICTION
    dry_film: float = DRY_FILM
    eddy: float = 1.0
    film: float = 1.0
    air: float = 1.0
    wall_heat: float = 1.0
    rear_volume: float = 1.0
    gas_half: float = rhs.GAS_HALF          # volume share of gas with which half of the head is gone
    static_share: float = STATIC_SHARE      # of the rated head that the system asks without flow
    emissivity: float = EMISSIVITY          # of shell and ring, oxidised
    slip: float = 1.0                       # on the shell's loss out of step, besides the factor of the upset
    dry_seconds: float = DRY_SECONDS        # that the bearings stand dry


@dataclass(frozen=True, eq=False)
class Knots:
    """What the right-hand side reads, and what the observables need; first axis the knot."""

    time: Array
    table: Array
    constants: Array
    start: Array               # states before the upset
    states: BatchArrays
    point: OperatingPoint      # at the real flow and the solved speed
    station_share: Array       # (knots, stations) of the warming in the annulus that a station has
    station_offset: Array      # [K]
    shell_drop: Array          # (knots, bands) outside over the mean of the wall [K]
    hot_over_mean: Array       # (bands,) rise of the hottest cell over that of the band
    dry_side: float            # [W]
    stuck: bool                # the network did not close at some knot
    backwards: bool            # the annulus flows backwards at some knot
    bent: bool                 # the heat capacity of the liquid changes more than is followed
    dry_seconds: float


def knots_of(rating: Rating, case: int, course: Course, factors: Factors) -> Knots:
    """Solve the network along a course; the first row is the rated state, before anything changed."""
    situation, pump = rating.situation, rating.pump
    model = situation.models[situation.model_of[case]]
    inputs, liquid = situation.solved.inputs, model.liquid
    air = float(inputs.air[case])
    flow, speed = course["flow"], course["speed"]
    rated_speed = float(inputs.speed[case])
    at_rated = float(situation.solved.point.best_flow[case])
    solved_speed = np.maximum(np.abs(speed), LEAST_SPEED * rated_speed)
    low, high = liquid.temperature_range
    temperature = np.clip(course["suction_temperature"], low, high)
    pressure = np.maximum(course["suction_pressure"], LEAST_PRESSURE)
    properties = liquid.state(temperature, pressure)
    kinematic = properties.viscosity * course["viscosity"] / (properties.density * course["density"])
    point = operating_point(pump, np.maximum(flow, 0.0), solved_speed, kinematic)
    solved_flow = np.maximum(flow, LEAST_FLOW * at_rated * solved_speed / rated_speed)
    at_solved = operating_point(pump, solved_flow, solved_speed, kinematic)
    machine = _machine(model.machine, pump.network.topology, course, situation.solution.states.flow[case])
    cases = CaseArrays(
        pump=np.arange(flow.size), flow=solved_flow, temperature=temperature, pressure=pressure, speed=solved_speed,
        head=point.head * course["head"], efficiency=at_solved.efficiency, air=np.full(flow.size, air),
        heat_scale=np.ones(flow.size))
    states = empty_batch(flow.size, pump.network.topology.kind.size, pump.network.topology.unknown.size,
                         model.machine.inner.shape[1])
    _solve(pump.network.topology, machine, model.liquid.arrays, cases, course, states)
    good = (states.scalars[:, solve.CONVERGED] > 0) & (states.temperature <= high + 1.0).all(axis=1)
    if not good[0]:
        raise InputError("has no liquid solution to begin with: an upset starts from a rated state that runs",
                         field="case", value=f'"{rating.case_names[case]}"', do="take another case")
    if states.scalars[0, solve.TORQUE] >= states.scalars[0, solve.PULL_OUT]:
        raise InputError("asks for more torque than the magnets carry: an upset starts from a rated state that runs",
                         field="case", value=f'"{rating.case_names[case]}"', do="take another case or another pump")
    if not good.all():
        last = np.maximum.accumulate(np.where(good, np.arange(good.size), 0))
        states = states.of(last)
    return _rows(rating, case, course, factors, states, point, solved_speed, not good.all())


def _machine(own: MachineArrays, topology: solve.NetworkArrays, course: Course, rated_flow: Array) -> MachineArrays:
    """The pump once for every knot, with passages, bearings, cooler and side room of the course."""
    count = course.time.size
    repeated = MachineArrays(*(np.repeat(array[:1], count, axis=0) for array in own))
    rows, taps = repeated.rows, repeated.taps
    upstream = np.where(rated_flow >= 0, topology.start, topology.end)
    downstream = np.where(rated_flow >= 0, topology.end, topology.start)
    passage = topology.kind == laws.PASSAGE
    for name, side in (("feed_area", upstream), ("return_area", downstream)):
        chosen = np.flatnonzero(passage & np.isin(side, topology.taps))
        rows[:, chosen, laws.AREA] *= course[name][:, None]
        rows[:, chosen, laws.DIAMETER] *= np.sqrt(course[name])[:, None]
    rows[:, :, laws.JOURNAL_CLEARANCE] *= course["clearance"][:, None]
    rows[:, :, laws.COOLER_CONDUCTANCE] *= course["cooler"][:, None]
    taps[:, :, solve.SIDE_ROOM_CORE] = np.minimum(taps[:, :, solve.SIDE_ROOM_CORE] * course["rear_core"][:, None], 0.95)
    return repeated


def _solve(topology: solve.NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays,
           course: Course, states: BatchArrays) -> None:
    """Solve every knot with its liquid."""
    liquids = np.stack([course[name] for name in OF_THE_LIQUID], axis=1)
    for one in np.unique(liquids, axis=0):
        chosen = np.flatnonzero((liquids == one).all(axis=1))
        part = CaseArrays(*(array[chosen] for array in cases))  # type: ignore[arg-type]
        own = states.of(chosen)
        solve_batch(topology, machine, _other(liquid, *one), part, False, own)
        states.put(chosen, own)


def _other(liquid: LiquidArrays, density: float, viscosity: float, heat: float, vapour: float) -> LiquidArrays:
    """The table of a liquid whose properties are these times those of another."""
    return liquid._replace(
        density_factor=liquid.density_factor * density, viscosity_factor=liquid.viscosity_factor * viscosity,
        heat_factor=liquid.heat_factor * heat, vapour_factor=liquid.vapour_factor * vapour)


def _bands(cells: Array, mean: bool) -> Array:
    shaped = cells.reshape(*cells.shape[:-1], BANDS, -1)
    return shaped.mean(axis=-1) if mean else shaped.sum(axis=-1)


def _rows(rating: Rating, case: int, course: Course, factors: Factors, states: BatchArrays, point: OperatingPoint,
          solved_speed: Array, stuck: bool) -> Knots:
    situation, pump = rating.situation, rating.pump
    liquid = situation.models[situation.model_of[case]].liquid
    topology, annulus = pump.network.topology, pump.network.annulus
    shell, inner = pump.containment_shell, pump.inner_ring
    scalars = states.scalars
    backwards = states.flow[0, annulus] < 0
    first, last = ((topology.end, topology.start) if backwards else (topology.start, topology.end))
    place, after = int(first[annulus]), int(last[annulus])
    cells = states.cells[:, :, ::-1] if backwards else states.cells
    inlet, outlet = states.temperature[:, place], states.temperature[:, after]
    rated_in = float(inlet[0])
    rear_pressure = states.pressure[:, place]
    reference = liquid.state(rated_in, float(rear_pressure[0]))
    capacity, density = float(reference.heat_capacity), float(reference.density)
    carried = np.maximum(np.where(backwards, -1.0, 1.0) * states.flow[:, annulus], 1e-9)

    slope = resistivity_slope(pump)
    walls = _bands(cells[:, ring.CELL_WALL], True)
    to_liquid = _bands(cells[:, ring.CELL_TO_LIQUID], False)
    to_air = _bands(cells[:, ring.CELL_TO_AIR], False)
    inside = pi * shell.bore * inner.wet_length / BANDS
    drag = np.maximum((scalars[:, solve.WINDAGE] / BANDS)[:, None], 0.0) * np.ones(BANDS)
    film = _bands(cells[:, ring.CELL_FILM], True) * inside
    steeper, bent = _capacity_slope(liquid, rated_in, float(rear_pressure[0]), np.append(course["suction_temperature"],
                                                                                       situation.solved.inputs.air[case]))
    leaving = rated_in + _warmed(np.cumsum(to_liquid[0] + drag[0]) / (carried[0] * capacity), steeper)
    contact = to_liquid[0] / np.where(walls[0] > leaving, (walls[0] - leaving) * film[0], film[0] * 1e-3)
    if (walls[0] <= leaving).any() or shell_conductivity(pump) == 0.0:
        contact = np.ones(BANDS)
    film = film * contact
    air = situation.solved.inputs.air[case]
    air_w = shell.air_side_coefficient * 2 * pi * (shell.bore / 2 + shell.thickness) * inner.wet_length / BANDS
    if shell_conductivity(pump) == 0.0:
        leaving = _insulated(rated_in, film[0], air_w, float(air), drag[0], carried[0] * capacity, steeper)
        walls[0] = (film[0] * leaving + air_w * air) / (film[0] + air_w)
        eddy = np.zeros_like(walls)
    else:
        eddy = (to_liquid + to_air) * (1.0 + slope * (walls - RESISTIVITY_REFERENCE))
        # whatever rounding the calibrated film leaves goes to the eddy heat of the first knot
        eddy[0] = (film[0] * (walls[0] - leaving) + air_w * (walls[0] - air)) * (
            1.0 + slope * (walls[0] - RESISTIVITY_REFERENCE))

    fed = _feed(topology, states.flow[0])
    feed_tap = int(topology.taps[fed])
    outside = bool(pump.network.tap_rows[fed, solve.SIDE] == solve.OUTSIDE)
    casing = float(solve.temperature_of(liquid.arrays, float(scalars[0, solve.FEED_ENTHALPY]),
                                        float(states.pressure[0].max()), rated_in))
    offset = inlet - states.temperature[:, feed_tap] + (states.temperature[0, feed_tap] - casing)
    slower = solved_speed / float(situation.solved.inputs.speed[case])
    main = course["flow"] * course["open"]
    pumped_density = liquid.state(np.clip(course["suction_temperature"], *liquid.temperature_range),
                                  np.maximum(course["suction_pressure"], LEAST_PRESSURE)).density * course["density"]
    power = pumped_density * point.power_over_density
    source = power - pumped_density * STANDARD_GRAVITY * main * point.head
    other = scalars[:, solve.LIQUID_HEAT] - states.heat[:, annulus]
    mass = pumped_density * main
    brought = carried[0] * capacity * (_warmth(leaving[-1] - rated_in, steeper))
    suction = float(course["suction_temperature"][0])
    taken = _warmth(casing - rated_in, steeper) - _warmth(suction - rated_in, steeper)
    balance = mass[0] * capacity * taken - brought - other[0] - source[0]
    source = source + balance * main / main[0]

    table = np.zeros((course.time.size, rhs.COLUMNS))
    vapour = liquid.vapour_pressure(np.clip(course["suction_temperature"], *liquid.temperature_range))
    velocity = float(course["flow"][0]) / (pi * pump.casing.suction_bore**2 / 4)
    for column, values in (
            (rhs.OUTER_SPEED, course["speed"]), (rhs.SOLVED_SPEED, solved_speed), (rhs.MAIN_FLOW, mass),
            (rhs.SUCTION_T, course["suction_temperature"]), (rhs.SUCTION_P, course["suction_pressure"]),
            (rhs.GAS_IN, course["gas"]), (rhs.ANNULUS_FLOW, carried), (rhs.INLET_OFFSET, offset),
            (rhs.INLET_FIXED, inlet), (rhs.OTHER_HEAT, other), (rhs.SOURCE_HEAT, source),
            (rhs.TORQUE, scalars[:, solve.TORQUE] + _less_torque(rating, case, states, point, slower, power)),
            (rhs.PULL_OUT, scalars[:, solve.PULL_OUT]),
            (rhs.INNER_AT, scalars[:, solve.INNER_RING]), (rhs.OUTER_AT, scalars[:, solve.OUTER_RING]),
            (rhs.REAR_RISE, rear_pressure - np.maximum(course["suction_pressure"], LEAST_PRESSURE)),
            (rhs.CASING_RISE, pumped_density * STANDARD_GRAVITY * point.head * course["head"]),
            (rhs.NPSH_ASKED, np.maximum(point.npsh_required, 0.05)), (rhs.OUT_OF_STEP, course["out_of_step"]),
            (rhs.LOCKED, course["locked"]), (rhs.DENSITY, pumped_density),
            (rhs.SLIP_FACTOR, course["slip_factor"] * factors.slip), (rhs.HEAT_SHARE, course["heat_capacity"]),
            (rhs.INVENTORY, course["density"] * course["heat_capacity"]),
            (rhs.VAPOUR_SHARE, course["vapour_pressure"]), (rhs.VESSEL_AREA, course["vessel_area"]),
            (rhs.VESSEL_INFLOW, course["vessel_inflow"]), (rhs.VESSEL_OUTLET, course["vessel_outlet"]),
            (rhs.VENT_TIME, course["vent_time"])):
        table[:, column] = values
    table[:, rhs.BANDS_FROM:rhs.BANDS_FROM + BANDS] = eddy * factors.eddy
    table[:, rhs.BANDS_FROM + BANDS:rhs.BANDS_FROM + 2 * BANDS] = film * factors.film
    table[:, rhs.BANDS_FROM + 2 * BANDS:] = drag

    constants = _constants(rating, case, capacity, density, float(rear_pressure[0]), air_w, factors)
    constants[rhs.CAPACITY_AT], constants[rhs.CAPACITY_SLOPE] = rated_in, steeper
    constants[rhs.RATED_WALL] = walls[0].max()
    constants[rhs.RING_OFFSET] = scalars[0, solve.INNER_RING] - leaving.mean()
    constants[rhs.RING_W] = film[0].mean() * inner.sheath_diameter / shell.bore
    constants[rhs.FROM_CASING] = 0.0 if outside else 1.0
    constants[rhs.COVER], constants[rhs.RATED_FLOW] = pump.casing.suction_bore * COVER, float(course["flow"][0])
    constants[rhs.VELOCITY_HEAD] = velocity**2 / (2 * STANDARD_GRAVITY)
    available = float(npsh_available(course["suction_pressure"][0], vapour[0], pumped_density[0], velocity))
    constants[rhs.NPSH_START] = 1.0 if np.isnan(available) else rhs.npsh_share(available, table[0, rhs.NPSH_ASKED])

    start = np.zeros(rhs.STATES)
    start[:BANDS], start[BANDS:2 * BANDS] = walls[0], leaving
    start[rhs.CASING], start[rhs.BEARING] = casing, rated_in
    start[rhs.INNER], start[rhs.OUTER] = scalars[0, solve.INNER_RING], air + constants[rhs.OUTER_SHARE] * (
        walls[0].mean() - air)
    table[:, rhs.OUTER_AT] += start[rhs.OUTER] - table[0, rhs.OUTER_AT]
    start[rhs.SPIN] = course["speed"][0] / constants[rhs.RATED_SPEED]

    warmed = outlet - inlet
    share = np.clip(np.divide(states.temperature - inlet[:, None], warmed[:, None],
                              out=np.zeros_like(states.temperature), where=np.abs(warmed[:, None]) > 1e-3), 0.0, 1.0)
    flux = to_liquid / inside
    material = pump.shell_material
    drop = np.maximum(flux, 0.0) * shell.thickness / (2 * material.thermal_conductivity)
    hottest = cells[0, ring.CELL_WALL].reshape(BANDS, -1).max(axis=1) - walls[0]
    faster = course["speed"][0] / pump.impeller.tested.speed
    return Knots(
        time=course.time, table=table, constants=constants, start=start, states=states, point=point,
        station_share=share, station_offset=states.temperature - inlet[:, None] - share * warmed[:, None],
        shell_drop=np.nan_to_num(drop), hot_over_mean=np.maximum(hottest, 0.0),
        dry_side=pump.coupling_housing.friction_power * faster**2, stuck=stuck,
        backwards=bool((states.flow[:, annulus] * states.flow[0, annulus] < 0).any()), bent=bent,
        dry_seconds=factors.dry_seconds)


def _capacity_slope(liquid: Liquid, temperature: float, pressure: float, others: Array) -> tuple[float, bool]:
    """Change of the heat capacity with temperature over its value [1/K], and whether it is held back.

    With it the heat taken up from here to boiling is that of the liquid. It stays so flat that the heat capacity is
    positive from there down to the lowest and up to the highest of ``others``.
    """
    boils = float(liquid.saturation_temperature(pressure))
    high = min(boils if np.isfinite(boils) else temperature + 50.0, liquid.temperature_range[1])
    if high - temperature < 1.0:
        high = temperature + 1.0
    now, then = (liquid.state(one, pressure) for one in (temperature, high))
    rise = high - temperature
    mean = float(then.enthalpy - now.enthalpy) / (float(now.heat_capacity) * rise)
    steepest = MOST_CHANGE / max(rise, float(np.abs(others - temperature).max()))
    slope = 2.0 * (mean - 1.0) / rise
    return float(np.clip(slope, -steepest, steepest)), bool(abs(slope) > steepest)


def _warmth(rise: float, slope: float) -> float:
    """Heat over heat capacity at the beginning of a rise [K]."""
    return rise + 0.5 * slope * rise**2


def _warmed(heat: Array, slope: float) -> Array:
    """The rise that takes up a heat over the heat capacity at its beginning [K]; inverse of `_warmth`."""
    return np.asarray(2.0 * heat / (1.0 + np.sqrt(np.maximum(1.0 + 2.0 * slope * heat, 1e-6))))


def _insulated(inlet: float, film: Array, air_w: float, air: float, drag: Array, stream: float, slope: float) -> Array:
    """Liquid leaving each band beside a wall without eddy heat."""
    leaving = np.zeros(film.size)
    before = inlet
    for band, conductance in enumerate(film):
        through = conductance * air_w / (conductance + air_w)
        here = before
        for _ in range(8):      # the stream takes up heat at the heat capacity between both ends
            local = stream * (1.0 + slope * (0.5 * (before + here) - inlet))
            here = (local * before + drag[band] + through * air) / (local + through)
        leaving[band] = before = here
    return leaving


def _feed(topology: solve.NetworkArrays, flow: Array) -> int:
    """The tap that gives the circulation most of its liquid."""
    given = [float(flow[topology.start == tap].sum() - flow[topology.end == tap].sum()) for tap in topology.taps]
    return int(np.argmax(given))


def _less_torque(rating: Rating, case: int, states: BatchArrays, point: OperatingPoint, slower: Array, power: Array
                 ) -> Array:
    """Torque at the real flow less that at the least flow at which the network is solved, 0 above it [N m]."""
    least = LEAST_FLOW * float(rating.situation.solved.point.best_flow[case]) * slower
    speed = slower * float(rating.situation.solved.inputs.speed[case])
    at = operating_point(rating.pump, np.maximum(point.flow, least), speed, point.kinematic_viscosity)
    solved = states.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * at.flow * point.head / at.efficiency
    return np.where(point.flow < least, (power - solved) / speed, 0.0)


def _constants(rating: Rating, case: int, capacity: float, density: float, pressure: float, air_w: float,
               factors: Factors) -> Array:
    situation, pump = rating.situation, rating.pump
    liquid = situation.models[situation.model_of[case]].liquid
    shell, inner, outer = pump.containment_shell, pump.inner_ring, pump.outer_ring
    scalars = situation.scalars[case]
    inputs = situation.solved.inputs
    c = np.zeros(rhs.CONSTANTS)
    rear = rear_liquid_volume(pump) * factors.rear_volume
    casing = max(liquid_volume(pump) - rear_liquid_volume(pump), 0.1 * liquid_volume(pump))
    inside = pi * shell.bore * inner.wet_length / BANDS
    wall = wall_capacity(pump)
    c[rhs.WALL_HEAT] = (wall if np.isfinite(wall) else 3e6 * shell.thickness) * factors.wall_heat * 2 * pi * (
        shell.bore / 2 + shell.thickness / 2) * inner.wet_length / BANDS
    c[rhs.BAND_MASS_HEAT] = density * rear * capacity / BANDS
    c[rhs.CASING_METAL] = metal_mass(pump) * STEEL_CAPACITY
    c[rhs.CASING_HEAT] = density * casing * capacity + c[rhs.CASING_METAL]
    c[rhs.INSIDE_AREA], c[rhs.EMISSIVITY] = inside, factors.emissivity
    c[rhs.OUTSIDE_AREA] = 2 * pi * (shell.bore / 2 + shell.thickness) * inner.wet_length / BANDS
    bearings = pump.journal_bearings
    c[rhs.BEARING_HEAT] = CERAMIC_HEAT * sum(pi * one.diameter * one.length * 0.2 * one.diameter for one in bearings)
    bore = max(inner.inner_diameter - 2 * inner.yoke_thickness, 0.0)
    c[rhs.RING_HEAT] = RING_CAPACITY * pi / 4 * (inner.sheath_diameter**2 - bore**2) * inner.length
    around = pi * (outer.outer_diameter + 2 * outer.yoke_thickness) * outer.length
    c[rhs.OUTER_TIME] = outer.mass_or_estimate * 460.0 / max(2 * shell.air_side_coefficient * around, 1e-6)
    c[rhs.HEAT_CAPACITY], c[rhs.RESIST] = capacity, resistivity_slope(pump)
    c[rhs.AIR_W] = air_w * factors.air
    c[rhs.DRY_W] = factors.dry_film * inside
    state = liquid.state(float(inputs.temperature[case]), float(inputs.pressure[case]))
    c[rhs.BEARING_W] = sum(0.5 * float(state.conductivity) * pi * one.diameter * one.length / one.clearance
                           for one in bearings)
    c[rhs.BEARING_DRY_W] = BUSH_TO_HOLDER
    loads = situation.bearings.load[case]
    c[rhs.RATED_SPEED] = inputs.speed[case]
    c[rhs.DRY_POWER] = factors.dry_friction * float(sum(
        load * inputs.speed[case] * one.diameter / 2 for load, one in zip(loads, situation.bearings.bearings,
                                                                        strict=True)))
    c[rhs.AIR], c[rhs.OUTER_SHARE] = inputs.air[case], pump.coupling_housing.outer_ring_share
    c[rhs.REAR_VOLUME], c[rhs.CASING_VOLUME] = rear, casing
    c[rhs.LATENT], c[rhs.VAPOUR_DENSITY] = _vapour(liquid.arrays, pressure)
    c[rhs.INNER_SLOPE] = pump.inner_magnet.remanence_coefficient
    c[rhs.OUTER_SLOPE] = pump.outer_magnet.remanence_coefficient
    c[rhs.STATIC_SHARE], c[rhs.GAS_LIMIT] = factors.static_share, factors.gas_half
    c[rhs.PUMP_INERTIA] = inertias_of(pump).pump
    _slip(rating, case, scalars, c)
    return c


def _vapour(liquid: LiquidArrays, pressure: float) -> tuple[float, float]:
    """Latent heat [J/kg] and vapour density [kg/m3] at the boiling temperature of a pressure."""
    boils = lookup.saturation_temperature(liquid, pressure, liquid.first_temperature)
    if np.isnan(boils):
        return 1e6, 1.0
    position = (boils - liquid.first_temperature) / liquid.temperature_step
    index = int(np.clip(position, 0, liquid.rows.shape[0] - 1))
    x = float(np.clip(position - index, 0.0, 1.0)) ** np.arange(4)
    latent = float(liquid.rows[index, lookup.LATENT_HEAT] @ x)
    thin = float(np.exp(liquid.rows[index, lookup.LOG_VAPOUR_DENSITY] @ x))
    return (latent if latent > 0 else 1e6), (thin if thin > 0 else pressure * 0.05 / (8.314 * boils))


def _slip(rating: Rating, case: int, scalars: Array, c: Array) -> None:
    """Losses out of step as shares of the loss in step, and what is carried along."""
    pump, speed = rating.pump, float(c[rhs.RATED_SPEED])
    response, conductivity = response_for(pump), shell_conductivity(pump)
    inner, outer = remanences(pump)
    inner *= 1 + c[rhs.INNER_SLOPE] * (scalars[solve.INNER_RING] - RESISTIVITY_REFERENCE)
    outer *= 1 + c[rhs.OUTER_SLOPE] * (scalars[solve.OUTER_RING] - RESISTIVITY_REFERENCE)
    metal = pump.sheath_material
    warm = at_temperature(metal.resistivity, metal.resistivity_coefficient, float(scalars[solve.INNER_RING]))
    sheath = Sheath(pump.inner_ring.sheath_diameter / 2, float(1 / warm)) if metal.conduction == "metal" else None
    geometry = coupling_geometry(pump)
    rest = slip_state(geometry, response, (inner, outer), outer_speed=speed, shell_conductivity=conductivity,
                      sheath=sheath)
    in_step = float(response.cell_loss(float(scalars[solve.ANGLE]), speed, conductivity, inner, outer).sum())
    alone = float(response.slip_loss(speed, 0.0, conductivity, inner, 0.0).sum())
    if in_step > 0:
        c[rhs.SLIP_OUTER] = float(rest.shell_loss.sum()) / in_step
        c[rhs.SLIP_INNER] = alone / in_step
    magnets = magnet_loss(geometry, 0, outer, 1 / pump.inner_magnet.resistivity, speed)
    others = magnet_loss(geometry, 1, inner, 1 / pump.outer_magnet.resistivity, speed)
    c[rhs.SHEATH] = (rest.sheath_loss + magnets) / speed**2
    # the loss in the outer magnets drags the inner ring along too; its heat stays outside
    c[rhs.CARRY] = c[rhs.SHEATH] + others / speed**2
    c[rhs.EDDY_DRAG] = alone / speed**2
