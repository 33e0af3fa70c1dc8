"""The virtual plant as a use case: a rated pump served to clients of OPC UA, with upsets on demand."""

from __future__ import annotations

import asyncio
import ipaddress
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from wetpath.edge import quantities as q
from wetpath.edge.files import dump_document
from wetpath.edge.units import parse
from wetpath.errors import InputError
from wetpath.services.demo import enquiry_path
from wetpath.services.measured import need_extra
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import load_service
from wetpath.services.sensitivity import case_named
from wetpath.services.upsets import upsets_of
from wetpath.upsets import Upset

if TYPE_CHECKING:
    from wetpath.links.opc_server import PlantServer

#: The demo enquiry that is served without another.
FIRST = "hot_water"
PUMP = "P-101"
CAUTIONS = (
    "For training, tests and demos only. No plant is behind these readings: they come out of a lumped model with "
    "invented noise.",
    "No login, no encryption: let it be reached by this machine only, and never by a network of a plant.",
    "An alarm that works here is not proven. Prove it on the plant, under its own procedures and local codes.")


@dataclass(frozen=True)
class Asked:
    """What a user asks of the virtual plant, as typed."""

    enquiry: Path | None = None
    pump: Path | None = None
    case: str | None = None
    upsets: Sequence[str] = ()
    values: Sequence[str] = ()
    at: str = "60 s"
    host: str = "127.0.0.1"
    port: int = 4840
    speed: float = 1.0
    seed: int = 1
    record: Path | None = None


def plant_of(asked: Asked, announce: Announce = silent) -> tuple[PlantServer, tuple[Upset, ...]]:
    """Rate, and make the server; it does not listen yet. With it, the upsets that it shall begin with."""
    need_extra()
    begins = parse(asked.at, q.TIME)
    upsets = upsets_of(asked.upsets, asked.values, "0 s") if asked.upsets else ()
    if asked.values and not asked.upsets:
        raise InputError("belongs to an upset, and none is asked for", field="--set", value=f'"{asked.values[0]}"',
                         do='name it, for example --upset "suction strangled"')
    if not 0.1 <= asked.speed <= 1000.0:
        raise InputError("is outside 0.1 to 1000", field="--speed", value=f"{asked.speed:g}", do="write for example 60")
    from wetpath.links.opc_server import PlantServer
    from wetpath.links.virtual_pump import VirtualPump

    service = load_service(asked.enquiry or enquiry_path(FIRST), pump=asked.pump, announce=announce)
    rating = service.rate(announce=announce)
    number = None if asked.case is None else case_named(rating, asked.case)
    virtual = VirtualPump(rating, case=number, seed=asked.seed)
    server = PlantServer({PUMP: virtual}, host=asked.host, port=asked.port, record=asked.record, speed=asked.speed)
    for upset in upsets:
        virtual.with_upset(upset, server.begins + begins)()
    return server, upsets


def run_plant(server: PlantServer, started: Callable[[], None], stop: Callable[[], Awaitable[object]] | None = None
              ) -> None:
    """Serve until stopped from outside, or until ``stop`` is done."""
    async def run() -> None:
        await server.start()
        try:
            started()
            event = asyncio.Event()
            waiting = asyncio.create_task(_set_after(event, stop))
            try:
                await server.run(event)
            finally:
                waiting.cancel()
        finally:
            await server.stop()

    asyncio.run(run())


async def _set_after(event: asyncio.Event, stop: Callable[[], Awaitable[object]] | None) -> None:
    if stop is not None:
        await stop()
        event.set()


def only_this_machine(host: str) -> bool:
    """Whether an address is reached by this machine only.

    >>> only_this_machine("127.0.0.1"), only_this_machine("0.0.0.0"), only_this_machine("localhost")
    (True, False, True)
    """
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def write_mapping(server: PlantServer, target: Path) -> None:
    """Write the mapping file that reads this plant."""
    try:
        target.write_text(dump_document(server.mapping()), encoding="utf-8")
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--mapping", value=f'"{target}"') from None
