"""The virtual plant as a server of OPC UA with history: one folder a pump, a node for each instrument."""

from __future__ import annotations

import asyncio
import logging
import math
import sqlite3
import time
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from asyncua import Server, ua
from asyncua.common.methods import uamethod
from asyncua.server.history import HistoryStorageInterface

from wetpath.edge.mapping import SIGNAL_KINDS, MappedTag, MappingFile
from wetpath.edge.units import convert
from wetpath.errors import InputError, SourceError, WetpathError
from wetpath.links.opc_client import VIRTUAL_PLANT
from wetpath.links.virtual_pump import VirtualPump
from wetpath.upsets import KINDS, Upset
from wetpath.watching.samples import Signal

#: Units in which the nodes tell their numbers.
UNITS = {Signal.SUCTION_PRESSURE: "bar a", Signal.DISCHARGE_PRESSURE: "bar a", Signal.FLOW: "m3/h",
         Signal.MOTOR_POWER: "kW", Signal.MOTOR_CURRENT: "A", Signal.SUCTION_TEMPERATURE: "degC",
         Signal.SHELL_TEMPERATURE: "degC", Signal.SPEED: "rpm", Signal.LEVEL: "m", Signal.RETURN_TEMPERATURE: "degC"}
#: Time between looks at the clock [s], most samples sent at one look, and readings answered at a time.
LOOK, AT_ONCE, ANSWERED = 0.05, 500, 2000
#: The record keeps this time of the plant [s].
KEPT = 30 * 86400.0
#: An upset asked for begins so much later, so that it can be computed until then [s on the clock of this machine].
AHEAD = 3.0


class Record(HistoryStorageInterface):
    """What the plant has measured, kept in SQLite; the history that clients read, and what tests compare with."""

    def __init__(self, path: Path | None) -> None:
        super().__init__(ANSWERED)
        try:
            self._base = sqlite3.connect(":memory:" if path is None else path, isolation_level=None)
            self._base.execute("PRAGMA journal_mode = WAL")
            self._base.execute("PRAGMA synchronous = NORMAL")
            self._base.execute("CREATE TABLE IF NOT EXISTS readings (node TEXT, time INTEGER, value REAL, "
                               "PRIMARY KEY (node, time)) WITHOUT ROWID")
        except sqlite3.Error as error:
            raise InputError(f"cannot be used for the record of the plant ({error})", field="--record",
                             value=f'"{path}"') from None

    def add(self, rows: Iterable[tuple[str, int, float]]) -> None:
        """Keep readings: node, UTC microseconds since 1970, value."""
        try:
            self._base.execute("BEGIN")
            self._base.executemany("INSERT OR IGNORE INTO readings VALUES (?, ?, ?)", rows)
            self._base.execute("COMMIT")
        except sqlite3.Error as error:
            raise _not_written(error) from None

    def forget(self, before: int) -> None:
        """Let go of old readings."""
        try:
            self._base.execute("DELETE FROM readings WHERE time < ?", (before,))
        except sqlite3.Error as error:
            raise _not_written(error) from None

    def newest(self) -> float | None:
        """Time of the last reading [UTC seconds]."""
        found = self._base.execute("SELECT max(time) FROM readings").fetchone()[0]
        return None if found is None else found / 1e6

    def close(self) -> None:
        """Close the file."""
        self._base.close()

    async def init(self) -> None:
        """Nothing to do."""

    async def stop(self) -> None:
        """Nothing to do; the owner closes."""

    async def new_historized_node(self, node_id: ua.NodeId, period: timedelta | None, count: int = 0) -> None:
        """Nothing to do: readings are added by the plant before they are published."""

    async def save_node_value(self, node_id: ua.NodeId, datavalue: ua.DataValue) -> None:
        """Nothing to do, as before."""

    async def read_node_history(self, node_id: ua.NodeId, start: datetime | None, end: datetime | None, nb_values: int
                                ) -> tuple[list[ua.DataValue], datetime | None]:
        """Readings from a time to another, both included; with more than asked for, where to go on."""
        first = -(2**62) if start is None or start == ua.get_win_epoch() else _micro(start)
        last = 2**62 if end is None or end == ua.get_win_epoch() else _micro(end)
        rising = first <= last
        most = min(nb_values or ANSWERED, ANSWERED)
        found = self._base.execute(
            "SELECT time, value FROM readings WHERE node = ? AND time BETWEEN ? AND ? ORDER BY time "
            + ("ASC" if rising else "DESC") + " LIMIT ?",
            (node_id.to_string(), min(first, last), max(first, last), most + 1)).fetchall()
        more = _moment(found[most][0]) if len(found) > most and not nb_values else None
        return [_data_value(when, value) for when, value in found[:most]], more

    async def new_historized_event(self, source_id: ua.NodeId, evtypes: list[Any], period: timedelta | None,
                                   count: int = 0) -> None:
        """No events are kept."""

    async def save_event(self, event: Any) -> None:
        """No events are kept."""

    async def read_event_history(self, source_id: ua.NodeId, start: datetime | None, end: datetime | None,
                                 nb_values: int, evfilter: Any) -> tuple[list[Any], datetime | None]:
        """No events are kept."""
        return [], None


