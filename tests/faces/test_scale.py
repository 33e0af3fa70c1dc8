"""``--workers`` and ``--cluster`` of the commands, the line that tells how far it is, and a run that is interrupted."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numba
import pytest

from wetpath.faces.cli.scale import ProgressLine
from wetpath.liquids import store
from wetpath.services.demo import enquiry_path
from wetpath.services.scale import Scale

BUTANE = str(enquiry_path("butane_reflux"))


@pytest.mark.parametrize("command", ["window", "select", "uncertainty"])
@pytest.mark.parametrize(("options", "words"), [
    (("--workers", "0"), "--workers = 0 is out of range; allowed: 1 to 256"),
    (("--workers", "2", "--cluster", "tcp://host:8786"),
     "--workers = 2 is given besides cluster; give one of them\n  why: a cluster has its own workers"),
    (("--cluster", "host"), '--cluster = "host" is not the address of a scheduler\n  do:  write it as the scheduler '
                            "tells it when it starts, like tcp://host:8786"),
    (("--cluster", "tcp://host:70000"), '--cluster = "tcp://host:70000" is not the address of a scheduler')])
def test_options_that_cannot_be_met(cli: Callable, command: str, options: tuple[str, ...], words: str) -> None:
    ran = cli(command, BUTANE, *options)
    assert ran.code == 2
    assert ran.err.startswith(words)


@pytest.mark.parametrize("address", ["tcp://host:8786", "tls://10.0.0.1:8786", "tcp://[::1]:8786", None])
def test_addresses_of_schedulers(address: str | None) -> None:
    assert Scale(cluster=address).cluster == address


@pytest.mark.parametrize("command", ["window", "select", "uncertainty"])
def test_a_missing_extra_is_told(cli: Callable, command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    ran = cli(command, BUTANE, "--cluster", "tcp://127.0.0.1:9")
    assert ran.code == 2
    assert '--cluster = "tcp://127.0.0.1:9" needs the extra "cluster", which is not installed' in ran.err
    assert 'do:  install it: pip install "wetpath[cluster]"' in ran.err


def test_the_line_is_written_over_and_a_sentence_stays() -> None:
    stream = io.StringIO()
    line = ProgressLine(stream)
    line("pump files", 0, 12, None)
    line("pump files", 1, 12, 400.0)
    line.say("3 of 12 parts were done before")
    line("pump files", 12, 12, 0.0)
    steps = [step for step in stream.getvalue().split("\r") if step.strip()]
    assert steps == ["pump files: 0 of 12 parts", "pump files: 1 of 12 parts, about 7 min left",
                     "3 of 12 parts were done before.\n"]


@pytest.mark.skipif(os.name == "nt", reason="interrupts of a group of processes are told otherwise there")
def test_an_interrupted_command_keeps_its_parts_and_the_next_one_goes_on(cli: Callable, tmp_path: Path) -> None:
    tables = tmp_path / "liquids"
    tables.symlink_to(store.folder(), target_is_directory=True)
    environment = os.environ | {"WETPATH_CACHE": str(tmp_path), "PYTHONHASHSEED": "1",
                                "NUMBA_CACHE_DIR": str(numba.config.CACHE_DIR)}
    command = [sys.executable, "-m", "wetpath", "uncertainty", BUTANE, "--samples", "1024", "--json", "--workers", "2"]
    parts = tmp_path / "parts"
    running = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                               start_new_session=True)
    limit = time.monotonic() + 60
    while len(list(parts.glob("*/*.part"))) < 2 and running.poll() is None and time.monotonic() < limit:
        time.sleep(0.02)
    os.killpg(running.pid, signal.SIGINT)       # as the terminal does: to the workers too
    out, err = running.communicate(timeout=60)
    assert running.returncode == 130, err
    assert out == ""
    done = len(list(parts.glob("*/*.part")))
    assert 2 <= done < 35
    assert err == (f"Stopped after {done} of 35 parts (points of the uncertainty). What is done is kept; ask the same "
                   "again to go on from there.\n")
    again = subprocess.run(command, env=environment | {"PYTHONHASHSEED": "2"}, capture_output=True, text=True,
                           check=True)
    assert again.stderr == f"{done} of 35 parts were done before (points of the uncertainty).\n".capitalize()
    assert again.stdout == cli(*command[3:-1], "1").out
    assert not list(parts.iterdir())
