"""The coupled steady solve of one pump in one operating case.

Each pass follows the liquid through the circulation in flow order (states, heats and pressure laws at the state in
which the liquid enters a branch), brings load angle, eddy heat and wall temperature up to date, and improves flows
and pressures by one step of the global gradient method (Todini and Pilati 1988). Passes are repeated until nothing
moves. `wetpath.circulation.batch` runs it over many cases.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation.laws import (
    ANNULUS,
    AREA,
    FILM,
    branch_head,
    cooler_heat,
    disc_power,
    film_loss,
    journal_power,
    passage_loss,
    thrust_power,
)
from wetpath.coupling.state import load_angle, shell_heat, torque_at, torque_series
from wetpath.liquids.lookup import LiquidArrays, liquid_state
from wetpath.physics.constants import STANDARD_GRAVITY
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
#: Velocity of the first guess over the square root of g H.
FIRST_SHARE = 0.5


class NetworkArrays(NamedTuple):
    """Topology of the circulation, as compiled code reads it; branches run from ``start`` to ``end``."""

    kind: NDArray[np.int64]    # (branches,) PASSAGE, FILM or ANNULUS
    start: NDArray[np.int64]   # (branches,) station
    end: NDArray[np.int64]     # (branches,) station
    unknown: NDArray[np.int64]  # (stations,) index of the unknown pressure, -1 at a tap
    taps: NDArray[np.int64]    # (taps,) station


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


@in_kernel
def flow_order(network: NetworkArrays, flow: Any, order: Any, waiting: Any) -> None:
    """Sort stations so that each follows those it receives liquid from; a re-entrant loop comes last, unsorted.

    Stations of such a loop are mixed with what reached them one pass earlier, which converges with the passes.
    """
    stations = network.unknown.shape[0]
    branches = flow.shape[0]
    for station in range(stations):
        waiting[station] = 0
    for branch in range(branches):
        waiting[network.end[branch] if flow[branch] >= 0.0 else network.start[branch]] += 1
    placed = 0
    for station in range(stations):
        if waiting[station] == 0:
            order[placed] = station
            placed += 1
    done = 0
    while placed < stations or done < placed:
        if done == placed:  # only a loop is left: take the first of its stations as it is
            for station in range(stations):
                if waiting[station] > 0:
                    waiting[station] = 0
                    order[placed] = station
                    placed += 1
                    break
        station = order[done]
        done += 1
        for branch in range(branches):
            forward = flow[branch] >= 0.0
            if (network.start[branch] if forward else network.end[branch]) == station:
                below = network.end[branch] if forward else network.start[branch]
                if waiting[below] > 0:
                    waiting[below] -= 1
                    if waiting[below] == 0:
                        order[placed] = below
                        placed += 1


@in_kernel
def solve_symmetric(matrix: Any, vector: Any, size: int) -> None:
    """Solve a symmetric positive definite system in place by Cholesky factors; the answer is left in ``vector``."""
    for column in range(size):
        for row in range(column, size):
            value = matrix[row, column]
            for k in range(column):
                value -= matrix[row, k] * matrix[column, k]
            if row == column:
                matrix[row, row] = np.sqrt(value)
            else:
                matrix[row, column] = value / matrix[column, column]
    for row in range(size):
        value = vector[row]
        for k in range(row):
            value -= matrix[row, k] * vector[k]
        vector[row] = value / matrix[row, row]
    for row in range(size - 1, -1, -1):
        value = vector[row]
        for k in range(row + 1, size):
            value -= matrix[k, row] * vector[k]
        vector[row] = value / matrix[row, row]


@in_kernel
def improve_flows(network: NetworkArrays, flow: Any, loss: Any, slope: Any, head: Any, pressure: Any,
                  better: Any, matrix: Any, vector: Any) -> None:
    """One step of the global gradient method: flows into ``better``, pressures of the inner stations in place."""
    size = vector.shape[0]
    for row in range(size):
        vector[row] = 0.0
        for column in range(size):
            matrix[row, column] = 0.0
    for branch in range(flow.shape[0]):
        start, end = network.start[branch], network.end[branch]
        i, j = network.unknown[start], network.unknown[end]
        yielding = 1.0 / slope[branch]
        own = flow[branch] + yielding * (pressure[start] - pressure[end] + head[branch] - loss[branch])
        if i >= 0:
            matrix[i, i] += yielding
            vector[i] -= own
        if j >= 0:
            matrix[j, j] += yielding
            vector[j] += own
        if i >= 0 and j >= 0:
            matrix[i, j] -= yielding
            matrix[j, i] -= yielding
    solve_symmetric(matrix, vector, size)
    for station in range(network.unknown.shape[0]):
        if network.unknown[station] >= 0:
            pressure[station] += vector[network.unknown[station]]
    for branch in range(flow.shape[0]):
        start, end = network.start[branch], network.end[branch]
        better[branch] = flow[branch] + (
            pressure[start] - pressure[end] + head[branch] - loss[branch]) / slope[branch]


@in_kernel
def branch_loss(kind: int, row: Any, flow: float, density: float, viscosity: float, speed: float
                ) -> tuple[float, float]:
    """Pressure loss [Pa] and slope [Pa s/kg] of a branch that is not the annulus."""
    if kind == FILM:
        return film_loss(row, flow, density, viscosity)
    return passage_loss(row, flow, density, viscosity, speed)


@in_kernel
def length_of_step(network: NetworkArrays, rows: Any, flow: Any, better: Any, loss: Any, slope: Any, head: Any,
                   pressure: Any, density: Any, viscosity: Any, speed: float) -> float:
    """Share of the proposed change of flow at which the losses along it balance, at most 1.

    The flows minimise a convex function (its slope along the change falls through zero at the minimum), so a step
    of this length cannot overshoot; it matters where entry incidence makes the law nearly a step, near stall.
    """
    low, high = 0.0, 1.0
    for trial in range(12):
        share = high if trial == 0 else 0.5 * (low + high)
        gradient = 0.0
        for branch in range(flow.shape[0]):
            change = better[branch] - flow[branch]
            if network.kind[branch] == ANNULUS:
                lost = loss[branch] + slope[branch] * share * change
            else:
                lost, _ = branch_loss(network.kind[branch], rows[branch], flow[branch] + share * change,
                                      density[branch], viscosity[branch], speed)
            gradient += change * (lost - head[branch] - pressure[network.start[branch]] + pressure[network.end[branch]])
        if gradient <= 0.0:
            low = share
            if trial == 0:
                return 1.0
        else:
            high = share
    return 0.5 * (low + high)


@in_kernel
def first_guess(network: NetworkArrays, rows: Any, density: float, lift: float, temperature: float, pressure: float,
                flow: Any, stations_pressure: Any, stations_temperature: Any) -> None:
    """Flows that a fraction of the pump's head would drive through each branch alone, one state everywhere.

    No branch starts with more than the largest of those at the taps.
    """
    velocity = FIRST_SHARE * np.sqrt(lift)
    most = 0.0
    for branch in range(flow.shape[0]):
        at_tap = network.unknown[network.start[branch]] < 0 or network.unknown[network.end[branch]] < 0
        if at_tap and network.kind[branch] != FILM:
            most = max(most, density * rows[branch, AREA] * velocity)
    for branch in range(flow.shape[0]):
        if network.kind[branch] == FILM:
            flow[branch] = 1e-6
        else:
            flow[branch] = min(density * rows[branch, AREA] * velocity, most)
    for station in range(stations_pressure.shape[0]):
        stations_pressure[station] = pressure
        stations_temperature[station] = temperature


@in_kernel
def state_at(liquid: LiquidArrays, enthalpy: float, pressure: float, guess: float
             ) -> tuple[float, float, float, float]:
    """Temperature at an enthalpy and pressure near a guess [K], with density, heat capacity and viscosity there.

    One step of Newton: the properties are those at the guess, the temperature of the pass before, so that they are
    exact once the passes have converged.
    """
    density, reached, capacity, viscosity, _ = liquid_state(liquid, guess, pressure)
    return guess + (enthalpy - reached) / capacity, density, capacity, viscosity


@in_kernel
def solve_case(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays, case: int,
               warm: bool, flow: Any, pressure: Any, temperature: Any, enthalpy: Any, heat: Any,
               record: Any, scalars: Any) -> bool:
    """Solve one case from a first guess, or from the state handed in when ``warm``; true when it converged.

    Fills, in place: ``flow`` (branches) [kg/s], ``pressure`` [Pa], ``temperature`` [K] and ``enthalpy`` [J/kg]
    (stations), ``heat`` taken up per branch [W], the annulus ``record`` and the ``scalars``.
    """
    pump = cases.pump[case]
    rows, taps, shell, magnets = machine.rows[pump], machine.taps[pump], machine.shell[pump], machine.ring[pump]
    branches, stations, cells = flow.shape[0], pressure.shape[0], machine.inner.shape[1]
    size = stations - network.taps.shape[0]
    speed, heat_scale = cases.speed[case], cases.heat_scale[case]
    lift = STANDARD_GRAVITY * cases.head[case]

    inlet_density, inlet_enthalpy, _, _, _ = liquid_state(liquid, cases.temperature[case], cases.pressure[case])
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
    rise = np.empty(stations)  # pressures above the suction: far fewer digits are lost in their differences
    eddy = np.zeros(cells)
    wall = np.empty(4)
    wall[0] = shell[WALL]
    wall[1] = shell[RESISTIVITY_SLOPE]
    wall[2] = shell[AIR_COEFFICIENT]
    wall[3] = cases.air[case]
    march = np.zeros(ring.MARCH_RESULTS)
    series = np.empty(machine.torque.shape[2])
    drags, brake = 0.0, 0.0

    if warm:
        inner_ring, outer_ring = scalars[INNER_RING], scalars[OUTER_RING]
        eye = scalars[FEED_ENTHALPY] - work
        feed = scalars[FEED_ENTHALPY]
        drags = scalars[WINDAGE] + scalars[DISCS] + scalars[JOURNALS] + scalars[THRUSTS]
        brake = scalars[BRAKE]
    else:
        first_guess(network, rows, inlet_density, lift, cases.temperature[case],
                    cases.pressure[case] + 0.5 * inlet_density * lift, flow, pressure, temperature)
        inner_ring, outer_ring = cases.temperature[case], cases.air[case]
        eye = inlet_enthalpy
        feed = inlet_enthalpy + work
    for branch in range(branches):
        outlet[branch] = feed
    supply_temperature = cases.temperature[case]
    for station in range(stations):
        rise[station] = pressure[station] - cases.pressure[case]
    converged = False
    passes = 0
    moved = 1.0
    while passes < MOST_PASSES:
        passes += 1
        # coupling: torque on the inner ring, load angle, eddy heat of the shell cells at 20 degC
        inner_strength = 1.0 + magnets[INNER_SLOPE] * (inner_ring - RESISTIVITY_REFERENCE)
        outer_strength = 1.0 + magnets[OUTER_SLOPE] * (outer_ring - RESISTIVITY_REFERENCE)
        torque = hydraulic_torque + (drags + brake) / speed
        torque_series(machine.torque[pump], inner_strength, outer_strength, series)
        pull_out, _ = torque_at(series, magnets[PULL_OUT_ANGLE])
        angle = load_angle(series, torque, magnets[PULL_OUT_ANGLE], pull_out)
        own_share = shell_heat(machine.inner[pump], machine.outer[pump], machine.cross[pump], loading, inner_strength,
                               outer_strength, angle, eddy)

        # taps: pressures, and the states from which they feed
        feed_density = inlet_density
        for tap in range(network.taps.shape[0]):
            station = network.taps[tap]
            if taps[tap, SIDE] == OUTSIDE:
                rise[station] = taps[tap, GIVEN_PRESSURE] - cases.pressure[case]
            else:
                rise[station] = taps[tap, HEAD_SHARE] * inlet_density * lift
                if taps[tap, SIDE_ROOM_CORE] <= 0.0 and taps[tap, HEAD_SHARE] > 0.0:
                    supply_temperature, feed_density, _, _ = state_at(
                        liquid, feed, cases.pressure[case] + rise[station], supply_temperature)
        for tap in range(network.taps.shape[0]):
            station = network.taps[tap]
            if taps[tap, SIDE_ROOM_CORE] > 0.0:
                rise[station] = inlet_density * lift * taps[tap, HEAD_SHARE] + rotation_head(
                    feed_density, speed, taps[tap, SIDE_ROOM_OUTER], taps[tap, SIDE_ROOM_INNER],
                    taps[tap, SIDE_ROOM_CORE])

        for station in range(stations):
            pressure[station] = cases.pressure[case] + rise[station]

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
            temperature[station], density, capacity, viscosity = state_at(liquid, enthalpy[station], pressure[station],
                                                                          before)
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
        new_outer = cases.air[case] + shell[OUTER_RING_SHARE] * (march[ring.MEAN_WALL] - cases.air[case])
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
    scalars[EYE_TEMPERATURE] = temperature_of(liquid, eye, cases.pressure[case], cases.temperature[case])
    scalars[FEED_ENTHALPY] = feed
    scalars[DENSITY_IN] = inlet_density
    scalars[RETURNED_TO_SUCTION] = returned_to_suction
    scalars[MASS_RESIDUAL] = mass / largest
    scalars[HEAT_RESIDUAL] = np.abs(carried_out - taken) / max(np.abs(taken), 1e-9)
    scalars[LIQUID_HEAT] = taken
    return converged
