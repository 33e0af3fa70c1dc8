"""Cutting readings into spans, files of a historian, what a watch remembers, and the range of an hour."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from wetpath.errors import SourceError
from wetpath.fleet.hours import HOUR, HOUR_NAMES
from wetpath.fleet.invented import Course, readings
from wetpath.fleet.snapshot import MemoryNotKnown, memory_of, remember
from wetpath.fleet.span import SpanTask, span_watched
from wetpath.links.series import read_series, write_series
from wetpath.services.demo import demo_folder, enquiry_path
from wetpath.services.fleet import fleet_state, load_fleet
from wetpath.services.fleet_replay import SPAN, bring_up_to_date, open_replay, spans_of
from wetpath.services.rating import load_service
from wetpath.services.watch import watcher_for
from wetpath.store.history import hours, watches
from wetpath.watching.margin_range import MarginRange
from wetpath.watching.reconcile import ORDER, Errors, reconcile
from wetpath.watching.samples import Samples, Signal
from wetpath.watching.surrogate import MARGIN, PRESSURE, TEMPERATURE, Surrogate, margins_of
from wetpath.watching.watcher import Watcher

#: A Thursday, where spans end.
THURSDAY = SPAN * 2900


@cache
def model() -> tuple[Surrogate, Errors]:
    one = watcher_for(load_service(enquiry_path("naphtha")).rate(), 0)
    return one.surrogate, one.errors


def plain(begin: float, end: float, step: float = 600.0) -> Samples:
    time = np.arange(begin, end, step)
    return Samples(time, {Signal.FLOW: np.ones(time.size)})


def test_spans_are_whole_hours_and_end_with_the_week() -> None:
    begin = THURSDAY - 30 * HOUR + 700.0
    pieces = [plain(begin, begin + 20 * HOUR), plain(begin + 20 * HOUR, THURSDAY + 9.5 * HOUR)]
    found = list(spans_of(pieces, None, np.inf))
    assert [(one.begin - THURSDAY, one.end - THURSDAY) for one in found] == [(-30 * HOUR, 0), (0, 9 * HOUR)]
    assert sum(one.source.count for one in found) == sum(one.count for one in pieces) - 3
    again = list(spans_of(pieces, THURSDAY - 3 * HOUR, THURSDAY + 4 * HOUR))
    assert [(one.begin - THURSDAY, one.end - THURSDAY) for one in again] == [(-3 * HOUR, 0), (0, 4 * HOUR)]
    assert list(spans_of([], THURSDAY, np.inf)) == []
    assert list(spans_of(pieces, THURSDAY + 9 * HOUR, np.inf)) == []


def test_invented_readings_do_not_depend_on_the_span() -> None:
    course = Course(4, 900.0, plugs=0.3, begins=THURSDAY, over=SPAN, missing=(Signal.FLOW,))
    whole = readings(course, *model(), THURSDAY - 1000.0, THURSDAY + 50 * HOUR)
    parts = [readings(course, *model(), begin, begin + 25 * HOUR) for begin in (THURSDAY - 1000.0,
                                                                              THURSDAY - 1000.0 + 25 * HOUR)]
    joined = Samples.joined(parts).between(0, THURSDAY + 50 * HOUR)
    count = joined.count
    assert np.array_equal(whole.time[:count], joined.time)
    assert Signal.FLOW not in whole.values
    for name, value in joined.values.items():
        assert np.array_equal(whole.values[name][:count], value)


def test_a_memory_that_is_not_one_is_refused_and_the_watch_begins_anew() -> None:
    watcher = Watcher(*model())
    with pytest.raises(MemoryNotKnown):
        remember(Watcher(*model()), b"nothing")
    memory = bytearray(memory_of(watcher, {"drift": 3}))
    assert remember(Watcher(*model()), bytes(memory)) == {"drift": 3}
    watcher.another = 1                                              # as a later version might remember
    with pytest.raises(MemoryNotKnown):
        remember(Watcher(*model()), memory_of(watcher, {}))
    task = SpanTask(THURSDAY, THURSDAY + 2 * HOUR, b"nothing", Course(1, 900.0))
    assert b"cannot be read by this version" in span_watched(model(), task)["told"].tobytes()


def test_the_range_holds_the_margin_as_often_as_it_says() -> None:
    """Signals drawn with their errors around a known state: the range holds at least 95 % of the margins found."""
    surrogate, errors = model()
    random = np.random.default_rng(8)
    course = Course(1, HOUR, flow_swing=0.0, warmth_swing=0.0)
    exact = Errors(1e-12 * errors.signals, 1e-12 * errors.instruments, errors.usual, errors.unknown)
    one = readings(course, surrogate, exact, 0.0, HOUR)
    true = np.array([one.values[name][0] for name in ORDER])
    values = true + errors.signals * random.standard_normal((2000, 8))
    values[:, 7] = np.nan
    found = reconcile(surrogate, surrogate.at_feed(1.0), errors, values)
    margin = margins_of(surrogate.liquid.arrays, found.columns, found.states[:, TEMPERATURE].copy(),
                        found.states[:, PRESSURE].copy())[:, MARGIN]
    measured = [True] * 7 + [False]
    half, fewer = MarginRange(surrogate, errors).half(np.tile(true[:4], (2, 1)), np.array([
        measured, [False] * 3 + [True] * 4 + [False]]), 1.0)
    assert np.mean(np.abs(margin - np.median(margin)) <= half) > 0.95       # the model's errors make it wider
    spread = 1.96 * margin.std()
    assert 0.95 * spread < half < 4 * spread
    assert fewer > half


def test_series_are_refused_when_they_are_not_as_written(tmp_path: Path) -> None:
    rows = np.array([[THURSDAY, 1.0], [THURSDAY + 60, np.nan]])
    sha256 = write_series(tmp_path, "a/b.parquet", ("time", "margin"), rows)
    table = read_series(tmp_path, "a/b.parquet", sha256)
    assert table["time"][0] == datetime.fromtimestamp(THURSDAY, UTC)
    assert np.isnan(table["margin"][1])
    (tmp_path / "a" / "b.parquet").write_bytes(b"other")
    with pytest.raises(SourceError, match="is not as it was written"):
        read_series(tmp_path, "a/b.parquet", sha256)


def test_files_of_a_historian_are_watched_and_gone_on_with(tmp_path: Path) -> None:
    surrogate, errors = model()
    begin = datetime(2026, 6, 1, tzinfo=UTC).timestamp()
    one = readings(Course(1, 600.0), surrogate, errors, begin, begin + 30.5 * HOUR)
    names = (Signal.FLOW, Signal.SUCTION_TEMPERATURE, Signal.SUCTION_PRESSURE, Signal.DISCHARGE_PRESSURE,
             Signal.MOTOR_POWER)
    units = ("m3/s", "K", "Pa a", "Pa a", "W")
    tags = "".join(f'\n[[tags]]\ntag = "{name}"\npump = "P-9"\nsignal = "{name}"\nunit = "{unit}"\n'
                   for name, unit in zip(names, units, strict=True))
    (tmp_path / "mapping.toml").write_text('wetpath = "mapping/1"\nname = "Invented"\nmax_age = "900 s"\n'
                                           f'time_format = "seconds since 1970"\n{tags}', encoding="utf-8")
    (tmp_path / "fleet.toml").write_text(
        f'wetpath = "fleet/1"\nname = "One"\nas_of = "2026-06-02T06:00:00Z"\n[[pumps]]\ntag = "P-9"\n'
        f'enquiry_file = "{demo_folder()}/enquiries/naphtha.toml"\nmapping_file = "mapping.toml"\n'
        'files = ["data-*.csv"]\n', encoding="utf-8")

    def write(name: str, first: int, past: int) -> None:
        lines = [",".join(["time", *names])]
        lines += [",".join(repr(float(value)) for value in (one.time[row], *(one.values[name][row] for name in names)))
                  for row in range(first, past)]
        (tmp_path / name).write_text("\n".join(lines) + "\n", encoding="utf-8")

    write("data-1.csv", 0, 100)
    store, fleet = open_replay(tmp_path / "history"), load_fleet(tmp_path / "fleet.toml")
    assert bring_up_to_date(store, fleet).problems == {}
    (watch,) = watches(store, "One")
    assert [row["samples"] for row in hours(store, watch)] == [6] * 16
    assert fleet_state(store, fleet).sentence == "1 no data"
    write("data-2.csv", 100, one.count)
    assert bring_up_to_date(store, fleet).spans == 1
    rows = hours(store, watch)
    assert [row["samples"] for row in rows] == [6] * 30
    assert all(row["margin"] is not None and row["speed"] is None for row in rows)
    state = fleet_state(store, fleet)
    assert state.sentence == "1 well"
    assert state.pumps[0].missing == ("speed", "shell_temperature", "return_temperature")
    store.close()


def test_names_of_an_hour_are_those_of_the_history() -> None:
    from wetpath.store.history import HOUR_COLUMNS

    assert {*HOUR_NAMES, *map(str, ORDER)} == set(HOUR_COLUMNS)
