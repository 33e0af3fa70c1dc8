"""A virtual plant in a thread that can be stopped and started, and a network in between that can be cut."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest

pytest.importorskip("asyncua")
pytest.importorskip("pyarrow")

from wetpath.edge.mapping import MappingFile
from wetpath.links.journal import READING, Journal
from wetpath.links.live import LiveSource
from wetpath.links.opc_server import PlantServer
from wetpath.links.virtual_pump import VirtualPump
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import rate_files
from wetpath.watching.samples import Samples

PUMP = "P-101"


@pytest.fixture
def awaited() -> Iterator[Callable[[Any], Any]]:
    """Wait for a coroutine, on a loop in a thread of its own: a browser may keep a loop in this one."""
    with ThreadPoolExecutor(1) as thread:
        yield lambda work: thread.submit(asyncio.run, work).result()


@pytest.fixture(scope="session")
def rating() -> Rating:
    return rate_files(enquiry_path("hot_water"))


@pytest.fixture
def pump(rating: Rating) -> VirtualPump:
    return VirtualPump(rating, seed=7)


@pytest.fixture
def port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Thread:
    """A coroutine with an event to stop it, in a loop of its own."""

    def __init__(self, work: Callable[[asyncio.Event, Callable[[], None]], Any]) -> None:
        self._ready = threading.Event()
        self._failed: BaseException | None = None

        async def run() -> None:
            self.loop, self.stop_event = asyncio.get_running_loop(), asyncio.Event()
            await work(self.stop_event, self._ready.set)

        def target() -> None:
            try:
                asyncio.run(run())
            except BaseException as error:
                self._failed = error
                self._ready.set()

        self.thread = threading.Thread(target=target, daemon=True)
        self.thread.start()

    def wait(self) -> None:
        assert self._ready.wait(90)
        if self._failed is not None:
            raise self._failed

    def end(self) -> None:
        with suppress(RuntimeError):
            self.loop.call_soon_threadsafe(self.stop_event.set)
        self.thread.join(20)
        assert not self.thread.is_alive()


class Plant:
    """A virtual plant whose server can be stopped and started again on the same port and record."""

    def __init__(self, pump: VirtualPump, port: int, record: Path, speed: float) -> None:
        self.pump, self.port, self.path, self.speed = pump, port, record, speed
        self.thread: Thread | None = None
        self.start()

    def start(self) -> None:
        async def work(stop: asyncio.Event, ready: Callable[[], None]) -> None:
            self.server = PlantServer({PUMP: self.pump}, port=self.port, record=self.path, speed=self.speed)
            self.mapping: MappingFile = self.server.mapping()
            await self.server.start()
            ready()
            try:
                await self.server.run(stop)
            finally:
                await self.server.stop()

        self.thread = Thread(work)
        self.thread.wait()

    def stop(self) -> None:
        if self.thread is not None:
            self.thread.end()
            self.thread = None

    def record(self) -> dict[str, list[tuple[int, float]]]:
        """The server's own record, by tag: microseconds and value."""
        import sqlite3

        names = {one.node: one.tag for one in self.mapping.tags}
        found: dict[str, list[tuple[int, float]]] = {one: [] for one in names.values()}
        with closing(sqlite3.connect(self.path)) as base:
            for node, when, value in base.execute("SELECT node, time, value FROM readings ORDER BY node, time"):
                found[names[node]].append((when, value))
        return found


@pytest.fixture
def new_plant(pump: VirtualPump, port: int, tmp_path: Path) -> Iterator[Callable[..., Plant]]:
    made: list[Plant] = []

    def new(speed: float = 20.0) -> Plant:
        made.append(Plant(pump, port, tmp_path / "record.sqlite", speed))
        return made[-1]

    yield new
    for one in made:
        one.stop()


