"""What an engineer does in the browser, from opening an enquiry to keeping a change."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

VIEWS = ("run", "which", "far", "protect", "send", "how")


def opened(page: Page, address: str, view: str = "run", key: str = "butane_reflux") -> Page:
    page.goto(f"{address}/e/{key}/{view}")
    expect(page.locator(".sentence input").first).to_be_visible()
    page.wait_for_function("() => window.socket && window.socket.connected")
    return page


def flow(page: Page):
    return page.get_by_role("textbox", name="flow", exact=True)


def verdict(page: Page) -> str:
    return page.locator(".verdict").inner_text()


def test_opens_to_the_verdict(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    expect(page.locator(".verdict h1")).to_be_visible()
    screen(page, "run")


def test_changed_flow_shows_new_numbers(page: Page, address: str) -> None:
    opened(page, address)
    table = page.get_by_role("table", name="Operating cases")
    before = table.inner_text()
    typed = flow(page).input_value()
    number = float(typed.split("\u2009")[0].split()[0])
    flow(page).fill(str(number * 0.9))
    flow(page).press("Enter")
    expect(table).not_to_have_text(before, use_inner_text=True, timeout=30_000)
    page.locator("h2").first.click()
    page.keyboard.press("Control+z")
    expect(table).to_have_text(before, use_inner_text=True, timeout=30_000)


def test_faulty_unit_is_told_at_the_field_and_repaired(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    good = flow(page).input_value()
    flow(page).fill("12 bar g")
    flow(page).press("Enter")
    fault = page.locator(".sentence .field.faulty .fault")
    expect(fault).to_be_visible()
    assert flow(page).get_attribute("aria-invalid") == "true"
    assert "Traceback" not in fault.inner_text()
    screen(page, "faulty")
    flow(page).fill(good)
    flow(page).press("Enter")
    expect(page.locator(".fault")).to_have_count(0)


def test_shell_is_changed_through_the_drawing(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    page.locator(".wp-section [id$='--shell'].part, .wp-section #shell.part").first.dispatch_event("click")
    wall = page.get_by_label(re.compile("^Wall thickness under the magnets"))
    expect(wall).to_be_visible()
    screen(page, "part")
    loss = page.locator(".drawer dd").nth(2)
    before, shown = loss.inner_text(), wall.input_value()
    wall.fill("0 mm")
    wall.press("Enter")
    expect(page.locator(".drawer .fault")).to_be_visible()
    wall.fill("1.2 mm")
    wall.press("Enter")
    expect(page.locator(".drawer .fault")).to_have_count(0)
    expect(loss).not_to_have_text(before)
    expect(wall).to_be_focused()
    assert wall.input_value() != shown
    page.locator("#part-containment_shell\\.material").select_option("N10276")
    expect(page.locator("[data-path='pump:containment_shell.material']").first).to_have_value("N10276")
    page.keyboard.press("Escape")
    expect(page.locator(".drawer")).to_be_hidden()
    page.locator('.strip [data-do="drop"]').click()
    expect(page.locator(".strip")).not_to_contain_text("changed since")


def test_a_number_tells_where_it_comes_from(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    number = page.locator("button.num[data-explain$='head/']").first
    number.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".drawer h2")).to_have_text("Head")
    expect(page.locator(".drawer")).to_contain_text("Sources")
    expect(page.locator(".drawer")).to_contain_text("95 % of 512 sampled conditions lie between")
    expect(page.locator(".drawer")).to_contain_text("Largest causes:")
    screen(page, "number")


def test_marks_of_flow_come_and_go_with_a_key(page: Page, address: str) -> None:
    opened(page, address)
    page.keyboard.press("f")
    expect(page.locator(".wp.flowing")).to_have_count(1)
    assert "wp-flow" in page.locator(".wp-section .seg").first.evaluate("(one) => getComputedStyle(one).animationName")
    page.emulate_media(reduced_motion="reduce")
    assert page.locator(".wp-section .seg").first.evaluate("(one) => getComputedStyle(one).animationName") == "none"
    page.keyboard.press("f")
    expect(page.locator(".wp.flowing")).to_have_count(0)


def test_the_suction_of_a_window_is_slid(page: Page, address: str) -> None:
    opened(page, address, "far")
    expect(page.locator("h1")).not_to_contain_text("Rating", timeout=60_000)
    before = page.locator("h1 + p").inner_text()
    page.locator("#above-slide").focus()
    page.keyboard.press("Home")
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    expect(page.locator("h1 + p")).not_to_have_text(before, use_inner_text=True, timeout=60_000)
    assert "bar" in page.locator("#above").input_value()


def test_a_limit_is_relaxed_and_the_catalogue_rated_again(page: Page, address: str) -> None:
    opened(page, address, "which")
    relax = page.get_by_role("button", name="relax the limit").first
    expect(relax).to_be_visible(timeout=90_000)
    before = page.locator(".sheet").inner_text()
    relax.click()
    field = page.locator(".drawer input[id^='limit-']").first
    expect(field).to_be_visible()
    number, _, unit = field.input_value().partition("\u2009")
    field.fill(f"{0.5 * float(number):.3g} {unit}")
    field.press("Enter")
    expect(page.locator(".strip")).to_contain_text("changed since", timeout=30_000)
    expect(page.locator("h1").first).not_to_contain_text("Rating", timeout=90_000)
    expect(page.locator(".sheet")).not_to_have_text(before, use_inner_text=True, timeout=90_000)
    page.keyboard.press("Escape")
    page.locator('.strip [data-do="drop"]').click()
    expect(page.locator(".strip")).not_to_contain_text("changed since")


def test_failing_case_is_tried_kept_and_undone(page: Page, address: str, screen: Callable) -> None:
    opened(page, address, key="naphtha")
    for key in ("butane_as_found", "dichloromethane", "hot_water", "ammonia", "naphtha"):
        opened(page, address, key=key)
        if "Not as offered" in verdict(page) or "Cannot run" in verdict(page):
            break
    before = verdict(page).splitlines()[0]
    expect(page.get_by_role("button", name="Try 1")).to_be_visible(timeout=20000)
    page.get_by_role("button", name="Try 1").click()
    expect(page.locator(".verdict")).to_contain_text("Tried, not kept")
    screen(page, "tried")
    page.keyboard.press("k")
    expect(page.locator(".verdict")).not_to_contain_text("Tried, not kept")
    page.keyboard.press("Control+z")
    page.wait_for_function("(old) => document.querySelector('.verdict').innerText.startsWith(old)", arg=before)


def test_how_it_works_goes_through_the_steps_by_key(page: Page, address: str, screen: Callable) -> None:
    opened(page, address, "how")
    expect(page.locator(".side h1")).to_have_text("Casing and impeller")
    page.keyboard.press("ArrowRight")
    expect(page.locator(".side h1")).to_have_text("Shaft and plain bearings")
    page.get_by_role("button", name="Next").click()
    expect(page.locator(".side h1")).to_have_text("Inner magnet ring")
    page.keyboard.press("ArrowLeft")
    expect(page.locator(".side h1")).to_have_text("Shaft and plain bearings")
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    expect(page.locator(".side h1")).to_contain_text("Circulation")
    screen(page, "how-circulation")


def test_phone_has_no_sideways_scroll(page: Page, address: str, screen: Callable) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    for view in VIEWS:
        opened(page, address, view)
        expect(page.locator("h1").first).not_to_have_text(re.compile("^Rating"), timeout=60_000)
        screen(page, f"phone-{view}")
        wide = page.evaluate("() => document.documentElement.scrollWidth")
        assert wide <= 390, (view, wide)


def test_keyboard_alone(page: Page, address: str) -> None:
    opened(page, address)
    page.keyboard.press("e")
    expect(page.locator(".sentence input").first).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.press("Escape")
    case = page.locator("tr.on").first.inner_text()
    page.keyboard.press("c")
    page.wait_for_function("(old) => document.querySelector('tr.on').innerText !== old", arg=case)
    page.keyboard.press("ArrowRight")
    expect(page.locator(".drawer h2").first).to_contain_text("Station")
    page.keyboard.press("Escape")
    expect(page.locator(".drawer")).to_be_hidden()


def test_dark_and_print(page: Page, address: str, screen: Callable) -> None:
    page.emulate_media(color_scheme="dark")
    opened(page, address)
    screen(page, "dark")
    page.emulate_media(media="print", color_scheme="light")
    expect(page.locator("header")).to_be_hidden()
    screen(page, "print")
