"""The range of flows in which demands hold: a scan, then its ends closed in, for all demands and cases together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import compiled, in_kernel

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Selection = NDArray[np.int64]
#: What is left of some demands, by index, at flows of some cases, by index: (demands, flows).
Look = Callable[[Selection, Selection, Array], Array]

#: Flows looked at in each case, and how many more between two of them where that leaves doubt.
SCANNED, BETWEEN = 17, 3
#: Between two flows a demand may bend this many times as much as its slopes at the two say.
BEND_ROOM = 4.0
#: Where nothing is known on one side, because the circulation does not close there, an end is left this much coarser:
#: such flows take long to solve.
UNCLOSED = 20
#: Turns of closing in, each but the first two of which at least halves a bracket.
MOST_TURNS = 40
#: Turns in which the middle is not looked at: the curve mostly knows better.
CURVED_TURNS = 2
#: Newton steps on the curve through the ends of a bracket.
CURVE_STEPS = 4
# Rows of a bracket: both flows, what is left there times the flow, and its slope over the flow, NaN where not known.
_BAD, _GOOD, _LEFT_BAD, _LEFT_GOOD, _RISE_BAD, _RISE_GOOD = range(6)
_BRACKET = 6


@dataclass
class Ranges:
    """Ends of the ranges in which demands hold; first axis lower and upper end, then the demand, then the case."""

    bad: Array            # flow that does not do, NaN where the range goes on past the flows looked at
    good: Array           # flow beside it that does
    unknown: Flags        # (demands, cases)
    nowhere: Flags

    @property
    def ends(self) -> Array:
        """Lowest and highest flow: 0 and inf where there is no end, NaN where it cannot be told or holds nowhere."""
        found = np.where(np.isnan(self.bad), np.array([0.0, np.inf])[:, None, None], self.good)
        return np.where(self.unknown | self.nowhere, np.nan, found)


def flows_to_scan(first: Array, own: Array, last: Array) -> Array:
    """Flows to look at in each case, rising from first to last, its own among them; (cases, SCANNED)."""
    steps = SCANNED - 1
    place = np.arange(SCANNED)
    at = np.clip(np.rint((own - first) / (last - first) * steps), 1, steps - 1)[:, None]
    first, own, last = first[:, None], own[:, None], last[:, None]
    return np.where(place < at, first + (own - first) * place / at,
                    np.where(place == at, own, own + (last - own) * (place - at) / (steps - at)))


def find_ranges(look: Look, grid: Array, left: Array, jumps: Flags, own: Array, room: Array) -> Ranges:
    """Range around the own flow of each case in which each demand holds, or the nearest range in which it does.

    Parameters
    ----------
    look : callable
        What is left of demands at other flows, zero or more where they hold.
    grid : array (cases, flows)
        Flows looked at so far, rising, the own flow of each case among them.
    left : array (demands, cases, flows)
        What is left at them; -inf where it only can be told that it is short, NaN where it cannot be told.
    jumps : array (cases, flows - 1)
        Steps of the grid in which what is left may jump.
    own, room : array (cases,)
        Own flows, and how narrowly the ends are to be known.

    Returns
    -------
    Ranges
        With brackets no wider than ``room``.

    Notes
    -----
    What is left need not fall steadily with flow: flows between two are looked at as well wherever something may jump
    between them, or could reach zero by its values and slopes on both sides. A gap or an island narrower than a quarter
    of a step of the grid can be missed, and one within a step where nothing gives a sign of it. Curves are
    those of what is left times the flow, which has the same zeros and is nearly straight where heat spread over the
    flow governs.
    """
    every = np.arange(left.shape[0])

    def weighed(demands: Selection, cases: Selection, flow: Array) -> Array:
        return look(demands, cases, flow) * flow

    weighed_left = left * grid
    # both curves bend where the other is straight: there is doubt where both leave it
    with np.errstate(invalid="ignore", divide="ignore"):
        slope = _slopes(grid, weighed_left)
        doubtful = _doubtful(grid, left, _slopes(grid, left), weighed_left, slope) | jumps.any(axis=0)
    left = weighed_left
    if doubtful.any():
        share = np.linspace(0.0, 1.0, BETWEEN + 2)[1:-1]
        first, step = grid[:, :-1][:, doubtful, None], np.diff(grid)[:, doubtful, None]
        between = (first + share * step).reshape(grid.shape[0], -1)
        cases = np.repeat(np.arange(grid.shape[0]), between.shape[1])
        more = weighed(every, cases, between.ravel()).reshape(every.size, *between.shape)
        grid = np.concatenate([grid, between], axis=1)
        order = np.argsort(grid, axis=1)
        grid = np.take_along_axis(grid, order, axis=1)
        left = np.take_along_axis(np.concatenate([left, more], axis=2), order[None], axis=2)
        with np.errstate(invalid="ignore", divide="ignore"):
            slope = _slopes(grid, left)
    ends, flags = _ends_of_ranges(grid, left, slope, own)
    _close_in(weighed, ends.reshape(_BRACKET, -1), every.size, room)
    return Ranges(ends[_BAD], ends[_GOOD], flags[0], flags[1])


@compiled
def _slopes(grid: Array, left: Array) -> Array:
    """Slopes of the parabolas through three neighbouring points; (demands, cases, flows)."""
    demands, cases, flows = left.shape
    slope = np.empty((demands, cases, flows))
    for demand in range(demands):
        for case in range(cases):
            for at in range(flows):
                slope[demand, case, at] = _slope_at(grid[case], left[demand, case], at)
    return slope


@in_kernel
def _slope_at(flow: Any, left: Any, at: int) -> float:
    """Slope at one of at least three points, of the parabola through it and its neighbours."""
    last = flow.shape[0] - 1
    middle = min(max(at, 1), last - 1)
    before, after = flow[middle] - flow[middle - 1], flow[middle + 1] - flow[middle]
    chord_before, chord_after = (left[middle] - left[middle - 1]) / before, (left[middle + 1] - left[middle]) / after
    share = after / (after + before)
    slope = chord_before * share + chord_after * (1 - share)
    if at == 0:
        return 2 * chord_before - slope
    if at == last:
        return 2 * chord_after - slope
    return slope


@compiled
def _doubtful(grid: Array, left: Array, slope: Array, weighed: Array, weighed_slope: Array) -> Flags:
    """Steps of the grid, in all cases together, in which a demand may change its sign twice; (flows - 1,)."""
    demands, cases, flows = left.shape
    doubt = np.zeros(flows - 1, np.bool_)
    for demand in range(demands):
        for case in range(cases):
            for step in range(flows - 1):
                width = grid[case, step + 1] - grid[case, step]
                if _may_turn(left[demand, case, step], left[demand, case, step + 1], slope[demand, case, step],
                             slope[demand, case, step + 1], width) and _may_turn(
                                 weighed[demand, case, step], weighed[demand, case, step + 1],
                                 weighed_slope[demand, case, step], weighed_slope[demand, case, step + 1], width):
                    doubt[step] = True
    return doubt


@in_kernel
def _may_turn(first: float, second: float, first_slope: float, second_slope: float, width: float) -> bool:
    """Whether what is left may reach zero and come back between two flows."""
    if (first >= 0) != (second >= 0):
        return False
    if np.isinf(first) or np.isinf(second):
        return True
    # a parabola that leaves its chord by ``bend`` at the middle passes the nearer end by ``beyond``
    bend = BEND_ROOM * np.abs(first_slope - second_slope) * width / 8
    beyond = bend * np.maximum(1 - np.abs(second - first) / (4 * bend), 0.0) ** 2
    return bool(np.minimum(np.abs(first), np.abs(second)) <= beyond)


@compiled
def _ends_of_ranges(grid: Array, left: Array, slope: Array, own: Array) -> tuple[Array, Flags]:
    """Brackets around the range that holds the own flow of each case, or around the nearest one.

    The rows of a bracket for the lower and the upper end, (6, 2, demands, cases), and where a demand is unknown or
    holds nowhere, (2, demands, cases).
    """
    demands, cases, flows = left.shape
    ends = np.empty((_BRACKET, 2, demands, cases))
    flags = np.zeros((2, demands, cases), np.bool_)
    for case in range(cases):
        flow = grid[case]
        at_own = 0
        for at in range(flows):
            if np.abs(flow[at] - own[case]) < np.abs(flow[at_own] - own[case]):
                at_own = at
        for demand in range(demands):
            here, steep = left[demand, case], slope[demand, case]
            start = -1
            for at in range(flows):
                if here[at] >= 0 and (start < 0 or np.abs(flow[at] - flow[at_own])
                                      < np.abs(flow[start] - flow[at_own])):
                    start = at
            unknown = np.isnan(here[at_own])
            flags[0, demand, case] = unknown
            flags[1, demand, case] = start < 0 and not unknown
            for side in range(2):
                way = -1 if side == 0 else 1
                bad = start + way
                while 0 <= bad < flows and here[bad] >= 0:
                    bad += way
                inside = start >= 0 and 0 <= bad < flows and not unknown
                at, beside = (bad, bad - way) if inside else (0, 0)
                ends[_BAD, side, demand, case] = flow[at] if inside else np.nan
                ends[_GOOD, side, demand, case] = flow[beside]
                ends[_LEFT_BAD, side, demand, case], ends[_LEFT_GOOD, side, demand, case] = here[at], here[beside]
                ends[_RISE_BAD, side, demand, case], ends[_RISE_GOOD, side, demand, case] = steep[at], steep[beside]
    return ends, flags


def _close_in(look: Look, brackets: Array, demands: int, room: Array) -> None:
    """Narrow all brackets together: two flows around where a curve through its ends meets zero, and the middle.

    ``brackets`` (6, brackets) are those of `_ends_of_ranges`, brought up to date in place.
    """
    cases = room.size
    rooms = np.concatenate([room] * (brackets.shape[1] // cases))
    for turn in range(MOST_TURNS):
        allowed = np.where(np.isfinite(brackets[_LEFT_BAD]), rooms, UNCLOSED * rooms)
        open_ = np.flatnonzero(np.abs(brackets[_BAD] - brackets[_GOOD]) > allowed)
        if not open_.size:
            return
        demand, case = open_ // cases % demands, open_ % cases
        before = brackets[:, open_]
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            flow = _flows_to_try(before, room[case], 2 if turn < CURVED_TURNS else 3)
        asked = np.zeros(demands, np.bool_)
        asked[demand] = True
        found = look(np.flatnonzero(asked), np.concatenate([case] * len(flow)), flow.ravel())
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            brackets[:, open_] = _narrower(before, flow, found, (asked.cumsum() - 1)[demand])


@compiled
def _flows_to_try(brackets: Array, room: Array, tries: int) -> Array:
    """Flows inside each bracket, rising from its bad to its good end; (tries, brackets)."""
    count = room.size
    flow = np.empty((tries, count))
    share = np.empty(tries)
    for i in range(count):
        bad, width = brackets[_BAD, i], brackets[_GOOD, i] - brackets[_BAD, i]
        crossing = _crossing(brackets[_LEFT_BAD, i], brackets[_LEFT_GOOD, i], brackets[_RISE_BAD, i] * width,
                             brackets[_RISE_GOOD, i] * width)
        apart = 0.45 * room[i] / np.abs(width)
        if np.isnan(crossing):
            for k in range(tries):
                share[k] = (k + 1.0) / (tries + 1.0)
        else:
            # rising: around the crossing, and the middle before, after or between them
            low, high = crossing - apart, crossing + apart
            share[0], share[tries - 1] = low, high
            if tries > 2:
                share[0], share[2] = min(low, 0.5), max(high, 0.5)
                share[1] = min(max(0.5, low), high)
            for k in range(tries):
                share[k] = min(max(share[k], 0.02 * apart), 1 - 0.02 * apart)
        for k in range(tries):
            flow[k, i] = bad + share[k] * width
    return flow


@in_kernel
def _crossing(bad: float, good: float, rise_bad: float, rise_good: float) -> float:
    """Share of a bracket at which the cubic with these values and slopes meets zero; NaN where nothing can be said.

    Where the slopes are not known, the straight line's.
    """
    chord = good - bad
    straight = -bad / chord if np.isfinite(chord) and chord > 0 else np.nan
    square, cube = 3 * chord - 2 * rise_bad - rise_good, rise_bad + rise_good - 2 * chord
    share = straight
    for _ in range(CURVE_STEPS):
        value = bad + share * (rise_bad + share * (square + share * cube))
        share = np.minimum(np.maximum(
            share - value / (rise_bad + share * (2 * square + share * 3 * cube)), 0.0), 1.0)
    return share if np.isfinite(share) else straight


@compiled
def _narrower(brackets: Array, flow: Array, found: Array, which: Selection) -> Array:
    """The brackets after a look: around the flow that does not do and lies nearest to the good end."""
    tries, count = flow.shape
    after = np.empty((_BRACKET, count))
    flows, left = np.empty(tries + 2), np.empty(tries + 2)
    for i in range(count):
        flows[0], flows[-1] = brackets[_BAD, i], brackets[_GOOD, i]
        left[0], left[-1] = brackets[_LEFT_BAD, i], brackets[_LEFT_GOOD, i]
        for k in range(tries):
            flows[k + 1], left[k + 1] = flow[k, i], found[which[i], k * count + i]
        bad = tries + 1
        while bad > 0 and left[bad] >= 0:
            bad -= 1
        after[_BAD, i], after[_GOOD, i] = flows[bad], flows[bad + 1]
        after[_LEFT_BAD, i], after[_LEFT_GOOD, i] = left[bad], left[bad + 1]
        after[_RISE_BAD, i], after[_RISE_GOOD, i] = _slope_at(flows, left, bad), _slope_at(flows, left, bad + 1)
    return after
