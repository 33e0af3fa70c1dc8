"""What a user does in the browser with the server of `wetpath serve`: a saved revision, a conflict, a crash."""

from __future__ import annotations

import os
import re
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
from playwright.sync_api import Browser

CHROMIUM = shutil.which("chromium-headless-shell") or shutil.which("chromium")
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
        with (self.folder / "server.log").open("ab") as log:
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


@pytest.fixture
def page(browser: Browser, server: Server, request: pytest.FixtureRequest) -> Iterator[object]:
    """A page whose faults fail the test, photographed at the end."""
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    found = context.new_page()
    found.set_default_timeout(60_000)
    faults: list[str] = []
    found.on("pageerror", lambda error: faults.append(str(error)))
    yield found
    SCREENS.mkdir(parents=True, exist_ok=True)
    found.screenshot(path=SCREENS / f"{request.node.name.replace('/', '_')}.png", full_page=True)
    context.close()
    assert not faults


REFLUX = "/e/butane_reflux/run"
FLOW_B = '[data-path="enquiry:cases[2].flow"]'
#: A pressure in words: a number and a unit of pressure, then what it stands on.
PRESSURE = re.compile(r"\d[\d.,]*[\s\u2009](bar|psi)(?![\s\u2009]?(a|g)\b)")


def opened(page, server, address: str = REFLUX):
    page.goto(server.address + address)
    page.wait_for_selector(".wp h1")
    page.wait_for_function("() => window.socket && window.socket.connected && document.querySelector('.sentence')")
    return page


def type_into(page, field: str, words: str) -> None:
    page.wait_for_selector(field)
    page.fill(field, words)
    page.press(field, "Enter")


def until(page, words: str, where: str = "body") -> None:
    page.wait_for_function("([where, words]) => document.querySelector(where).innerText.includes(words)",
                           arg=[where, words], timeout=60_000)


def test_the_first_page_is_the_demo_with_its_verdict(page, server) -> None:
    opened(page, server, "/")
    assert "Not as offered" in page.inner_text("h1")
    assert "This is an invented demo" in page.inner_text(".note")
    assert page.locator(".wp-section .station").count() >= 12
    begun = time.monotonic()
    page.reload()
    page.wait_for_selector(".wp-section .station")
    assert time.monotonic() - begun < 10      # the target of 2 s is measured in benchmarks, not asserted here


def test_a_changed_value_shows_the_new_numbers_and_can_be_undone(page, server) -> None:
    opened(page, server)
    type_into(page, FLOW_B, "44")
    until(page, "changed since revision", ".strip")
    assert "44" in page.locator("tr.on").first.inner_text()
    page.locator("h1").click()
    page.keyboard.press("Control+z")
    page.wait_for_function("!document.querySelector('.strip').innerText.includes('changed since')")


def test_a_faulty_value_is_told_at_its_field_and_nothing_else_changes(page, server) -> None:
    opened(page, server)
    before = page.inner_text("h1")
    type_into(page, FLOW_B, "60 m3h")
    page.wait_for_selector(".fault")
    assert "is not a unit known here" in page.inner_text(".fault")
    assert page.input_value(FLOW_B) == "60 m3h"
    assert page.inner_text("h1") == before
    type_into(page, FLOW_B, "48 m3/h")
    page.wait_for_function("document.querySelectorAll('.sentence .fault').length === 0")


def test_pressure_is_asked_back_without_a_or_g(page, server) -> None:
    opened(page, server)
    field = '[data-path="enquiry:cases[2].suction_pressure"]'
    type_into(page, field, "6.1 bar")
    page.wait_for_selector(".fault")
    assert "absolute or gauge" in page.inner_text(".fault")
    type_into(page, field, "6.1 bar a")
    page.wait_for_function("document.querySelectorAll('.sentence .fault').length === 0")


def test_stations_checks_and_cases_are_explained(page, server) -> None:
    opened(page, server)
    page.locator('.station[data-station="8"]').first.click()
    until(page, "How the margin comes about", ".drawer")
    page.keyboard.press("Escape")
    page.locator('tr[data-check="npsh"] td').first.click()
    until(page, "Where the limit comes from", ".drawer")
    page.keyboard.press("Escape")
    page.locator('.side tr[data-case="3"]').click()
    until(page, "Case D cold start", ".sentence")


def test_a_remedy_is_tried_kept_and_undone(page, server) -> None:
    opened(page, server)
    page.wait_for_selector('[data-do="try:0"]', timeout=60_000)
    page.locator('[data-do="try:0"]').click()
    until(page, "Tried, not kept")
    assert "Runs" in page.inner_text("h1")
    page.locator("h2").first.click()
    page.keyboard.press("k")
    until(page, "changed since revision", ".strip")
    page.keyboard.press("Control+z")
    page.wait_for_function("document.querySelector('h1').innerText.includes('Not as offered')")


