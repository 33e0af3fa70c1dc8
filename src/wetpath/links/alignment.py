"""Readings of several tags with their own times, made into samples: the last reading stands, but not for long."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from wetpath.links.account import Account, Reason
from wetpath.watching.samples import Samples, Signal

Array = NDArray[np.float64]


class Aligner:
    """Holds the last reading of each signal of one pump and what has come since.

    A sample at a time has, for each signal, the last reading at or before it, unless that is older than its highest age
    or a later reading was unusable (NaN): then NaN. Sample times are all times of readings, or whole multiples of
    ``step`` at or behind a reading. Memory holds what is not yet complete.
    """

    def __init__(self, ages: Mapping[Signal, float], step: float | None = None, account: Account | None = None) -> None:
        self.ages = dict(ages)
        self.step = step
        self.account = account or Account()
        self._time = {one: np.full(1, -np.inf) for one in ages}      # the reading that stands, then those to come
        self._value = {one: np.full(1, np.nan) for one in ages}
        self.complete = -np.inf
        self._last_reading = np.nan

    def add(self, signal: Signal, time: Array, value: Array) -> None:
        """Take readings of one signal, in rising time; NaN ends what stood before."""
        fresh = time > max(self.complete, float(self._time[signal][-1]))
        if not fresh.all():
            self.account.drop(signal.value, Reason.LATE, time[~fresh])
            self.account.note(f"readings of {signal.value} come behind later ones of other tags that are used already: "
                              "clocks of instruments differ by more than max_age, or the network is that slow; set the "
                              "clocks right, or raise max_age")
            time, value = time[fresh], value[fresh]
        self._time[signal] = np.concatenate([self._time[signal], time])
        self._value[signal] = np.concatenate([self._value[signal], value])

    def waiting(self) -> int:
        """Readings that are kept until they are complete."""
        return sum(one.size - 1 for one in self._time.values())

    def until(self, time: float) -> Samples | None:
        """Samples up to a time, up to which all readings have come; None when there are none."""
        if not time > self.complete:
            return None
        events = np.unique(np.concatenate([one[(one > self.complete) & (one <= time)] for one in self._time.values()]))
        if self.step is not None:
            times = np.unique(np.ceil(events / self.step - 1e-9) * self.step)
            times = times[times <= time]
            end = float(times[-1]) if times.size else self.complete
        else:
            times, end = events, time
        self._gaps(events[events <= end])
        values = {one: self._at(one, times) for one in self.ages}
        for one in self.ages:
            first = int(np.searchsorted(self._time[one], end, side="right")) - 1
            self._time[one], self._value[one] = self._time[one][first:], self._value[one][first:]
        self.complete = max(self.complete, end)
        return Samples(times, values) if times.size else None

    def _at(self, signal: Signal, times: Array) -> Array:
        known, value = self._time[signal], self._value[signal]
        place = np.searchsorted(known, times, side="right") - 1
        old = times - known[place] > self.ages[signal]
        return np.where(old, np.nan, value[place])

    def _gaps(self, events: Array) -> None:
        longest = max(self.ages.values())
        every = events if np.isnan(self._last_reading) else np.concatenate([[self._last_reading], events])
        for pause in np.diff(every):
            if pause > longest:
                self.account.gap(float(pause))
        if events.size:
            self._last_reading = float(events[-1])
