"""*What protects it?* in a browser: an upset followed, moved through time, set points typed, the list taken away."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect


def opened(page: Page, address: str, path: str = "/e/hot_water/protect") -> Page:
    page.set_default_timeout(60_000)
    page.goto(address + path)
    expect(page.locator(".wp-lanes")).to_be_visible(timeout=60_000)
    return page


def planned(page: Page) -> None:
    expect(page.locator('[data-do="instrument-list"]')).to_be_visible(timeout=120_000)


def test_an_upset_is_moved_through_time(page: Page, address: str, screen: Callable) -> None:
    opened(page, address, "/e/hot_water/protect?upset=suction+lost")
    expect(page.locator("h1")).to_contain_text("Suction lost: damage")
    slide, words = page.locator("#moment"), page.locator("#moment-words")
    expect(words).to_contain_text("liquid behind the impeller 100")
    slide.focus()
    page.keyboard.press("End")
    expect(words).to_contain_text("liquid behind the impeller 0")
    assert page.locator(".wp-section .box .told", has_text="no liquid").count() > 5
    assert page.locator("#moment-line").get_attribute("transform") != "translate(0 0)"
    assert page.locator(".wp-lanes [data-lane='1']").text_content() != "–"
    page.locator("#moment-play").click()
    expect(page.locator("#moment-play")).to_have_text("Pause")
    expect(words).not_to_contain_text("liquid behind the impeller 0", timeout=10_000)
    page.locator("#moment-play").click()
    screen(page, "protect")


def test_the_plan_stands_beside_it_and_a_cause_is_followed_by_a_click(page: Page, address: str) -> None:
    opened(page, address)
    planned(page)
    expect(page.locator(".side h2").first).to_contain_text("causes that do harm")
    page.get_by_role("table", name="Seconds in hand").get_by_role("button", name="discharge closed").click()
    expect(page.locator("h1")).to_contain_text("Discharge closed:")
    page.wait_for_function("location.search.includes('upset=discharge+closed')")
    with page.expect_download() as taken:
        page.locator('[data-do="instrument-list"]').click()
    rows = list(csv.reader(Path(taken.value.path()).read_text(encoding="utf-8").splitlines()))
    assert rows[0][0] == "trip"
    assert any(row[0] == "low motor power" for row in rows)


def test_a_set_point_typed_moves_when_it_is_seen(page: Page, address: str) -> None:
    opened(page, address, "/e/hot_water/protect?upset=discharge+closed")
    planned(page)
    page.locator("summary", has_text="Other instruments").click()
    field = page.locator("#point-low_power")
    before = page.locator("details.numbers").first.text_content()
    old = float(re.match(r"[\d.]+", field.input_value()).group())
    field.fill(f"{old - 1.5:.2f} kW")
    field.press("Tab")
    expect(page.locator("details.numbers").first).not_to_have_text(before or "", timeout=120_000)
    expect(page.locator("details.numbers").first).to_contain_text(f"{old - 1.5:.2f}")


def test_what_is_wrong_is_told_at_the_fields(page: Page, address: str) -> None:
    opened(page, address, "/e/hot_water/protect?upset=gas+entrained")
    page.fill("#set-share", "lots")
    page.press("#set-share", "Tab")
    expect(page.locator(".upset .fault")).to_contain_text("lots")
    page.fill("#set-share", "8 %")
    page.press("#set-share", "Tab")
    expect(page.locator(".upset .fault")).not_to_be_visible(timeout=30_000)
    expect(page.locator("h1")).to_contain_text("Gas entrained")


def test_a_set_point_mistyped_is_told_and_the_next_one_is_taken(page: Page, address: str) -> None:
    opened(page, address, "/e/hot_water/protect?upset=discharge+closed")
    planned(page)
    page.locator("summary", has_text="Other instruments").click()
    page.fill("#point-low_power", "lots")
    page.press("#point-low_power", "Tab")
    expect(page.locator(".upset .fault")).to_contain_text("set point of low motor power")
    page.locator("#point-low_power").fill("5 kW")
    page.locator("#point-low_power").press("Tab")
    expect(page.locator(".upset .fault")).not_to_be_visible(timeout=60_000)
    expect(page.locator("details.numbers").first).to_contain_text("5.00", timeout=120_000)
