"""One running pump watched: samples in, the hidden margin second by second out, and alarms that latch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from wetpath.circulation.batch import threads
from wetpath.watching.baseline import LEAST, LIMITS, WINDOW, Baseline
from wetpath.watching.diagnosis import LASTS, Diagnosis, evidence_of, library_for, rated, title_of
from wetpath.watching.evidence import NORMAL, Seen, Suspect, told_apart, weigh
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors, Reconciled, errors_of, reconcile
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import (
    AT,
    FEED,
    FLOW,
    MARGIN,
    NPSH_MARGIN,
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

#: Seconds kept before an alarm.
KEPT = 600.0
#: Samples in a row that make an alarm of a margin. Common practice, no source.
IN_A_ROW = 5
#: A pump that takes less than this share of its usual power, or turns slower than that share, stands. One that has lost
#: its liquid, or whose rings have fallen out of step, takes a tenth.
STANDS, STILL = 0.03, 0.15
#: Seconds before an alarm of the margin in which its cause is looked for.
RECENT = 10.0
#: Windows in a row that are off before a cause is looked for, and the most before it is looked for again.
IN_TURN, SELDOM = 2, 180
#: Of a misfit against the rating: probability that signals without a fault are called at odds.
AT_ODDS = 1e-6
#: Misfit that counts, by the number of signals to spare.
_TOO_MUCH = [np.inf, *(float(chi2.ppf(1 - AT_ODDS, spare)) for spare in range(1, SIGNALS + 1))]
#: Samples that one thread reconciles at a time.
SHARE = 1024
#: Deviations by which the NPSH margin of a sample has to lie below what this pump usually has.
FALLEN = 4.0
_SHORT = "the vapour margin is short of the practice"
_LOST = "a station has reached its vapour pressure"
_SUCTION = "the NPSH available is below that required"
_BEYOND = "the pump has left the conditions of its enquiry: no margin can be told"
_CHANGED = "the signals do not fit the pump as it ran"


@dataclass(frozen=True, eq=False)
class Judged:
    """What some samples say; NaN where the pump stands or nothing can be told."""

    time: Array
    margin: Array             # vapour margin at the worst station [Pa]
    station: NDArray[np.int64]
    wall_margin: Array        # [K]
    flow: Array               # [m3/s] reconciled
    pull_out_ratio: Array
    npsh_margin: Array        # NPSH available less that required [m]
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
    plain: str = ""                   # the text without the cause, and the evidence without that of the cause
    shown: tuple[str, ...] = ()


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


class _Sums(NamedTuple):
    """Sums over the samples of one window; signals that are there are counted one by one."""

    number: float
    signals: Array
    known: Array
    states: Array
    samples: int
    inside: bool

    def and_(self, other: _Sums) -> _Sums:
        """This window with more samples."""
        return _Sums(self.number, self.signals + other.signals, self.known + other.known, self.states + other.states,
                     self.samples + other.samples, self.inside and other.inside)

    def over(self) -> _Window:
        """The window that is over; the operating point is reconciled where nothing measures it."""
        mean = np.where(self.known > 0, self.signals / np.maximum(self.known, 1), np.nan)
        point = mean[:STATES]
        return _Window(self.number * WINDOW, mean, np.where(np.isfinite(point), point, self.states / self.samples),
                       self.samples, self.inside)


class _Window(NamedTuple):
    """Means over one window; whether all of it lies in the region of the surrogate."""

    begins: float
    mean: Array
    point: Array
    samples: int
    inside: bool


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
        self._window: _Sums | None = None
        self._baseline = Baseline(surrogate, self.errors)
        self._odd, self._look_again, self._jumps = 0, IN_TURN, np.zeros(SIGNALS)
        self.diagnosis: Diagnosis | None = None
        self._npsh = np.zeros(3)                       # number, sum and sum of squares while the baseline fills
        self._row: dict[str, int] = {}

    def _usual(self) -> Array:
        return np.asarray(columns_at(self._coefficients, self.surrogate.low, self.surrogate.high,
                                     self.errors.usual[None, :])[0])

    def take(self, samples: Samples, *, raised: Callable[[Alarm], None] | None = None) -> Judged:
        """Judge samples, in the order of time; ``raised`` is told of every new alarm."""
        values = self.errors.measured(samples)
        running = self._running(values)
        judged, found = self._judge(samples.time, values, running)
        self.counts.taken += samples.count
        self.counts.running += int(running.sum())
        self.counts.outside += int(judged.outside.sum())
        self._kept = Samples.joined([self._kept, samples])
        self._see_lowest(judged)
        tell = raised or (lambda _: None)
        windows = self._closed(samples.time, values, judged, running, found)
        happened: list[tuple[float, int, Callable[[], None]]] = []
        floor = self._npsh_floor(judged.npsh_margin)
        for name, below, text in (("margin short", judged.margin < self.margin_asked, _SHORT),
                                  ("margin lost", judged.margin < 0.0, _LOST),
                                  ("suction short", judged.npsh_margin < floor, _SUCTION),
                                  ("beyond what is known", judged.outside, _BEYOND)):
            first = self._held(name, below)
            if first is not None and name not in self.alarms:
                happened.append((float(samples.time[first]), 1, partial(
                    self._margin_alarm, name, text, first, judged, values, tell)))
        off = _Misfits(self._baseline, windows)
        happened += [(one.begins + WINDOW, 0, partial(self._window_over, place, one, off, tell))
                     for place, one in enumerate(windows)]
        for *_, act in sorted(happened, key=lambda one: one[:2]):
            act()
        if samples.count:
            self._kept = self._kept.between(samples.time[-1] - KEPT, np.inf)
        return judged

    def take_back(self, name: str) -> None:
        """Take back a latched alarm: it was seen and dealt with."""
        self.alarms.pop(name, None)

    def _running(self, values: Array) -> NDArray[np.bool_]:
        power, speed = values[:, ORDER.index(Signal.MOTOR_POWER)], values[:, ORDER.index(Signal.SPEED)]
        stands = (power < STANDS * self._usual_power) | (speed < STILL * self.errors.usual[2])
        return ~stands & np.isfinite(values).any(axis=1)

    def _judge(self, time: Array, values: Array, running: NDArray[np.bool_]) -> tuple[Judged, Reconciled | None]:
        count = time.size
        empty = np.full(count, np.nan)
        if not running.any():
            nowhere = np.zeros(count, np.int64)
            return Judged(time, empty, nowhere, empty, empty, empty, empty, empty, np.zeros(count), running), None
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
                      spread(found.states[:, FLOW]), spread(margins[:, RATIO] * told),
                      spread(margins[:, NPSH_MARGIN] * told), spread(found.misfit), spare, outside), found

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

    def _npsh_floor(self, margin: Array) -> float:
        """NPSH margin below which it is short: negative by its scatter, and well below what is usual here [m]."""
        if self._baseline.full:
            number, total, squares = self._npsh
            mean = total / max(number, 1.0)
            scatter = float(np.sqrt(max(squares / max(number, 1.0) - mean**2, 0.0)))
            return min(-scatter, mean - FALLEN * scatter)
        known = margin[np.isfinite(margin)]
        self._npsh += [known.size, known.sum(), (known**2).sum()]
        return -np.inf

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

    def _closed(self, time: Array, values: Array, judged: Judged, running: NDArray[np.bool_],
                found: Reconciled | None) -> list[_Window]:
        """Windows that are over; what is left waits for more samples."""
        if found is None:
            return []
        shown, inside = values[running], ~judged.outside[running]
        number = np.floor(time[running] / WINDOW)
        edges = np.flatnonzero(np.r_[True, number[1:] != number[:-1]])
        known = np.isfinite(shown)
        parts = zip(number[edges].tolist(), np.add.reduceat(np.where(known, shown, 0.0), edges),
                    np.add.reduceat(known.astype(float), edges), np.add.reduceat(found.states, edges),
                    np.diff(np.r_[edges, number.size]).tolist(), np.logical_and.reduceat(inside, edges).tolist(),
                    strict=True)
        over = []
        for part in parts:
            window = _Sums(*part)
            if self._window is not None and self._window.number != window.number:
                over.append(self._window.over())
                self._window = None
            self._window = window if self._window is None else self._window.and_(window)
        return over

    def _margin_alarm(self, name: str, text: str, first: int, judged: Judged, values: Array,
                      tell: Callable[[Alarm], None]) -> None:
        time = float(judged.time[first])
        if self.diagnosis is None or self.diagnosis.until < time:
            self.diagnosis = Diagnosis(time + LASTS)
        self._look(self.diagnosis, time - RECENT, time + 1e-9)
        shown = [f"reconciled from {int(np.isfinite(values[first]).sum())} signals"]
        if name.startswith("margin"):
            shown.insert(0, f"worst at station {self.surrogate.stations[int(judged.station[first])]}")
        self.diagnosis.alarms.append(name)
        self.alarms[name] = Alarm(name, time, text, (), self._before(time), (), text, tuple(shown))
        self._name(self.diagnosis)
        tell(self.alarms[name])

    def _look(self, diagnosis: Diagnosis, begins: float, ends: float) -> None:
        kept = self._kept.between(ends - KEPT, ends)
        values = self.errors.measured(kept)
        values = values[self._running(values)]
        recent = self.errors.measured(self._kept.between(begins, ends))
        recent = recent[self._running(recent)]
        if recent.size and self._baseline.count >= LEAST:
            diagnosis.look(self._baseline, recent, values)
            first = diagnosis.suspects[0]
            if first.name == "feed_plugging" and told_apart(diagnosis.suspects) and self._baseline.full:
                self._follow(first.amount)

    def _name(self, diagnosis: Diagnosis) -> bool:
        """Put the cause as it is known now into the alarms it stands behind; whether another one is named."""
        other = False
        for key in list(diagnosis.alarms):
            alarm = self.alarms.get(key)
            if alarm is None:
                continue
            title = diagnosis.title
            named = replace(alarm, text=f"{alarm.plain}: {title}" if title else alarm.plain,
                            suspects=diagnosis.suspects, evidence=(*alarm.shown, *diagnosis.evidence))
            if key.startswith("changed: ") and diagnosis.fault and key != _key(diagnosis):
                del self.alarms[key]
                diagnosis.alarms.remove(key)
                if _key(diagnosis) not in self.alarms:
                    named = replace(named, name=_key(diagnosis))
                    diagnosis.alarms.append(named.name)
                    self.alarms[named.name] = named
                    other = True
            else:
                self.alarms[key] = named
        return other

    def _window_over(self, place: int, window: _Window, off: _Misfits, tell: Callable[[Alarm], None]) -> None:
        """Compare a window with the pump as it ran, and find out what has happened when it does not fit."""
        begins, ends, baseline = window.begins, window.begins + WINDOW, self._baseline
        if self.diagnosis is not None and ends <= self.diagnosis.until:
            self._look(self.diagnosis, begins, ends)
            if self._name(self.diagnosis):
                tell(self.alarms[self.diagnosis.alarms[-1]])
            return
        if not window.inside:
            return
        if not baseline.full:
            self._at_odds(window, tell)
            baseline.add(window.mean, window.point, window.samples)
            return
        if not off.too_much(place):
            self._odd, self._look_again, self._jumps = 0, IN_TURN, np.zeros(SIGNALS)
            baseline.remember(window.point)
            return
        self._odd += 1
        if self._odd < self._look_again:
            return
        self._look_again = self._odd + min(self._odd, SELDOM)
        found = Diagnosis(ends + LASTS, jumps=self._jumps)
        self._look(found, begins, ends)
        self._jumps = found.jumps
        if found.fault and _key(found) not in self.alarms:
            self.diagnosis = found
            key = _key(found)
            found.alarms.append(key)
            self.alarms[key] = Alarm(key, ends, _CHANGED, (), self._before(ends), (), _CHANGED, ())
            self._name(found)
            tell(self.alarms[key])

    def _at_odds(self, window: _Window, tell: Callable[[Alarm], None]) -> None:
        """Whether a pump that is not known yet fits its rating."""
        mean = window.mean
        spare = int(np.isfinite(mean).sum()) - STATES
        if spare <= 0 or any(name.startswith("signals at odds") for name in self.alarms):
            return
        found = reconcile(self.surrogate, self._coefficients, self.errors, mean[None, :])
        if found.misfit[0] <= _TOO_MUCH[spare]:
            return
        usual = rated(self._baseline)
        suspects = weigh(library_for(self.surrogate, self.errors), usual, Seen(mean, np.zeros(SIGNALS)))
        if suspects[0].name == NORMAL:
            return
        name = f"signals at odds: {suspects[0].name}"
        text = f"signals do not fit the pump as rated, misfit {found.misfit[0]:.0f} with {spare} to spare"
        changes = (mean - usual.signals) / usual.instruments
        self.alarms[name] = Alarm(name, window.begins, f"{text}: {title_of(suspects)}", evidence_of(suspects, changes),
                                  self._before(window.begins + WINDOW), suspects, text, ())
        tell(self.alarms[name])

    def _follow(self, gone: float) -> None:
        """Take less area of the feed passages from now on: the margins told are then those of the pump as it is."""
        self.feed = float(np.clip(1.0 - gone, self.surrogate.low[FEED], self.surrogate.high[FEED]))
        self._coefficients = self.surrogate.at_feed(self.feed)


def _key(diagnosis: Diagnosis) -> str:
    return f"changed: {diagnosis.suspects[0].name}"


class _Misfits:
    """Misfits of the windows of a piece, worked out together when the first is asked for."""

    def __init__(self, baseline: Baseline, windows: list[_Window]) -> None:
        self._baseline, self._windows = baseline, windows
        self._off: NDArray[np.bool_] | None = None

    def too_much(self, place: int) -> bool:
        """Whether a window does not fit the pump as it ran."""
        if self._off is None:
            misfit, freedom = self._baseline.misfits(np.stack([one.mean for one in self._windows]),
                                                     np.stack([one.point for one in self._windows]))
            self._off = misfit > LIMITS[freedom]
        return bool(self._off[place])