def test_a_revision_is_saved_with_its_reason_and_stands_in_the_history(page, server) -> None:
    opened(page, server, "/e/cold_water/run")
    type_into(page, '[data-path="enquiry:site.air_highest"]', "39")
    until(page, "changed since revision 1", ".strip")
    page.locator("h1").click()
    page.keyboard.press("s")
    type_into(page, "#reason", "a cooler yard")
    until(page, "Revision 2", ".drawer")
    page.locator('[data-do="history"]').click()
    until(page, "a cooler yard", ".drawer")
    assert "39" in page.inner_text(".drawer")


def test_a_save_of_somebody_else_in_between_is_shown_and_both_are_kept(page, server) -> None:
    from wetpath.services import projects as kept

    opened(page, server, "/e/hot_water/run")
    type_into(page, '[data-path="enquiry:site.air_highest"]', "35 degC")
    until(page, "changed since revision 1", ".strip")
    os.environ["WETPATH_DATA"], before = str(server.folder), os.environ.get("WETPATH_DATA")
    try:
        store = kept.open_projects()
        other = kept.local_user(store)      # at another page; an account would ask for a login from the next start
        found = kept.revision(store, kept.DEMO_PROJECT, "enquiries/hot_water.toml")
        text = kept.with_fields(found.content, {"title": "Boiler feed, summer"})
        kept.save(store, other, kept.DEMO_PROJECT, found.path, text, based_on=found.number, reason="another title")
        store.close()
    finally:
        os.environ.pop("WETPATH_DATA") if before is None else os.environ.update(WETPATH_DATA=before)
    page.locator("h1").click()
    page.keyboard.press("s")
    type_into(page, "#reason", "a cooler summer")
    until(page, "Somebody saved in between", ".drawer")
    assert "another title" in page.inner_text(".drawer")
    page.get_by_text("Keep both").click()
    until(page, "Both are kept", ".drawer")
    until(page, "revision 3", ".strip")


def test_a_killed_server_loses_nothing_that_was_typed(page, server) -> None:
    from wetpath.services import projects as kept

    opened(page, server, "/e/ammonia/run")
    type_into(page, '[data-path="enquiry:site.air_highest"]', "41 degC")
    until(page, "changed since revision", ".strip")
    field = '[data-path="enquiry:site.air_lowest"]'
    page.fill(field, "-17 de")
    store = kept.open_projects(f"sqlite:///{server.folder / 'wetpath.sqlite'}")
    deadline = time.monotonic() + 60
    while "-17 de" not in kept.draft(store, kept.local_user(store), kept.DEMO_PROJECT,
                                     "enquiries/ammonia.toml").content:
        assert time.monotonic() < deadline, "what is typed is told to the server after a moment"
        page.wait_for_timeout(100)
    store.close()
    server.kill()
    server.start()
    opened(page, server, "/e/ammonia/run")
    assert "are on the desk, not saved" in page.inner_text(".note")
    assert page.input_value(field) == "-17 de"
    assert "changed since revision" in page.inner_text(".strip")


@pytest.mark.parametrize("view", ["which", "far", "send"])
def test_the_other_views_open_with_their_answer(page, server, view: str) -> None:
    opened(page, server, f"/e/butane_reflux/{view}")
    words = {"which": "Take 1", "far": "Outside", "send": "not met"}[view]
    page.wait_for_function("words => [...document.querySelectorAll('h1')].some(one => one.innerText.includes(words))",
                           arg=words, timeout=60_000)


def test_files_are_handed_out(page, server) -> None:
    opened(page, server, "/e/cold_water/send")
    with page.expect_download(timeout=60_000) as download:
        page.locator('[data-do="send:.json"]').click()
    assert download.value.suggested_filename == "cold_water.json"


def test_the_keyboard_alone_is_enough(page, server) -> None:
    opened(page, server)
    page.keyboard.press("e")
    assert page.evaluate("document.activeElement.dataset.path") is not None
    page.keyboard.press("Tab")
    page.keyboard.press("Escape")
    page.keyboard.press("c")
    until(page, "Case C", ".sentence")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector(".drawer h2")
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    until(page, "stations in flow order", ".drawer")
    page.keyboard.press("Escape")
    page.keyboard.press("3")
    page.wait_for_url("**/far")


def test_no_pressure_without_a_or_g(page, server) -> None:
    opened(page, server)
    words = page.inner_text(".wp")
    wrong = [found.group() for found in PRESSURE.finditer(words)
             if not re.search(r"[+−-]$", words[:found.start()].rstrip()[-1:] or " ")]
    differences = re.compile(r"margin|higher|at suction|\+|−|≥|practice", re.IGNORECASE)
    unexplained = [one for one in wrong if not differences.search(words[max(words.find(one) - 60, 0):
                                                                       words.find(one) + 40])]
    assert not unexplained


def test_a_phone_needs_no_sideways_scroll(page, server) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    opened(page, server)
    assert page.evaluate("document.documentElement.scrollWidth") <= 391


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_both_themes(page, server, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)
    opened(page, server)
    paper = page.evaluate("getComputedStyle(document.querySelector('.sheet')).backgroundColor")
    assert paper == ("rgb(255, 255, 255)" if scheme == "light" else "rgb(21, 29, 34)")