class Network:
    """A TCP proxy. ``cut`` drops what is connected and lets nothing in; ``deaf`` passes nothing on."""

    def __init__(self, to: int) -> None:
        self.to = to
        self.open, self.deaf = True, False
        self.writers: list[asyncio.StreamWriter] = []

        async def work(stop: asyncio.Event, ready: Callable[[], None]) -> None:
            server = await asyncio.start_server(self._connected, "127.0.0.1", 0)
            self.port = server.sockets[0].getsockname()[1]
            ready()
            await stop.wait()
            server.close()
            self._drop()
            await asyncio.sleep(0.1)

        self.thread = Thread(work)
        self.thread.wait()

    async def _connected(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            if not self.open:
                return
            onward, back = await asyncio.open_connection("127.0.0.1", self.to)
            self.writers += [writer, back]
            await asyncio.gather(self._pass(reader, back), self._pass(onward, writer))
        except OSError:
            pass
        finally:
            writer.close()

    async def _pass(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError):
            while data := await reader.read(65536):
                if not self.deaf:
                    writer.write(data)
                    await writer.drain()
        writer.close()

    def _drop(self) -> None:
        for one in self.writers:
            one.transport.abort()
        self.writers.clear()

    def cut(self) -> None:
        self.open = False
        self.thread.loop.call_soon_threadsafe(self._drop)

    def mend(self) -> None:
        self.open, self.deaf = True, False


@pytest.fixture
def network(port: int) -> Iterator[Network]:
    one = Network(port)
    yield one
    one.thread.end()


class Watch:
    """Eats the samples of a live source in a thread."""

    def __init__(self, source: LiveSource, pause: float = 0.0) -> None:
        self.source = source
        self.parts: list[Samples] = []
        self.failed: BaseException | None = None

        def eat() -> None:
            try:
                for part in source:
                    self.parts.append(part)
                    time.sleep(pause)
            except BaseException as error:
                self.failed = error

        self.thread = threading.Thread(target=eat, daemon=True)
        self.thread.start()

    @property
    def samples(self) -> Samples:
        return Samples.joined(self.parts)

    def until(self, what: Callable[[], bool], seconds: float = 90.0) -> None:
        end = time.monotonic() + seconds
        while not what():
            assert time.monotonic() < end, (self.source.state.lines(), self.source.account.lines())
            assert self.failed is None, self.failed
            time.sleep(0.05)

    def count(self) -> int:
        return sum(part.count for part in self.parts)

    def end(self) -> None:
        self.source.stop()
        self.thread.join(20)
        assert not self.thread.is_alive()


@pytest.fixture
def in_thread() -> type[Thread]:
    return Thread


@pytest.fixture
def eating() -> type[Watch]:
    return Watch


@pytest.fixture
def new_watch() -> Iterator[Callable[..., Watch]]:
    made: list[Watch] = []

    def new(plant: Plant, folder: Path, *, port: int | None = None, pause: float = 0.0, **more: Any) -> Watch:
        source = LiveSource(f"opc.tcp://127.0.0.1:{port or plant.port}", plant.mapping, PUMP, folder, pauses=(0.2, 0.5),
                            **more)
        made.append(Watch(source, pause))
        return made[-1]

    yield new
    for one in made:
        if one.thread.is_alive():
            one.end()


def lost(plant: Plant, folder: Path) -> dict[str, int]:
    """How many readings of the server's own record, since the journal began, are not in the journal, or differ."""
    record = plant.record()
    journal = Journal(folder, [one.tag for one in plant.mapping.tags])
    readings = np.concatenate([np.zeros(0, READING), *journal.read()])
    journal.close()
    found = {}
    for tag, rows in record.items():
        mine = readings[readings["tag"] == journal.number(tag)]
        kept = dict(zip((mine["time"] // 1000).tolist(), mine["value"].tolist(), strict=True))
        assert len(kept) == mine.size, "a reading is in the journal twice"
        begin, end = min(kept), max(kept)
        asked = [row for row in rows if begin <= row[0] <= end]
        assert len(asked) > 20
        found[tag] = sum(kept.get(when) != value for when, value in asked)
    return found


@pytest.fixture
def count_lost() -> Callable[[Plant, Path], dict[str, int]]:
    return lost
