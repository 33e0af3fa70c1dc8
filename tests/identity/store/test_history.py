"""The history of watched pumps: each span once, together or not at all; alarms open and close; notes; the catalogue."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from wetpath.store.accounts import User, add_user
from wetpath.store.errors import NotAllowed
from wetpath.store.history import (
    HOUR_COLUMNS,
    OpenedAlarm,
    Overtaken,
    SeriesFile,
    Span,
    Watch,
    alarms_of_all,
    hours,
    hours_of_all,
    keep_span,
    note_seen,
    notes_of_all,
    series_of,
    watch_of,
    watches,
)
from wetpath.store.opening import Store

BEGIN = datetime(2026, 3, 1, tzinfo=UTC)


def hour(number: int, margin: float | None = 5e4) -> dict[str, Any]:
    blank = dict.fromkeys(HOUR_COLUMNS)
    return blank | {"hour": BEGIN + timedelta(hours=number), "samples": 60, "running": 60, "outside": 0,
                    "margin": margin, "half_range": 1e4, "station": "9", "feed": 1.0, "flow": 0.0125}


def span(first: int, count: int, **more: Any) -> Span:
    return Span(BEGIN + timedelta(hours=first + count), b"state %d" % (first + count),
                tuple(hour(number) for number in range(first, first + count)), **more)


@pytest.fixture
def pump(store: Store) -> Watch:
    return watch_of(store, "North", "P-101", "a" * 64, {"site": "tank farm"})


def test_a_span_is_kept_with_all_that_belongs_to_it(store: Store, pump: Watch) -> None:
    alarm = OpenedAlarm("margin short", BEGIN + timedelta(hours=1), "short", {"evidence": ["−3 K"]})
    file = SeriesFile(BEGIN, BEGIN + timedelta(hours=3), "north/p-101.parquet", 180, "b" * 64)
    after = keep_span(store, pump, span(0, 3, opened=(alarm,), series=file))
    assert after.until == BEGIN + timedelta(hours=3)
    assert watch_of(store, "North", "P-101", "a" * 64, {}) == after
    assert after.state == b"state 3"
    found = hours(store, after)
    assert [one["hour"] for one in found] == [BEGIN + timedelta(hours=number) for number in range(3)]
    assert found[0] == hour(0)
    assert hours_of_all(store, [after], BEGIN + timedelta(hours=2)) == {after.id: found[2:]}
    assert series_of(store, after) == (file,)
    (kept,) = alarms_of_all(store, [after])[after.id]
    assert (kept.name, kept.closed, kept.details) == ("margin short", None, {"evidence": ["−3 K"]})
    keep_span(store, after, span(3, 1, closed={"margin short": BEGIN + timedelta(hours=4)}))
    assert alarms_of_all(store, [after])[after.id][0].closed == BEGIN + timedelta(hours=4)


def test_the_same_span_twice_is_refused(store: Store, pump: Watch) -> None:
    keep_span(store, pump, span(0, 3))
    with pytest.raises(Overtaken, match="P-101 was watched by another run"):
        keep_span(store, pump, span(0, 3))
    assert len(hours(store, pump)) == 3


def test_a_span_that_fails_leaves_nothing(store: Store, pump: Watch) -> None:
    after = keep_span(store, pump, span(0, 3))
    double = Span(BEGIN + timedelta(hours=9), b"later", (hour(4), hour(2)),
                  (OpenedAlarm("drift", BEGIN, "drift", {}),))
    with pytest.raises(IntegrityError):
        keep_span(store, after, double)
    assert len(hours(store, pump)) == 3
    assert alarms_of_all(store, [pump]) == {}
    assert watch_of(store, "North", "P-101", "a" * 64, {}).until == after.until


def test_of_two_runs_at_once_one_is_refused(store: Store, pump: Watch) -> None:
    told: list[str] = []

    def run() -> None:
        try:
            keep_span(store, pump, span(0, 3))
            told.append("kept")
        except Overtaken:
            told.append("refused")

    threads = [threading.Thread(target=run) for _ in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(told) == ["kept", "refused", "refused", "refused"]
    assert len(hours(store, pump)) == 3


def test_another_model_begins_a_watch_of_its_own(store: Store, pump: Watch) -> None:
    keep_span(store, pump, span(0, 3))
    again = watch_of(store, "North", "P-101", "c" * 64, {"case": "B"})
    other = watch_of(store, "North", "P-102", "d" * 64, {})
    assert again.until is None
    assert [(one.pump, one.id) for one in watches(store, "North")] == [("P-101", again.id), ("P-102", other.id)]
    assert watches(store, "South") == ()


def test_the_last_note_counts_and_a_reader_writes_none(store: Store, engineer: User, pump: Watch) -> None:
    note_seen(store, engineer, pump, margin=5e4, half_range=1e4, alarms=())
    note_seen(store, engineer, pump, margin=4e4, half_range=None, alarms=("drift",))
    note = notes_of_all(store, [pump])[pump.id]
    assert (note.margin, note.half_range, note.alarms, note.by) == (4e4, None, ("drift",), engineer.name)
    reader = add_user(store, "Ada", "long enough for this", role="reader")
    with pytest.raises(NotAllowed):
        note_seen(store, reader, pump, margin=5e4, half_range=1e4, alarms=())
