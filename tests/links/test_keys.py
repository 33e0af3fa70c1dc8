"""Encrypted sessions against a server that lets no other in, and what is told when keys do not fit."""

from __future__ import annotations

import asyncio
import shutil
import socket
import stat
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("asyncua")

from asyncua import Server, ua

from wetpath.edge.mapping import MappingFile
from wetpath.errors import InputError
from wetpath.links import opc_keys
from wetpath.links.live import LiveSource
from wetpath.links.opc_keys import Keys

MAPPING = MappingFile.model_validate({"name": "plant", "tags": [
    {"tag": "FT1", "pump": "P", "signal": "flow", "unit": "m3/h", "node": "ns=2;s=FT1"}]}, context={"texts": True})


def pair(folder: Path) -> tuple[Path, Path]:
    folder.mkdir()
    opc_keys._make(folder / "own.pem", folder / "own.der")
    return folder / "own.pem", folder / "own.der"


class Closed:
    """A server that takes signed and encrypted sessions only, and remembers the certificates that it was shown."""

    def __init__(self, keys: tuple[Path, Path], in_thread: Any) -> None:
        with closing(socket.socket()) as probe:
            probe.bind(("127.0.0.1", 0))
            self.url = f"opc.tcp://127.0.0.1:{probe.getsockname()[1]}"
        self.shown: list[Any] = []

        async def work(stop: asyncio.Event, ready: Callable[[], None]) -> None:
            server = Server()
            await server.init()
            server.set_endpoint(self.url)
            server.set_security_policy([ua.SecurityPolicyType.Basic256Sha256_SignAndEncrypt])
            await server.load_private_key(keys[0])
            await server.load_certificate(keys[1])

            async def validate(certificate: Any, _: Any) -> None:
                self.shown.append(certificate)

            server.set_certificate_validator(validate)
            node = await server.nodes.objects.add_variable(ua.NodeId("FT1", 2), "FT1", 36.0)
            async with server:
                ready()
                value = 36.0
                while not stop.is_set():
                    value += 0.01
                    await node.write_value(value)
                    await asyncio.sleep(0.1)

        self.thread = in_thread(work)
        self.thread.wait()


@pytest.fixture
def closed(in_thread: Any, tmp_path: Path) -> Iterator[Closed]:
    one = Closed(pair(tmp_path / "server"), in_thread)
    yield one
    one.thread.end()


@pytest.fixture
def keys(tmp_path: Path) -> Path:
    pair(tmp_path / "keys")
    return tmp_path / "keys"


def test_encrypted_session_brings_readings(closed: Closed, keys: Path, eating: Any, tmp_path: Path) -> None:
    shutil.copy(tmp_path / "server" / "own.der", keys / "server.der")
    watch = eating(LiveSource(closed.url, MAPPING, "P", tmp_path / "journal", keys=keys, pauses=(0.2,)))
    watch.until(lambda: watch.count() > 10)
    watch.end()
    assert watch.samples.count > 10
    assert closed.shown[0].public_key() == opc_keys._certificate(keys / "own.der").public_key()


def test_without_keys_the_server_lets_nobody_in(closed: Closed, eating: Any, tmp_path: Path) -> None:
    watch = eating(LiveSource(closed.url, MAPPING, "P", tmp_path / "journal", pauses=(0.2,)))
    watch.until(lambda: watch.source.state.what.startswith("no connection"))
    watch.end()
    assert watch.count() == 0


def test_a_server_with_another_certificate_is_not_believed(closed: Closed, keys: Path, eating: Any, tmp_path: Path
                                                           ) -> None:
    shutil.copy(pair(tmp_path / "other")[1], keys / "server.der")
    watch = eating(LiveSource(closed.url, MAPPING, "P", tmp_path / "journal", keys=keys, pauses=(0.2,)))
    watch.until(lambda: "the server shows another certificate than" in watch.source.state.what)
    watch.end()
    assert watch.count() == 0
    assert not closed.shown


def test_keys_are_made_once_and_kept_private(tmp_path: Path) -> None:
    folder = tmp_path / "keys"
    with pytest.raises(InputError, match=r"server.der.* is missing\n  do:  ask whoever runs the server"):
        Keys(folder)
    made = (folder / "own.pem").read_bytes()
    assert stat.S_IMODE((folder / "own.pem").stat().st_mode) == 0o600
    shutil.copy(folder / "own.der", folder / "server.der")
    assert Keys(folder).uri == opc_keys.OWN_URI
    assert (folder / "own.pem").read_bytes() == made


@pytest.mark.parametrize(("file", "words"), [("own.pem", "is no private key that can be read"),
                                             ("own.der", "is no certificate that can be read"),
                                             ("server.der", "is no certificate that can be read")])
def test_what_is_wrong_with_keys_is_told(file: str, words: str, keys: Path) -> None:
    shutil.copy(keys / "own.der", keys / "server.der")
    (keys / file).write_bytes(b"nonsense")
    with pytest.raises(InputError, match=f"{file}.* {words}"):
        Keys(keys)


def test_key_of_another_pair_is_told(keys: Path, tmp_path: Path) -> None:
    shutil.copy(pair(tmp_path / "other")[0], keys / "own.pem")
    with pytest.raises(InputError, match=r"is not the key of own\.der"):
        Keys(keys)
