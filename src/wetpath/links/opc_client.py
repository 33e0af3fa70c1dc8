"""A client of OPC UA that loses nothing: subscription, own supervision, and the gap read from the server's history.

The library's client does not come back by itself in a way that fills the gap, so that a session here is short-lived and
simple: connect, subscribe, read from the history what has come since the last reading on the disk, then take what the
subscription brings. When anything goes wrong the session ends and a new one begins after a pause that grows.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import re
import time
from collections import deque
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np
from asyncua import Client, ua
from asyncua.common.node import Node

from wetpath.edge.mapping import MappedTag
from wetpath.errors import InputError
from wetpath.links.account import Account, Reason
from wetpath.links.clock import AHEAD
from wetpath.links.journal import READING, Journal, Readings
from wetpath.links.opc_keys import Keys

Deliver = Callable[[Readings], Awaitable[None]]

#: A session that cannot be begun is tried again after these pauses, the last one again and again [s].
PAUSES = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0)
#: Answers have to come in this time; the connection is looked at as often as the other [s].
PATIENCE, LOOK = 4.0, 1.0
#: Time between notifications [ms], and readings of a tag that the server keeps between them.
PUBLISHED, KEPT_BY_SERVER = 250.0, 10000
#: Readings that wait here; beyond it they are let go and read from the history later.
WAITING = 50000
#: Readings asked from the history at a time, and the time over which all tags are read before they are handed on [s].
PAGE, SLICE, LONGEST_SLICE = 5000, 3600.0, 30 * 86400.0
#: Readings of one tag that are read before they are handed on.
MOST_OF_A_TAG = 20000
#: Namespace of the virtual plant, whose time may run faster than the clock.
VIRTUAL_PLANT = "urn:wetpath:virtual-plant"
#: The history may lag behind what is published: it is asked again so often, after this pause [s].
HISTORY_TRIES, HISTORY_PAUSE = 10, 0.5

_OVERFLOW = 0x80                                        # info bits of a status code: a queue ran over
_NO_HISTORY = frozenset({"BadHistoryOperationUnsupported", "BadHistoryOperationInvalid", "BadNotImplemented",
                         "BadServiceUnsupported", "BadUserAccessDenied", "BadNotReadable", "BadNoData",
                         "BadDataUnavailable"})


@dataclass
class State:
    """How the source is doing."""

    connected: bool = False
    sessions: int = 0
    what: str = "not connected yet"
    tell: Callable[[str], None] = lambda words: None    # told of every change of ``what``
    backfilled: int = 0                                 # readings that came out of the history
    gaps: deque[tuple[str, float, float]] = field(                         # tag, from, to: not in the history
        default_factory=lambda: deque(maxlen=1000))

    def now(self, what: str) -> None:
        """Say how it is doing from now on."""
        if what != self.what:
            self.what = what
            self.tell(what)

    def lines(self) -> tuple[str, ...]:
        """What a user is told."""
        told = [f"{self.what}; {self.sessions} sessions, {self.backfilled} readings out of the history"]
        told += [f"{tag}: nothing in the history for {later - earlier:.1f} s" for tag, earlier, later in self.gaps]
        return tuple(told)


class _Lost(Exception):
    """The session is over."""


@dataclass
class _Tag:
    number: int
    name: str
    node_id: ua.NodeId
    node: Node | None = None
    newest: int | None = None                           # first reading that the subscription brought [ns]
    live: int = 0                                       # latest one that it brought
    filled: bool = False                                # what was missing before it has been read from the history


class Recorder:
    """Receives the readings of some tags, writes them through to the journal, and only then hands them on."""

    def __init__(self, url: str, tags: Sequence[MappedTag], journal: Journal, deliver: Deliver, *,
                 account: Account, since: float | None = None, pauses: Sequence[float] = PAUSES,
                 waiting: int = WAITING, keys: Keys | None = None) -> None:
        self.url, self.keys = url, keys
        self.shown = re.sub(r"//[^/]*@", "//", url)         # a password in it is not told
        self.journal = journal
        self.deliver = deliver
        self.account = account
        self.since = since
        self.pauses = tuple(pauses)
        self.waiting = waiting
        self.state = State()
        self._tags = [_Tag(journal.number(one.tag), one.tag, _node_id(one)) for one in tags]
        self._by_id = {one.node_id: one for one in self._tags}
        self._fresh: deque[tuple[int, int, float, int]] = deque()
        self._ran_over = False
        self._came = asyncio.Event()
        self._over: str = ""
        self._ahead = AHEAD

    async def run(self, stop: asyncio.Event) -> None:
        """Receive until stopped; whatever the server does, try again."""
        tried = 0
        while not stop.is_set():
            before = self.state.sessions
            try:
                await self._session(stop)
            except (OSError, ua.UaError, TimeoutError, _Lost, asyncio.CancelledError) as error:
                if isinstance(error, asyncio.CancelledError) and _being_cancelled():
                    raise
                self.state.now(f"no connection to {self.shown}: {_short(error)}")
            self.state.connected = False
            tried = 0 if self.state.sessions > before else tried + 1
            if not stop.is_set():
                pause = self.pauses[min(tried, len(self.pauses) - 1)]
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(stop.wait(), pause)

    async def _session(self, stop: asyncio.Event) -> None:
        client = Client(self.url, timeout=PATIENCE, watchdog_intervall=LOOK)
        client.connection_lost_callback = self._connection_lost
        self._over, self._ran_over = "", False
        self._fresh.clear()
        try:
            if self.keys is not None:
                await asyncio.wait_for(self.keys.put_on(client), 2 * PATIENCE)
            await asyncio.wait_for(client.connect(), 2 * PATIENCE)
            self._ahead = np.inf if VIRTUAL_PLANT in await client.get_namespace_array() else AHEAD
            await self._subscribe(client)
            await self._fill()
            self.state.connected = True
            self.state.now(f"connected to {self.shown}")
            self.state.sessions += 1
            await self._live(client, stop)
        finally:
            transport = getattr(client.uaclient.protocol, "transport", None)
            with contextlib.suppress(Exception, asyncio.CancelledError):
                await asyncio.wait_for(client.disconnect(), PATIENCE)
            if transport is not None:
                transport.abort()               # a server that does not answer leaves it open

    async def _connection_lost(self, error: Exception) -> None:
        self._over = _short(error) or "connection lost"
        self._came.set()

    async def _subscribe(self, client: Client) -> None:
        missing = []
        for one in self._tags:
            one.node, one.newest, one.filled = client.get_node(one.node_id), None, False
            try:
                await one.node.read_node_class()
            except (ua.uaerrors.BadNodeIdUnknown, ua.uaerrors.BadNodeIdInvalid):
                missing.append(one)
        if missing:
            names = ", ".join(f'"{one.name}" ({one.node_id.to_string()})' for one in missing)
            raise _Lost(f"the server has no node for {names}; look at node in the mapping file")
        subscription = await client.create_subscription(PUBLISHED, self)
        every = ua.DataChangeFilter(Trigger=ua.DataChangeTrigger.StatusValueTimestamp)
        results = await subscription.create_monitored_items([_request(one, every) for one in self._tags])
        if any(isinstance(one, ua.StatusCode) for one in results):
            await subscription.delete()
            subscription = await client.create_subscription(PUBLISHED, self)
            results = await subscription.create_monitored_items([_request(one, None) for one in self._tags])
            self.account.note("the server does not tell readings that repeat the last value")
        refused = [one for one in results if isinstance(one, ua.StatusCode)]
        if refused:
            raise _Lost(f"the server does not let all tags be subscribed: {refused[0].name}")
        until = time.monotonic() + PATIENCE / 2
        while any(one.newest is None for one in self._tags) and time.monotonic() < until and not self._over:
            await asyncio.sleep(0.02)

    def datachange_notification(self, node: Node, value: Any, data: Any) -> None:
        """Take what the subscription brings; called by the library."""
        one = self._by_id[node.nodeid]
        read = self._reading(one, data.monitored_item.Value)
        if read is None:
            return
        if one.newest is None:
            one.newest = one.live = read[1]
        elif read[1] < one.live:
            self.account.drop(one.name, Reason.BACKWARDS, np.array([read[1] / 1e9]))
        elif read[1] == one.live:
            self.account.drop(one.name, Reason.DUPLICATE, np.array([read[1] / 1e9]))
        one.live = max(one.live, read[1])
        if read[3] & _OVERFLOW and read[3] & 0x400:
            self._ran_over = True
        if len(self._fresh) >= self.waiting:
            self._fresh.clear()
            self._ran_over = True
        self._fresh.append(read)
        self._came.set()

    def status_change_notification(self, status: Any) -> None:
        """The server ends the subscription; called by the library."""
        self._over = "the server ended the subscription"
        self._came.set()

    def _reading(self, one: _Tag, value: ua.DataValue) -> tuple[int, int, float, int] | None:
        stamp = value.SourceTimestamp or value.ServerTimestamp
        if stamp is None:
            self.account.drop(one.name, Reason.NO_TIME, number=1)
            return None
        stamp = stamp.replace(tzinfo=UTC) if stamp.tzinfo is None else stamp
        number = value.Value.Value if value.Value is not None else None
        plain = float(number) if isinstance(number, (int, float)) else float("nan")
        status = value.StatusCode.value if value.StatusCode is not None else 0
        if status == ua.StatusCodes.BadWaitingForInitialData:
            return None                         # no reading yet, whatever its time stamp
        when = _nanoseconds(stamp)
        if when > (time.time() + self._ahead) * 1e9:      # kept, it would bar every reading until then
            self.account.drop(one.name, Reason.AHEAD, np.array([when / 1e9]))
            return None
        return one.number, when, plain, status

    async def _live(self, client: Client, stop: asyncio.Event) -> None:
        looked = time.monotonic()
        while not stop.is_set():
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._came.wait(), LOOK / 2)
            self._came.clear()
            await self._drain()
            if self._over:
                raise _Lost(self._over)
            if time.monotonic() - looked > LOOK:
                await client.check_connection()
                looked = time.monotonic()
        await self._drain()

    async def _drain(self) -> None:
        if any(one.newest is not None and not one.filled for one in self._tags):
            await self._fill()                  # a tag that had no value when the session began
        if self._ran_over:                      # nothing behind what was let go may be kept before it
            raise _Lost("more came than could be kept; the rest is read from the history")
        if not self._fresh:
            return
        taken = np.array(list(self._fresh), READING)
        self._fresh.clear()
        await self._keep(taken)

    async def _keep(self, readings: Readings) -> None:
        """Write through what is new, then hand it on. The journal's last time of a tag never skips a reading."""
        fresh = np.zeros(readings.size, bool)
        for one in self._tags:
            mine = np.flatnonzero(readings["tag"] == one.number)
            times = readings["time"][mine]
            front = np.maximum.accumulate(np.append(self.journal.last.get(one.number, -(2**62)), times))[:-1]
            fresh[mine] = times > front
        new = readings[fresh]
        if new.size:
            self.journal.append(new)
            await self.deliver(new)

    async def _fill(self) -> None:
        """Read from the history everything between the last reading on the disk and the first that is live."""
        first = None if self.since is None else int(self.since * 1e9) - 1
        begins = {one.number: self.journal.last.get(one.number, first) for one in self._tags}
        begun = [one for one in self._tags if one.newest is not None and not one.filled]
        asked = [one for one in begun if begins[one.number] is not None]
        if asked:
            await self._fill_tags(asked, begins)
        for one in begun:
            one.filled = True

    async def _fill_tags(self, asked: Sequence[_Tag], begins: dict[int, int | None]) -> None:
        for one in asked:
            if (one.newest or 0) < self.journal.last.get(one.number, 0):
                self.account.note(f"the clock of the server is behind what it sent before ({one.name}): its readings "
                                  "are not used until it has caught up")
        at = min(begins[one.number] or 0 for one in asked)
        end = max(one.newest or 0 for one in asked)
        length = int(SLICE * 1e9)
        self.state.now("reading the history")
        without: set[int] = set()
        while at < end:
            until = min(at + length, end)
            found = []
            for one in asked:
                begin = self.journal.last.get(one.number, begins[one.number] or 0)
                if one.number not in without and begin < until:
                    read, whole = await self._history(one, begin, until)
                    if read is None:
                        without.add(one.number)
                        continue
                    found.append(read)
                    if not whole:               # the other tags are read no further than this one in this round
                        until = int(read["time"][-1])
            pieces = np.concatenate([np.zeros(0, READING), *found])
            pieces = pieces[pieces["time"] <= until]
            await self._keep(pieces[np.argsort(pieces["time"], kind="stable")])
            self.state.backfilled += pieces.size
            at = until
            length = int(min(max(length * (0.5 if pieces.size > PAGE else 2.0), 1e9), LONGEST_SLICE * 1e9))
        await self._await_history(asked, without, begins)

    async def _await_history(self, asked: Sequence[_Tag], without: set[int], begins: dict[int, int | None]) -> None:
        """The first live reading of each tag must be in the history too; else the history lags, or has a gap."""
        for one in asked:
            tries, last = 0, 0
            while one.newest is not None:
                last = self.journal.last.get(one.number, begins[one.number] or 0)
                if one.number in without or last >= one.newest or tries > HISTORY_TRIES:
                    break
                read, _ = await self._history(one, last, one.newest)
                if read is not None and read.size:
                    await self._keep(read)
                    self.state.backfilled += read.size
                else:
                    tries += 1
                    await asyncio.sleep(HISTORY_PAUSE)
            if one.newest is not None and last < one.newest:
                self.state.gaps.append((one.name, last / 1e9, one.newest / 1e9))

    async def _history(self, one: _Tag, begin: int, end: int) -> tuple[Readings | None, bool]:
        """Readings of a tag after a time up to another, and whether these are all; None: the server keeps none."""
        assert one.node is not None
        details = ua.ReadRawModifiedDetails(IsReadModified=False, StartTime=_moment(begin), EndTime=_moment(end + 1000),
                                            NumValuesPerNode=PAGE, ReturnBounds=False)
        found: list[tuple[int, int, float, int]] = []
        mark, whole = None, False
        while not whole and len(found) < MOST_OF_A_TAG:
            if self._over:
                raise _Lost(self._over)
            try:
                result = await one.node.history_read(details, mark)
                result.StatusCode.check()
            except ua.UaStatusCodeError as error:
                name = ua.StatusCode(error.code).name
                if name not in _NO_HISTORY:
                    raise
                self.account.note(f"the server has no history of {one.name} ({name})")
                return None, True
            values = getattr(result.HistoryData, "DataValues", None) or []
            read = [kept for value in values if (kept := self._reading(one, value)) is not None]
            found += read
            mark = result.ContinuationPoint or None
            if mark is None:
                whole = len(values) < PAGE or not read or _moment(read[-1][1]) <= details.StartTime
                if not whole:
                    details.StartTime = _moment(read[-1][1])
        if mark is not None:
            await _release(one.node, mark)
        readings = np.array(found, READING)
        readings = readings[(readings["time"] > begin) & (readings["time"] <= end)]
        return readings, whole or not readings.size


