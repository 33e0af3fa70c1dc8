"""The tasks an engineer must do in few steps, done with the keyboard alone and counted.

A step is one key or click; a value typed with Enter or Tab is one step, and so is opening the enquiry or reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

REFLUX = "/e/butane_reflux/run"
SCREENS = Path(__file__).parents[3] / "build" / "screens"


@dataclass
class Hand:
    """The keyboard of one user, counting."""

    page: Page
    address: str
    steps: int = 0

    def open(self, path: str = REFLUX) -> None:
        self.page.set_default_timeout(60_000)
        expect.set_options(60_000)
        self.page.goto(self.address + path)
        expect(self.page.locator(".sentence input").first).to_be_visible()
        self.page.wait_for_function("() => window.socket && window.socket.connected")

    def key(self, name: str) -> None:
        self.steps += 1
        self.page.keyboard.press(name)

    def value(self, words: str, end: str = "Tab") -> None:
        """Type over the field that has the focus."""
        self.steps += 1
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(words)
        self.page.keyboard.press(end)

    def ask(self, words: str) -> None:
        """The ask line with one answer taken: one step."""
        self.steps += 1
        self.page.keyboard.press("/")
        self.page.wait_for_selector("#ask:focus")
        self.page.keyboard.type(words)
        self.page.wait_for_selector(".ask li")
        self.page.keyboard.press("Enter")

    def press(self, selector: str) -> None:
        """Press what has been tabbed to."""
        self.steps += 1
        reached = self.page.locator(selector).first
        assert reached.evaluate("one => one.tabIndex") >= 0, f"{selector} is not reached by Tab"
        reached.press("Enter")

    def choose(self, selector: str, words: str) -> None:
        """Choose from a list that has been tabbed to, by typing the beginning of a choice."""
        self.steps += 1
        self.page.locator(selector).focus()
        self.page.keyboard.type(words)


@pytest.fixture
def hand(page: Page, address: str, request: pytest.FixtureRequest) -> Iterator[Hand]:
    """A hand whose steps are kept beside the photographs."""
    found = Hand(page, address)
    yield found
    SCREENS.mkdir(parents=True, exist_ok=True)
    (SCREENS / f"{request.node.name}.steps").write_text(f"{found.steps}\n", encoding="utf-8")


def until(page: Page, words: str, where: str) -> None:
    page.wait_for_function("([where, words]) => document.querySelector(where).innerText.includes(words)",
                           arg=[where, words], timeout=60_000)


def undo_all(page: Page) -> None:
    """Drop what was changed, so that the next task begins from the enquiry as it is."""
    page.goto(page.url)
    page.wait_for_function("() => window.socket && window.socket.connected")
    drop = page.locator('.strip [data-do="drop"]')
    if drop.count():
        drop.click()
        expect(page.locator(".strip")).not_to_contain_text("changed since")


def test_yes_or_no_at_the_phone_in_six_steps(hand: Hand) -> None:
    hand.steps += 1                                          # open
    hand.open()
    page = hand.page
    page.keyboard.press("e")                                 # the liquid has the focus; Tab goes on to the flow
    page.keyboard.press("Tab")
    hand.value("46")                                         # typed on without waiting for the rating
    hand.value("54")
    hand.value("6.4 bar a")
    hand.value("-5", end="Enter")
    for words in ("46", "54.0", "6.40"):
        until(page, words, "tr.on")
    hand.steps += 1                                          # read
    assert page.locator(".verdict h1").inner_text()
    assert hand.steps <= 6
    undo_all(page)


def test_what_limits_and_by_how_much_needs_no_step(hand: Hand) -> None:
    hand.open()
    assert "Not as offered" in hand.page.inner_text(".verdict h1")
    assert "short by" in hand.page.inner_text(".verdict")
    assert hand.steps == 0


def test_what_would_make_it_hold_is_shown_tried_and_kept(hand: Hand) -> None:
    hand.open()
    page = hand.page
    page.wait_for_selector('[data-do="try:0"]', timeout=60_000)          # 0: it is there
    hand.key("t")
    until(page, "Tried, not kept", ".verdict")
    assert hand.steps == 1
    hand.key("k")
    until(page, "changed since revision", ".strip")
    assert hand.steps == 2
    undo_all(page)


def test_a_station_in_another_case_in_two_steps(hand: Hand) -> None:
    hand.open()
    hand.key("c")
    until(hand.page, "Case C", ".sentence")
    hand.ask("9")
    until(hand.page, "Station 9", ".drawer")
    assert "Case C" in hand.page.inner_text(".drawer")
    assert "case=C" in hand.page.url
    assert "at=9" in hand.page.url
    assert hand.steps == 2


def test_where_a_number_comes_from_in_one_step_and_one_level_deeper_in_two(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.press('.checks button[data-explain*="/margin/"]')
    until(page, "Margin at station", ".drawer")
    assert hand.steps == 1
    hand.press('.drawer button[data-explain*="/pressure/"]')
    until(page, "Pressure at station", ".drawer")
    assert hand.steps == 2


def test_numbers_of_the_verdict_tell_where_they_come_from(hand: Hand) -> None:
    hand.open()
    assert hand.page.locator(".verdict button.num").count() == 3         # margin, actual, limit
    hand.press(".verdict button[data-limit]")
    until(hand.page, "Practice", ".drawer")


def test_the_shell_material_in_two_steps(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.ask("containment shell")
    expect(page.locator("#part-containment_shell\\.material")).to_be_visible()
    hand.choose("#part-containment_shell\\.material", "N10276")
    until(page, "changed since revision", ".strip")
    assert page.input_value('[data-path="pump:containment_shell.material"]') == "N10276"
    assert hand.steps == 2
    undo_all(page)


def test_two_candidates_side_by_side_in_three_steps(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.key("2")
    page.wait_for_selector('[data-do="beside:1"]', timeout=60_000)
    hand.press('[data-do="beside:1"]')
    until(page, "Candidates 1 and 2, where they differ", ".drawer")
    rows = page.locator(".drawer tbody tr").all()
    assert rows
    assert all(len(set(row.locator("td.n").all_inner_texts())) == 2 for row in rows)
    assert hand.steps <= 3


def test_suction_pressure_needed_at_a_point_in_two_steps(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.key("3")
    page.wait_for_url("**/far*")
    page.wait_for_selector(".js-plotly-plot path.js-line", timeout=60_000)
    page.locator("#point").focus()
    hand.value("20 m3/h, 60 degC", end="Enter")
    page.wait_for_function("document.body.innerText.includes('needed at the suction')")
    told = page.locator("b", has_text="bar a").first.inner_text()
    table = page.locator("tr", has=page.locator("td:first-child", has_text="20")).first.inner_text()
    assert told.split("\u2009")[0] in table               # the same number as in the table
    assert hand.steps == 2


def test_what_changed_since_the_revision_in_one_step(hand: Hand) -> None:
    hand.open()
    page = hand.page
    page.fill('[data-path="enquiry:cases[2].flow"]', "47")
    page.press('[data-path="enquiry:cases[2].flow"]', "Enter")
    until(page, "changed since revision", ".strip")
    hand.press('.strip [data-do="changed"]')
    until(page, "47", ".drawer")
    assert "48" in page.inner_text(".drawer")
    assert hand.steps == 1
    undo_all(page)


def test_a_limit_of_the_practice_is_changed_from_its_check(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.press('.checks button[data-limit="vapour_margin_pressure"]')
    page.wait_for_selector("#limit-vapour_margin_pressure")
    page.fill("#limit-vapour_margin_pressure", "2 bar")
    page.press("#limit-vapour_margin_pressure", "Enter")
    until(page, "Own practice", ".strip")
    until(page, "2.00", '.checks tr[data-check="vapour_margin_pressure"]')
    page.fill("#source-vapour_margin_pressure", "standard of the works for light ends")
    page.press("#source-vapour_margin_pressure", "Enter")
    until(page, "standard of the works for light ends", ".drawer")
    page.fill("#limit-vapour_margin_pressure", "2 mm")
    page.press("#limit-vapour_margin_pressure", "Enter")
    page.wait_for_selector(".drawer .fault")
    undo_all(page)


def test_a_pressure_without_a_or_g_is_repaired_by_a_click(hand: Hand) -> None:
    hand.open()
    page, field = hand.page, '[data-path="enquiry:cases[2].suction_pressure"]'
    page.fill(field, "6.3 bar")
    page.press(field, "Enter")
    page.wait_for_selector(".fault button")
    assert page.locator(".fault button").all_inner_texts() == ["6.3 bar a", "6.3 bar g"]
    hand.press(".fault button")
    page.wait_for_function("field => document.querySelector(field).value.startsWith('6.30')", arg=field)
    undo_all(page)


def test_limits_of_validity_are_told_in_the_units_chosen(hand: Hand) -> None:
    hand.open()
    page = hand.page
    page.locator('[data-do="units"]').click()
    until(page, "gpm", "header")
    hand.press('.checks button[data-explain*="/margin/"]')
    until(page, "Table of", ".drawer")
    assert "°C" not in page.inner_text(".drawer")
    assert "°F" in page.inner_text(".drawer")
    assert "°C" not in page.inner_text(".verdict")
    assert " K" not in page.inner_text(".verdict").replace("\u2009", " ")


def test_yes_or_no_from_nothing_in_ten_steps(hand: Hand) -> None:
    hand.open()
    page = hand.page
    hand.key("n")
    page.wait_for_url("**/projects")
    page.wait_for_function("() => window.socket && window.socket.connected")
    hand.press("summary")
    page.locator("textarea").first.focus()
    for line in ("Service: Butane from nothing", "Liquid: n-butane", "Flow: 45 m3/h", "Total head = 53 m",
                 "Pumping temperature: 48 degC", "Suction pressure (abs): 4.9 bar"):
        hand.steps += 1
        page.keyboard.type(f"{line}\n")
    page.keyboard.press("Tab")                               # leaving the field reads the rows
    expect(page.locator("body")).to_contain_text("Read 6 rows")
    hand.press("a:has-text('Open the enquiry')")
    expect(page.locator(".verdict h1")).to_be_visible()
    assert page.locator(".sentence input").nth(1).input_value().startswith("45")
    hand.steps += 1                                          # read
    assert page.locator(".verdict h1").inner_text()
    assert hand.steps <= 10


def test_the_issue_after_a_changed_duty_in_four_steps(hand: Hand) -> None:
    hand.open("/e/scrubber_water/run")
    page = hand.page
    page.locator('[data-path="enquiry:site.air_highest"]').focus()
    hand.value("38", end="Enter")
    until(page, "changed since revision", ".strip")
    hand.key("5")
    page.wait_for_url("**/send*")
    page.wait_for_function("() => window.socket && window.socket.connected")
    hand.press('[data-do="issue:ask"]')                      # with what it is for: one step, like the ask line
    page.wait_for_selector("#issue-reason:focus")
    page.keyboard.type("for approval")
    page.keyboard.press("Enter")
    until(page, "Issued", ".drawer")
    expect(page.locator(".strip")).not_to_contain_text("changed since")
    with page.expect_download() as download:
        hand.press('button[aria-label^="scrubber_water-"][aria-label*=".pdf of issue"]')
    assert download.value.suggested_filename.endswith(".pdf")
    assert hand.steps == 4


def test_which_instrument_sees_a_plugged_filter_in_two_steps(hand: Hand) -> None:
    hand.open("/e/butane_reflux/run")
    page = hand.page
    hand.key("4")
    page.wait_for_url("**/protect*")
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.locator('[data-do="instrument-list"]')).to_be_visible(timeout=120_000)
    hand.ask("feed plugging")
    expect(page.locator("h1")).to_contain_text("Feed plugging", timeout=60_000)
    row = page.get_by_role("table", name="Seconds in hand").get_by_role("row", name="feed plugging")
    assert "●" in row.inner_text()                           # an instrument that sees it in time, named by its column
    assert hand.steps == 2


def test_a_finding_is_added_and_the_ranking_moves_in_three_steps(hand: Hand) -> None:
    hand.open("/e/scrubber_water/run")
    page = hand.page
    hand.key("7")
    page.wait_for_url("**/failed*")
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.locator("h1")).to_contain_text("Nothing is told yet", timeout=60_000)
    before = page.get_by_role("table", name="Mechanisms, the most probable first").inner_text()
    hand.ask("grooves around the inside")
    expect(page.locator("h1")).not_to_contain_text("Nothing is told yet", timeout=60_000)
    hand.steps += 1                                          # read
    assert page.get_by_role("table", name="Mechanisms, the most probable first").inner_text() != before
    assert page.locator(".pin.seen").count() == 1
    assert hand.steps == 3
