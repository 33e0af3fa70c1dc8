"""No pressure stands without a (absolute) or g (gauge) in any view, in either set of units; US units throughout.

What carries neither is a difference: it has a sign, or the words beside it say so (the project's own rule; in the trade
a bare "bar" is a common cause of error: common practice, no source).
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

#: A number with a unit of pressure that is followed neither by a nor by g.
BARE = re.compile(r"(?P<number>[+−-]?\d[\d.,]*)[\s\u2009](?:m?bar|psi|[kM]?Pa)\b(?![\s\u2009][ag]\b)(?![·/])")
#: A number with a metric unit that has one of its own in US units, and the one that stays: the datum of magnet data.
METRIC = re.compile(r"\d[\s\u2009](?:°C|K|m³/h|bar|kW|mm|MPa|kPa|kg/h|m)(?![\w³²/·])")
DATUM = re.compile(r"(magnets|remanence) at 20 °C")
#: Words that tell a difference of pressures, or a load over an area; "from outside" is outside less inside.
DIFFERENCE = re.compile(
    r"margin|above (the )?vapour|difference|drop|rise|stress|strength|modulus|per bar|higher|specific load|"
    r"from outside|(bar|psi) less|is missing",
    re.IGNORECASE)
SIDE = {"run": ('.checks button[data-limit="vapour_margin_pressure"]', '.wp-section .station[data-station="8"]',
                ".wp-section #shell, .wp-section [id$='--shell'].part", ".checks tr[data-check] button.num")}


def blocks(page: Page) -> list[str]:
    """The text of the page, one line for each paragraph, row under its heading, or label."""
    return page.evaluate("""() => [...document.querySelectorAll(
        '.wp p, .wp tr, .wp th, .wp h1, .wp h2, .wp h3, .wp label, .wp li, .wp dd, .wp dt, .wp svg text, .wp summary, '
        + '.wp .strip > *, .wp .formula, .js-plotly-plot text, .wp header, .wp .note')].map(one =>
            [one.tagName === 'TR' ? one.closest('.drawer, .cell')?.querySelector('h2')?.innerText : '',
             one.innerText || one.textContent || ''].join(' ').replace(/\\s+/g, ' ').trim())""")


def bare(lines: list[str]) -> list[str]:
    """Lines with a number that looks like an absolute or gauge pressure and does not say which."""
    return [line for line in lines for found in BARE.finditer(line)
            if found["number"][0] not in "+−-" and not DIFFERENCE.search(line)]


def headings(page: Page) -> list[str]:
    words = page.locator(".wp th, .wp label, .wp .sentence, .js-plotly-plot .g-xtitle, .js-plotly-plot .g-ytitle")
    return [one for one in (text.replace("\u2009", " ") for text in words.all_text_contents())
            if re.search(r"\b(bar|psi)\b(?! [ag]\b)", one) and not DIFFERENCE.search(one)]


def test_the_scan_finds_what_it_looks_for() -> None:
    assert bare(["4.90 bar from its vessel", "p 71.2 psi"]) == ["4.90 bar from its vessel", "p 71.2 psi"]
    assert not bare(["suction 4.90 bar a", "14.2 psi g", "+0.29 bar", "margin over demand 0.40 bar"])


@pytest.mark.parametrize("view", ["run", "which", "far", "protect", "send", "failed", "how"])
@pytest.mark.parametrize(("key", "us"), [
    pytest.param("butane_reflux", False, id="butane_reflux-metric", marks=pytest.mark.thorough),
    pytest.param("butane_reflux", True, id="butane_reflux-US"),
    pytest.param("butane_as_found", False, id="butane_as_found-metric", marks=pytest.mark.thorough),
    pytest.param("butane_as_found", True, id="butane_as_found-US", marks=pytest.mark.thorough)])
def test_no_pressure_stands_without_a_or_g(page: Page, address: str, key: str, view: str, us: bool) -> None:
    page.set_default_timeout(90_000)
    page.goto(f"{address}/e/{key}/{view}")
    page.wait_for_function("() => window.socket && window.socket.connected")
    if us:
        page.locator('[data-do="units"]').click()
        expect(page.locator("header")).to_contain_text("psi a")
    page.wait_for_function("![...document.querySelectorAll('h1')].some(one => /^Rating/.test(one.innerText))")
    if view == "far":
        page.wait_for_selector(".js-plotly-plot .xtick text", state="attached")
    elif view == "protect":
        page.wait_for_selector('.fault:visible' if key == "butane_as_found" else '[data-do="instrument-list"]')
    elif view == "failed":
        expect(page.locator("h1")).not_to_contain_text("Weighing")
    elif view == "run" and key != "butane_as_found":
        page.wait_for_selector('[data-do="try:0"]')

    def found() -> list[str]:
        lines = blocks(page)
        return bare(lines) + headings(page) + [one for one in lines if us and METRIC.search(DATUM.sub("", one))]

    wrong = found()
    if view == "how":
        side = page.locator(".side")
        count = int(re.search(r"of (\d+), case", side.inner_text())[1])
        for number in range(1, count + 1):
            expect(side).to_contain_text(f"Step {number} of {count},")
            wrong += found()
            page.keyboard.press("ArrowRight")
    for place in SIDE.get(view, ()):
        page.locator(place).first.dispatch_event("click")
        expect(page.locator(".drawer h2").first).to_be_visible()
        wrong += found()
    assert not list(dict.fromkeys(wrong))
