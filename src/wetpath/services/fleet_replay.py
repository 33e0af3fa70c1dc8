"""Watching a whole fleet: history brought up to date, or a year replayed, span by span, wherever the parts are done."""

from __future__ import annotations

import hashlib
import json
import math
import pickle
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from wetpath import __version__
from wetpath.errors import InputError, Stopped, WetpathError, WorkersError
from wetpath.fleet.hours import HOUR, HOUR_NAMES, SIGNAL_NAMES
from wetpath.fleet.span import MINUTE_NAMES, PumpToWatch, SpanTask, model_made, span_watched
from wetpath.questions.parts import Result
from wetpath.questions.protection.study import case_to_start_from
from wetpath.rating.rate import Rating
from wetpath.services.fleet_file import FleetFile, FleetPump
from wetpath.services.measured import historian_of, mapping_of, need_extra
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import Service, beside, load_service
from wetpath.services.scale import Scale, content_of, digest_of
from wetpath.services.sensitivity import case_named
from wetpath.services.watch import told_by_tags
from wetpath.store.history import OpenedAlarm, Overtaken, SeriesFile, Span, Watch, keep_span, watch_of
from wetpath.store.opening import Store, data_folder, open_store
from wetpath.watching.samples import Samples
from wetpath.watching.substitutes import NONE, Substitutes

#: A span ends at whole multiples of this time [s], so that cuts depend on nothing else.
SPAN = 7 * 86400.0
_NOTHING = pickle.dumps(None)
_ANY = re.compile(r"[*?\[]")


@dataclass(frozen=True)
class Fleet:
    """A fleet file and the place it was read from."""

    file: FleetFile
    path: Path

    @property
    def until(self) -> float:
        """The moment the fleet is looked at, UTC seconds since 1970."""
        given = self.file.moment("as_of")
        return datetime.now(UTC).timestamp() if given is None else given

    def at(self, name: str) -> Path:
        """A file that the fleet names."""
        return Path(beside(self.path, name, "pumps"))


@dataclass
class Outcome:
    """What came of it: spans that were kept, pumps that could not be watched and why, readings not used."""

    spans: int = 0
    problems: dict[str, str] = field(default_factory=dict)
    not_used: dict[str, tuple[str, ...]] = field(default_factory=dict)
    stopped: bool = False


def series_folder(store: Store) -> Path:
    """Where the files of the catalogue lie: beside a SQLite file, else in the user's data folder."""
    database = store.engine.url.database
    return (Path(database).parent if store.engine.dialect.name == "sqlite" and database else data_folder()) / "series"


def open_replay(folder: Path) -> Store:
    """The history of a replay, in a folder of its own; one that is there already is gone on with."""
    return open_store(f"sqlite:///{folder / 'history.sqlite'}")


def bring_up_to_date(store: Store, fleet: Fleet, *, scale: Scale | None = None, announce: Announce = silent,
                     progress: Callable[[int, int], None] | None = None, stop: Callable[[], bool] | None = None,
                     kept: Callable[[str], None] | None = None) -> Outcome:
    """Watch every pump from where its history ends up to now, and keep what is found as it comes.

    Parameters
    ----------
    store : Store
        Keeps the history.
    fleet : Fleet
    scale : Scale, optional
        Who does the parts; this process without it.
    announce : callable, optional
        Told what takes long.
    progress : callable, optional
        Told how many pumps are done, of how many.
    stop : callable, optional
        Asked between parts.
    kept : callable, optional
        Told the tag of a pump of which a span was kept.

    Returns
    -------
    Outcome
        A pump that cannot be watched stops no other.

    Notes
    -----
    A span with its hours, alarms and the memory of the watch is one transaction: a run that was killed goes on from
    the last one, whoever ran it, and none is kept twice. What is kept does not depend on where parts are done.
    """
    need_extra("wetpath fleet")
    from wetpath.links.cluster.chains import ChainRunner

    scale = scale or Scale(workers=1)
    outcome = Outcome()
    ratings = _Ratings(announce)
    chains = [_PumpChain(store, fleet, one, ratings, outcome) for one in fleet.file.pumps]
    done: set[int] = set()

    def tell() -> None:
        done.update(number for number, one in enumerate(chains) if one.ended)
        if progress is not None:
            progress(len(done), len(chains))
        if scale.watch is not None:
            scale.watch("pumps watched", len(done), len(chains), None)

    def stopped() -> bool:
        outcome.stopped = outcome.stopped or (stop is not None and stop())
        return outcome.stopped

    def stands() -> str:
        return (f"Stopped after {len(done)} of {len(chains)} pumps. {outcome.spans} spans are kept; ask the same again "
                "to go on from there.")

    try:
        with ChainRunner(cluster=scale.cluster, workers=scale.workers or 1) as runner:
            tell()
            for number, result in runner([one.following for one in chains], stopped):
                try:
                    is_kept = chains[number].take(result)
                except Overtaken as error:
                    outcome.problems[chains[number].pump.tag] = str(error)
                    continue
                if is_kept and kept is not None:
                    kept(chains[number].pump.tag)
                tell()
        tell()
    except KeyboardInterrupt:
        raise Stopped(stands()) from None
    except WorkersError as error:
        raise WorkersError(f"{error} {stands()}") from None
    return outcome


