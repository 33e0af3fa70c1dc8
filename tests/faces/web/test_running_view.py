"""*How are they running?* in a browser: counts, ruler, the pump looked at, keys, filter, notes, the way to view 7."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

#: The demo's history is made when it is looked at first.
MADE = 400_000

pytestmark = pytest.mark.timeout(500)


def opened(page: Page, address: str, more: str = "") -> Page:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)
    page.goto(f"{address}/site/running{more}")
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.locator(".strip [data-do=update]")).to_be_visible(timeout=MADE)
    expect(page.locator("h1").first).to_contain_text("to look at", timeout=MADE)
    expect(page.locator("h1").first).to_contain_text("stopped", timeout=MADE)
    return page


def looked_at(page: Page, tag: str) -> None:
    expect(page.locator(".side h1")).to_contain_text(tag)


def test_the_counts_are_the_answer_and_the_worst_comes_first(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    expect(page.locator("h1").first).to_have_text(
        "▼ 1 pump short of margin, 2 to look at, 7 well, 2 stopped, 1 no data")
    rows = page.locator(".wp-fleet .pump")
    assert rows.count() == 13
    assert rows.first.get_attribute("aria-label").startswith("▼ P-107A butane reflux: short of margin, margin 0.9")
    assert "no data since 12 June 02:00 UTC" in (page.locator(".wp-fleet").text_content() or "")
    looked_at(page, "P-107A")                                       # without a step
    side = page.locator(".side").inner_text()
    assert "the liquid is lost in" in side
    assert "Raise the suction pressure by" in side
    assert page.locator(".wp-trend").count() == 1
    screen(page, "running-light")
    page.locator("summary", has_text="Show as table").click()
    table = page.get_by_role("table", name="Margins of the pumps, the worst first")
    expect(table.locator("tr", has_text="P-103A")).to_contain_text("reaches the demand in")


def test_keys_move_and_the_address_leads_back(page: Page, address: str) -> None:
    opened(page, address)
    page.keyboard.press("j")
    looked_at(page, "P-103A")
    page.keyboard.press("j")
    looked_at(page, "P-112A")
    expect(page.get_by_role("table", name="What fits the signals")).to_contain_text("discharge pressure")
    expect(page.locator(".side")).to_contain_text("no signal")
    page.keyboard.press("k")
    looked_at(page, "P-103A")
    page.wait_for_function("location.search.includes('pump=P-103A')")
    opened(page, address, "?pump=P-104A")
    looked_at(page, "P-104A")
    page.locator(".wp-fleet .pump", has_text="P-101B").click()
    looked_at(page, "P-101B")
    expect(page.locator(".side")).to_contain_text("Stopped, last ran 30 May 04:00 UTC")
    page.get_by_label("which pumps").select_option("site:South works")
    expect(page.locator(".wp-fleet .pump")).to_have_count(7)
    page.wait_for_function("location.search.includes('show=site')")
    page.keyboard.press("1")
    page.wait_for_url("**/run**")
    page.keyboard.press("6")
    page.wait_for_url("**/site/running**")


def test_a_pump_noted_as_seen_is_quiet(page: Page, address: str) -> None:
    opened(page, address, "?pump=P-103A")
    page.get_by_role("button", name="Note seen").click()
    expect(page.locator("h1").first).to_contain_text("1 to look at, 1 seen")
    looked_at(page, "P-103A")
    expect(page.locator(".side")).to_contain_text("quiet until the margin moves by more than its range")
    opened(page, address, "?pump=P-103A")
    expect(page.locator("h1").first).to_contain_text("1 seen")


def test_from_a_bad_pump_to_its_investigation_in_one_step(page: Page, address: str) -> None:
    opened(page, address)
    page.locator('[data-do="investigate"]').focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/failed**")
    expect(page.locator("#failed-title")).to_have_value("P-107A, running, signals to 12 June 2026 06:00 UTC")
    expect(page.locator("#found-suction_first")).to_have_value("seen")
    expect(page.get_by_role("table", name="What each item of evidence says")).to_contain_text("suction pressure")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_answers_without_barrier(page: Page, address: str, screen: Callable, barriers: Callable,
                                    scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": 1440, "height": 900})
    opened(page, address, "?pump=P-112A")
    screen(page, f"view-running-{scheme}")
    assert not barriers(page)
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    screen(page, f"view-running-{scheme}-phone")


def test_on_paper_it_begins_on_the_first_page(page: Page, address: str, tmp_path: Path) -> None:
    opened(page, address)
    page.emulate_media(media="print")
    assert page.locator(".main.running").evaluate("one => getComputedStyle(one).display") == "block"
    page.pdf(path=tmp_path / "running.pdf", prefer_css_page_size=True)
    from pypdf import PdfReader

    assert "short of margin" in PdfReader(tmp_path / "running.pdf").pages[0].extract_text()
