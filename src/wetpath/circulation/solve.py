"""The coupled steady solve of one pump in one operating case.

Each pass follows the liquid through the circulation in flow order (states, heats and pressure laws at the state in
which the liquid enters a branch), brings load angle, eddy heat and wall temperature up to date, and improves flows
and pressures by one step of the global gradient method (Todini and Pilati 1988). Passes are repeated until nothing
moves. They start from the flows of liquid that is not heated. `wetpath.circulation.batch` runs it over many cases.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation.flows import NetworkArrays as NetworkArrays
from wetpath.circulation.flows import (
    branch_loss,
    first_guess,
    flow_order,
    flows_without_heat,
    improve_flows,
    length_of_step,
)
from wetpath.circulation.laws import (
    ANNULUS,
    GAP,
    LENGTH,
    ROTOR_RADIUS,
    branch_head,
    cooler_heat,
    disc_power,
    journal_power,
    thrust_power,
)
from wetpath.coupling.state import load_angle, shell_heat, torque_at, torque_series
from wetpath.liquids.lookup import LiquidArrays, liquid_state
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.drag.cylinder_drag import cylinder_torque
from wetpath.physics.flow.rotating_hole import rotation_head
from wetpath.physics.heat.shell_wall import RESISTIVITY_REFERENCE
from wetpath.physics.published import in_kernel

# Where a tap takes its liquid from or gives it to.
TO_CASING, TO_SUCTION, OUTSIDE = range(3)
# Columns of a tap row, SI.
SIDE, HEAD_SHARE, SIDE_ROOM_CORE, SIDE_ROOM_OUTER, SIDE_ROOM_INNER, GIVEN_PRESSURE, GIVEN_TEMPERATURE = range(7)
TAP_COLUMNS = 7
# Columns of the shell row, SI: wall thickness, resistivity slope, air-side coefficient, conductivity, share of the
# way from air to wall at which the outer ring settles.
WALL, RESISTIVITY_SLOPE, AIR_COEFFICIENT, CONDUCTIVITY, OUTER_RING_SHARE = range(5)
SHELL_COLUMNS = 5

# Scalars of a solved case.
(CONVERGED, PASSES, EDDY, TO_AIR, WINDAGE, DISCS, JOURNALS, THRUSTS, COOLER, HOTTEST_WALL, MEAN_LIQUID, MEAN_WALL,
 ANGLE, TORQUE, PULL_OUT, INNER_RING, OUTER_RING, EYE_TEMPERATURE, FEED_ENTHALPY, DENSITY_IN, RETURNED_TO_SUCTION,
 MASS_RESIDUAL, HEAT_RESIDUAL, LIQUID_HEAT,
 PRESSURE_MARGIN, PRESSURE_MARGIN_AT, TEMPERATURE_MARGIN, TEMPERATURE_MARGIN_AT, WALL_MARGIN,
 WALL_MARGIN_AT, BRAKE) = range(31)
SCALARS = 31

#: Passes before the solve is given up.
MOST_PASSES = 200
#: Passes after which the length of every step is searched for.
PASSES_AT_FULL_STEP = 10
#: Largest change of any flow, relative to the largest flow, in the last pass.
FLOW_TOLERANCE = 1e-9
#: Largest change of any station temperature in the last pass [K].
TEMPERATURE_TOLERANCE = 1e-7
#: Least slope of a branch law, as a share of the pump's pressure over a tenth of its flow; it only damps the steps.
LEAST_SLOPE = 1e-4
#: Most that the liquid warms on half its way through the annulus in the first guess [K].
MOST_FIRST_WARMING = 50.0


class MachineArrays(NamedTuple):
    """Geometry of one or many pumps of the same topology; the first axis is the pump."""

    rows: NDArray[np.float64]      # (pumps, branches, COLUMNS)
    taps: NDArray[np.float64]      # (pumps, taps, TAP_COLUMNS)
    shell: NDArray[np.float64]     # (pumps, SHELL_COLUMNS)
    torque: NDArray[np.float64]    # (pumps, 3, orders) see wetpath.coupling.state
    inner: NDArray[np.float64]     # (pumps, cells)
    outer: NDArray[np.float64]     # (pumps, cells)
    cross: NDArray[np.float64]     # (pumps, orders, cells)
    ring: NDArray[np.float64]      # (pumps, RING_COLUMNS)


# Columns of the ring row: electrical pull-out angle, relative remanence slopes of inner and outer ring.
PULL_OUT_ANGLE, INNER_SLOPE, OUTER_SLOPE = range(3)
RING_COLUMNS = 3


class CaseArrays(NamedTuple):
    """Operating cases, one element each, SI, absolute pressure."""

    pump: NDArray[np.int64]
    flow: NDArray[np.float64]            # [m3/s] at the suction
    temperature: NDArray[np.float64]     # [K] at the suction
    pressure: NDArray[np.float64]        # [Pa] at the suction
    speed: NDArray[np.float64]           # [rad/s]
    head: NDArray[np.float64]            # [m]
    efficiency: NDArray[np.float64]      # [-] of the impeller, without coupling losses
    air: NDArray[np.float64]             # [K]
    heat_scale: NDArray[np.float64]      # [-] 1, or less on the way of a continuation


@in_kernel
def temperature_of(liquid: LiquidArrays, enthalpy: float, pressure: float, guess: float) -> float:
    """Temperature of the liquid at an enthalpy and pressure [K]."""
    temperature = guess
    for _ in range(30):
        _, reached, capacity, _, _ = liquid_state(liquid, temperature, pressure)
        step = (enthalpy - reached) / capacity
        temperature += step
        if np.abs(step) < 1e-11 * temperature:
            break
    return temperature


# What is known of the state of a station from the pass before.
KNOWN_TEMPERATURE, KNOWN_ENTHALPY, KNOWN_CAPACITY = range(3)


@in_kernel
def state_at(liquid: LiquidArrays, enthalpy: float, pressure: float, known: Any) -> tuple[float, float]:
    """Density and viscosity at an enthalpy and pressure, near the state ``known``, which is brought up to date.

    The properties are those at the temperature at which the heat capacity known puts the enthalpy, the new
    temperature is one step of Newton further; both are exact once the passes have converged.
    """
    expected = known[KNOWN_TEMPERATURE] + (enthalpy - known[KNOWN_ENTHALPY]) / known[KNOWN_CAPACITY]
    density, reached, capacity, viscosity, _ = liquid_state(liquid, expected, pressure)
    known[KNOWN_TEMPERATURE] = expected + (enthalpy - reached) / capacity
    known[KNOWN_ENTHALPY] = enthalpy
    known[KNOWN_CAPACITY] = capacity
    return density, viscosity


@in_kernel
def set_taps(network: NetworkArrays, taps: Any, liquid: LiquidArrays, suction: float, density: float, lift: float,
             speed: float, feed: float, known: Any, rise: Any) -> None:
    """Pressures of the taps above the suction [Pa] into ``rise``; ``density`` is that at the suction.

    Side rooms turn with liquid of the enthalpy ``feed``; its state near the one before is kept in ``known``.
    """
    feed_density = density
    for tap in range(network.taps.shape[0]):
        station = network.taps[tap]
        if taps[tap, SIDE] == OUTSIDE:
            rise[station] = taps[tap, GIVEN_PRESSURE] - suction
        else:
            rise[station] = taps[tap, HEAD_SHARE] * density * lift
            if taps[tap, SIDE_ROOM_CORE] <= 0.0 and taps[tap, HEAD_SHARE] > 0.0:
                feed_density, _ = state_at(liquid, feed, suction + rise[station], known)
    for tap in range(network.taps.shape[0]):
        if taps[tap, SIDE_ROOM_CORE] > 0.0:
            rise[network.taps[tap]] = density * lift * taps[tap, HEAD_SHARE] + rotation_head(
                feed_density, speed, taps[tap, SIDE_ROOM_OUTER], taps[tap, SIDE_ROOM_INNER], taps[tap, SIDE_ROOM_CORE])


@in_kernel
def load_coupling(machine: MachineArrays, pump: int, torque: float, inner_ring: float, outer_ring: float,
                  loading: float, guess: float, series: Any, eddy: Any) -> tuple[float, float, float]:
    """Load angle near a guess, pull-out torque, and the share of the braking power that loads the inner ring.

    Fills ``eddy`` with the heat of the shell cells at 20 degC, from the torque on the inner ring and the
    temperatures of both rings.
    """
    magnets = machine.ring[pump]
    inner_strength = 1.0 + magnets[INNER_SLOPE] * (inner_ring - RESISTIVITY_REFERENCE)
    outer_strength = 1.0 + magnets[OUTER_SLOPE] * (outer_ring - RESISTIVITY_REFERENCE)
    torque_series(machine.torque[pump], inner_strength, outer_strength, series)
    pull_out, _ = torque_at(series, magnets[PULL_OUT_ANGLE])
    angle = load_angle(series, torque, magnets[PULL_OUT_ANGLE], pull_out, guess)
    own_share = shell_heat(machine.inner[pump], machine.outer[pump], machine.cross[pump], loading, inner_strength,
                           outer_strength, angle, eddy)
    return angle, pull_out, own_share


@in_kernel
def drag_without_heat(network: NetworkArrays, rows: Any, density: float, viscosity: float, speed: float) -> float:
    """Friction power of all that turns in liquid at one state everywhere [W]."""
    power = 0.0
    for branch in range(network.kind.shape[0]):
        row = rows[branch]
        if network.kind[branch] == ANNULUS:
            power += speed * cylinder_torque(density, viscosity, speed, row[ROTOR_RADIUS], row[GAP], row[LENGTH])
        else:
            power += disc_power(row, density, viscosity, speed) + journal_power(row, density, viscosity, speed)
            power += thrust_power(row, viscosity, speed)
    return power


@in_kernel
def solve_case(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays, case: int,
               warm: bool, flow: Any, pressure: Any, temperature: Any, enthalpy: Any, heat: Any,
               record: Any, scalars: Any) -> bool:
    """Solve one case from a first guess, or from the state handed in when ``warm``; true when it converged.

    Fills, in place: ``flow`` (branches) [kg/s], ``pressure`` [Pa], ``temperature`` [K] and ``enthalpy`` [J/kg]
    (stations), ``heat`` taken up per branch [W], the annulus ``record`` and the ``scalars``.
    """
    pump = cases.pump[case]
    rows, taps, shell = machine.rows[pump], machine.taps[pump], machine.shell[pump]
    branches, stations, cells = flow.shape[0], pressure.shape[0], machine.inner.shape[1]
    size = stations - network.taps.shape[0]
    speed, heat_scale = cases.speed[case], cases.heat_scale[case]
    lift = STANDARD_GRAVITY * cases.head[case]

    suction, suction_temperature, air = cases.pressure[case], cases.temperature[case], cases.air[case]
    inlet_density, inlet_enthalpy, inlet_capacity, _, _ = liquid_state(liquid, suction_temperature, suction)
    pumped = inlet_density * cases.flow[case]
    work = lift / cases.efficiency[case]
    hydraulic_torque = pumped * work / speed
    least_slope = LEAST_SLOPE * inlet_density * lift / (0.1 * pumped)
    loading = shell[CONDUCTIVITY] * speed * speed * heat_scale

    order = np.empty(stations, np.int64)
    waiting = np.empty(stations, np.int64)
    outlet = np.zeros(branches)
    loss = np.empty(branches)
    slope = np.empty(branches)
    head = np.empty(branches)
    better = np.empty(branches)
    branch_density = np.empty(branches)
    branch_viscosity = np.empty(branches)
    matrix = np.empty((size, size))
    vector = np.empty(size)
    known = np.empty((stations + 1, 3))  # the last row is the feed
    rise = np.empty(stations)  # pressures above the suction: far fewer digits are lost in their differences
    eddy = np.zeros(cells)
    whole = np.zeros(1)
    wall = np.empty(4)
    wall[0] = shell[WALL]
    wall[1] = shell[RESISTIVITY_SLOPE]
    wall[2] = shell[AIR_COEFFICIENT]
    wall[3] = air
    march = np.zeros(ring.MARCH_RESULTS)
    series = np.empty(machine.torque.shape[2])
    drags, brake, angle = 0.0, 0.0, 0.0

    # the enthalpy grows nearly evenly with pressure: each station is known at the temperature of the suction
    middle = 0.5 * inlet_density * lift
    _, squeezed, _, _, _ = liquid_state(liquid, suction_temperature, suction + middle)
    growth = (squeezed - inlet_enthalpy) / middle if middle > 0.0 else 0.0
    for station in range(stations + 1):
        known[station, KNOWN_TEMPERATURE] = suction_temperature
        known[station, KNOWN_ENTHALPY] = squeezed
        known[station, KNOWN_CAPACITY] = inlet_capacity
    if warm:
        inner_ring, outer_ring = scalars[INNER_RING], scalars[OUTER_RING]
        feed = scalars[FEED_ENTHALPY]
        eye = feed - work
        drags = scalars[WINDAGE] + scalars[DISCS] + scalars[JOURNALS] + scalars[THRUSTS]
        brake = scalars[BRAKE]
        for station in range(stations):
            rise[station] = pressure[station] - suction
            known[station, KNOWN_TEMPERATURE], known[station, KNOWN_ENTHALPY] = temperature[station], enthalpy[station]
    else:
        # flows of liquid that is not heated, then the heat at those flows with the annulus as one cell
        eye = inlet_enthalpy
        feed = inlet_enthalpy + work
        first_guess(network, rows, inlet_density, lift, flow)
        for station in range(stations):
            rise[station] = middle
        set_taps(network, taps, liquid, suction, inlet_density, lift, speed, feed, known[stations], rise)
        density, viscosity = state_at(liquid, feed, suction + middle, known[0])
        entering = known[0, KNOWN_TEMPERATURE]
        flows_without_heat(network, rows, density, viscosity, speed, least_slope, flow, loss, slope, head, rise,
                           better, matrix, vector)
        drags = drag_without_heat(network, rows, density, viscosity, speed)
        angle, _, own_share = load_coupling(machine, pump, hydraulic_torque + drags / speed, entering,
                                            air + shell[OUTER_RING_SHARE] * (entering - air), loading, angle, series,
                                            eddy)
        annulus = 0
        while network.kind[annulus] != ANNULUS:
            annulus += 1
        whole[0] = eddy.sum()
        ring.march_annulus(rows[annulus], liquid, flow[annulus], suction + middle, entering, feed, speed, whole, wall,
                           heat_scale, record, march)
        warming = min(0.5 * (march[ring.ENTHALPY_OUT] - feed) / inlet_capacity, MOST_FIRST_WARMING)
        inner_ring = entering + warming
        outer_ring = air + shell[OUTER_RING_SHARE] * (march[ring.MEAN_WALL] + warming - air)
        brake = own_share * march[ring.EDDY]
        feed += (march[ring.EDDY] - march[ring.TO_AIR] + heat_scale * drags) / pumped
        for station in range(stations):
            temperature[station] = entering
            known[station, KNOWN_TEMPERATURE] = suction_temperature
            known[station, KNOWN_ENTHALPY] = inlet_enthalpy + growth * rise[station]
            known[station, KNOWN_CAPACITY] = inlet_capacity
    for branch in range(branches):
        outlet[branch] = feed
    converged = False
    passes = 0
    moved = 1.0
    while passes < MOST_PASSES:
        passes += 1
        # coupling: torque on the inner ring, load angle, eddy heat of the shell cells at 20 degC
        torque = hydraulic_torque + (drags + brake) / speed
        angle, pull_out, own_share = load_coupling(machine, pump, torque, inner_ring, outer_ring, loading, angle,
                                                   series, eddy)
        set_taps(network, taps, liquid, suction, inlet_density, lift, speed, feed, known[stations], rise)
        for station in range(stations):
            pressure[station] = suction + rise[station]

        # follow the liquid
        flow_order(network, flow, order, waiting)
        changed = 0.0
        discs, journals, thrusts, coolers, drags = 0.0, 0.0, 0.0, 0.0, 0.0
        returned_to_suction, excess_casing, excess_suction = 0.0, 0.0, 0.0
        taken = 0.0
        for index in range(stations):
            station = order[index]
            mixed, arriving, leaving = 0.0, 0.0, 0.0
            for branch in range(branches):
                forward = flow[branch] >= 0.0
                if (network.end[branch] if forward else network.start[branch]) == station:
                    arriving += np.abs(flow[branch])
                    mixed += np.abs(flow[branch]) * outlet[branch]
                if (network.start[branch] if forward else network.end[branch]) == station:
                    leaving += np.abs(flow[branch])
            before = temperature[station]
            if network.unknown[station] < 0:
                tap = 0
                while network.taps[tap] != station:
                    tap += 1
                if taps[tap, SIDE] == OUTSIDE:
                    _, supply, _, _, _ = liquid_state(liquid, taps[tap, GIVEN_TEMPERATURE], pressure[station])
                elif taps[tap, SIDE] == TO_SUCTION:
                    supply = eye
                else:
                    supply = feed
                if arriving > 0.0:
                    if taps[tap, SIDE] == TO_SUCTION:
                        returned_to_suction += arriving
                        excess_suction += mixed - arriving * feed
                    elif taps[tap, SIDE] == TO_CASING:
                        excess_casing += mixed - arriving * feed
                enthalpy[station] = mixed / arriving if arriving > leaving else supply
            elif arriving > 0.0:
                enthalpy[station] = mixed / arriving
            density, viscosity = state_at(liquid, enthalpy[station], pressure[station], known[station])
            capacity = known[station, KNOWN_CAPACITY]
            temperature[station] = known[station, KNOWN_TEMPERATURE]
            changed = max(changed, np.abs(temperature[station] - before))
            for branch in range(branches):
                forward = flow[branch] >= 0.0
                if (network.start[branch] if forward else network.end[branch]) != station:
                    continue
                row = rows[branch]
                carried = max(np.abs(flow[branch]), 1e-12)
                if network.kind[branch] == ANNULUS:
                    ring.march_annulus(row, liquid, flow[branch], pressure[station], temperature[station],
                                       enthalpy[station], speed, eddy, wall, heat_scale, record, march)
                    loss[branch], slope[branch] = march[ring.LOSS], march[ring.SLOPE]
                    outlet[branch] = march[ring.ENTHALPY_OUT]
                    head[branch] = 0.0
                    heat[branch] = (march[ring.ENTHALPY_OUT] - enthalpy[station]) * carried
                    drags += march[ring.WINDAGE]
                else:
                    branch_density[branch], branch_viscosity[branch] = density, viscosity
                    loss[branch], slope[branch] = branch_loss(network.kind[branch], row, flow[branch], density,
                                                              viscosity, speed)
                    head[branch] = branch_head(row, density, speed)
                    disc = disc_power(row, density, viscosity, speed)
                    journal = journal_power(row, density, viscosity, speed)
                    thrust = thrust_power(row, viscosity, speed)
                    cooler = cooler_heat(row, carried, capacity, temperature[station])
                    discs += disc
                    journals += journal
                    thrusts += thrust
                    coolers += cooler
                    drags += disc + journal + thrust
                    heat[branch] = (disc + journal + thrust) * heat_scale + cooler
                    outlet[branch] = enthalpy[station] + heat[branch] / carried
                taken += heat[branch]

        # the pump around it, magnets, torque
        new_eye = inlet_enthalpy + (returned_to_suction * work + excess_suction) / pumped
        new_feed = new_eye + work + excess_casing / pumped
        feed_moved = np.abs(new_feed - feed)
        eye, feed = new_eye, new_feed
        brake = own_share * march[ring.EDDY]
        inner_ring = march[ring.MEAN_LIQUID]
        new_outer = air + shell[OUTER_RING_SHARE] * (march[ring.MEAN_WALL] - air)
        changed = max(changed, np.abs(new_outer - outer_ring))
        outer_ring = new_outer

        # improve flows and pressures
        for branch in range(branches):
            slope[branch] = max(slope[branch], least_slope)
        improve_flows(network, flow, loss, slope, head, rise, better, matrix, vector)
        largest = 1e-3 * pumped
        sound = True
        moved = 0.0
        for branch in range(branches):
            largest = max(largest, np.abs(better[branch]))
            moved = max(moved, np.abs(better[branch] - flow[branch]))
            sound = sound and np.isfinite(better[branch])
        moved /= largest
        if not sound:
            break
        if moved < FLOW_TOLERANCE and changed < TEMPERATURE_TOLERANCE and feed_moved < 1e-4:
            converged = True
            break
        share = 1.0
        if passes > PASSES_AT_FULL_STEP:
            share = length_of_step(network, rows, flow, better, loss, slope, head, rise, branch_density,
                                   branch_viscosity, speed)
        for branch in range(branches):
            flow[branch] += share * (better[branch] - flow[branch])

    mass = 0.0
    for station in range(stations):
        if network.unknown[station] >= 0:
            balance = 0.0
            for branch in range(branches):
                if network.end[branch] == station:
                    balance += flow[branch]
                if network.start[branch] == station:
                    balance -= flow[branch]
            mass = max(mass, np.abs(balance))
    carried_out = 0.0
    for branch in range(branches):
        for side in range(2):
            station = network.end[branch] if side == 0 else network.start[branch]
            if network.unknown[station] < 0:
                sign = 1.0 if side == 0 else -1.0
                through = outlet[branch] if (flow[branch] >= 0.0) == (side == 0) else enthalpy[station]
                carried_out += sign * flow[branch] * through
    scalars[CONVERGED] = 1.0 if converged else 0.0
    scalars[PASSES] = passes
    scalars[EDDY] = march[ring.EDDY]
    scalars[BRAKE] = brake
    scalars[TO_AIR] = march[ring.TO_AIR]
    scalars[WINDAGE] = march[ring.WINDAGE]
    scalars[DISCS] = discs
    scalars[JOURNALS] = journals
    scalars[THRUSTS] = thrusts
    scalars[COOLER] = coolers
    scalars[HOTTEST_WALL] = march[ring.HOTTEST_WALL]
    scalars[MEAN_LIQUID] = march[ring.MEAN_LIQUID]
    scalars[MEAN_WALL] = march[ring.MEAN_WALL]
    scalars[ANGLE] = angle
    scalars[TORQUE] = torque
    scalars[PULL_OUT] = pull_out
    scalars[INNER_RING] = inner_ring
    scalars[OUTER_RING] = outer_ring
    scalars[EYE_TEMPERATURE] = temperature_of(liquid, eye, suction, suction_temperature)
    scalars[FEED_ENTHALPY] = feed
    scalars[DENSITY_IN] = inlet_density
    scalars[RETURNED_TO_SUCTION] = returned_to_suction
    scalars[MASS_RESIDUAL] = mass / largest
    scalars[HEAT_RESIDUAL] = np.abs(carried_out - taken) / max(np.abs(taken), 1e-9)
    scalars[LIQUID_HEAT] = taken
    return converged
