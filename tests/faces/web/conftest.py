"""A server of the web application in a process of its own, and a real browser."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
SCREENS = Path(__file__).parents[3] / "build" / "screens"
#: A first start may compile the solver.
PATIENCE = 120.0


@dataclass
class Server:
    """The application as a user starts it."""

    folder: Path
    port: int = 0
    process: subprocess.Popen[bytes] | None = field(default=None)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
        environment |= {"WETPATH_DATA": str(self.folder)}
        log = (self.folder / "server.log").open("ab")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "wetpath", "serve", "--no-show", "--port", str(self.port)], env=environment,
            stdout=log, stderr=log, cwd=self.folder)
        begun = time.monotonic()
        while time.monotonic() - begun < PATIENCE:
            try:
                with urllib.request.urlopen(f"{self.address}/api/v1/version", timeout=2):
                    return
            except OSError:
                assert self.process.poll() is None, (self.folder / "server.log").read_text(encoding="utf-8")
                time.sleep(0.1)
        raise AssertionError("the server does not answer")

    def kill(self) -> None:
        """End it as a crash would."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    if CHROMIUM is None:
        pytest.skip("needs a Chromium browser: Debian's package chromium")
    found = Server(tmp_path_factory.mktemp("served"))
    found.start()
    try:
        yield found
    finally:
        found.kill()


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    from playwright.sync_api import sync_playwright

    if CHROMIUM is None:
        pytest.skip("needs a Chromium browser: Debian's package chromium")
    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()


@pytest.fixture
def page(browser, server: Server, request: pytest.FixtureRequest) -> Iterator[object]:
    """A page whose faults fail the test, photographed at the end."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    found = context.new_page()
    faults: list[str] = []
    found.on("pageerror", lambda error: faults.append(str(error)))
    yield found
    SCREENS.mkdir(parents=True, exist_ok=True)
    found.screenshot(path=SCREENS / f"{request.node.name.replace('/', '_')}.png", full_page=True)
    context.close()
    assert not faults
