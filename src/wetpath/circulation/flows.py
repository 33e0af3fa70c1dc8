"""Flows and pressures at given pressure laws by the global gradient method (Todini and Pilati 1988)."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import annulus_cells as ring
from wetpath.circulation.laws import ANNULUS, AREA, FILM, LENGTH, branch_head, film_loss, passage_loss
from wetpath.physics.published import in_kernel

#: Velocity of the first guess over the square root of g H.
FIRST_SHARE = 0.5
#: Most passes of the guess without heat, and the change of flow, relative to the largest, that ends them.
FIRST_PASSES = 4
FIRST_TOLERANCE = 0.05


class NetworkArrays(NamedTuple):
    """Topology of the circulation, as compiled code reads it; branches run from ``start`` to ``end``."""

    kind: NDArray[np.int64]    # (branches,) PASSAGE, FILM or ANNULUS
    start: NDArray[np.int64]   # (branches,) station
    end: NDArray[np.int64]     # (branches,) station
    unknown: NDArray[np.int64]  # (stations,) index of the unknown pressure, -1 at a tap
    taps: NDArray[np.int64]    # (taps,) station


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
def first_guess(network: NetworkArrays, rows: Any, density: float, lift: float, flow: Any) -> None:
    """Flows that a fraction of the pump's head would drive through each branch alone.

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


@in_kernel
def flows_without_heat(network: NetworkArrays, rows: Any, density: float, viscosity: float, speed: float,
                       least_slope: float, flow: Any, loss: Any, slope: Any, head: Any, rise: Any, better: Any,
                       matrix: Any, vector: Any) -> None:
    """Bring a first guess of the flows near those of liquid that is not heated, at one state everywhere."""
    for _ in range(FIRST_PASSES):
        moved, largest = 0.0, 0.0
        for branch in range(flow.shape[0]):
            if network.kind[branch] == ANNULUS:
                carried = max(np.abs(flow[branch]), 1e-12)
                lost, steepness = ring.annulus_loss(rows[branch], rows[branch, LENGTH], carried, density, viscosity,
                                                    speed)
                loss[branch], slope[branch] = lost if flow[branch] >= 0.0 else -lost, steepness
                head[branch] = 0.0
            else:
                loss[branch], slope[branch] = branch_loss(network.kind[branch], rows[branch], flow[branch], density,
                                                          viscosity, speed)
                head[branch] = branch_head(rows[branch], density, speed)
            slope[branch] = max(slope[branch], least_slope)
        improve_flows(network, flow, loss, slope, head, rise, better, matrix, vector)
        for branch in range(flow.shape[0]):
            moved = max(moved, np.abs(better[branch] - flow[branch]))
            largest = max(largest, np.abs(better[branch]))
            flow[branch] = better[branch]
        if not moved > FIRST_TOLERANCE * largest:
            break
