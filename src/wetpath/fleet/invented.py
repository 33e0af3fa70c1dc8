"""Readings of a pump that is not there, over any time, made by the quick model that watches: for demos and tests.

They prove nothing about the model: it finds again what it has made itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import (
    FEED,
    FLOW,
    POWER,
    PRESSURE,
    RETURN,
    RISE,
    SHELL,
    TEMPERATURE,
    Surrogate,
    columns_at,
)

Array = NDArray[np.float64]

DAY = 86400.0
#: Share of the errors of the signals that is scatter from sample to sample.
SCATTER = 0.2


@dataclass(frozen=True)
class Course:
    """How an invented pump runs. Times are UTC seconds since 1970, values SI."""

    seed: int
    step: float
    flow_swing: float = 0.03                # over a day, share
    warmth_swing: float = 0.7               # over a day [K]
    year_swing: float = 0.0                 # of the suction temperature over a year [K]
    suction_more: float = 0.0               # suction pressure over that of the case [Pa]
    suction_falls: float = 0.0              # [Pa]
    plugs: float = 0.0                      # share of the area of the feed passages
    begins: float = np.inf                  # of falling, plugging and drifting
    over: float = 30 * DAY
    stopped_since: float = np.inf
    silent_since: float = np.inf
    missing: tuple[Signal, ...] = ()
    drifts: Signal | None = None            # an instrument that drifts off, with the others
    drifts_by: float = 0.0                  # by so many of its errors


def readings(course: Course, surrogate: Surrogate, errors: Errors, begin: float, end: float) -> Samples:
    """Samples of the course from a time up to another; the same times always have the same values."""
    first = np.ceil(begin / course.step)
    time: Array = course.step * np.arange(first, np.ceil(min(end, course.silent_since) / course.step), dtype=np.float64)
    if not time.size:
        return Samples(np.zeros(0), {})
    gone = np.clip((time - course.begins) / course.over, 0.0, 1.0)
    noise = _noise(course, time)
    states = np.tile(errors.usual, (time.size, 1))
    daily = np.sin(2 * np.pi * time / DAY + course.seed)
    states[:, FLOW] *= 1 + course.flow_swing * daily * np.sin(2 * np.pi * time / (5.3 * DAY))
    states[:, TEMPERATURE] += course.warmth_swing * (daily - 1) - course.year_swing * np.cos(
        2 * np.pi * time / (365.25 * DAY))
    states[:, PRESSURE] += course.suction_more - course.suction_falls * gone
    inside = 1e-3 * (surrogate.high[:STATES] - surrogate.low[:STATES])
    states = np.clip(states, surrogate.low[:STATES] + inside, surrogate.high[:STATES] - inside)
    shown = np.empty((time.size, SIGNALS))
    shown[:, :STATES] = states
    feeds = np.round(1.0 - course.plugs * gone, 3)
    for feed in np.unique(feeds):
        chosen = feeds == feed
        told = columns_at(surrogate.at_feed(max(feed, float(surrogate.low[FEED]))), surrogate.low, surrogate.high,
                          np.ascontiguousarray(states[chosen]))
        warm = states[chosen, TEMPERATURE]
        shown[chosen, STATES:] = np.column_stack([states[chosen, PRESSURE] + told[:, RISE], told[:, POWER],
                                                  warm + told[:, SHELL], warm + told[:, RETURN]])
    shown += SCATTER * errors.signals * noise
    if course.drifts is not None:
        place = ORDER.index(course.drifts)
        shown[:, place] += course.drifts_by * errors.signals[place] * gone
    stands = time >= course.stopped_since
    power, speed = ORDER.index(Signal.MOTOR_POWER), ORDER.index(Signal.SPEED)
    shown[stands, power] = shown[stands, speed] = shown[stands, FLOW] = 0.0
    return Samples(time, {one: shown[:, place] for place, one in enumerate(ORDER) if one not in course.missing})


def _noise(course: Course, time: Array) -> Array:
    """Drawn day by day, so that any span has the noise it has in a longer one."""
    found = np.empty((time.size, SIGNALS))
    of_day = np.floor(time / DAY).astype(np.int64)
    most = int(np.ceil(DAY / course.step)) + 1
    for day in np.unique(of_day):
        chosen = of_day == day
        drawn = np.random.default_rng([course.seed, int(day)]).standard_normal((most, SIGNALS))
        place = np.round(time[chosen] / course.step).astype(np.int64) - int(np.ceil(day * DAY / course.step))
        found[chosen] = drawn[place]
    return found
