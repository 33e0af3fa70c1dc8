"""No reading is lost: server restarted, network cut, watcher killed, disk full; against the server's own record."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wetpath.errors import InputError, SourceError
from wetpath.links import journal as journal_module
from wetpath.links.account import Reason
from wetpath.watching.samples import Signal


def test_what_comes_live_is_what_the_server_has(new_plant: Any, new_watch: Any, count_lost: Any, tmp_path: Path
                                                ) -> None:
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.count() > 60)
    watch.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}
    samples = watch.samples
    flow = dict(plant.record()["P-101.flow"])
    when = np.round(samples.time * 1e6).astype(int)
    assert np.allclose(samples.values[Signal.FLOW] * 3600, [flow[one] for one in when.tolist()], rtol=1e-12)
    kelvin = np.array([dict(plant.record()["P-101.suction_temperature"])[one] for one in when.tolist()]) + 273.15
    assert np.allclose(samples.values[Signal.SUCTION_TEMPERATURE], kelvin, rtol=1e-12)


def test_server_restarted_under_a_running_client(new_plant: Any, new_watch: Any, count_lost: Any, tmp_path: Path
                                                 ) -> None:
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal")
    for _ in range(2):
        watch.until(lambda: watch.source.state.connected)
        before = watch.count()
        watch.until(lambda: watch.count() > before + 40)  # noqa: B023
        plant.stop()
        time.sleep(0.5)
        plant.start()
    watch.until(lambda: watch.source.state.sessions >= 3)
    before = watch.count()
    watch.until(lambda: watch.count() > before + 40)
    watch.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}
    assert watch.source.state.sessions >= 3
    assert watch.source.account.number(Reason.LATE) == 0


@pytest.mark.parametrize("how", ["cut", "deaf"])
def test_network_cut_for_a_while(how: str, new_plant: Any, network: Any, new_watch: Any, count_lost: Any,
                                 tmp_path: Path) -> None:
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal", port=network.port)
    watch.until(lambda: watch.count() > 40)
    if how == "cut":
        network.cut()
    else:
        network.deaf = True
    watch.until(lambda: not watch.source.state.connected)
    time.sleep(2.0)
    network.mend()
    watch.until(lambda: watch.source.state.sessions >= 2)
    before = watch.count()
    watch.until(lambda: watch.count() > before + 40)
    watch.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}
    assert watch.source.state.backfilled > 9 * 20
    assert np.diff(watch.samples.time).max() == pytest.approx(1.0)      # no hole in what the watch saw either


KILLED = """
import sys
from pathlib import Path
from wetpath.edge.files import load_document
from wetpath.edge.mapping import MappingFile
from wetpath.links.live import LiveSource
url, mapping, folder = sys.argv[1:]
source = LiveSource(url, load_document(mapping, MappingFile), "P-101", Path(folder), pauses=(0.2,))
for samples in source:
    for time in samples.time.tolist():
        print(repr(time), flush=True)
