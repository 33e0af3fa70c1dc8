"""What the candidates cost, in *Which pump?*: numbers of the life-cycle comparison, and the sealed pump beside it."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from wetpath.questions.lifecycle.study import compare
from wetpath.services.demo import demo_folder
from wetpath.services.lifecycle import assumed_text, scope_of_text
from wetpath.services.rating import load_service
from wetpath.services.selection import select_for

WHICH = "/e/cold_water/which"


@pytest.fixture
def which(page: Page, address: str) -> Page:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)
    page.goto(address + WHICH)
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.get_by_role("table", name="Candidates")).to_be_visible(timeout=120_000)
    return page


def totals(page: Page) -> list[float]:
    return [float(told.replace("\u2009", "")) for told in page.locator(".bar-of-costs b").all_inner_texts()]


def test_bars_are_those_of_the_comparison_and_s_is_never_ranked(which: Page, screen: Callable) -> None:
    rating = load_service(demo_folder() / "enquiries" / "cold_water.toml").rate()
    found = [compare(one.rating, scope_of_text()) for one in select_for(rating).offers]
    wanted = [one.seal_less.total for one in found] + [found[0].sealed.total]
    assert totals(which) == [pytest.approx(value / 1000, abs=0.051) for value in wanted]        # one decimal is told
    rows = which.get_by_role("table", name="Candidates").locator("tbody tr")
    assert [row.locator("td").first.inner_text() for row in rows.all()] == [
        *map(str, range(1, len(found) + 1)), "S"]
    expect(rows.last).to_contain_text("not rated")
    assert which.locator("tr.sealed button").count() == 0                    # neither taken nor put beside another
    expect(which.locator(".costs")).to_contain_text("Those assumed are invented")
    parts = which.locator("tr.sealed .live").inner_text()
    amounts = [float(one) for one in re.findall(r"(?:buy|energy|service|support) ([\d.]+)", parts)]
    assert sum(amounts) == pytest.approx(totals(which)[-1], abs=0.21)        # four rounded numbers
    wide = which.locator("tr.sealed svg rect").evaluate_all("all => all.map(one => one.width.baseVal.value)")
    assert [amounts.index(one) for one in sorted(amounts)] == [wide.index(one) for one in sorted(wide)]
    screen(which, "which-costs")


def test_own_figures_take_the_place_of_those_assumed(which: Page) -> None:
    before = totals(which)
    which.get_by_role("button", name="figures of the costs").click()
    expect(which.locator(".drawer")).to_contain_text("invented for the demo")
    which.fill("#own-costs", assumed_text().replace("purchase = 24000.0", "purchase = -1"))
    which.press("#own-costs", "Tab")
    expect(which.locator(".drawer .fault")).to_contain_text("purchase")
    assert totals(which) == before
    which.fill("#own-costs", assumed_text().replace("purchase = 24000.0", "purchase = 34000.0"))
    which.press("#own-costs", "Tab")
    expect(which.locator(".costs")).not_to_contain_text("assumed")
    assert totals(which)[0] == pytest.approx(before[0] + 10.0, abs=0.11)
    expect(which.locator("tr.sealed")).to_contain_text("kg a year")          # the file tells the class of the service
    which.get_by_role("button", name="Use the assumed figures").click()
    expect(which.locator(".costs")).to_contain_text("Those assumed are invented")
    assert totals(which) == before
