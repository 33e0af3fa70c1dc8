"""What do we send?: pressures in the unit chosen, and marks where something changed since an issue."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

FLOW = ".sentence [data-path$='.flow']"


@pytest.fixture
def send(page: Page, address: str) -> Page:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)
    page.goto(f"{address}/e/propane/send")
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.locator(".paper h2.chapter").first).to_be_visible()
    return page


def test_pressures_of_the_report_are_in_the_unit_chosen(send: Page, screen: Callable, barriers: Callable) -> None:
    paper = send.locator(".paper")
    expect(paper).to_contain_text("bar a")
    send.select_option("#pressure-unit", "kPa")
    expect(paper).to_contain_text("kPa a")
    assert "bar" not in paper.inner_text().replace("Barlow", "")
    screen(send, "send-in-kilopascal")
    assert not barriers(send)


def test_what_changed_since_an_issue_is_marked(send: Page, screen: Callable, tmp_path: Path) -> None:
    marks = send.locator(".paper td", has_text="▲")
    expect(marks).to_have_count(0)
    expect(send.locator("#marked-against")).to_have_value("")
    send.get_by_role("button", name="Issue", exact=True).click()
    send.fill("#issue-reason", "for the test of marks")
    send.press("#issue-reason", "Enter")
    expect(send.locator(".drawer")).to_contain_text("Issue A by")
    expect(send.locator("#marked-against")).to_have_value("A")
    expect(marks).to_have_count(0)
    before = send.locator(FLOW).first.input_value()
    send.fill(FLOW, "21")
    send.press(FLOW, "Enter")
    expect(marks.filter(has_text="▲ 21")).not_to_have_count(0)
    screen(send, "send-marked")
    with send.expect_download() as handed:
        send.get_by_role("button", name="Data file").click()
    assert json.loads(Path(handed.value.path()).read_text(encoding="utf-8"))
    send.select_option("#marked-against", "")
    expect(marks).to_have_count(0)
    send.locator("body").press("Control+z")
    expect(send.locator(FLOW).first).to_have_value(before)
