"""Names in the trace, measured in the browser over every case of every demo: none hides another or a station."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from wetpath.drawing.figures import Figures
from wetpath.drawing.trace import trace_drawing
from wetpath.services.demo import demo_enquiries, demo_folder
from wetpath.services.rating import load_service
from wetpath.services.recording import record_of

#: Boxes of text hold the room above and below letters: so much of it may be shared in height [drawing units].
ROOM = 2
HIDDEN = """room => [...document.querySelectorAll('svg.wp-trace')].map(svg => {
    const box = one => ({words: one.textContent, ...Object.fromEntries(
        ['x', 'y', 'width', 'height'].map(name => [name, one.getBBox()[name]]))});
    const texts = [...svg.querySelectorAll('text')].map(box), dots = [...svg.querySelectorAll('.dot')].map(box);
    const over = (a, b) => Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x) > 0.5
        && Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y) > room;
    const wide = svg.viewBox.baseVal.width;
    return [...texts.flatMap((a, at) => [...texts.slice(at + 1), ...dots].filter(b => over(a, b))
                .map(b => `${a.words} on ${b.words || 'a dot'}`)),
            ...texts.filter(a => a.x < 0 || a.x + a.width > wide).map(a => `${a.words} leaves the sheet`)];
})"""


@pytest.fixture(scope="module")
def traces() -> dict[str, str]:
    """The trace of every case of every demo in both sets of units."""
    records = [(key, record_of(load_service(demo_folder() / "enquiries" / f"{key}.toml").rate()))
               for key in demo_enquiries()]
    return {f"{key}, {case.name}{', US' * us}": trace_drawing(record, case, Figures.of(us))
            for key, record in records for case in record.cases for us in (False, True)}


def shown(page: Page, address: str, drawings: list[str]) -> list[list[str]]:
    page.goto(f"{address}/projects")
    page.evaluate("drawings => { document.body.innerHTML = `<div class='wp'>${drawings}</div>`; }", "".join(drawings))
    page.evaluate("""Promise.all(['400', '600'].map(weight =>
        document.fonts.load(`${weight} 12px "IBM Plex Sans Condensed"`))).then(() => true)""")
    return page.evaluate(HIDDEN, ROOM)


def test_the_measure_finds_what_it_looks_for(page: Page, address: str) -> None:
    told = "<text x='{}' y='20'>{}</text>"
    svg = "<svg class='wp-trace' viewBox='0 0 100 40'>" + told.format(10, "one") + told.format(14, "two") + told.format(
        95, "three") + "</svg>"
    assert shown(page, address, [svg]) == [["one on two", "three leaves the sheet"]]


def test_no_name_of_a_trace_hides_another(page: Page, address: str, traces: dict[str, str]) -> None:
    found = dict(zip(traces, shown(page, address, list(traces.values())), strict=True))
    assert not {name: hidden for name, hidden in found.items() if hidden}
