"""One pump watched over one span of time: the part in which a year of a fleet is replayed, here or elsewhere."""

from __future__ import annotations

import json
import pickle
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetpath.fleet.hours import COLUMNS, HOUR, hour_row
from wetpath.fleet.invented import Course, readings
from wetpath.fleet.snapshot import MemoryNotKnown, memory_of, remember
from wetpath.questions.parts import Result
from wetpath.questions.protection.signals import warmest_band
from wetpath.rating.rate import Rating
from wetpath.watching.margin_range import MarginRange
from wetpath.watching.reconcile import SIGNALS, Errors, errors_of
from wetpath.watching.samples import Samples
from wetpath.watching.substitutes import NONE, Substitutes
from wetpath.watching.surrogate import Surrogate, surrogate_of
from wetpath.watching.watcher import Alarm, Judged, Watcher

Array = NDArray[np.float64]

#: Running hours in a row without a reason after which an alarm of these names closes by itself. Common practice, no
#: source. All others stay open: what they tell of does not go away by itself.
CLOSES = 24
CLOSING = ("margin short", "margin lost", "beyond what is known")
#: Columns of a minute before the means of the signals.
MINUTE_NAMES = ("time", "margin", "wall_margin", "told_flow", "misfit")


@dataclass(frozen=True, eq=False)
class SpanTask:
    """What is watched next: whole hours, what the watch remembers (nothing at first), and the readings."""

    begin: float
    end: float
    memory: bytes
    source: Samples | Course


@dataclass(frozen=True, eq=False)
class PumpToWatch:
    """A rated pump of which the quick model is to be made, and which of its signals are told by others."""

    rating: Rating
    case: int
    told: Substitutes = NONE


def model_made(shared: None, pump: PumpToWatch) -> Result:
    """Make the quick model of a pump, with the errors of its signals, packed."""
    surrogate = surrogate_of(pump.rating, pump.case, band=warmest_band(pump.rating.situation, pump.case))
    packed = pickle.dumps((surrogate, errors_of(surrogate, pump.told)), protocol=pickle.HIGHEST_PROTOCOL)
    return {"model": np.frombuffer(packed, np.uint8), "case": np.array(pump.case),
            "error": np.array(surrogate.error)}


def span_watched(shared: tuple[Surrogate, Errors], task: SpanTask) -> Result:
    """Watch a pump over a span, hour by hour.

    Returns
    -------
    dict
        ``hours`` (hours, `COLUMNS`), ``minutes``, ``memory``, and ``told`` as JSON in bytes: alarms opened and closed,
        names of the stations, and why the watch began anew where it could not go on from its memory.

    Notes
    -----
    The watch takes whole hours of UTC, however the readings come: cuts do not change a bit.
    """
    surrogate, errors = shared
    watcher, free = Watcher(surrogate, errors), dict[str, int]()
    anew = ""
    if task.memory:
        try:
            free = remember(watcher, task.memory)
        except MemoryNotKnown as error:
            watcher, anew = Watcher(surrogate, errors), str(error)
    source = task.source
    samples = source if isinstance(source, Samples) else readings(source, surrogate, errors, task.begin, task.end)
    samples = samples.between(task.begin, task.end)
    spread = MarginRange(surrogate, errors)
    opened: list[dict[str, Any]] = []
    closed: dict[str, float] = {}
    rows, minutes = [np.zeros((0, COLUMNS))], [np.zeros((0, len(MINUTE_NAMES) + SIGNALS))]
    edges = np.searchsorted(samples.time, np.arange(task.begin, task.end + 1.0, HOUR))
    for first, past in pairwise(edges):
        if first == past:
            continue
        piece = Samples(samples.time[first:past], {one: value[first:past] for one, value in samples.values.items()})
        raised: list[Alarm] = []
        judged = watcher.take(piece, raised=raised.append)
        opened += [_alarm(one) for one in raised]
        values = errors.measured(piece)
        row = hour_row(spread, judged, values, ~np.isfinite(judged.flow), watcher.feed)
        rows.append(row[None, :])
        minutes.append(minute_rows(judged, values))
        for name in _without_reason(watcher, row, free):
            watcher.take_back(name)
            closed[name] = float(row[0] + HOUR)
    told = {"opened": opened, "closed": closed, "stations": list(surrogate.stations), "anew": anew}
    return {"hours": np.concatenate(rows), "minutes": np.concatenate(minutes),
            "memory": np.frombuffer(memory_of(watcher, free), np.uint8),
            "told": np.frombuffer(json.dumps(told).encode(), np.uint8)}


def minute_rows(judged: Judged, values: Array) -> Array:
    """Least margins of each minute, and means of flow, misfit and every signal; NaN where there is none."""
    minute = 60.0 * np.floor(judged.time / 60.0)
    starts = np.flatnonzero(np.r_[True, np.diff(minute) != 0])
    least = np.fmin.reduceat(np.column_stack([judged.margin, judged.wall_margin]), starts, axis=0)
    whole = np.column_stack([judged.flow, judged.misfit, values])
    known = np.isfinite(whole)
    count = np.add.reduceat(known.astype(float), starts, axis=0)
    total = np.add.reduceat(np.where(known, whole, 0.0), starts, axis=0)
    means = np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0)
    return np.column_stack([minute[starts], least, means])


def _without_reason(watcher: Watcher, row: Array, free: dict[str, int]) -> list[str]:
    """Names of alarms that have had no reason for long enough; counts go on in ``free``."""
    running, outside, least = row[2], row[3], row[6]
    found = []
    for name in CLOSING:
        if name not in watcher.alarms or not running:
            continue
        reason = (outside > 0 if name == "beyond what is known"
                  else not least >= (watcher.margin_asked if name == "margin short" else 0.0))
        free[name] = 0 if reason else free.get(name, 0) + 1
        if free[name] >= CLOSES:
            found.append(name)
            del free[name]
    return found


def _alarm(one: Alarm) -> dict[str, Any]:
    return {"name": one.name, "time": one.time, "text": one.text, "evidence": list(one.evidence),
            "suspects": [{"name": each.name, "title": each.title, "instrument": each.instrument,
                          "amount": each.amount, "gain": each.gain} for each in one.suspects]}
