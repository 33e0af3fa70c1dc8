"""Live samples of pumps: from the journal what is there already, then what a server of OPC UA sends."""

from __future__ import annotations

import asyncio
import queue
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.mapping import MappedTag, MappingFile
from wetpath.links.account import Account, Reason
from wetpath.links.alignment import Aligner
from wetpath.links.clock import seconds_of
from wetpath.links.journal import Journal, Readings
from wetpath.links.opc_client import PAUSES, WAITING, Recorder, State, quiet_library
from wetpath.links.opc_keys import Keys
from wetpath.watching.samples import Samples, Signal

Array = NDArray[np.float64]
PumpSamples = tuple[str, Samples]

#: Chunks of samples that wait for their reader; with more the source waits, and later reads the history.
CHUNKS = 64
#: Severity bits of a status code: none set is good.
_SEVERITY = 0xC0000000


class _Pump:
    """What makes samples of one pump out of raw readings."""

    def __init__(self, name: str, mapping: MappingFile, journal: Journal, account: Account, after: float | None
                 ) -> None:
        self.name, self.after = name, after
        self.tags = mapping.tags_of(name)
        self.account, self._mapping = account, mapping
        self._numbers = [journal.number(one.tag) for one in self.tags]
        self._ranges = [one.range_in_si(mapping.air) for one in self.tags]
        ages = {Signal(one.signal): mapping.age(one) for one in self.tags}
        self.oldest = max(ages.values())
        self._aligner = Aligner(ages, mapping.step, account)
        self._newest = [-np.inf] * len(self.tags)

    def samples(self, readings: Readings) -> Samples | None:
        """Samples that are complete with these readings: all tags have come so far, or are too old to count."""
        for place, (mapped, number) in enumerate(zip(self.tags, self._numbers, strict=True)):
            mine = readings[readings["tag"] == number]
            if mine.size:
                times = seconds_of(mine["time"])
                self._aligner.add(Signal(mapped.signal), times, self._in_si(place, mine, times))
                self._newest[place] = max(self._newest[place], float(times[-1]))
        newest = max(self._newest)
        return None if newest == -np.inf else self._until(max(min(self._newest), newest - self.oldest))

    def rest(self) -> Samples | None:
        """Samples of all that has come."""
        return self._until(np.inf)

    def _until(self, time: float) -> Samples | None:
        """Leave out what was given before."""
        samples = self._aligner.until(time)
        if samples is None or self.after is None or samples.time[0] > self.after:
            return samples
        later = samples.between(float(np.nextafter(self.after, np.inf)), np.inf)
        return later if later.time.size else None

    def _in_si(self, place: int, mine: Readings, times: Array) -> Array:
        tag, (lowest, highest) = self.tags[place].tag, self._ranges[place]
        value = self._mapping.in_si(self.tags[place], times, mine["value"])
        bad = (mine["status"] & _SEVERITY) != 0
        none = ~bad & ~np.isfinite(value)
        with np.errstate(invalid="ignore"):
            outside = ~bad & ~none & ((value < lowest) | (value > highest))
        for wrong, reason in ((bad, Reason.QUALITY), (none, Reason.NO_NUMBER), (outside, Reason.RANGE)):
            self.account.drop(tag, reason, times[wrong])
        usable = ~(bad | none | outside)
        self.account.use(tag, int(usable.sum()))
        return np.where(usable, value, np.nan)


