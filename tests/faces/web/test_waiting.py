"""Long work goes on when its page is left; its result waits at the view, with a dot in the question bar."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

#: Leave by the question bar in the very moment the page tells of work, before any of it can be done.
LEAVE_AT_WORK = """() => {
  if (!document.querySelector(".progress .words").innerText.includes("points rated")) return false;
  const link = [...document.querySelectorAll("nav[aria-label=questions] a")].find((a) => a.innerText.includes("run"));
  setTimeout(() => link.click(), 10);
  return true;
}"""


@pytest.fixture
def opened(page: Page, address: str) -> Callable[[str], Page]:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)

    def at(view: str) -> Page:
        page.goto(f"{address}/e/{view}")
        page.wait_for_function("() => window.socket && window.socket.connected")
        return page

    return at


def test_result_that_came_while_the_page_was_left_waits_with_a_dot(opened: Callable[[str], Page],
                                                                   screen: Callable) -> None:
    far = opened("hot_water/far")
    far.fill("#above", "0.613 bar")
    far.press("#above", "Tab")
    far.wait_for_function(LEAVE_AT_WORK)
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


def test_result_waits_that_came_to_a_browser_that_did_not_take_it(opened: Callable[[str], Page]) -> None:
    far = opened("hot_water/far")
    other = far.context.new_page()
    other.goto(far.url.replace("/far", "/run"))
    far.fill("#above", "0.614 bar")
    far.press("#above", "Tab")
    expect(far.locator(".progress .words")).to_contain_text("points rated")
    far.evaluate("""() => { setTimeout(() => { for (const end = Date.now() + 12000; Date.now() < end;); }); }""")
    link = other.get_by_role("navigation", name="questions").get_by_role("link", name="How far?")
    expect(link).to_contain_text("a result waits")
    expect(far.locator("h1")).not_to_contain_text("Rating")
    far.keyboard.press("?")                                            # it is looked at after all
    expect(far.locator("nav .dot")).to_have_count(0)
    expect(other.locator("nav .dot")).to_have_count(0)


def test_page_opened_again_follows_the_work_that_goes_on(opened: Callable[[str], Page]) -> None:
    protect = opened("ammonia/protect?case=D")
    words = protect.locator(".progress .words")
    expect(words).to_contain_text("causes followed")
    expect(words).not_to_contain_text(re.compile("^[0-2] of"))
    before = int(words.inner_text().split()[0])
    protect.reload()
    expect(words).to_contain_text("causes followed")
    assert int(words.inner_text().split()[0]) >= before
    protect.keyboard.press("Escape")
    expect(protect.locator("#answer")).to_contain_text("Stopped.")
    expect(protect.locator("nav .dot")).to_have_count(0)
