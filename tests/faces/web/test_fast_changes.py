"""No typed value is lost, however fast values are typed and whatever is being rated meanwhile."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

CASE_B = "enquiry:cases[2]"
#: Long enough for the busiest machine; nothing waits so long when it works.
PATIENCE = 30_000


def at(path: str) -> str:
    return f'[data-path="{path}"]'


@pytest.fixture
def sheet(page: Page, address: str) -> Iterator[Page]:
    page.set_default_timeout(PATIENCE)
    expect.set_options(PATIENCE)
    page.goto(f"{address}/e/butane_reflux/run")
    page.wait_for_function("() => window.socket && window.socket.connected")
    yield page
    page.goto(f"{address}/e/butane_reflux/run")
    if page.locator('.strip [data-do="drop"]').count():
        page.locator('.strip [data-do="drop"]').click()
        expect(page.locator(".strip")).not_to_contain_text("changed since")
    expect.set_options(5_000)


@pytest.mark.parametrize("round_", range(3))
def test_values_typed_one_after_the_other_are_all_taken(sheet: Page, round_: int) -> None:
    page = sheet
    page.locator(at(f"{CASE_B}.flow")).focus()
    for words in (f"{44 + round_}", "53", "6.7 bar a", "-9", f"{33 + round_}"):
        page.keyboard.press("Control+a")
        page.keyboard.type(words)
        page.keyboard.press("Tab")
    expect(page.locator(at(f"{CASE_B}.flow"))).to_have_value(re.compile(rf"^{44 + round_}"))
    expect(page.locator(at("enquiry:site.air_highest"))).to_have_value(re.compile(rf"^{33 + round_}\.0"))
    expect(page.locator(at(f"{CASE_B}.temperature"))).to_have_value(re.compile(r"^53\.0"))
    expect(page.locator(at(f"{CASE_B}.suction_pressure"))).to_have_value(re.compile(r"^6\.70"))
    expect(page.locator(at("enquiry:site.air_lowest"))).to_have_value(re.compile(r"^−9\.0"))
    expect(page.locator("tr.on")).to_contain_text("6.70")


def test_half_a_value_is_kept_while_another_is_rated(sheet: Page) -> None:
    page = sheet
    page.evaluate("""() => { window.told = []; const emit = window.emitEvent;
        window.emitEvent = (name, value) => { if (value.what === 'entered') window.told.push(value.value);
                                              emit(name, value); }; }""")
    page.locator(at(f"{CASE_B}.flow")).focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("45")
    page.keyboard.press("Tab")
    page.keyboard.press("Control+a")
    page.keyboard.type("5")
    expect(page.locator("tr.on td").nth(1)).to_have_text("45")          # rated and written anew meanwhile
    expect(page.locator(at(f"{CASE_B}.temperature"))).to_be_focused()
    expect(page.locator(at(f"{CASE_B}.temperature"))).to_have_value("5")
    page.keyboard.type("4")
    page.keyboard.press("Enter")
    expect(page.locator("tr.on")).to_contain_text("54.0")
    assert page.evaluate("window.told") == [f"{CASE_B}.flow\n45", f"{CASE_B}.temperature\n54"]


def test_the_caret_stays_where_it_is_when_words_known_to_the_server_are_written_anew(sheet: Page) -> None:
    page = sheet
    field = page.locator(at(f"{CASE_B}.temperature"))
    field.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("54")
    page.keyboard.press("ArrowLeft")
    page.evaluate("""(path) => { emitEvent('wp', {what: 'typed', value: `${path}.temperature\n54`});
                                 emitEvent('wp', {what: 'entered', value: `${path}.flow\n46`}); }""", CASE_B)
    expect(page.locator("tr.on td").nth(1)).to_have_text("46")
    expect(field).to_be_focused()
    assert field.evaluate("one => [one.selectionStart, one.selectionEnd]") == [1, 1]
    page.keyboard.type("3.")
    expect(field).to_have_value("53.4")
    page.keyboard.press("Enter")
    expect(page.locator("tr.on")).to_contain_text("53.4")


def test_a_field_of_a_part_keeps_focus_and_words_while_another_is_rated(sheet: Page) -> None:
    page = sheet
    page.locator(".wp-section [id$='--shell'].part, .wp-section #shell.part").first.dispatch_event("click")
    wall = page.locator("#part-containment_shell\\.wall")
    expect(wall).to_be_visible()
    page.locator(at(f"{CASE_B}.flow")).fill("43")
    page.locator(at(f"{CASE_B}.flow")).press("Enter")
    wall.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("1.")
    expect(page.locator("tr.on td").nth(1)).to_have_text("43")
    expect(wall).to_be_focused()
    expect(wall).to_have_value("1.")
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    expect(page.locator(".sentence " + at("pump:containment_shell.wall"))).to_have_value(re.compile(r"^1\.3\b"))


def test_a_source_typed_before_its_limit_is_kept_and_taken_with_it(sheet: Page) -> None:
    page = sheet
    page.locator('.checks button[data-limit="vapour_margin_pressure"]').click()
    source = page.locator("#source-vapour_margin_pressure")
    expect(page.locator("#limit-vapour_margin_pressure")).to_be_focused()    # the sheet opens with the limit chosen
    source.fill("note 7 of the works")
    source.press("Tab")
    page.locator("#limit-vapour_margin_pressure").fill("0.9 bar")
    page.locator("#limit-vapour_margin_pressure").press("Enter")
    expect(page.locator(".strip")).to_contain_text("Own practice")
    expect(source).to_have_value("note 7 of the works")


def test_two_pages_of_one_enquiry_change_the_same_papers(sheet: Page, address: str) -> None:
    other = sheet.context.new_page()
    other.set_default_timeout(PATIENCE)
    other.goto(f"{address}/e/butane_reflux/run")
    other.wait_for_function("() => window.socket && window.socket.connected")
    for page, path, words in ((sheet, f"{CASE_B}.flow", "42"), (other, "enquiry:site.air_highest", "31")):
        page.locator(at(path)).fill(words)
        page.locator(at(path)).press("Enter")
    expect(other.locator(at("enquiry:site.air_highest"))).to_have_value(re.compile(r"^31\.0"))
    expect(sheet.locator("tr.on td").nth(1)).to_have_text("42")
    other.goto(f"{address}/e/butane_reflux/run")
    expect(other.locator(at(f"{CASE_B}.flow"))).to_have_value(re.compile(r"^42"))
    expect(other.locator(at("enquiry:site.air_highest"))).to_have_value(re.compile(r"^31\.0"))