class LivePlant:
    """Iterate over it for samples of pumps, until `stop`; everything that comes out is on the disk before.

    Parameters
    ----------
    url : str
        ``opc.tcp://host:4840``.
    mapping : MappingFile
        With the node of every tag.
    pumps : sequence of str
    folder : path
        Journal of these pumps; a watch that starts again goes on from there.
    after : mapping, optional
        Pump to UTC seconds; its samples up to then are not given again. Without it, all that the journal has come
        first.
    since : float, optional
        With an empty journal: from when on the server's history is read. Without it, live only.
    keys : path, optional
        Folder with the keys of `wetpath.links.opc_keys`: the session is signed and encrypted.
    pauses, waiting : optional
        See `wetpath.links.opc_client`.
    """

    def __init__(self, url: str, mapping: MappingFile, pumps: Sequence[str], folder: Path, *,
                 after: Mapping[str, float] | None = None, since: float | None = None, keys: Path | None = None,
                 pauses: Sequence[float] = PAUSES, waiting: int = WAITING) -> None:
        quiet_library()
        own = None if keys is None else Keys(keys)
        self.account = Account()
        tags: list[MappedTag] = [one for pump in pumps for one in mapping.tags_of(pump)]
        self.journal = Journal(folder, [one.tag for one in tags])
        try:
            self._pumps = [_Pump(one, mapping, self.journal, self.account, (after or {}).get(one)) for one in pumps]
            self._recorder = Recorder(url, tags, self.journal, self._deliver, account=self.account, since=since,
                                      pauses=pauses, waiting=waiting, keys=own)
        except BaseException:
            self.journal.close()
            raise
        self._out: queue.Queue[PumpSamples | None] = queue.Queue(CHUNKS * len(pumps))
        self._stop = threading.Event()
        self._failed: BaseException | None = None

    @property
    def state(self) -> State:
        """How the source is doing."""
        return self._recorder.state

    def stop(self) -> None:
        """End the iteration after what has come; may be called from any thread."""
        self._stop.set()

    def __iter__(self) -> Iterator[PumpSamples]:
        thread = threading.Thread(target=self._receive, name="wetpath-live", daemon=True)
        try:
            yield from self._stored()
            thread.start()
            while (found := self._out.get()) is not None:
                yield found
            if self._failed is not None:
                raise self._failed
            for one in self._pumps:
                if (rest := one.rest()) is not None:
                    yield one.name, rest
        finally:
            self._stop.set()
            while thread.is_alive():
                with suppress(queue.Empty):
                    self._out.get(timeout=0.05)
            self.journal.close()

    def _stored(self) -> Iterator[PumpSamples]:
        begin = -(2**62)
        if all(one.after is not None for one in self._pumps):
            begin = int(min((one.after or 0.0) - one.oldest - 1.0 for one in self._pumps) * 1e9)
        for readings in self.journal.read(begin):
            for one in self._pumps:
                if (samples := one.samples(readings)) is not None:
                    yield one.name, samples

    def _receive(self) -> None:
        try:
            asyncio.run(self._received())
        except BaseException as error:      # handed to the reader, in whose thread it is raised
            self._failed = error
        while True:
            try:
                self._out.put(None, timeout=0.2)
                return
            except queue.Full:
                if self._stop.is_set():
                    with suppress(queue.Empty):
                        self._out.get_nowait()

    async def _received(self) -> None:
        stop = asyncio.Event()
        work = asyncio.create_task(self._recorder.run(stop))
        while not work.done():
            await asyncio.wait({work}, timeout=0.1)
            if self._stop.is_set():
                stop.set()
        await work

    async def _deliver(self, readings: Readings) -> None:
        for one in self._pumps:
            samples = one.samples(readings)
            while samples is not None:
                try:
                    self._out.put_nowait((one.name, samples))
                    samples = None
                except queue.Full:
                    if self._stop.is_set():
                        return                   # it is in the journal
                    await asyncio.sleep(0.05)


class LiveSource:
    """The same for one pump: its samples without its name."""

    def __init__(self, url: str, mapping: MappingFile, pump: str, folder: Path, *, after: float | None = None,
                 since: float | None = None, keys: Path | None = None, pauses: Sequence[float] = PAUSES,
                 waiting: int = WAITING) -> None:
        self.plant = LivePlant(url, mapping, (pump,), folder, after=None if after is None else {pump: after},
                               since=since, keys=keys, pauses=pauses, waiting=waiting)

    def __iter__(self) -> Iterator[Samples]:
        return (samples for _, samples in self.plant)

    @property
    def account(self) -> Account:
        """What was used and what not."""
        return self.plant.account

    @property
    def state(self) -> State:
        """How the source is doing."""
        return self.plant.state

    def stop(self) -> None:
        """End the iteration after what has come."""
        self.plant.stop()