async def _release(node: Node, mark: bytes) -> None:
    """Tell the server that a history is not read on."""
    asked = ua.HistoryReadParameters(
        HistoryReadDetails=ua.ReadRawModifiedDetails(), TimestampsToReturn=ua.TimestampsToReturn.Both,
        ReleaseContinuationPoints=True,
        NodesToRead=[ua.HistoryReadValueId(NodeId=node.nodeid, ContinuationPoint=mark)])
    with contextlib.suppress(ua.UaError):
        await node.session.history_read(asked)


def _request(one: _Tag, wanted: ua.DataChangeFilter | None) -> ua.MonitoredItemCreateRequest:
    asked = ua.MonitoringParameters(ClientHandle=one.number + 1, SamplingInterval=0.0, QueueSize=KEPT_BY_SERVER,
                                    DiscardOldest=True)
    if wanted is not None:
        asked.Filter = wanted
    return ua.MonitoredItemCreateRequest(
        ItemToMonitor=ua.ReadValueId(NodeId=one.node_id, AttributeId=ua.AttributeIds.Value),
        MonitoringMode=ua.MonitoringMode.Reporting, RequestedParameters=asked)


def _node_id(tag: MappedTag) -> ua.NodeId:
    if not tag.node:
        raise InputError("has no node: a live source needs one for each tag", field=f'node of "{tag.tag}"',
                         do='write for example node = "ns=2;s=P-101/flow"')
    try:
        return ua.NodeId.from_string(tag.node)
    except (ua.UaError, ValueError) as error:
        raise InputError("is not the name of a node", field=f'node of "{tag.tag}"', value=f'"{tag.node}"',
                         why=_short(error), do='write for example "ns=2;s=P-101/flow"') from None


_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _nanoseconds(stamp: datetime) -> int:
    passed = stamp - _EPOCH
    return ((passed.days * 86400 + passed.seconds) * 1_000_000 + passed.microseconds) * 1000


def _moment(nanoseconds: int) -> datetime:
    return _EPOCH + timedelta(microseconds=max(nanoseconds, 0) // 1000)


def _short(error: BaseException) -> str:
    text = str(error).strip().splitlines()
    return text[0] if text else type(error).__name__


def _being_cancelled() -> bool:
    task = asyncio.current_task()
    return task is not None and task.cancelling() > 0


def quiet_library() -> None:
    """What goes wrong is told in our own words."""
    for name in ("asyncua", "asyncua.client", "asyncua.common", "asyncua.server"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
