"""Proof by continuation: a case is followed from no heat to full heat before it may be called without solution.

A root search that fails proves nothing. Here the isothermal circulation is solved first, then the heat is turned up
in steps, each started from the one before. Where the worst margin first reaches zero the liquid is lost; where no
further step closes, there is no flow that carries more heat away as liquid.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.batch import BatchArrays, empty_batch, solve_batch
from wetpath.circulation.outcome import Outcome
from wetpath.circulation.solve import CaseArrays, MachineArrays, NetworkArrays
from wetpath.liquids.lookup import LiquidArrays

#: First step in the share of heat.
FIRST_STEP = 0.125
#: The search ends when no step above this closes.
LEAST_STEP = 1.0 / 512.0
#: Halvings that place the share of heat at which the liquid is lost.
BISECTIONS = 16
# Outcomes as they stand in arrays.
_LIQUID, _WALL_BOILING, _FLASHING, _UNKNOWN = (
    int(one) for one in (Outcome.LIQUID, Outcome.WALL_BOILING, Outcome.FLASHING, Outcome.UNKNOWN))


@dataclass(frozen=True)
class Solution:
    """Solved batch with the outcome of every case, and where liquid is lost first.

    ``lost_share`` is the share of the heat at which the worst bulk margin reaches zero (0 when there is vapour
    without any heat, NaN when liquid is never lost or it was not asked), ``lost_at`` the station, -1 when none.
    """

    states: BatchArrays
    outcome: NDArray[np.int64]
    lost_share: NDArray[np.float64]
    lost_at: NDArray[np.int64]


def solve_cases(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays, *,
                place_losses: bool = False, prove: bool = True) -> Solution:
    """Solve a batch of cases and tell the outcome of each.

    Parameters
    ----------
    network, machine, liquid, cases
        Arrays as `wetpath.circulation.solve` describes them.
    place_losses : bool
        Follow flashing cases too, to tell at which station and at what share of the heat liquid is lost first.
    prove : bool
        Without it a case that does not close from its first guess counts as without solution, unproved: for scans,
        where that errs on the safe side and the proof would cost a hundred times the solve.

    Returns
    -------
    Solution
        A case that does not close from its first guess, or leaves the property table, is followed from no heat to
        full heat before it is called without solution; its state is then the last one that closed.
    """
    count, cells = cases.flow.size, machine.inner.shape[1]
    states = empty_batch(count, network.kind.size, network.unknown.size, cells)
    solve_batch(network, machine, liquid, cases, False, states)
    outcome = _by_margins(states)
    lost_share, lost_at = np.full(count, np.nan), np.full(count, -1, np.int64)
    doubtful = ~_closed(states, liquid)
    if not doubtful.any() and not place_losses:
        return Solution(states, outcome, lost_share, lost_at)
    if not prove:
        outcome[doubtful] = Outcome.NO_SOLUTION
        return Solution(states, outcome, lost_share, lost_at)
    followed = doubtful | (outcome == Outcome.FLASHING) if place_losses else doubtful
    if followed.any():
        chosen = np.flatnonzero(followed)
        path = _follow_heat(network, machine, liquid, _cases_of(cases, chosen))
        states.put(chosen, path.states)
        outcome[chosen], lost_share[chosen], lost_at[chosen] = path.outcome, path.lost_share, path.lost_at
    return Solution(states, outcome, lost_share, lost_at)


def _follow_heat(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays) -> Solution:
    full = cases.heat_scale
    states = empty_batch(full.size, network.kind.size, network.unknown.size, machine.inner.shape[1])
    solve_batch(network, machine, liquid, cases._replace(heat_scale=0.0 * full), False, states)
    isothermal = _closed(states, liquid)
    share, step = np.zeros(full.size), np.full(full.size, FIRST_STEP)
    margin, place = _worst(states)
    lost = ~isothermal | (margin < 0)
    lost_share, lost_at = np.where(lost, 0.0, np.nan), np.where(lost, place, -1)
    while (active := np.flatnonzero(isothermal & (share < 1) & (step > LEAST_STEP))).size:
        tried = np.minimum(share + step, 1.0)[active]
        trial = states.of(active)
        part = _cases_of(cases, active)._replace(heat_scale=tried * full[active])
        solve_batch(network, machine, liquid, part, True, trial)
        good = _closed(trial, liquid)
        step[active[~good]] *= 0.5
        margin, _ = _worst(trial)
        crossing = good & (margin < 0) & ~lost[active]
        if crossing.any():
            where = active[crossing]
            lost_share[where], lost_at[where] = _place(network, machine, liquid, _cases_of(cases, where),
                                                       states.of(where), share[where], tried[crossing])
            lost[where] = True
        kept = active[good]
        states.put(kept, trial.of(good))
        share[kept] = tried[good]
    stuck = share < 1
    unplaced = stuck & ~lost
    _, place = _worst(states)
    lost_share[unplaced], lost_at[unplaced] = share[unplaced], place[unplaced]
    outcome = np.where(stuck, int(Outcome.NO_SOLUTION), _by_margins(states))
    states.scalars[stuck, solve.CONVERGED] = 0.0
    return Solution(states, outcome, lost_share, lost_at)


def _place(network: NetworkArrays, machine: MachineArrays, liquid: LiquidArrays, cases: CaseArrays,
           states: BatchArrays, low: NDArray[np.float64], high: NDArray[np.float64]
           ) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    low, high = low.copy(), high.copy()
    place = np.zeros(low.size, np.int64)
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        solve_batch(network, machine, liquid, cases._replace(heat_scale=middle * cases.heat_scale), True, states)
        margin, place = _worst(states)
        liquid_there = _closed(states, liquid) & (margin >= 0)
        low, high = np.where(liquid_there, middle, low), np.where(liquid_there, high, middle)
    return 0.5 * (low + high), place


def _cases_of(cases: CaseArrays, chosen: NDArray[np.int64]) -> CaseArrays:
    return CaseArrays(*(array[chosen] for array in cases))  # type: ignore[arg-type]


def _closed(states: BatchArrays, liquid: LiquidArrays) -> NDArray[np.bool_]:
    """Converged, and every station inside the temperatures of the property table."""
    last = liquid.first_temperature + liquid.rows.shape[0] * liquid.temperature_step
    inside = (states.temperature <= last).all(axis=1)
    return np.asarray((states.scalars[:, solve.CONVERGED] > 0) & inside)


def _worst(states: BatchArrays) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    return states.scalars[:, solve.PRESSURE_MARGIN], states.scalars[:, solve.PRESSURE_MARGIN_AT].astype(np.int64)


def _by_margins(states: BatchArrays) -> NDArray[np.int64]:
    bulk, wall = states.scalars[:, solve.PRESSURE_MARGIN], states.scalars[:, solve.WALL_MARGIN]
    held = np.where(wall < 0, _WALL_BOILING, _LIQUID)
    return np.where(bulk >= 0, held, np.where(bulk < 0, _FLASHING, _UNKNOWN))
