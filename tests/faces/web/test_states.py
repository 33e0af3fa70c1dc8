"""Every state a sheet can be in, reached as a user reaches it, photographed in light, dark, print and grey."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from io import BytesIO

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

REFLUX = "/e/butane_reflux/run"
ESCAPE_AT_THE_FIRST_PROGRESS = """
new MutationObserver((_, watch) => {
    if (!/pump files/.test(document.querySelector('.progress .words')?.innerText ?? '')) return;
    watch.disconnect();
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape', bubbles: true }));
}).observe(document, { subtree: true, childList: true, characterData: true });
"""
FLOW_B = '[data-path="enquiry:cases[2].flow"]'


def opened(page: Page, address: str, path: str = REFLUX) -> Page:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)
    page.goto(address + path)
    expect(page.locator(".sentence input").first).to_be_visible()
    page.wait_for_function("() => window.socket && window.socket.connected")
    return page


def enter(page: Page, field: str, words: str) -> None:
    page.fill(field, words)
    page.press(field, "Enter")


def back(page: Page) -> None:
    """Undo what a state needed, so that the next one begins from the enquiry as it is."""
    page.goto(page.url)
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.locator(".verdict h1")).to_be_visible()
    if "Tried" in page.locator(".verdict").inner_text():         # stays on the desk until it is kept or dropped
        page.keyboard.press("Escape")
        expect(page.locator(".verdict")).not_to_contain_text("Tried, not kept")
    drop = page.locator('.strip [data-do="drop"]')
    if drop.count():
        drop.click()
        expect(page.locator(".strip")).not_to_contain_text("changed since")


def current(page: Page, address: str) -> None:
    opened(page, address)
    expect(page.locator(".verdict h1")).to_contain_text("Not as offered")


def partial(page: Page, address: str) -> None:
    page.add_init_script(ESCAPE_AT_THE_FIRST_PROGRESS)          # a quick machine is done before a test can see it
    opened(page, address, "/e/hot_water/which")
    expect(page.locator("body")).to_contain_text("Stopped", timeout=60_000)


def tried(page: Page, address: str) -> None:
    opened(page, address)
    page.wait_for_selector('[data-do="try:0"]', timeout=60_000)
    page.keyboard.press("t")
    expect(page.locator(".verdict")).to_contain_text("Tried, not kept")
    assert page.locator(".wp-rule .ghosts circle").count() > 0
    assert page.locator(".was").count() > 3


def pinned(page: Page, address: str) -> None:
    opened(page, address)
    page.keyboard.press("p")
    expect(page.locator(".strip")).to_contain_text("Pinned")
    enter(page, FLOW_B, "44")
    expect(page.locator(".verdict")).to_contain_text("Pinned:")
    assert page.locator(".cases .was, .side .was").count() > 0


def cannot(page: Page, address: str) -> None:
    """The demo's debutanizer as found: with its holes there is no liquid solution on a normal day."""
    opened(page, address, "/e/butane_as_found/run?case=A")
    expect(page.locator(".verdict h1")).to_contain_text("Cannot run")
    expect(page.locator(".side")).to_contain_text("In brackets, case A")
    expect(page.locator(".side")).to_contain_text("no liquid solution: the values are those of the last state that "
                                                  "closed")
    assert page.locator("tr.on td.n").nth(1).inner_text().startswith("(")
    page.locator('.wp-section .station[data-station="8"]').first.dispatch_event("click")
    expect(page.locator(".drawer")).to_contain_text("In brackets, no liquid solution")


def sure(page: Page, address: str) -> None:
    opened(page, address, "/e/cold_water/run")
    page.get_by_role("button", name="how sure is this verdict").click()
    expect(page.locator(".verdict")).to_contain_text("range at 95 %", timeout=120_000)
    expect(page.locator(".verdict")).to_contain_text("of 1024 sampled conditions")


def as_tables(page: Page, address: str) -> None:
    opened(page, address, "/e/butane_reflux/far")
    page.locator("summary", has_text="Show as table").first.click(timeout=120_000)
    expect(page.get_by_role("table", name="The check that governs, over flow and liquid temperature")).to_be_visible()
    opened(page, address)
    page.locator("summary", has_text="Show as table").first.click()
    expect(page.get_by_role("table", name="Stations of case")).to_be_visible()


def not_valid(page: Page, address: str) -> None:
    opened(page, address)
    expect(page.locator(".notes h2").first).to_have_text("Warnings and limits crossed")


def error(page: Page, address: str) -> None:
    opened(page, address)
    enter(page, FLOW_B, "12 bar g")
    expect(page.locator(".sentence .faulty .fault")).to_be_visible()
    assert page.locator(FLOW_B).get_attribute("aria-invalid") == "true"


def lost(page: Page, address: str) -> None:
    opened(page, address)
    page.fill(FLOW_B, "51")
    page.evaluate("() => window.socket.disconnect()")
    expect(page.locator(".lost")).to_contain_text("Nothing typed is lost")
    assert page.input_value(FLOW_B) == "51"


def asked(page: Page, address: str) -> None:
    opened(page, address)
    page.keyboard.press("/")
    page.wait_for_selector("#ask:focus")
    page.keyboard.type("shell")
    expect(page.locator(".ask li").first).to_be_visible()


