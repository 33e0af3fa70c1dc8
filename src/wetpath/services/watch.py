"""Watching a running pump as a use case: an enquiry and measured values in, the hidden margin and alarms out."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from wetpath import __version__
from wetpath.edge.mapping import MappedTag
from wetpath.errors import InputError
from wetpath.questions.protection.signals import warmest_band
from wetpath.questions.protection.study import case_to_start_from
from wetpath.rating.rate import Rating
from wetpath.services.measured import historian_of, live_source, mapping_of, pump_of
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.record import Entry
from wetpath.services.sensitivity import FileRecord, case_named, file_records, known
from wetpath.watching.margin_range import MarginRange
from wetpath.watching.reconcile import SIGNALS, STATES, errors_of
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.substitutes import Substitutes, substitutes_of
from wetpath.watching.surrogate import surrogate_of
from wetpath.watching.watcher import Alarm, Judged, Watcher

if TYPE_CHECKING:
    from wetpath.links.live import LiveSource

FORMAT: Literal["watch/1"] = "watch/1"
_SUMS = 8 + STATES + SIGNALS
CAUTIONS = (
    "A margin inferred from ordinary signals is no measurement and no safety function. Trips of the plant stay as they "
    "are.",
    "The model knows the pump as rated. After an overhaul, a new impeller or another liquid rate it anew before it is "
    "watched.",
    "Where a cause is named, look at the pump before something is changed; where signals are at odds, calibrate first.")


@dataclass(frozen=True, eq=False)
class Watched:
    """A watch that is over: the watcher as it ended, what could not be used, and the margins minute by minute."""

    watcher: Watcher
    account: tuple[str, ...]
    first: float
    last: float
    minutes: NDArray[np.float64]      # (minutes, 6), as of `by_minute`

    @property
    def lowest_half_range(self) -> float:
        """Half the range of 95 % of the lowest margin [Pa]; NaN where none was told."""
        at = self.minutes[:, 0] == 60.0 * np.floor(self.watcher.lowest.time / 60.0)
        return float(self.minutes[at, 5][0]) if at.any() else np.nan


def watch_files(data: Sequence[Path], mapping: Path, enquiry: FilePath, *, pump: FilePath | None = None,
                practice: FilePath | None = None, case: str | None = None, name: str = "",
                announce: Announce = silent, raised: Callable[[Alarm], None] | None = None
                ) -> tuple[Watched, tuple[FileOrigin, ...]]:
    """Rate an enquiry, then watch what files of a historian hold of the pump.

    Parameters
    ----------
    data : sequence of path
        CSV or Parquet, in the order of time.
    mapping : path
        Mapping file: which tag is which signal.
    enquiry, pump, practice : path
        As for a rating.
    case : str, optional
        Operating case the pump runs in; without it the governing one.
    name : str
        Pump as the mapping calls it.
    announce, raised : callable, optional
        Told in words what takes long; told of every new alarm.
    """
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    read = mapping_of(mapping)
    source = historian_of(data, read, name)
    watcher = watcher_for(rating, None if case is None else case_named(rating, case), read.tags_of(pump_of(read, name)))
    found = watch(watcher, source, raised=raised, told=source.account.lines)
    account = (*source.account.lines(), *watcher.errors.told.unused)
    return Watched(found.watcher, account, found.first, found.last, found.minutes), service.files


def watch_live(url: str, journal: Path, mapping: Path, enquiry: FilePath, *, pump: FilePath | None = None,
               practice: FilePath | None = None, case: str | None = None, name: str = "", seconds: float | None = None,
               keys: Path | None = None, announce: Announce = silent, raised: Callable[[Alarm], None] | None = None
               ) -> tuple[Watched, tuple[FileOrigin, ...]]:
    """Watch a pump through a server of OPC UA, until interrupted or for some seconds.

    ``journal`` is the folder in which everything received is kept before it is used; a watch that begins again goes
    through it first, so that nothing is lost. ``keys`` is a folder of keys for an encrypted session. The
    other arguments are those of `watch_files`.
    """
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    read = mapping_of(mapping)
    watcher = watcher_for(rating, None if case is None else case_named(rating, case), read.tags_of(pump_of(read, name)))
    source = live_source(url, read, journal, name, keys=keys)
    source.state.tell = announce

    def told() -> tuple[str, ...]:
        return (*source.state.lines(), *source.account.lines(), *watcher.errors.told.unused)

    timer = None if seconds is None else threading.Timer(seconds, source.stop)
    if timer is not None:
        timer.start()
    try:
        found = watch(watcher, _until_interrupted(source), raised=raised, told=told)
    finally:
        source.stop()
        if timer is not None:
            timer.cancel()
    return Watched(found.watcher, told(), found.first, found.last, found.minutes), service.files


def _until_interrupted(source: LiveSource) -> Iterator[Samples]:
    """Samples as they come; an interrupt at the terminal ends them, and what has come is told."""
    samples = iter(source)
    try:
        yield from samples
    except KeyboardInterrupt:
        source.stop()


def watcher_for(rating: Rating, case: int | None = None, tags: Sequence[MappedTag] = ()) -> Watcher:
    """A watcher of the rated pump in a case; without it the governing one that runs.

    With the tags of its plant, signals that none of them measures are told by others where they can be.
    """
    number = case_to_start_from(rating, None) if case is None else case
    surrogate = surrogate_of(rating, number, band=warmest_band(rating.situation, number))
    return Watcher(surrogate, errors_of(surrogate, told_by_tags(rating, number, tags)))


def told_by_tags(rating: Rating, case: int, tags: Sequence[MappedTag]) -> Substitutes:
    """Which signals the tags of a plant tell in place of others."""
    currents = [one.rated_current for one in tags if one.rated_current is not None]
    zeros = [one.zero_above_shaft for one in tags if one.signal == Signal.LEVEL]
    return substitutes_of(rating, case, [Signal(one.signal) for one in tags],
                          rated_current=currents[0] if currents else np.nan, zero=zeros[0] if zeros else 0.0)


def watch(watcher: Watcher, source: Iterable[Samples], *, raised: Callable[[Alarm], None] | None = None,
          told: Callable[[], Sequence[str]] = tuple) -> Watched:
    """Watch samples as they come; ``told`` says what was left out, for the error when nothing is left."""
    over, minute = bytearray(), np.zeros((0, _SUMS))      # minutes over, and the last: a long watch keeps no more
    first = last = np.nan
    for samples in source:
        if not samples.count:
            continue
        first = float(samples.time[0]) if np.isnan(first) else first
        last = float(samples.time[-1])
        judged = watcher.take(samples, raised=raised)
        rows = _together(np.concatenate([minute, sums_by_minute(judged, watcher.errors.measured(samples),
                                                                watcher.feed)]))
        over += rows[:-1].tobytes()
        minute = rows[-1:].copy()
    if np.isnan(first):
        raise InputError("holds no usable sample", field="DATA", why="; ".join(told()),
                         do="look at units, quality, times and names of the tags in the mapping file")
    rows = np.concatenate([np.frombuffer(over).reshape(-1, _SUMS), minute])
    return Watched(watcher, (), first, last, by_minute(rows, MarginRange(watcher.surrogate, watcher.errors)))


def sums_by_minute(judged: Judged, values: NDArray[np.float64], feed: float) -> NDArray[np.float64]:
    """What `by_minute` needs of every minute.

    Least margins and feed area; sums and counts of flow and misfit; sums of spare signals, of suction temperature,
    speed and suction pressure; counts of every signal.
    """
    minute = 60.0 * np.floor(judged.time / 60.0)
    flow, misfit = judged.flow, judged.misfit
    runs = np.isfinite(flow)
    there = np.isfinite(values) & runs[:, None]
    return _together(np.column_stack([
        minute, judged.margin, judged.wall_margin, np.full(minute.size, feed), np.nan_to_num(flow), runs,
        np.nan_to_num(misfit), np.isfinite(misfit), np.where(np.isfinite(misfit), judged.spare, 0.0),
        np.where(there, values, 0.0)[:, 1:STATES], there]))


def by_minute(sums: NDArray[np.float64], spread: MarginRange) -> NDArray[np.float64]:
    """Every minute in a row, (minutes, 6); a minute may come in several rows.

    Time, least margin, least wall margin, mean flow, mean misfit, and half the range of 95 % of the margin: as the
    errors of the signals there make it, wider where they disagree by the root of the misfit over what is to be
    expected (R. T. Birge, Physical Review 40, 1932).
    """
    rows = _together(sums)
    half = np.full(len(rows), np.nan)
    with np.errstate(invalid="ignore", divide="ignore"):
        flow, misfit, spare = rows[:, 4] / rows[:, 5], rows[:, 6] / rows[:, 7], rows[:, 8] / rows[:, 7]
        counts = rows[:, 8 + STATES:]
        means = rows[:, 9:8 + STATES] / counts[:, 1:STATES]
        wider = np.sqrt(np.fmax(misfit / spare, 1.0))
    states = np.column_stack([flow, np.where(np.isfinite(means), means, spread.errors.usual[1:])])
    told = np.isfinite(rows[:, 1])
    for feed in np.unique(rows[told, 3]).tolist():
        these = told & (rows[:, 3] == feed)
        half[these] = spread.half(states[these], counts[these] > 0, feed) * wider[these]
    return np.column_stack([rows[:, :3], flow, misfit, half])


def _together(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rows of equal times made one: the least of margins and feed area, the sum of the rest."""
    starts = np.flatnonzero(np.r_[True, np.diff(rows[:, 0]) != 0])
    return np.column_stack([rows[starts, 0], np.fmin.reduceat(rows[:, 1:4], starts, axis=0),
                            np.add.reduceat(rows[:, 4:], starts, axis=0)])


