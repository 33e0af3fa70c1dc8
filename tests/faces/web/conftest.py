"""A server of its own and Debian's chromium for the end-to-end tests of the web face."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

SCREENS = Path(__file__).parents[3] / "build" / "screens"
AXE = Path(__file__).with_name("axe.min.js")
CHROMIUM = shutil.which("chromium-headless-shell") or shutil.which("chromium")
SERVE = ("import sys; from wetpath.faces.web.app import serve; "
         "serve(port=int(sys.argv[1]), show=False, database=sys.argv[2])")


Serving = Callable[..., AbstractContextManager[str]]


@pytest.fixture(scope="session")
def serving() -> Serving:
    """A server whose data lie in a folder, on a database; tells where it listens."""
    return started


@contextmanager
def started(folder: Path, database: str, before: str = "") -> Iterator[str]:
    """A server whose data lie in a folder, with what is done before it serves; tells where it listens."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    surroundings = {name: value for name, value in os.environ.items()
                    if not name.startswith(("PYTEST", "NICEGUI"))} | {"XDG_DATA_HOME": str(folder)}
    with (folder / "log").open("w", encoding="utf-8") as log:
        server = subprocess.Popen([sys.executable, "-c", before + SERVE, str(port), database], cwd=folder,
                                  env=surroundings, stdout=log, stderr=subprocess.STDOUT)
    try:
        until = time.monotonic() + 60
        while True:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/static/wetpath.css", timeout=1).close()
                break
            except OSError:
                if server.poll() is not None or time.monotonic() > until:
                    pytest.fail(f"the server did not start: {(folder / 'log').read_text(encoding='utf-8')[-2000:]}")
                time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(10)


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory, serving: Serving) -> Iterator[str]:
    """Where the server of one user listens."""
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    folder = tmp_path_factory.mktemp("web")
    with serving(folder, f"sqlite:///{folder / 'projects.db'}") as found:
        yield found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of the size of a usual screen."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    opened = context.new_page()
    opened.set_default_timeout(8000)
    yield opened
    context.close()


@pytest.fixture
def screen() -> Callable[[Page, str], None]:
    """Keep a screenshot of the whole page."""
    SCREENS.mkdir(parents=True, exist_ok=True)

    def keep(page: Page, name: str) -> None:
        page.screenshot(path=SCREENS / f"{name}.png", full_page=True)

    return keep


@pytest.fixture
def barriers() -> Callable[[Page], list[tuple[str, str]]]:
    """What axe finds serious or critical on a page: rule and element."""

    def found(page: Page) -> list[tuple[str, str]]:
        page.evaluate(AXE.read_text(encoding="utf-8"))
        told = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
        # WCAG 2.5.3 speaks of controls; a drawing is named by its title, not by the words inside it
        return [(one["id"], node["html"][:160]) for one in told["violations"]
                if one["impact"] in ("serious", "critical") for node in one["nodes"]
                if not (one["id"] == "label-content-name-mismatch" and "<svg" in node["html"])]

    return found


#: A sheet as it is seen: on a screen in both themes, on paper, and without colours.
LOOKS: dict[str, Callable[[Page], None]] = {
    "light": lambda page: page.emulate_media(media="screen", color_scheme="light"),
    "dark": lambda page: page.emulate_media(media="screen", color_scheme="dark"),
    "print": lambda page: page.emulate_media(media="print", color_scheme="light"),
    "grey": lambda page: page.evaluate("() => { document.documentElement.style.filter = 'grayscale(1)'; }")}


@pytest.fixture
def in_all_looks(screen: Callable[[Page, str], None], request: pytest.FixtureRequest) -> Callable[[Page, str], None]:
    """Keep screenshots of a page in every look, or in the first when not all are asked for."""
    looks = LOOKS if request.config.getoption("--all-looks") else {"light": LOOKS["light"]}

    def keep(page: Page, name: str) -> None:
        for look, put_on in looks.items():
            if look == "grey":
                page.emulate_media(media="screen", color_scheme="light")
            put_on(page)
            screen(page, f"{name}-{look}")
        page.evaluate("() => { document.documentElement.style.filter = ''; }")

    return keep
