"""The range of flows in which demands hold: a scan, then its ends closed in, for all demands and cases together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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


@dataclass
class Ranges:
    """Ends of the ranges in which demands hold; first axis lower and upper end, then the demand, then the case."""

    bad: Array            # flow that does not do, NaN where the range goes on past the flows looked at
    good: Array           # flow beside it that does
    left_bad: Array       # what is left there, times the flow
    left_good: Array
    rise_bad: Array       # slope of that over the flow, NaN where it is not known
    rise_good: Array
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
    slope = _slopes(grid, weighed_left)
    bends = (_doubtful(grid, left, _slopes(grid, left)) & _doubtful(grid, weighed_left, slope)).any(axis=0)
    doubtful = (bends | jumps).any(axis=0)
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
        slope = _slopes(grid, left)
    ranges = _brackets(grid, left, slope, np.abs(grid - own[:, None]).argmin(axis=1))
    _close_in(weighed, ranges, room)
    return ranges


def _slopes(grid: Array, left: Array) -> Array:
    """Slopes of the parabolas through three neighbouring points."""
    width = np.diff(grid)
    with np.errstate(invalid="ignore"):
        chord = np.diff(left) / width
        before = width[:, 1:] / (width[:, 1:] + width[:, :-1])
        inner = chord[..., :-1] * before + chord[..., 1:] * (1 - before)
        first, last = 2 * chord[..., :1] - inner[..., :1], 2 * chord[..., -1:] - inner[..., -1:]
    return np.concatenate([first, inner, last], axis=-1)


def _doubtful(grid: Array, left: Array, slope: Array) -> Flags:
    """Steps of the grid in which a demand may change its sign twice; (demands, cases, flows - 1)."""
    first, second = left[..., :-1], left[..., 1:]
    same = (first >= 0) == (second >= 0)
    with np.errstate(invalid="ignore", divide="ignore"):
        # a parabola that leaves its chord by ``bend`` at the middle passes the nearer end by ``beyond``
        bend = BEND_ROOM * np.abs(slope[..., :-1] - slope[..., 1:]) * np.diff(grid) / 8
        beyond = bend * np.maximum(1 - np.abs(second - first) / (4 * bend), 0.0) ** 2
        reaches = np.minimum(np.abs(first), np.abs(second)) <= beyond
    unclosed = np.isinf(first) | np.isinf(second)
    return np.asarray(same & (unclosed | reaches))


def _brackets(grid: Array, left: Array, slope: Array, own: Selection) -> Ranges:
    """Brackets around the range that holds the own flow of each case, or around the nearest one."""
    cases = np.arange(grid.shape[0])
    good, unknown, place = left >= 0, np.isnan(left[:, cases, own]), np.arange(grid.shape[1])
    far = np.where(good, np.abs(grid - grid[cases, own][:, None]), np.inf)
    start = far.argmin(axis=-1)[..., None]
    below = np.where(~good & (place < start), place, -1).max(axis=-1)
    above = np.where(~good & (place > start), place, place.size).min(axis=-1)
    nowhere = ~good.any(axis=-1) & ~unknown
    bad = np.array([below, above])
    inside = (bad >= 0) & (bad < place.size) & ~unknown & ~nowhere
    at = np.where(inside, bad, 0)
    beside = np.where(inside, bad + np.array([1, -1])[:, None, None], 0)
    demands = np.arange(left.shape[0])[:, None]
    return Ranges(np.where(inside, grid[cases, at], np.nan), grid[cases, beside], left[demands, cases, at],
                  left[demands, cases, beside], slope[demands, cases, at], slope[demands, cases, beside], unknown,
                  nowhere)


def _close_in(look: Look, ranges: Ranges, room: Array) -> None:
    """Narrow all brackets together: two flows around where a curve through its ends meets zero, and the middle."""
    bad, good, left_bad, left_good = ranges.bad, ranges.good, ranges.left_bad, ranges.left_good
    for turn in range(MOST_TURNS):
        open_ = np.nonzero(np.abs(bad - good) > np.where(np.isfinite(left_bad), room, UNCLOSED * room))
        if not open_[0].size:
            return
        _, demand, case = open_
        width = good[open_] - bad[open_]
        crossing = _crossing(left_bad[open_], left_good[open_], ranges.rise_bad[open_] * width,
                             ranges.rise_good[open_] * width)
        apart = 0.45 * room[case] / np.abs(width)
        tried = [crossing - apart, crossing + apart, np.full_like(crossing, 0.5)][:2 if turn < CURVED_TURNS else 3]
        around = np.clip(tried, 0.02 * apart, 1 - 0.02 * apart)
        evenly = np.linspace(0.0, 1.0, len(tried) + 2)[1:-1, None]
        share = np.sort(np.where(np.isnan(crossing), evenly, around), axis=0)
        flow = bad[open_] + share * width
        wanted, which = np.unique(demand, return_inverse=True)
        found = look(wanted, np.tile(case, len(tried)), flow.ravel()).reshape(wanted.size, *flow.shape)
        left = found[which, :, np.arange(demand.size)].T
        flows = np.vstack([bad[open_], flow, good[open_]])
        values = np.vstack([left_bad[open_], left, left_good[open_]])
        # the flow that does not do and lies nearest to the good end, and the one after it
        last = flows.shape[0] - 1 - (~(values >= 0))[::-1].argmax(axis=0)
        column = np.arange(demand.size)
        bad[open_], good[open_] = flows[last, column], flows[last + 1, column]
        left_bad[open_], left_good[open_] = values[last, column], values[last + 1, column]
        rise = _slopes(flows.T, values.T)
        ranges.rise_bad[open_], ranges.rise_good[open_] = rise[column, last], rise[column, last + 1]


def _crossing(bad: Array, good: Array, rise_bad: Array, rise_good: Array) -> Array:
    """Share of a bracket at which the cubic with these values and slopes meets zero; NaN where nothing can be said.

    Where the slopes are not known, the straight line's.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        chord = good - bad
        straight = np.where(np.isfinite(chord) & (chord > 0), -bad / chord, np.nan)
        square, cube = 3 * chord - 2 * rise_bad - rise_good, rise_bad + rise_good - 2 * chord
        share = straight
        for _ in range(CURVE_STEPS):
            value = bad + share * (rise_bad + share * (square + share * cube))
            share = np.clip(share - value / (rise_bad + share * (2 * square + share * 3 * cube)), 0.0, 1.0)
    return np.where(np.isfinite(share), share, straight)