class PlantServer:
    """Serves virtual pumps. The time of the plant runs ``speed`` times as fast as the clock of this machine.

    It begins at ``begins`` (UTC seconds), or now, or behind the last reading of its record. Only this machine can reach
    it unless another host is named; there is neither login nor encryption.
    """

    def __init__(self, pumps: Mapping[str, VirtualPump], *, host: str = "127.0.0.1", port: int = 4840,
                 record: Path | None = None, speed: float = 1.0, begins: float | None = None) -> None:
        self.pumps = dict(pumps)
        self.step = next(iter(self.pumps.values())).step
        self.speed, self.host, self.port = speed, host, port
        self.record = Record(record)
        last = self.record.newest()
        start = time.time() if begins is None else begins
        self.begins = start if last is None else max(start, last + self.step)
        self._next = math.ceil(self.begins / self.step)
        self._clock = time.monotonic()
        self._server: Server | None = None
        self._nodes: dict[tuple[str, Signal], ua.NodeId] = {}

    @property
    def url(self) -> str:
        """Where clients find it."""
        return f"opc.tcp://{self.host}:{self.port}"

    @property
    def now(self) -> float:
        """Time of the plant [UTC seconds]."""
        return self.begins + (time.monotonic() - self._clock) * self.speed

    def mapping(self) -> MappingFile:
        """The mapping file that reads this plant."""
        tags = tuple(MappedTag(tag=f"{pump}.{signal.value}", pump=pump, signal=signal.value, unit=UNITS[signal],
                               node=_node_name(pump, signal),
                               rated_current=one.rated_current if signal is Signal.MOTOR_CURRENT else None)
                     for pump, one in self.pumps.items() for signal in one.signals)
        return MappingFile(name="Virtual plant", note="Invented: no plant is behind these readings.", tags=tags)

    async def start(self) -> None:
        """Begin to serve."""
        logging.getLogger("asyncua").setLevel(logging.CRITICAL)
        server = Server()
        server.iserver.history_manager.set_storage(self.record)
        await server.init()
        server.set_endpoint(f"{self.url}/")
        server.set_server_name("Wetpath virtual plant, for training only")
        server.set_security_policy([ua.SecurityPolicyType.NoSecurity])
        space = await server.register_namespace(VIRTUAL_PLANT)
        for pump, one in self.pumps.items():
            await self._add_pump(server, space, pump, one)
        try:
            await server.start()
        except OSError as error:
            raise InputError(f"cannot be listened at ({(error.strerror or str(error)).lower()})", field="--port",
                             value=str(self.port), do="take another port, for example --port 48410") from None
        self._server = server
        self._clock = time.monotonic()

    async def _add_pump(self, server: Server, space: int, pump: str, one: VirtualPump) -> None:
        folder = await server.nodes.objects.add_object(_id(pump, space), ua.QualifiedName(pump, space))
        read = ua.AccessLevel.CurrentRead.mask | ua.AccessLevel.HistoryRead.mask
        for signal in one.signals:
            node_id = _id(f"{pump}/{signal.value}", space)
            node = await folder.add_variable(node_id, ua.QualifiedName(signal.value, space), 0.0, ua.VariantType.Double)
            self._nodes[pump, signal] = node_id
            unset = ua.DataValue(ua.Variant(0.0, ua.VariantType.Double),
                                 StatusCode=ua.StatusCode(ua.StatusCodes.BadWaitingForInitialData),  # type: ignore[arg-type]
                                 SourceTimestamp=_moment(round((self._next - 1) * self.step * 1e6)))  # type: ignore[arg-type]
            await node.write_value(unset)
            for attribute in (ua.AttributeIds.AccessLevel, ua.AttributeIds.UserAccessLevel):
                await node.write_attribute(attribute, ua.DataValue(ua.Variant(read, ua.VariantType.Byte)))
            await node.write_attribute(ua.AttributeIds.Historizing, ua.DataValue(ua.Variant(True)))
            await node.write_attribute(ua.AttributeIds.Description, ua.DataValue(ua.Variant(
                ua.LocalizedText(f"{signal.value.replace('_', ' ')} [{UNITS[signal]}], invented"))))

        @uamethod
        async def start_upset(_: Any, kind: str) -> str:
            return await self.ask_for(pump, kind)

        @uamethod
        async def reset(_: Any) -> str:
            await asyncio.to_thread(one.reset)
            return "The pump runs as rated."

        await folder.add_method(_id(f"{pump}/start_upset", space), ua.QualifiedName("start_upset", space),
                                start_upset, [ua.VariantType.String], [ua.VariantType.String])
        await folder.add_method(_id(f"{pump}/reset", space), ua.QualifiedName("reset", space), reset, [],
                                [ua.VariantType.String])

    async def ask_for(self, pump: str, kind: str) -> str:
        """Begin an upset soon; tells in words what will happen, or why it does not."""
        plain = kind.strip().casefold().replace("_", " ")
        if plain not in KINDS:
            return f'"{kind}" is no upset known here; take one of {", ".join(KINDS)}.'
        at = self.now + AHEAD * self.speed
        try:
            put = await asyncio.to_thread(self.pumps[pump].with_upset, Upset(plain), at)
        except WetpathError as error:
            return str(error)
        put()
        return f"{KINDS[plain].title} begins at {_moment(int(at * 1e6)).isoformat(timespec='seconds')}."

    async def run(self, stop: asyncio.Event) -> None:
        """Publish until stopped, each reading after it is in the record."""
        published = 0
        while not stop.is_set():
            await self.publish(self.now)
            published += 1
            if published % 20000 == 0:
                self.record.forget(int((self.now - KEPT) * 1e6))
            await asyncio.sleep(LOOK)

    async def publish(self, until: float) -> None:
        """Publish all samples up to a time of the plant that are not yet out."""
        assert self._server is not None
        while (count := min(int(until // self.step) - self._next + 1, AT_ONCE)) > 0:
            told = []
            for pump, one in self.pumps.items():
                times, values = one.readings(self._next, count)
                for signal, value in values.items():
                    if (pump, signal) in self._nodes:
                        shown = convert(value, SIGNAL_KINDS[signal.value], UNITS[signal].removesuffix(" a"))
                        told += [(self._nodes[pump, signal], round(when * 1e6), float(number))
                                 for when, number in zip(times.tolist(), shown.tolist(), strict=True)]
            self.record.add((node.to_string(), when, number) for node, when, number in told)
            told.sort(key=lambda row: row[1])
            for node, when, number in told:
                await self._server.write_attribute_value(node, _data_value(when, number))
            self._next += count

    async def stop(self) -> None:
        """Stop serving; the record stays."""
        if self._server is not None:
            await self._server.stop()
            self._server = None
        self.record.close()


def _not_written(error: sqlite3.Error) -> SourceError:
    return SourceError(f"The record of the virtual plant cannot be written ({error}). Make room, and start it again.")


def _node_name(pump: str, signal: Signal) -> str:
    return f"ns=2;s={pump}/{signal.value}"


def _id(text: str, space: int) -> ua.NodeId:
    return ua.NodeId(text, space)  # type: ignore[arg-type]


def _data_value(micro: int, value: float) -> ua.DataValue:
    return ua.DataValue(ua.Variant(value, ua.VariantType.Double), SourceTimestamp=_moment(micro),  # type: ignore[arg-type]
                        ServerTimestamp=datetime.now(UTC))  # type: ignore[arg-type]


_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _moment(micro: int) -> datetime:
    return _EPOCH + timedelta(microseconds=micro)


def _micro(stamp: datetime) -> int:
    stamp = stamp.replace(tzinfo=UTC) if stamp.tzinfo is None else stamp
    passed = stamp - _EPOCH
    return (passed.days * 86400 + passed.seconds) * 1_000_000 + passed.microseconds
