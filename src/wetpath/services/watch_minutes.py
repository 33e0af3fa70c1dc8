"""A watch minute by minute: margins with their range, coupling, bearings, in bounded memory while it goes on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetpath.rating.flow_limits import at_inputs
from wetpath.watching.margin_range import MarginRange
from wetpath.watching.reconcile import SIGNALS, STATES
from wetpath.watching.surrogate import FLOW, PRESSURE, SPEED, TEMPERATURE
from wetpath.watching.watcher import Judged, Watcher

Array = NDArray[np.float64]

#: Columns of the sums of a minute: the least of the first five, sums and counts behind them.
_LEAST, _COUNTS = 5, 8 + STATES + 1
SUMS = _COUNTS + SIGNALS
#: Columns of a minute.
TIME, MARGIN, HALF_RANGE, WALL_MARGIN, MEAN_FLOW, MISFIT, COUPLING, FILM = range(8)


def sums_by_minute(judged: Judged, values: Array, feed: float) -> Array:
    """What `by_minute` needs of every minute, (minutes, SUMS).

    Least margins, feed area and coupling ratio; sums and counts of flow and misfit; sums of spare signals, of suction
    temperature, speed and suction pressure; counts of every signal.
    """
    minute = 60.0 * np.floor(judged.time / 60.0)
    flow, misfit = judged.flow, judged.misfit
    runs = np.isfinite(flow)
    there = np.isfinite(values) & runs[:, None]
    return together(np.column_stack([
        minute, judged.margin, judged.wall_margin, np.full(minute.size, feed), judged.pull_out_ratio,
        np.nan_to_num(flow), runs, np.nan_to_num(misfit), np.isfinite(misfit),
        np.where(np.isfinite(misfit), judged.spare, 0.0), np.where(there, values, 0.0)[:, 1:STATES], there]))


def together(rows: Array) -> Array:
    """Rows of equal times made one: the least of margins, feed area and coupling ratio, the sum of the rest."""
    starts = np.flatnonzero(np.r_[True, np.diff(rows[:, 0]) != 0])
    return np.column_stack([rows[starts, 0], np.fmin.reduceat(rows[:, 1:_LEAST], starts, axis=0),
                            np.add.reduceat(rows[:, _LEAST:], starts, axis=0)])


def by_minute(sums: Array, watcher: Watcher) -> Array:
    """Every minute in a row, (minutes, 8); a minute may come in several rows of sums.

    Time, least margin, half the range of 95 % of it, least wall margin, mean flow, mean misfit, least pull-out torque
    over the torque asked, and least film of the journal bearings over their roughness at the mean state, solved in
    full for bearings as new. The range is as the errors of the signals there make it, wider where they disagree by the
    root of the misfit over what is to be expected (R. T. Birge, Physical Review 40, 1932).
    """
    rows = together(sums)
    with np.errstate(invalid="ignore", divide="ignore"):
        flow, misfit, spare = rows[:, 5] / rows[:, 6], rows[:, 7] / rows[:, 8], rows[:, 9] / rows[:, 8]
        counts = rows[:, _COUNTS:]
        means = rows[:, 10:_COUNTS] / counts[:, 1:STATES]
        wider = np.sqrt(np.fmax(misfit / spare, 1.0))
    states = np.column_stack([flow, np.where(np.isfinite(means), means, watcher.errors.usual[1:])])
    half, film = np.full((2, len(rows)), np.nan)
    told = np.isfinite(rows[:, 1])
    spread = MarginRange(watcher.surrogate, watcher.errors)
    for feed in np.unique(rows[told, 3]).tolist():
        these = told & (rows[:, 3] == feed)
        half[these] = spread.half(states[these], counts[these] > 0, feed) * wider[these]
    if told.any():
        film[told] = films_at(watcher, states[told])
    return np.column_stack([rows[:, 0], rows[:, 1], half, rows[:, 2], flow, misfit, rows[:, 4], film])


def films_at(watcher: Watcher, states: Array) -> Array:
    """Least film of the journal bearings over roughness at states (samples, 4) of the case watched."""
    rating = watcher.surrogate.rating
    case = np.full(len(states), watcher.surrogate.case)
    columns = {name: getattr(rating.inputs, name)[case].copy() for name in rating.inputs.__dataclass_fields__}
    columns |= {name: states[:, place].copy() for name, place in (
        ("flow", FLOW), ("temperature", TEMPERATURE), ("speed", SPEED), ("pressure", PRESSURE))}
    return np.asarray(at_inputs(rating.situation, case, type(rating.inputs)(**columns)
                                ).bearings.film_ratio.min(axis=1))