class SuspectRecord(Entry):
    """One explanation of an alarm."""

    name: str
    title: str
    instrument: bool
    probability: float = Field(description="among all explanations that were weighed")
    amount: float | None = Field(description="of an instrument its error over the usual one, of plugging the share of "
                                             "the feed area that would be gone")
    log_likelihood_gain: float = Field(description="over a pump that runs as before")
    apart: str = Field(description="what would tell apart the causes that this name covers")


class AlarmRecord(Entry):
    """One alarm, latched."""

    name: str
    time: str = Field(description="UTC, ISO 8601")
    text: str
    evidence: tuple[str, ...]
    suspects: tuple[SuspectRecord, ...]


class MinuteRecord(Entry):
    """One minute."""

    time: str
    margin_pa: float | None = Field(description="least of the minute")
    half_range_pa: float | None = Field(description="half the range of 95 % of the margin: errors of the signals that "
                                                    "were there, wider where they disagree")
    wall_margin_k: float | None
    flow_m3_per_s: float | None
    misfit: float | None = Field(description="mean sum of squares of the residuals")


class WatchRecord(Entry):
    """What watching a pump gave."""

    wetpath: Literal["watch/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    liquid: str
    case: str
    files: tuple[FileRecord, ...]
    first: str
    last: str
    samples: int
    running: int
    outside_the_region: int
    surrogate_error_pa: float = Field(description="largest error of the vapour margin against the full solve")
    surrogate_relative_error: float
    lowest_margin_pa: float | None
    lowest_margin_half_range_pa: float | None = Field(description="half the range of 95 % in that minute")
    lowest_margin_time: str | None
    lowest_margin_station: str
    lowest_wall_margin_k: float | None
    margin_asked_pa: float
    feed_area_left: float
    alarms: tuple[AlarmRecord, ...]
    minutes: tuple[MinuteRecord, ...]
    not_used: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def record_of_watch(found: Watched, files: tuple[FileOrigin, ...] = ()) -> WatchRecord:
    """Return the record."""
    watcher = found.watcher
    surrogate, lowest = watcher.surrogate, watcher.lowest
    rating = surrogate.rating
    return WatchRecord(
        program_version=__version__, enquiry=rating.enquiry.title, pump=rating.pump.name, liquid=surrogate.liquid.name,
        case=rating.case_names[surrogate.case], files=file_records(files), first=utc(found.first), last=utc(found.last),
        samples=watcher.counts.taken, running=watcher.counts.running, outside_the_region=watcher.counts.outside,
        surrogate_error_pa=surrogate.error, surrogate_relative_error=surrogate.relative_error,
        lowest_margin_pa=known(lowest.margin), lowest_margin_half_range_pa=known(found.lowest_half_range),
        lowest_margin_time=None if np.isnan(lowest.time) else utc(lowest.time),
        lowest_margin_station=lowest.station, lowest_wall_margin_k=known(lowest.wall_margin),
        margin_asked_pa=watcher.margin_asked, feed_area_left=watcher.feed,
        alarms=tuple(_alarm(one) for one in watcher.alarms.values()),
        minutes=tuple(MinuteRecord(time=utc(time), margin_pa=known(margin), half_range_pa=known(half),
                                   wall_margin_k=known(wall), flow_m3_per_s=known(flow), misfit=known(misfit))
                      for time, margin, wall, flow, misfit, half in found.minutes.tolist()),
        not_used=found.account, warnings=warnings_of(found), cautions=CAUTIONS)


def warnings_of(found: Watched) -> tuple[str, ...]:
    """Limits of the watch that were crossed."""
    watcher, told = found.watcher, []
    counts, surrogate = watcher.counts, watcher.surrogate
    if counts.outside:
        told.append(f"{counts.outside} of {counts.running} running samples lie beyond the conditions the watch knows, "
                    "which follow from the cases of the enquiry: no margin is told there")
    if surrogate.relative_error > 0.02:
        told.append(f"the quick model is off by up to {surrogate.relative_error:.1%} of the margin against the full "
                    "solve")
    told += [one.words for one in watcher.errors.told.told]
    if not counts.running:
        told.append("the pump stood all the time")
    return tuple(told)


def utc(time: float) -> str:
    """A time as ISO 8601 in UTC."""
    return datetime.fromtimestamp(time, UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def _alarm(one: Alarm) -> AlarmRecord:
    return AlarmRecord(name=one.name, time=utc(one.time), text=one.text, evidence=one.evidence, suspects=tuple(
        SuspectRecord(name=each.name, title=each.title, instrument=each.instrument, probability=each.probability,
                      amount=known(each.amount), log_likelihood_gain=each.gain, apart=each.apart)
        for each in one.suspects))