def practice(page: Page, address: str) -> None:
    opened(page, address)
    page.locator('.checks button[data-limit="vapour_margin_pressure"]').click()
    expect(page.locator("#limit-vapour_margin_pressure")).to_be_visible()


STATES: dict[str, tuple[Callable[[Page, str], None], bool]] = {
    "current": (current, False), "partial": (partial, False), "tried": (tried, True),
    "cannot": (cannot, False), "sure": (sure, False), "tables": (as_tables, False),
    "pinned": (pinned, True), "not-valid": (not_valid, False), "error": (error, False),
    "lost": (lost, False), "asked": (asked, False), "practice": (practice, False)}
# numbers that are being renewed: test_rating_told.py


@pytest.mark.parametrize("name", STATES)
def test_state_is_reached_and_photographed(page: Page, address: str, in_all_looks: Callable, name: str) -> None:
    reach, changes = STATES[name]
    reach(page, address)
    in_all_looks(page, f"state-{name}")
    if changes:
        back(page)


def test_the_drawing_is_read_out_as_a_table(page: Page, address: str) -> None:
    """WCAG 2.2, 1.1.1: every station of the drawing with its numbers, as rows of a table."""
    opened(page, address)
    page.locator("summary", has_text="Show as table").first.click()
    rows = page.get_by_role("table", name="Stations of case").locator("tbody tr")
    told = {row.locator("td").first.inner_text().split()[0]: row.inner_text() for row in rows.all()}
    boxes = page.locator(".wp-section .box").all()
    assert len(boxes) == 12
    for box in boxes:
        name, state, _ = (one.text_content() or "" for one in box.locator("text").all())
        if box.get_attribute("data-station") == "W":
            continue
        pressure, temperature = (one.split("\u2009")[0] for one in state.split(" · "))
        row = told[name.split()[0]]
        assert pressure in row, (name, row)
        assert temperature in row, (name, row)
    expect(page.locator("svg.wp-section")).to_have_attribute("role", "group")     # it holds buttons, so it is no image
    assert "Case B hot day" in (page.locator("svg.wp-section desc").first.text_content() or "")


def test_single_keys_can_be_turned_off(page: Page, address: str) -> None:
    """WCAG 2.2, 2.1.4: keys of one character can be turned off."""
    opened(page, address)
    page.keyboard.press("?")
    page.get_by_role("button", name="Turn single keys off").click()
    page.keyboard.press("Escape")
    expect(page.locator(".drawer")).to_be_hidden()
    page.keyboard.press("c")
    page.keyboard.press("ArrowRight")                  # is answered after the letter would have been
    expect(page.locator(".drawer")).to_contain_text("Station")
    expect(page.locator(".sentence")).to_contain_text("Case B")
    page.locator('header [data-do="keys"]').click()
    page.get_by_role("button", name="Turn single keys on").click()
    page.keyboard.press("c")
    expect(page.locator(".sentence")).to_contain_text("Case C")


def test_paper_tells_title_date_and_project_and_carries_the_strip(page: Page, address: str) -> None:
    opened(page, address)
    page.wait_for_selector('[data-do="try:0"]')
    for sheet in PdfReader(BytesIO(page.pdf(prefer_css_page_size=True))).pages:
        words = " ".join(sheet.extract_text().split())
        for part in ("Butane reflux · Can it run?", f"Demo, invented · {datetime.now().astimezone():%d %B %Y}",
                     "Practice: default practice", "revision 1", "/e/butane_reflux/run · ", "page "):
            assert part in words, part
        for control in ("/ ask", "Which pump?", "Try 1", "How sure?"):
            assert control not in words, control
        assert [round(float(side) / 72 * 25.4) for side in sheet.mediabox[2:]] == [297, 210]      # A4, landscape


@pytest.mark.parametrize("view", ["run", "which", "far", "protect", "send", "failed", "how"])
@pytest.mark.parametrize("scheme", [pytest.param("light", marks=pytest.mark.thorough), "dark"])
def test_views_answer_without_barrier_in_both_themes(page: Page, address: str, screen: Callable, view: str,
                                                     scheme: str, barriers: Callable) -> None:
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": 1440, "height": 900})
    opened(page, address, f"/e/butane_reflux/{view}")
    page.wait_for_function("![...document.querySelectorAll('h1')].some(one => one.innerText.includes('Rating'))",
                           timeout=60_000)
    if view == "far":
        page.wait_for_selector(".js-plotly-plot path.js-line", timeout=60_000)
    elif view == "protect":
        page.wait_for_selector('[data-do="instrument-list"]', timeout=120_000)
    elif view == "failed":
        page.wait_for_selector('[data-do="failed:pdf"]', timeout=60_000)
        for part in page.locator(".findings summary").all():
            part.click()
    screen(page, f"view-{view}-{scheme}")
    assert not barriers(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 1440


def test_charts_take_the_colours_of_the_page(page: Page, address: str) -> None:
    page.emulate_media(color_scheme="dark")
    opened(page, address, "/e/butane_reflux/far")
    page.wait_for_selector(".js-plotly-plot path.js-line", timeout=60_000)
    soft = page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--soft').trim()")
    wanted = "rgb({}, {}, {})".format(*(int(soft[at:at + 2], 16) for at in (1, 3, 5)))
    for tick in page.locator(".js-plotly-plot .xtick text").all():
        expect(tick).to_have_css("fill", wanted)
    assert page.locator(".js-plotly-plot .xtick text").count() > 3
