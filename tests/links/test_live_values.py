"""What a server sends: status codes, clocks ahead and behind, units that changed; against what was written into it."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytest.importorskip("asyncua")

from asyncua import Server, ua

from wetpath.edge.mapping import MappingFile
from wetpath.links.account import Reason
from wetpath.links.live import LiveSource
from wetpath.watching.samples import Samples, Signal

FLOW, P1 = Signal.FLOW, Signal.SUCTION_PRESSURE
Write = Callable[..., None]


class Small:
    """A server of two nodes without history, written from a test."""

    def __init__(self, port: int, in_thread: Any) -> None:
        self.url = f"opc.tcp://127.0.0.1:{port}"

        async def work(stop: asyncio.Event, ready: Callable[[], None]) -> None:
            self.server = Server()
            await self.server.init()
            self.server.set_endpoint(self.url)
            self.nodes = {name: await self.server.nodes.objects.add_variable(ua.NodeId(name, 2), name, 0.0)
                          for name in ("FT1", "PT1")}
            async with self.server:
                ready()
                await stop.wait()

        self.thread = in_thread(work)
        self.thread.wait()

    def write(self, name: str, value: float | None, when: float, status: int = 0) -> None:
        made = ua.DataValue(ua.Variant(value, ua.VariantType.Double if value is not None else ua.VariantType.Null),
                            StatusCode=ua.StatusCode(status),
                            SourceTimestamp=datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=when))
        asyncio.run_coroutine_threadsafe(self.server.write_attribute_value(self.nodes[name].nodeid, made),
                                         self.thread.loop).result(10)


@pytest.fixture
def small(port: int, in_thread: Any) -> Iterator[Small]:
    one = Small(port, in_thread)
    yield one
    one.thread.end()


def mapping(**more: Any) -> MappingFile:
    return MappingFile.model_validate({"name": "plant", "atmosphere": "1 bar a", "tags": [
        {"tag": "FT1", "pump": "P", "signal": "flow", "unit": "m3/h", "node": "ns=2;s=FT1", **more},
        {"tag": "PT1", "pump": "P", "signal": "suction_pressure", "unit": "bar g", "node": "ns=2;s=PT1"}]},
        context={"texts": True})


@pytest.fixture
def watched(small: Small, eating: Any, tmp_path: Path) -> Iterator[Callable[..., Any]]:
    made = []

    def start(asked: MappingFile) -> Any:
        now = time.time() - 100.0
        small.write("FT1", 36.0, now)
        small.write("PT1", 4.0, now)
        made.append(eating(LiveSource(small.url, asked, "P", tmp_path / "journal", pauses=(0.2,))))
        made[-1].until(lambda: made[-1].source.state.connected)
        return made[-1], now

    yield start
    for one in made:
        if one.thread.is_alive():
            one.end()


def flow_at(samples: Samples, when: float) -> float:
    return float(samples.values[FLOW][int(np.abs(samples.time - when).argmin())])


def test_only_good_readings_are_used(small: Small, watched: Callable[..., Any]) -> None:
    watch, now = watched(mapping())
    codes = [ua.StatusCodes.Good, ua.StatusCodes.UncertainLastUsableValue, ua.StatusCodes.Good,
             ua.StatusCodes.BadSensorFailure, ua.StatusCodes.GoodClamped]
    for second, code in enumerate(codes, start=1):
        small.write("FT1", None if code == ua.StatusCodes.BadSensorFailure else 18.0, now + second, code)
        small.write("PT1", 4.0, now + second)
    watch.until(lambda: watch.source.account.used.get("FT1", 0) >= 4)
    watch.end()
    assert [flow_at(watch.samples, now + second) for second in range(6)] == pytest.approx(
        [0.01, 0.005, np.nan, 0.005, np.nan, 0.005], nan_ok=True)
    assert watch.source.account.number(Reason.QUALITY, "FT1") == 2


def test_one_time_stamp_far_ahead_does_not_bar_the_readings_behind_it(small: Small, watched: Callable[..., Any],
                                                                        tmp_path: Path) -> None:
    watch, now = watched(mapping())
    small.write("FT1", 99.0, now + 20 * 365 * 86400.0)
    for second in (1, 2, 3):
        small.write("FT1", 18.0, now + second)
        small.write("PT1", 4.0, now + second)
    watch.until(lambda: watch.source.account.used.get("FT1", 0) >= 4)
    watch.end()
    assert [flow_at(watch.samples, now + second) for second in range(4)] == pytest.approx([0.01, 0.005, 0.005, 0.005])
    assert watch.source.account.number(Reason.AHEAD, "FT1") == 1
    assert watch.samples.time.max() < now + 10


def test_unit_changes_hold_for_live_readings(small: Small, watched: Callable[..., Any]) -> None:
    change = (datetime.now(UTC) - timedelta(seconds=98)).isoformat()
    watch, now = watched(mapping(unit_changes=[{"since": change, "unit": "l/min"}]))
    for second in (1, 5):
        small.write("FT1", 36.0, now + second)
        small.write("PT1", 4.0, now + second)
    watch.until(lambda: watch.source.account.used.get("FT1", 0) >= 3)
    watch.end()
    assert flow_at(watch.samples, now + 1) == pytest.approx(36.0 / 3600)
    assert flow_at(watch.samples, now + 5) == pytest.approx(36.0 / 60e3)


def test_same_time_stamp_again_is_counted(small: Small, watched: Callable[..., Any]) -> None:
    watch, now = watched(mapping())
    small.write("FT1", 18.0, now + 1)
    small.write("FT1", 17.0, now + 1)
    small.write("FT1", 16.0, now + 0.5)
    small.write("FT1", 15.0, now + 2)
    watch.until(lambda: watch.source.account.used.get("FT1", 0) >= 3)
    watch.end()
    assert watch.source.account.number(Reason.DUPLICATE, "FT1") == 1
    assert watch.source.account.number(Reason.BACKWARDS, "FT1") == 1


def test_instruments_whose_clocks_differ_are_told(small: Small, watched: Callable[..., Any]) -> None:
    watch, now = watched(mapping())
    small.write("PT1", 4.0, now + 60)
    watch.until(lambda: watch.source.account.used.get("PT1", 0) >= 2)
    small.write("FT1", 18.0, now + 1)
    watch.until(lambda: watch.source.account.number(Reason.LATE) >= 1)
    watch.end()
    assert any(one.startswith("readings of flow come behind later ones") for one in watch.source.account.notes)
