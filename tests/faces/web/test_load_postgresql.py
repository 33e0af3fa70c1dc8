"""The web application over a real PostgreSQL, from an empty database to two who save at once and a crash."""

from __future__ import annotations

import io
import os
import signal
import socket
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx2
import pytest
from playwright.sync_api import Page, expect

from wetpath.services.demo import demo_folder
from wetpath.services.project_files import files_of_folder

PATH = "enquiries/butane_reflux.toml"
HIGHEST = '[data-path="enquiry:site.air_highest"]'
PATIENCE_S = 120.0


class Served:
    """The server as a user starts it."""

    def __init__(self, folder: Path, database: str) -> None:
        self.folder, self.database, self.address = folder, database, ""
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        self.address = f"http://127.0.0.1:{port}"
        surroundings = {name: value for name, value in os.environ.items()
                        if not name.startswith(("PYTEST", "NICEGUI"))} | {"WETPATH_DATA": str(self.folder)}
        with (self.folder / "log").open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "wetpath", "serve", "--no-show", "--port", str(port), "--database",
                 self.database], cwd=self.folder, env=surroundings, stdout=log, stderr=log)
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until and self.process.poll() is None:
            try:
                httpx2.get(f"{self.address}/api/v1/version", timeout=2).raise_for_status()
                return
            except httpx2.TransportError:
                time.sleep(0.1)
        pytest.fail(f"the server does not answer: {(self.folder / 'log').read_text(encoding='utf-8')[-2000:]}")

    def kill(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()


@pytest.fixture(scope="module")
def served(new_database: Callable[[str], str], tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    url = new_database(f"web_{os.getpid()}").replace("+psycopg", "")
    found = Served(tmp_path_factory.mktemp("team"), url)
    found.start()
    yield found
    found.kill()


def until(page: Page, where: str, words: str) -> None:
    expect(page.locator(where).first).to_contain_text(words, timeout=15_000)


@pytest.fixture
def api(served: Served) -> Iterator[httpx2.Client]:
    with httpx2.Client(base_url=f"{served.address}/api/v1", timeout=60) as found:
        yield found


@pytest.mark.thorough
def test_a_team_works_in_one_postgresql(served: Served, page: Page, api: httpx2.Client,
                                        screen: Callable[[Page, str], None]) -> None:
    page.goto(served.address)
    until(page, "h1", "Not opened")                       # an empty database holds no demo
    page.get_by_role("link", name="Projects").click()
    page.locator("#project").fill("Works")
    page.locator("#project").press("Enter")
    until(page, "h2", "Works")
    project = next(one for one in api.get("/projects").json() if one["name"] == "Works")["number"]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, content in files_of_folder(demo_folder()).contents.items():
            archive.writestr(path, content)
    brought = api.post(f"/projects/{project}/import", content=packed.getvalue(),
                       headers={"content-type": "application/zip"})
    assert PATH in brought.json()["new"]

    def opened() -> None:
        page.goto(f"{served.address}/e/{project}~enquiries~butane_reflux/run")
        expect(page.locator(".verdict h1")).to_contain_text("Not as offered")
        page.wait_for_function("() => window.socket && window.socket.connected")

    def typed(field: str, words: str) -> None:
        page.locator(field).fill(words)
        page.locator(field).press("Enter")

    def save(reason: str) -> None:
        page.locator("h1").click()
        page.keyboard.press("s")
        typed("#reason", reason)

    opened()
    typed(HIGHEST, "39")
    until(page, ".strip", "changed since revision 1")
    save("a cooler yard")
    until(page, ".strip", "revision 2")
    revisions = api.get(f"/projects/{project}/document/revisions", params={"path": PATH}).json()
    assert [(one["number"], one["reason"]) for one in revisions] == [(2, "a cooler yard"), (1, "imported")]
    assert [one["field"] for one in revisions[0]["changes"]] == ["site.air_highest"]

    # somebody else saves through the interface while the page holds a change
    typed(HIGHEST, "38")
    until(page, ".strip", "changed since revision 2")
    content = api.get(f"/projects/{project}/document", params={"path": PATH}).json()["content"]
    saved = api.put(f"/projects/{project}/document", params={"path": PATH}, json={
        "content": content.replace('title = "', 'title = "Theirs: ', 1), "based_on": 2, "reason": "another title"})
    assert saved.status_code == 200, saved.text
    save("cooler still")
    until(page, ".drawer", "Somebody saved in between")
    screen(page, "postgresql-conflict")
    page.get_by_text("Keep both").click()
    until(page, ".strip", "revision 4")
    newest = api.get(f"/projects/{project}/document", params={"path": PATH}).json()
    assert 'title = "Theirs: ' in newest["content"]
    assert "38" in newest["content"].split("air_highest", 1)[1].splitlines()[0]

    # a change that was not saved outlives the server
    page.keyboard.press("Escape")
    typed(HIGHEST, "37")
    until(page, ".strip", "changed since revision 4")
    page.wait_for_timeout(1500)
    served.kill()
    served.start()
    opened()
    until(page, ".note", "are on the desk, not saved")
    assert page.locator(HIGHEST).input_value().startswith("37")
