"""The history of watched fleets: written span by span as results come, each span once; read for the page of a fleet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from wetpath.store.accounts import User, now, require
from wetpath.store.errors import DatabaseError, NotKnown
from wetpath.store.opening import Store
from wetpath.store.tables import (
    UserRow,
    WatchedAlarmRow,
    WatchedHourRow,
    WatchedNoteRow,
    WatchedPumpRow,
    WatchedSeriesRow,
)

#: Columns of an hour beside its watch.
HOUR_COLUMNS = tuple(one.name for one in WatchedHourRow.__table__.columns if one.name != "watch_id")


@dataclass(frozen=True)
class Watch:
    """A pump watched with one model: what is known of it, how far it is watched, and what the watch remembers."""

    id: int
    fleet: str
    pump: str
    model: str
    about: Mapping[str, Any]
    begun: datetime
    until: datetime | None
    state: bytes | None = field(default=None, repr=False)


@dataclass(frozen=True)
class OpenedAlarm:
    """An alarm as it is opened."""

    name: str
    opened: datetime
    text: str
    details: Mapping[str, Any]


@dataclass(frozen=True)
class SeriesFile:
    """A file of the catalogue."""

    begins: datetime
    ends: datetime
    file: str
    rows: int
    sha256: str


@dataclass(frozen=True)
class Span:
    """What watching a pump over a span of time gave, all of it kept together or not at all."""

    until: datetime
    state: bytes
    hours: Sequence[Mapping[str, Any]] = ()
    opened: Sequence[OpenedAlarm] = ()
    closed: Mapping[str, datetime] = field(default_factory=dict)       # by the name of the alarm
    series: SeriesFile | None = None


@dataclass(frozen=True)
class KeptAlarm:
    """An alarm as it is kept."""

    name: str
    opened: datetime
    closed: datetime | None
    text: str
    details: Mapping[str, Any]


@dataclass(frozen=True)
class Note:
    """That somebody has seen how a pump ran."""

    at: datetime
    by: str
    margin: float | None
    half_range: float | None
    alarms: tuple[str, ...]


class Overtaken(DatabaseError):
    """Another run has watched the same pump in between; nothing was written."""


def watch_of(store: Store, fleet: str, pump: str, model: str, about: Mapping[str, Any]) -> Watch:
    """The watch of a pump with a model; begun where there is none."""
    with store.writing() as session:
        row = session.scalar(select(WatchedPumpRow).where(
            WatchedPumpRow.fleet == fleet, WatchedPumpRow.pump == pump, WatchedPumpRow.model_sha256 == model))
        if row is None:
            row = WatchedPumpRow(fleet=fleet, pump=pump, model_sha256=model, about=dict(about), begun=now())
            session.add(row)
            session.flush()
        return _watch(row, with_state=True)


def watches(store: Store, fleet: str) -> tuple[Watch, ...]:
    """The watches of a fleet, of each pump the one begun last; without what they remember."""
    with store.reading() as session:
        newest = select(func.max(WatchedPumpRow.id)).where(WatchedPumpRow.fleet == fleet).group_by(WatchedPumpRow.pump)
        rows = session.scalars(select(WatchedPumpRow).where(WatchedPumpRow.id.in_(newest)).order_by(WatchedPumpRow.id))
        return tuple(_watch(row, with_state=False) for row in rows)


def keep_span(store: Store, watch: Watch, span: Span) -> Watch:
    """Keep what a span gave, once.

    Raises
    ------
    Overtaken
        When the pump has been watched farther than ``watch`` says, by another run; nothing is written then.
    """
    with store.writing() as session:
        row = session.get(WatchedPumpRow, watch.id, with_for_update=True)
        if row is None:
            raise NotKnown("is not watched here", field="pump", value=watch.pump)
        if row.until != watch.until:
            raise Overtaken(f"{watch.pump} was watched by another run in between: up to "
                            f"{'nothing' if row.until is None else row.until.isoformat()}. Ask again.")
        if span.hours:
            session.execute(insert(WatchedHourRow), [{"watch_id": watch.id, **one} for one in span.hours])
        session.add_all(WatchedAlarmRow(watch_id=watch.id, name=one.name, opened=one.opened, text=one.text,
                                        details=dict(one.details)) for one in span.opened)
        session.flush()
        for name, at in span.closed.items():
            found = session.scalars(select(WatchedAlarmRow).where(
                WatchedAlarmRow.watch_id == watch.id, WatchedAlarmRow.name == name, WatchedAlarmRow.closed.is_(None)))
            for alarm in found:
                alarm.closed = at
        if span.series is not None:
            session.add(WatchedSeriesRow(watch_id=watch.id, **vars(span.series)))
        row.until, row.state = span.until, span.state
        session.flush()
        return _watch(row, with_state=True)


def hours(store: Store, watch: Watch, since: datetime | None = None) -> tuple[dict[str, Any], ...]:
    """Hours of a watched pump in the order of time."""
    with store.reading() as session:
        return _hours(session, [watch.id], since).get(watch.id, ())


def hours_of_all(store: Store, all_watches: Iterable[Watch], since: datetime | None = None
                 ) -> dict[int, tuple[dict[str, Any], ...]]:
    """Hours of several watched pumps, by the number of the watch."""
    with store.reading() as session:
        return _hours(session, [one.id for one in all_watches], since)


def alarms_of_all(store: Store, all_watches: Iterable[Watch]) -> dict[int, tuple[KeptAlarm, ...]]:
    """Alarms of several watched pumps, the newest first, by the number of the watch."""
    chosen = [one.id for one in all_watches]
    found: dict[int, list[KeptAlarm]] = {}
    with store.reading() as session:
        for row in session.scalars(select(WatchedAlarmRow).where(WatchedAlarmRow.watch_id.in_(chosen))
                                   .order_by(WatchedAlarmRow.opened.desc(), WatchedAlarmRow.id.desc())):
            found.setdefault(row.watch_id, []).append(
                KeptAlarm(row.name, row.opened, row.closed, row.text, row.details))
    return {number: tuple(some) for number, some in found.items()}


def series_of(store: Store, watch: Watch) -> tuple[SeriesFile, ...]:
    """The catalogue of a watched pump, in the order of time."""
    with store.reading() as session:
        rows = session.scalars(select(WatchedSeriesRow).where(WatchedSeriesRow.watch_id == watch.id)
                               .order_by(WatchedSeriesRow.begins))
        return tuple(SeriesFile(row.begins, row.ends, row.file, row.rows, row.sha256) for row in rows)


def note_seen(store: Store, user: User, watch: Watch, *, margin: float | None, half_range: float | None,
              alarms: Sequence[str]) -> Note:
    """Note that a user has seen a pump with this margin, its range, and these alarms."""
    require(user, "engineer", "note a pump as seen")
    with store.writing() as session:
        row = WatchedNoteRow(watch_id=watch.id, user_id=user.id, at=now(), margin=margin, half_range=half_range,
                             alarms=list(alarms))
        session.add(row)
        session.flush()
        return Note(row.at, user.name, margin, half_range, tuple(alarms))


def notes_of_all(store: Store, all_watches: Iterable[Watch]) -> dict[int, Note]:
    """The last note of several watched pumps, by the number of the watch."""
    chosen = [one.id for one in all_watches]
    with store.reading() as session:
        rows = session.execute(select(WatchedNoteRow, UserRow.name).join(UserRow, UserRow.id == WatchedNoteRow.user_id)
                               .where(WatchedNoteRow.watch_id.in_(chosen)).order_by(WatchedNoteRow.id))
        return {row.watch_id: Note(row.at, name, row.margin, row.half_range, tuple(row.alarms)) for row, name in rows}


def _hours(session: Session, chosen: Sequence[int], since: datetime | None) -> dict[int, tuple[dict[str, Any], ...]]:
    table = WatchedHourRow.__table__
    asked = select(table).where(table.c.watch_id.in_(chosen)).order_by(table.c.watch_id, table.c.hour)
    if since is not None:
        asked = asked.where(table.c.hour >= since)
    found: dict[int, list[dict[str, Any]]] = {}
    for row in session.execute(asked).mappings():
        found.setdefault(row["watch_id"], []).append({name: row[name] for name in HOUR_COLUMNS})
    return {number: tuple(rows) for number, rows in found.items()}


def _watch(row: WatchedPumpRow, *, with_state: bool) -> Watch:
    return Watch(row.id, row.fleet, row.pump, row.model_sha256, row.about, row.begun, row.until,
                 row.state if with_state else None)
