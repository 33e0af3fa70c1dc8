"""One running pump watched: samples in, the hidden margin second by second out, and alarms that latch."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from wetpath.circulation.batch import threads
from wetpath.watching.causes import Suspect, likeliest, signatures_of, suspects, told_apart
from wetpath.watching.moves import Move, moved, moves
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors, Reconciled, errors_of, measured, reconcile
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import (
    AT,
    FEED,
    FLOW,
    MARGIN,
    POWER,
    PRESSURE,
    RATIO,
    TEMPERATURE,
    WALL_MARGIN,
    Surrogate,
    columns_at,
    margins_of,
)

Array = NDArray[np.float64]

#: Seconds kept before an alarm, of one window, and windows that make the baseline: the signals as they are at first.
KEPT, WINDOW, BASELINE = 600.0, 20.0, 180
#: Samples in a row that make an alarm of a margin. Common practice, no source.
IN_A_ROW = 5
#: A pump that takes less than this share of its usual power, or turns slower than that share, stands.
STANDS = 0.15
#: Windows that are averaged before they are compared with the baseline, the distance that counts, and the part of an
#: error that may wander without a cause. Common practice, no source.
SMOOTH, FAR, WANDERS = 3, 5.0, 0.25
#: A signal has moved when it lies this many of its errors from its first hour. Common practice, no source.
ALONE = 2.0
#: Of a misfit: probability that signals without a fault are called at odds.
AT_ODDS = 1e-6
#: Misfit that counts, by the number of signals to spare.
_TOO_MUCH = [np.inf, *(float(chi2.ppf(1 - AT_ODDS, spare)) for spare in range(1, SIGNALS + 1))]
#: Samples that one thread reconciles at a time.
SHARE = 1024


@dataclass(frozen=True, eq=False)
class Judged:
    """What some samples say; NaN where the pump stands or nothing can be told."""

    time: Array
    margin: Array             # vapour margin at the worst station [Pa]
    station: NDArray[np.int64]
    wall_margin: Array        # [K]
    flow: Array               # [m3/s] reconciled
    pull_out_ratio: Array
    misfit: Array             # sum of squares of the residuals
    spare: Array              # signals beyond the unknowns
    outside: NDArray[np.bool_]      # beyond the region of the surrogate


@dataclass(frozen=True, eq=False)
class Alarm:
    """Something that was found; it stays until somebody takes it back."""

    name: str
    time: float
    text: str
    evidence: tuple[str, ...]
    before: Samples                   # the ten minutes before
    suspects: tuple[Suspect, ...] = ()
    moves: tuple[Move, ...] = ()


@dataclass(eq=False)
class Counts:
    """How many samples were what."""

    taken: int = 0
    running: int = 0
    outside: int = 0
    few_signals: int = 0


@dataclass(eq=False)
class Lowest:
    """The lowest margin so far."""

    margin: float = np.inf
    time: float = np.nan
    station: str = ""
    wall_margin: float = np.inf
    wall_time: float = np.nan


@dataclass(eq=False)
class _Window:
    begins: float = np.nan
    total: Array = field(default_factory=lambda: np.zeros(SIGNALS))
    number: Array = field(default_factory=lambda: np.zeros(SIGNALS))
    states: Array = field(default_factory=lambda: np.zeros(STATES))
    shown: Array = field(default_factory=lambda: np.zeros(SIGNALS))
    samples: int = 0


class Watcher:
    """Watches one pump; memory does not grow with the samples.

    Parameters
    ----------
    surrogate : Surrogate
    errors : Errors, optional
        Of the instruments; those that come with the program without it.
    """

    def __init__(self, surrogate: Surrogate, errors: Errors | None = None) -> None:
        self.surrogate, self.errors = surrogate, errors or errors_of(surrogate)
        practice = surrogate.rating.practice
        self.margin_asked = float(practice["vapour_margin_pressure"].value)
        self.alarms: dict[str, Alarm] = {}
        self.counts, self.lowest = Counts(), Lowest()
        self.feed = 1.0
        self._coefficients = surrogate.at_feed(1.0)
        self._usual_power = float(self._usual()[POWER])
        self._kept = Samples(np.zeros(0), {})          # the last ten minutes, and the samples in hand
        self._window = _Window()
        self._baseline: list[Array] = []
        self._recent: deque[Array] = deque(maxlen=SMOOTH)
        self._state_mean = self.errors.usual.copy()
        self._reference = self.errors.usual.copy()
        self._usual_residuals, self._usual_variance = np.zeros(SIGNALS), np.zeros(SIGNALS)
        self._shown_first, self._moved_signals = np.zeros(SIGNALS), np.zeros(SIGNALS, bool)
        self._row: dict[str, int] = {}

    def _usual(self) -> Array:
        return np.asarray(columns_at(self._coefficients, self.surrogate.low, self.surrogate.high,
                                     self.errors.usual[None, :])[0])

    def take(self, samples: Samples, *, raised: Callable[[Alarm], None] | None = None) -> Judged:
        """Judge samples, in the order of time; ``raised`` is told of every new alarm."""
        values = measured(samples)
        running = self._running(values)
        judged, found = self._judge(samples.time, values, running)
        self.counts.taken += samples.count
        self.counts.running += int(running.sum())
        self.counts.outside += int(judged.outside.sum())
        self._kept = Samples.joined([self._kept, samples])
        self._see_lowest(judged)
        for alarm in [*self._margin_alarms(judged, values, running, found),
                      *self._windows(samples.time, values, judged, running, found)]:
            if alarm.name not in self.alarms:
                self.alarms[alarm.name] = alarm
                if raised is not None:
                    raised(alarm)
        if samples.count:
            self._kept = self._kept.between(samples.time[-1] - KEPT, np.inf)
        return judged

    def take_back(self, name: str) -> None:
        """Take back a latched alarm: it was seen and dealt with."""
        self.alarms.pop(name, None)

    def _running(self, values: Array) -> NDArray[np.bool_]:
        power, speed = values[:, ORDER.index(Signal.MOTOR_POWER)], values[:, ORDER.index(Signal.SPEED)]
        stands = (power < STANDS * self._usual_power) | (speed < STANDS * self.errors.usual[2])
        return ~stands & np.isfinite(values).any(axis=1)

    def _judge(self, time: Array, values: Array, running: NDArray[np.bool_]) -> tuple[Judged, Reconciled | None]:
        count = time.size
        empty = np.full(count, np.nan)
        if not running.any():
            nowhere = np.zeros(count, np.int64)
            return Judged(time, empty, nowhere, empty, empty, empty, empty, np.zeros(count), running), None
        chosen = np.flatnonzero(running)
        found = self._reconciled(values[chosen])
        margins = margins_of(self.surrogate.liquid.arrays, found.columns, found.states[:, TEMPERATURE].copy(),
                             found.states[:, PRESSURE].copy())
        edge = 1e-9 * (self.surrogate.high[:STATES] - self.surrogate.low[:STATES])
        inside = ((found.states > self.surrogate.low[:STATES] + edge)
                  & (found.states < self.surrogate.high[:STATES] - edge)).all(axis=1)

        def spread(part: Array) -> Array:
            whole = np.full(count, np.nan)
            whole[chosen] = part
            return whole

        told = np.where(inside, 1.0, np.nan)
        station, outside = np.zeros(count, np.int64), np.zeros(count, bool)
        station[chosen], outside[chosen] = margins[:, AT].astype(np.int64), ~inside
        spare = np.zeros(count)
        spare[chosen] = found.spare
        return Judged(time, spread(margins[:, MARGIN] * told), station, spread(margins[:, WALL_MARGIN] * told),
                      spread(found.states[:, FLOW]), spread(margins[:, RATIO] * told), spread(found.misfit), spare,
                      outside), found

    def _reconciled(self, values: Array) -> Reconciled:
        parts = [values[first:first + SHARE] for first in range(0, len(values), SHARE)]

        def one(part: Array) -> Reconciled:
            return reconcile(self.surrogate, self._coefficients, self.errors, part)

        if len(parts) == 1 or threads() == 1:
            done: Sequence[Reconciled] = [one(part) for part in parts]
        else:
            with ThreadPoolExecutor(threads()) as pool:
                done = list(pool.map(one, parts))
        return Reconciled(*(np.concatenate([getattr(part, name) for part in done])
                            for name in ("states", "columns", "residuals", "misfit", "spare")))

    def _before(self, time: float) -> Samples:
        return self._kept.between(time - KEPT, time + 1e-9)

    def _see_lowest(self, judged: Judged) -> None:
        if np.isfinite(judged.margin).any():
            at = int(np.nanargmin(judged.margin))
            if judged.margin[at] < self.lowest.margin:
                self.lowest.margin, self.lowest.time = float(judged.margin[at]), float(judged.time[at])
                self.lowest.station = self.surrogate.stations[int(judged.station[at])]
        if np.isfinite(judged.wall_margin).any():
            at = int(np.nanargmin(judged.wall_margin))
            if judged.wall_margin[at] < self.lowest.wall_margin:
                self.lowest.wall_margin, self.lowest.wall_time = float(judged.wall_margin[at]), float(judged.time[at])

    def _margin_alarms(self, judged: Judged, values: Array, running: NDArray[np.bool_], found: Reconciled | None
                       ) -> list[Alarm]:
        raised = []
        for name, below, text in (
                ("margin short", judged.margin < self.margin_asked, "the vapour margin is short of the practice"),
                ("margin lost", judged.margin < 0.0, "a station has reached its vapour pressure"),
                ("beyond what is known", judged.outside, "the pump has left the conditions of its enquiry: no margin "
                                                         "can be told")):
            first = self._held(name, below)
            if first is None or name in self.alarms or found is None:
                continue
            state = found.states[int(running[:first + 1].sum()) - 1]
            told = moves(self.surrogate, self._coefficients, self._reference, state)
            if name == "beyond what is known":
                shown = values[first, :STATES]
                told = self._farthest(told, np.where(np.isfinite(shown), shown, state))
            title, evidence = self._moved(told, state)
            if name != "beyond what is known":
                evidence = (f"worst at station {self.surrogate.stations[int(judged.station[first])]}", *evidence)
            raised.append(Alarm(name, float(judged.time[first]), f"{text}: {title}" if title else text, (
                *evidence, f"reconciled from {int(np.isfinite(values[first]).sum())} signals"),
                self._before(float(judged.time[first])), (), told))
        return raised

    def _farthest(self, told: tuple[Move, ...], state: Array) -> tuple[Move, ...]:
        """Moves of the point as measured, the one that has gone farthest over the region first."""
        low, high = self.surrogate.low[:STATES], self.surrogate.high[:STATES]
        beyond = np.maximum(low - state, state - high) / (high - low)
        first = moved(self._reference, state)[int(beyond.argmax())]
        return (first, *(one for one in told if one.name != first.name))

    def _moved(self, told: tuple[Move, ...], state: Array) -> tuple[str, tuple[str, ...]]:
        """Title and evidence of the move that takes most of the margin; none where the point has not moved."""
        share = np.abs(state - self._reference) / self.errors.signals[:STATES]
        if share.max() < FAR or told[0].taken <= 0:
            return "", ()
        return told[0].title, tuple(one.evidence for one in told if one.taken > 0.2 * told[0].taken)

    def _held(self, name: str, below: NDArray[np.bool_]) -> int | None:
        """First sample at which a condition has held for enough samples in a row, those before counted in."""
        run = self._row.get(name, 0)
        found = None
        if below.any():
            ends = np.flatnonzero(~below)
            since = np.arange(below.size) - np.maximum.accumulate(np.where(~below, np.arange(below.size), -1))
            if not ends.size:
                since = since + run
            else:
                since[:ends[0]] += run
            long = np.flatnonzero(below & (since >= IN_A_ROW))
            found = int(long[0]) if long.size else None
            self._row[name] = int(since[-1]) if below[-1] else 0
        elif below.size:
            self._row[name] = 0
        return found

    def _windows(self, times: Array, values: Array, judged: Judged, running: NDArray[np.bool_],
                 found: Reconciled | None) -> list[Alarm]:
        """Average residuals window by window; compare with what they were at first."""
        inside = ~judged.outside[running]
        if found is None or not inside.any():
            return []
        raised = []
        time, residuals, states = times[running][inside], found.residuals[inside], found.states[inside]
        shown = values[running][inside]
        number = np.floor(time / WINDOW)
        edges = np.flatnonzero(np.r_[True, number[1:] != number[:-1]])
        for first, past in zip(edges, np.r_[edges[1:], time.size], strict=True):
            if self._window.samples and number[first] * WINDOW != self._window.begins:
                raised += self._close()
            part = residuals[first:past]
            known = np.isfinite(part)
            window = self._window
            window.begins = float(number[first] * WINDOW)
            window.total += np.where(known, part, 0.0).sum(axis=0)
            window.number += known.sum(axis=0)
            window.states += states[first:past].sum(axis=0)
            window.shown += np.where(known, shown[first:past], 0.0).sum(axis=0)
            window.samples += int(past - first)
        return raised

    def _close(self) -> list[Alarm]:
        window, self._window = self._window, _Window()
        mean = np.where(window.number > 0, window.total / np.maximum(window.number, 1), np.nan)
        states = window.states / window.samples
        shown = np.where(window.number > 0, window.shown / np.maximum(window.number, 1), np.nan)
        self._state_mean = states
        spare = int(np.isfinite(mean).sum()) - STATES
        raised = []
        if len(self._baseline) == BASELINE:
            mean = mean - self._usual_residuals
            self._moved_signals = np.abs(shown - self._shown_first) > ALONE * self.errors.signals
        misfit = float(np.nansum(mean**2))
        if spare > 0 and misfit > _TOO_MUCH[spare]:
            raised += self._named("signals at odds", window.begins, mean, np.ones(SIGNALS),
                                  f"signals do not fit the pump as rated, misfit {misfit:.0f} with {spare} to spare")
        if len(self._baseline) < BASELINE:
            self._baseline.append(mean)
            self._reference = self._reference + (states - self._reference) / len(self._baseline)
            self._shown_first = self._shown_first + (shown - self._shown_first) / len(self._baseline)
            self._usual_residuals = np.mean(self._baseline, axis=0)
            self._usual_variance = np.var(self._baseline, axis=0)
            return raised
        self._recent.append(mean)
        if len(self._recent) == SMOOTH:
            raised += self._drift(window.begins)
        return raised

    def _drift(self, time: float) -> list[Alarm]:
        moved = np.mean(self._recent, axis=0)
        scatter = np.sqrt(self._usual_variance * (1 / BASELINE + 1 / SMOOTH))
        deviations = np.hypot(np.nan_to_num(scatter, nan=1.0), WANDERS)
        if not np.isfinite(moved).sum() > STATES:
            return []
        size = np.abs(moved) / deviations
        if np.nanmax(size) < FAR:
            return []
        return self._named("drift", time, moved, deviations, "the signals have moved against each other")

    def _follow(self, less: float) -> None:
        """Take less area of the feed passages from now on: the margins told are then those of the pump as it is."""
        least, most = float(self.surrogate.low[FEED]), float(self.surrogate.high[FEED])
        self.feed = float(np.clip(self.feed - less, least, most))
        self._coefficients = self.surrogate.at_feed(self.feed)
        self._recent.clear()

    def _named(self, name: str, time: float, residuals: Array, deviations: Array, text: str) -> list[Alarm]:
        found = suspects(signatures_of(self.surrogate, self.errors, self.feed, self._state_mean), residuals, deviations)
        if not found or found[0].gain < 0.5 * FAR**2:
            return []
        found = likeliest(found, tuple(str(ORDER[one]) for one in np.flatnonzero(self._moved_signals)))
        definite = told_apart(found)
        if definite and name == "drift" and found[0].name == "feed_plugging":
            self._follow(found[0].amount)
        if definite:
            title, key = found[0].title, f"{name}: {found[0].name}"
        else:
            title = f"{found[0].title}, or {found[1].title}: these signals cannot tell them apart"
            key = f"{name}: {found[0].name} or {found[1].name}"
        if key in self.alarms:
            return []
        evidence = tuple(f"{ORDER[one].replace('_', ' ')} {residuals[one]:+.1f} times its error".replace("-", "−")
                         for one in np.argsort(-np.abs(np.nan_to_num(residuals)))[:4] if np.isfinite(residuals[one]))
        return [Alarm(key, time, f"{text}: {title}", evidence, self._before(time), found)]
