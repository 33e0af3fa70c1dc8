"""Long work goes on when its page is left; its result waits at the view, with a dot in the question bar."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from playwright.sync_api import Dialog, Page, expect

#: Work that has told a third step goes on only when a file of the test is gone, so that pages can be left meanwhile.
HELD = """
import pathlib, time
from wetpath.faces.web.job import _Work
tell = _Work._told
def held(work, done, total):
    tell(work, done, total)
    while done >= 3 and pathlib.Path("hold").exists() and not work.stopped:
        time.sleep(0.02)
_Work._told = held
"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, serving: Callable[..., AbstractContextManager[str]]
           ) -> Iterator[tuple[str, Path]]:
    """Where a server listens that holds long work, and the file that makes it do so."""
    folder = tmp_path_factory.mktemp("waiting")
    with serving(folder, f"sqlite:///{folder / 'projects.db'}", HELD) as found:
        yield found, folder / "hold"


@pytest.fixture
def hold(server: tuple[str, Path]) -> Iterator[Path]:
    server[1].touch()
    yield server[1]
    server[1].unlink(missing_ok=True)


@pytest.fixture
def opened(page: Page, server: tuple[str, Path]) -> Callable[[str], Page]:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)

    def at(view: str) -> Page:
        page.goto(f"{server[0]}/e/{view}")
        page.wait_for_function("() => window.socket && window.socket.connected")
        return page

    return at


def asked_above(far: Page, above: str) -> None:
    """Ask for another suction, and wait until its points are being rated."""
    far.fill("#above", above)
    far.press("#above", "Tab")
    expect(far.locator(".progress .words")).to_contain_text("points rated")


def test_result_that_came_while_the_page_was_left_waits_with_a_dot(opened: Callable[[str], Page], hold: Path,
                                                                   screen: Callable) -> None:
    far = opened("hot_water/far")
    asked_above(far, "0.613 bar")
    far.get_by_role("link", name="Can it run?").click()
    far.wait_for_url("**/run**")
    far.wait_for_function("() => window.socket && window.socket.connected")
    hold.unlink()
    link = far.get_by_role("navigation", name="questions").get_by_role("link", name="How far?")
    expect(link).to_contain_text("a result waits")
    screen(far, "waiting-result")
    link.click()
    expect(far.locator("#above")).to_have_value("0.613 bar")
    expect(far.locator("h1")).not_to_contain_text("Rating")
    assert far.locator(".progress .words").inner_text() == ""                # it was not rated again
    expect(far.locator("nav .dot")).to_have_count(0)
    far.get_by_role("link", name="Can it run?").click()
    expect(far.locator("nav[aria-label=questions]")).to_be_visible()
    expect(far.locator("nav .dot")).to_have_count(0)


def test_result_waits_that_came_to_a_browser_that_did_not_take_it(opened: Callable[[str], Page], hold: Path) -> None:
    far = opened("hot_water/far")
    other = far.context.new_page()
    other.goto(far.url.replace("/far", "/run"))
    asked_above(far, "0.614 bar")
    asking: list[Dialog] = []
    far.on("dialog", lambda one: asking.append(one))  # noqa: PLW0108  (a page takes no bound method of a list)
    far.evaluate("() => { setTimeout(() => alert('held'), 0); }")            # until it is answered nothing else is done
    hold.unlink()
    link = other.get_by_role("navigation", name="questions").get_by_role("link", name="How far?")
    expect(link).to_contain_text("a result waits")
    asking[0].accept()
    expect(far.locator("h1")).not_to_contain_text("Rating")
    far.keyboard.press("Escape")                                             # it is looked at after all
    expect(far.locator("nav .dot")).to_have_count(0)
    expect(other.locator("nav .dot")).to_have_count(0)


def test_page_opened_again_follows_the_work_that_goes_on(opened: Callable[[str], Page], hold: Path) -> None:
    protect = opened("ammonia/protect?case=D")
    words = protect.locator(".progress .words")
    expect(words).to_contain_text(re.compile("^3 of .* causes followed"))
    protect.reload()
    protect.wait_for_function("() => window.socket && window.socket.connected")
    expect(words).to_contain_text(re.compile("^3 of .* causes followed"))
    protect.keyboard.press("Escape")
    expect(protect.locator("#answer")).to_contain_text("Stopped.")
    expect(protect.locator("nav .dot")).to_have_count(0)