"""


def test_watcher_killed_and_started_again(new_plant: Any, new_watch: Any, count_lost: Any, tmp_path: Path) -> None:
    from wetpath.edge.files import dump_document

    plant = new_plant()
    mapping = tmp_path / "mapping.toml"
    mapping.write_text(dump_document(plant.mapping), encoding="utf-8")
    acknowledged: list[float] = []
    for _ in range(2):
        process = subprocess.Popen(
            [sys.executable, "-c", KILLED, f"opc.tcp://127.0.0.1:{plant.port}", str(mapping),
             str(tmp_path / "journal")], stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        for _ in range(60):
            acknowledged.append(float(process.stdout.readline()))
        os.kill(process.pid, signal.SIGKILL)
        acknowledged += [float(line) for line in process.stdout.read().splitlines() if "." in line]
        process.wait(10)
        process.stdout.close()
        time.sleep(1.0)
    watch = new_watch(plant, tmp_path / "journal", after=acknowledged[59])
    watch.until(lambda: watch.source.state.connected and watch.count() > 80)
    watch.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}
    told = set(np.round(watch.samples.time, 6).tolist())
    assert min(told) > acknowledged[59]
    assert {round(one, 6) for one in acknowledged if one > acknowledged[59]} <= told


def test_slow_reader_holds_the_source_back_and_loses_nothing(new_plant: Any, new_watch: Any, count_lost: Any,
                                                             tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from wetpath.links import live

    monkeypatch.setattr(live, "CHUNKS", 2)
    plant = new_plant(speed=200.0)
    watch = new_watch(plant, tmp_path / "journal", pause=1.5, waiting=1000)
    watch.until(lambda: watch.source.state.sessions >= 2)
    watch.until(lambda: watch.source.state.backfilled > 5000)
    assert len(watch.source.plant._recorder._fresh) <= 1000
    watch.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}


def test_full_disk_stops_safely_and_the_rest_comes_later(new_plant: Any, new_watch: Any, count_lost: Any,
                                                         tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.count() > 40)
    full: Callable[..., None] = journal_module._write_all

    def half(file: Any, data: bytes) -> None:
        file.write(data[:len(data) // 2])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(journal_module, "_write_all", half)
    watch.thread.join(20)
    assert isinstance(watch.failed, SourceError)
    assert str(watch.failed) == (
        f"The disk of the journal {tmp_path / 'journal'} is full: receiving has stopped. All readings acknowledged "
        "before are kept. Make room and start again: what is missing is read from the history of the server, where it "
        "has one.")
    time.sleep(1.0)
    monkeypatch.setattr(journal_module, "_write_all", full)
    again = new_watch(plant, tmp_path / "journal", after=float(watch.samples.time[-1]))
    again.until(lambda: again.count() > 80)
    again.end()
    plant.stop()
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}


def test_two_watches_cannot_share_a_journal(new_plant: Any, new_watch: Any, tmp_path: Path) -> None:
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.count() > 5)
    with pytest.raises(InputError, match="is in use by another process"):
        new_watch(plant, tmp_path / "journal")


def has_run(plant: Any, samples: int) -> dict[str, int]:
    """Let the plant make a record of so many samples, then run on slowly; tells the readings of each tag in it."""
    while min(map(len, plant.record().values()), default=0) < samples:
        time.sleep(0.2)
    plant.stop()
    plant.speed = 20.0
    plant.start()
    return {tag: len(rows) for tag, rows in plant.record().items()}


def test_history_before_the_first_start_is_read_when_asked(new_plant: Any, new_watch: Any, count_lost: Any,
                                                           tmp_path: Path) -> None:
    plant = new_plant(speed=400.0)
    begin = plant.server.begins
    has_run(plant, 300)
    watch = new_watch(plant, tmp_path / "journal", since=begin)
    watch.until(lambda: watch.count() > 360)
    watch.end()
    plant.stop()
    assert watch.samples.time[0] <= begin + 1.0
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}


def test_server_without_history_leaves_a_gap_that_is_told(new_plant: Any, network: Any, new_watch: Any, tmp_path: Path,
                                                          monkeypatch: pytest.MonkeyPatch) -> None:
    from asyncua import ua
    from asyncua.server.history import HistoryManager

    async def refused(*_: Any) -> ua.HistoryReadResult:
        return ua.HistoryReadResult(StatusCode=ua.StatusCode(ua.StatusCodes.BadHistoryOperationUnsupported))

    monkeypatch.setattr(HistoryManager, "_read_history", refused)
    plant = new_plant()
    watch = new_watch(plant, tmp_path / "journal", port=network.port)
    watch.until(lambda: watch.count() > 20)
    network.cut()
    watch.until(lambda: not watch.source.state.connected)
    time.sleep(1.0)
    network.mend()
    watch.until(lambda: watch.source.state.sessions >= 2)
    before = watch.count()
    watch.until(lambda: watch.count() > before + 20)
    watch.end()
    assert len(watch.source.state.gaps) == 9
    tag, begin, end = watch.source.state.gaps[0]
    inside = (watch.samples.time > begin) & (watch.samples.time < end)
    assert end - begin > 20
    assert not inside.any()
    assert f"the server has no history of {tag} (BadHistoryOperationUnsupported)" in watch.source.account.notes
    assert watch.source.account.gaps == 1


def test_server_whose_clock_is_behind_what_it_sent_is_told(new_plant: Any, new_watch: Any, tmp_path: Path) -> None:
    plant = new_plant()
    tags = [one.tag for one in plant.mapping.tags]
    kept = journal_module.Journal(tmp_path / "journal", tags)
    made = np.zeros(len(tags), journal_module.READING)
    made["tag"], made["time"], made["value"] = np.arange(len(tags)), int((time.time() + 1e6) * 1e9), 1.0
    kept.append(made)
    kept.close()
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.source.state.connected)
    watch.end()
    assert any(one.startswith("the clock of the server is behind what it sent before (P-101.flow)")
               for one in watch.source.account.notes)


def test_no_server_there_is_no_end_but_a_state(new_watch: Any, new_plant: Any, tmp_path: Path) -> None:
    plant = new_plant()
    plant.stop()
    watch = new_watch(plant, tmp_path / "journal")
    watch.until(lambda: watch.source.state.what.startswith(f"no connection to opc.tcp://127.0.0.1:{plant.port}: "))
    plant.start()
    watch.until(lambda: watch.count() > 5)
    watch.end()


def test_several_pumps_over_one_session(awaited: Any, rating: Any, pump: Any, port: int, tmp_path: Path) -> None:
    import asyncio
    import threading

    from wetpath.links.live import LivePlant
    from wetpath.links.opc_server import PlantServer
    from wetpath.links.virtual_pump import VirtualPump

    async def serve(stop: asyncio.Event) -> None:
        server = PlantServer({"A": pump, "B": VirtualPump(rating, seed=9)}, port=port, record=None, speed=20.0)
        await server.start()
        source = LivePlant(server.url, server.mapping(), ("A", "B"), tmp_path / "journal")
        found: dict[str, int] = {"A": 0, "B": 0}

        def eat() -> None:
            for name, samples in source:
                found[name] += samples.time.size
                if min(found.values()) > 30:
                    source.stop()

        work = asyncio.create_task(server.run(stop))
        try:
            await asyncio.wait_for(asyncio.shield(eaten := asyncio.ensure_future(asyncio.to_thread(eat))), 30)
        finally:
            source.stop()
            await eaten
            stop.set()
            await work
            await server.stop()
        assert source.state.sessions == 1
        assert min(found.values()) > 30

    before = threading.active_count()

    async def main() -> None:
        await serve(asyncio.Event())

    awaited(main())
    assert threading.active_count() <= before + 1


def test_long_gap_is_read_in_rounds_whatever_the_tags_bring(new_plant: Any, new_watch: Any, count_lost: Any,
                                                            tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages, rounds and the answers of the server are small here, so that each of them ends in between."""
    from wetpath.links import opc_client

    monkeypatch.setattr(opc_client, "PAGE", 37)
    monkeypatch.setattr(opc_client, "MOST_OF_A_TAG", 100)
    plant = new_plant(speed=400.0)
    begin = plant.server.begins
    gap = has_run(plant, 1000)
    watch = new_watch(plant, tmp_path / "journal", since=begin)
    watch.until(lambda: watch.source.state.connected)
    backfilled = watch.source.state.backfilled
    watch.until(lambda: watch.count() > min(gap.values()) + 60)
    watch.end()
    plant.stop()
    assert backfilled >= sum(gap.values())
    assert set(count_lost(plant, tmp_path / "journal").values()) == {0}
    assert watch.source.account.number(Reason.LATE) == 0
