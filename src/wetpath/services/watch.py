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
from wetpath.services.watch_minutes import COUPLING, FILM, HALF_RANGE, SUMS, TIME, by_minute, sums_by_minute, together
from wetpath.watching.reconcile import errors_of
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.substitutes import Substitutes, substitutes_of
from wetpath.watching.surrogate import surrogate_of
from wetpath.watching.watcher import Alarm, Watcher

if TYPE_CHECKING:
    from wetpath.links.live import LiveSource

FORMAT: Literal["watch/1"] = "watch/1"
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
    minutes: NDArray[np.float64]      # (minutes, 8), as of `by_minute`

    @property
    def lowest_half_range(self) -> float:
        """Half the range of 95 % of the lowest margin [Pa]; NaN where none was told."""
        at = self.minutes[:, TIME] == 60.0 * np.floor(self.watcher.lowest.time / 60.0)
        return float(self.minutes[at, HALF_RANGE][0]) if at.any() else np.nan

    def least(self, column: int) -> tuple[float, float]:
        """The least of a column of the minutes, and its time; NaN where none was told."""
        values = self.minutes[:, column]
        if not np.isfinite(values).any():
            return np.nan, np.nan
        at = int(np.nanargmin(values))
        return float(values[at]), float(self.minutes[at, TIME])


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
    over, minute = bytearray(), np.zeros((0, SUMS))      # minutes over, and the last: a long watch keeps no more
    first = last = np.nan
    for samples in source:
        if not samples.count:
            continue
        first = float(samples.time[0]) if np.isnan(first) else first
        last = float(samples.time[-1])
        judged = watcher.take(samples, raised=raised)
        rows = together(np.concatenate([minute, sums_by_minute(judged, watcher.errors.measured(samples),
                                                                watcher.feed)]))
        over += rows[:-1].tobytes()
        minute = rows[-1:].copy()
    if np.isnan(first):
        raise InputError("holds no usable sample", field="DATA", why="; ".join(told()),
                         do="look at units, quality, times and names of the tags in the mapping file")
    rows = np.concatenate([np.frombuffer(over).reshape(-1, SUMS), minute])
    return Watched(watcher, (), first, last, by_minute(rows, watcher))


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
    coupling_ratio: float | None = Field(description="least pull-out torque over the torque asked")
    film_ratio: float | None = Field(description="least film of the journal bearings, as new, over their roughness")


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
    lowest_coupling_ratio: float | None
    lowest_film_ratio: float | None
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
        margin_asked_pa=watcher.margin_asked, lowest_coupling_ratio=known(found.least(COUPLING)[0]),
        lowest_film_ratio=known(found.least(FILM)[0]), feed_area_left=watcher.feed,
        alarms=tuple(_alarm(one) for one in watcher.alarms.values()),
        minutes=tuple(MinuteRecord(time=utc(time), margin_pa=known(margin), half_range_pa=known(half),
                                   wall_margin_k=known(wall), flow_m3_per_s=known(flow), misfit=known(misfit),
                                   coupling_ratio=known(coupling), film_ratio=known(film))
                      for time, margin, half, wall, flow, misfit, coupling, film in found.minutes.tolist()),
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
    practice = surrogate.rating.practice
    for column, limit, words in ((COUPLING, "coupling_margin_running", "pull-out torque over the torque asked"),
                                 (FILM, "film_ratio", "film of the journal bearings over their roughness")):
        least, time = found.least(column)
        if least < practice[limit].value:
            told.append(f"{words} fell to {least:.2f} in the minute of {utc(time)}; the practice asks for "
                        f"{practice[limit].value:g}")
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