@dataclass
class _Ratings:
    """Ratings that several pumps of a fleet share."""

    announce: Announce
    _found: dict[tuple[str, str, str], tuple[Service, Rating]] = field(default_factory=dict)

    def of(self, fleet: Fleet, pump: FleetPump) -> tuple[Service, Rating]:
        key = pump.enquiry_file, pump.pump_file, pump.practice_file
        if key not in self._found:
            machine, practice = (fleet.at(name) if name else None for name in key[1:])
            service = load_service(fleet.at(pump.enquiry_file), pump=machine, practice=practice,
                                   announce=self.announce)
            self._found[key] = service, service.rate(announce=self.announce)
        return self._found[key]


class _PumpChain:
    """The spans of one pump, one after the other."""

    def __init__(self, store: Store, fleet: Fleet, pump: FleetPump, ratings: _Ratings, outcome: Outcome) -> None:
        self.store, self.fleet, self.pump, self.ratings, self.outcome = store, fleet, pump, ratings, outcome
        self.ended = False
        self._series = series_folder(store)
        self._watch: Watch | None = None
        self._model = b""
        self._words: tuple[str, ...] = ()
        self._spans: Iterator[SpanTask] = iter(())
        self._first: SpanTask | None = None
        self._begin = self._end = np.nan

    def following(self) -> Any:
        """The next part; None at the end, or where the pump cannot be watched."""
        try:
            link = None if self.pump.tag in self.outcome.problems else self._next()
        except WetpathError as error:
            self.outcome.problems[self.pump.tag] = str(error)
            link = None
        self.ended = link is None
        return link

    def _next(self) -> Any:
        from wetpath.links.cluster.chains import Link

        if self._watch is None:
            service, rating = self.ratings.of(self.fleet, self.pump)
            case = case_to_start_from(rating, None if not self.pump.case else case_named(rating, self.pump.case))
            told = self._told(rating, case)
            self._watch, self._words = self._begun(service, rating, told), told.words
            self._spans = self._to_watch(self._watch)
            self._first = next(self._spans, None)
            return None if self._first is None else Link(model_made, _NOTHING, PumpToWatch(rating, case, told))
        task, self._first = (self._first, None) if self._first is not None else (next(self._spans, None), None)
        if task is None:
            return None
        self._begin, self._end = task.begin, task.end
        memory = self._watch.state or b""
        return Link(span_watched, self._model, SpanTask(task.begin, task.end, memory, task.source))

    def _told(self, rating: Rating, case: int) -> Substitutes:
        if not self.pump.mapping_file:
            return NONE
        mapping = mapping_of(self.fleet.at(self.pump.mapping_file))
        return told_by_tags(rating, case, mapping.tags_of(self.pump.mapped_as or self.pump.tag))

    def _begun(self, service: Service, rating: Rating, told: Substitutes) -> Watch:
        content = {**content_of(service), "case": self.pump.case, **({"told": told.words} if told.told else {})}
        asked = float(rating.practice["vapour_margin_pressure"].value)
        about = {"program": __version__, "pump": rating.pump.name, "enquiry": rating.enquiry.title,
                 "liquid": service.liquid.name, "case": self.pump.case, "margin_asked": asked,
                 "enquiry_sha256": _sha256(self.fleet.at(self.pump.enquiry_file))}
        return watch_of(self.store, self.fleet.file.name, self.pump.tag, digest_of(content), about)

    def _to_watch(self, watch: Watch) -> Iterator[SpanTask]:
        """Spans that are not watched yet, with their readings; memory is put in later."""
        given = self.fleet.file.moment("since")
        begin = watch.until.timestamp() if watch.until is not None else None if given is None else _hour(given)
        until = _hour(self.fleet.until)
        if self.pump.invented is not None:
            assert begin is not None     # the file has checked that it says since when
            course = self.pump.invented.course()
            until = min(until, _hour(course.silent_since + HOUR - 1) if math.isfinite(course.silent_since) else until)
            while begin < until:
                end = min((math.floor(begin / SPAN) + 1) * SPAN, until)
                yield SpanTask(begin, end, b"", course)
                begin = end
            return
        mapping = mapping_of(self.fleet.at(self.pump.mapping_file))
        source = historian_of(self._files(), mapping, self.pump.mapped_as or self.pump.tag)
        yield from spans_of(source, begin, until)
        self.outcome.not_used[self.pump.tag] = (*source.account.lines(), *self._words)

    def _files(self) -> list[Path]:
        found: list[Path] = []
        for name in self.pump.files:
            if not _ANY.search(name):
                found.append(self.fleet.at(name))
                continue
            some = sorted(self.fleet.path.parent.glob(name))
            if not some:
                raise InputError("fits no file", field="files", value=f'"{name}"', do="look where the historian writes")
            found += some
        return found

    def take(self, result: Result) -> bool:
        """Deal with a part that is done; whether it was a span that is kept now."""
        assert self._watch is not None
        if "model" in result:
            self._model = result["model"].tobytes()
            return False
        told = json.loads(result["told"].tobytes())
        series = self._keep_series(result)
        opened = [OpenedAlarm(one["name"][:200], moment(one["time"]), one["text"],
                              {"evidence": one["evidence"], "suspects": one["suspects"]}) for one in told["opened"]]
        if told["anew"]:
            opened.append(OpenedAlarm("watch begun anew", moment(self._begin), told["anew"], {"evidence": [],
                                                                                              "suspects": []}))
        self._watch = keep_span(self.store, self._watch, Span(
            moment(self._end), result["memory"].tobytes(),
            tuple(hour_of(row, told["stations"]) for row in result["hours"]), opened,
            {name[:200]: moment(time) for name, time in told["closed"].items()}, series))
        self.outcome.spans += 1
        return True

    def _keep_series(self, result: Result) -> SeriesFile | None:
        from wetpath.links.series import write_series

        assert self._watch is not None
        minutes = result["minutes"]
        if not len(minutes):
            return None
        begins = moment(self._begin)
        file = f"{self._watch.id:06d}/{begins:%Y%m%dT%H%MZ}.parquet"
        sha256 = write_series(self._series, file, (*MINUTE_NAMES, *SIGNAL_NAMES), minutes)
        return SeriesFile(begins, moment(self._end), file, len(minutes), sha256)


def spans_of(source: Iterable[Samples], begin: float | None, until: float) -> Iterator[SpanTask]:
    """Cut samples into spans of whole hours; the last hour waits until a later sample says that it is over."""
    held: list[Samples] = []
    last = -math.inf
    for piece in source:
        if not piece.count:
            continue
        begin = _hour(float(piece.time[0])) if begin is None else begin
        held.append(piece.between(begin, until))
        last = float(piece.time[-1])
        while last >= (boundary := (math.floor(begin / SPAN) + 1) * SPAN) and boundary <= until:
            whole = Samples.joined(held)
            yield SpanTask(begin, boundary, b"", whole.between(begin, boundary))
            held, begin = [whole.between(boundary, math.inf)], boundary
        if last >= until:
            break
    end = min(_hour(last), until) if held else -math.inf
    if begin is not None and end > begin:
        yield SpanTask(begin, end, b"", Samples.joined(held).between(begin, end))


def hour_of(row: Any, stations: list[str]) -> Mapping[str, Any]:
    """An hour as the history keeps it."""
    told: dict[str, Any] = {name: None if math.isnan(value) else value
                            for name, value in zip((*HOUR_NAMES, *SIGNAL_NAMES), row.tolist(), strict=True)}
    station = int(row[HOUR_NAMES.index("station")])
    return told | {"hour": moment(row[0]), "station": stations[station] if station >= 0 else "",
                   "samples": int(row[1]), "running": int(row[2]), "outside": int(row[3])}


def moment(seconds: float) -> datetime:
    """UTC seconds since 1970 as a moment."""
    return datetime.fromtimestamp(float(seconds), UTC)


def _hour(seconds: float) -> float:
    return HOUR * math.floor(seconds / HOUR)


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
