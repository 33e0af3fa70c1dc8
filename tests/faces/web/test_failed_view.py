"""*Why did it fail?* in a browser: findings told, weighed, kept when the page closes, handed out as files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from wetpath.edge.files import load_document, loads_document
from wetpath.investigation.evidence import EvidenceFile
from wetpath.services.demo import demo_folder

HOT_WATER = "/e/hot_water/failed"
#: The demo's evidence of the hot water pump, without its own finding.
SEEN = ("power_fell_at_once", "no_flow_motor_running", "shell_rose_in_seconds")

EVIDENCE = demo_folder() / "evidence" / "butane_bearings.toml"
#: No two names of pins share a place.
NO_NAME_HIDDEN = """pins => pins.map(one => one.querySelector('.bold').getBBox()).every((a, at, all) =>
    all.slice(at + 1).every(b => Math.min(a.x + a.width, b.x + b.width) <= Math.max(a.x, b.x)
                                 || Math.min(a.y + a.height, b.y + b.height) - 2 <= Math.max(a.y, b.y)))"""


def opened(page: Page, address: str, path: str = HOT_WATER) -> Page:
    page.set_default_timeout(60_000)
    expect.set_options(60_000)
    page.goto(address + path)
    page.wait_for_function("() => window.socket && window.socket.connected")
    expect(page.get_by_role("table", name="Mechanisms, the most probable first")).to_be_visible()
    return page


def tell(page: Page, name: str, state: str) -> None:
    field = page.locator(f"#found-{name}")
    if not field.is_visible():
        field.locator("xpath=ancestor::details").locator("summary").click()
    field.select_option(state)


def typed(page: Page, field: str, words: str) -> None:
    page.fill(field, words)
    page.press(field, "Tab")


def share_of(page: Page, title: str) -> str:
    return page.locator("tr", has_text=title).first.locator("td").nth(1).inner_text()


def test_nothing_told_says_nothing(page: Page, address: str) -> None:
    opened(page, address)
    expect(page.locator("h1")).to_contain_text("Nothing is told yet")
    expect(page.locator(".next")).to_contain_text("What would decide between the first two")
    assert page.locator(".finding select").count() == 45
    assert page.locator(".findings select:visible").count() == 0


def test_findings_are_weighed_kept_and_handed_out(page: Page, address: str, screen: Callable) -> None:
    opened(page, address)
    for name in SEEN:
        tell(page, name, "seen")
    tell(page, "recent_overhaul", "not there")
    typed(page, "#power_before", "11.4 kW")
    expect(page.locator(".findings .fault")).to_contain_text("power when it began")
    typed(page, "#power_after", "0.9")
    expect(page.locator(".findings .fault")).not_to_be_visible()
    expect(page.locator("h1")).to_contain_text("dry running")
    matrix = page.get_by_role("table", name="What each item of evidence says")
    expect(matrix.locator("tr", has_text="overhaul")).to_contain_text("not there")
    expect(matrix.locator("tr", has_text="shell temperature rose")).to_contain_text("explains")
    expect(page.locator(".failed")).to_contain_text("fits")
    expect(page.locator("#power_before")).to_have_value("11.4 kW")
    expect(page.locator("#power_after")).to_have_value("0.9 kW")
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        screen(page, f"failed-{width}")
    before = page.locator("h1").inner_text()

    with page.expect_download() as taken:
        page.locator('[data-do="failed:toml"]').click()
    told = loads_document(Path(taken.value.path()).read_text(encoding="utf-8"), EvidenceFile)
    assert {one.id: one.state for one in told.findings} == dict.fromkeys(SEEN, "seen") | {
        "recent_overhaul": "not there"}
    assert told.recorded.power_after is not None
    with page.expect_download() as taken:
        page.locator('[data-do="failed:pdf"]').click()
    assert Path(taken.value.path()).read_bytes().startswith(b"%PDF")

    page.goto("about:blank")
    opened(page, address)
    expect(page.locator("h1")).to_have_text(before)
    expect(page.locator(f"#found-{SEEN[0]}")).to_have_value("seen")
    expect(page.locator("#power_after")).to_have_value("0.9 kW")


def test_a_weight_moves_the_shares_and_a_wrong_one_is_told(page: Page, address: str) -> None:
    opened(page, address)
    tell(page, "shell_rose_in_seconds", "seen")
    expect(page.locator("h1")).not_to_contain_text("Nothing is told yet")
    full = share_of(page, "dry running")
    typed(page, "#weight-shell_rose_in_seconds", "2")
    expect(page.locator(".findings .fault")).to_contain_text("allowed: 0 to 1")
    assert share_of(page, "dry running") == full
    typed(page, "#weight-shell_rose_in_seconds", "0.1")
    expect(page.locator(".findings .fault")).not_to_be_visible()
    expect(page.locator("#weight-shell_rose_in_seconds")).to_have_value("0.1")
    expect(page.locator("tr", has_text="dry running").first.locator("td").nth(1)).not_to_have_text(full)
    tell(page, "shell_rose_in_seconds", "lost")
    expect(page.locator("#weight-shell_rose_in_seconds")).not_to_be_visible()
    expect(page.locator("h1")).to_contain_text("Nothing is told yet")


def test_key_7_opens_it(page: Page, address: str) -> None:
    opened(page, address, HOT_WATER)
    page.keyboard.press("1")
    page.wait_for_url("**/run**")
    expect(page.locator(".verdict h1")).to_be_visible()
    page.keyboard.press("7")
    page.wait_for_url("**/failed**")
    expect(page.locator("nav a[aria-current=page]")).to_have_text("Why did it fail?")


def test_an_evidence_file_is_read_and_its_findings_are_pinned(page: Page, address: str) -> None:
    """The demo's evidence of the reflux pump: the answer of the command line, and nothing of the file is lost."""
    opened(page, address, "/e/butane_reflux/failed?case=A")
    page.set_input_files("#evidence-file", EVIDENCE)
    expect(page.locator("h1")).to_contain_text("Points to circulation plugged")
    expect(page.locator(".sentence")).to_contain_text("Case B hot day")            # the case the file names
    expect(page.locator("#note-shell_crept")).to_have_value("about 9 K in three weeks at the same flow")
    assert page.locator(".pin.seen").count() == 2
    pin = page.get_by_role("button", name="bearings: 3 seen")
    pin.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#part-bearings summary")).to_be_focused()
    assert page.locator(".wp-section .pin").evaluate_all(NO_NAME_HIDDEN)
    typed(page, "#note-rear_bearing_first", "by 0.4 mm")
    expect(page.get_by_role("table", name="What each item of evidence says")).to_contain_text("by 0.4 mm")
    with page.expect_download() as taken:
        page.locator('[data-do="failed:toml"]').click()
    told = loads_document(Path(taken.value.path()).read_text(encoding="utf-8"), EvidenceFile)
    given = load_document(EVIDENCE, EvidenceFile)
    assert told.note == given.note
    assert told.recorded == given.recorded
    looked = {one.id: (one.state, one.note) for one in given.findings if one.state != "not looked at"}
    assert {one.id: (one.state, one.note) for one in told.findings} == looked | {
        "rear_bearing_first": ("seen", "by 0.4 mm")}


def test_a_file_that_is_none_is_told_and_takes_nothing_away(page: Page, address: str, tmp_path: Path) -> None:
    opened(page, address, "/e/cold_water/failed")
    tell(page, "shell_rose_in_seconds", "seen")
    expect(page.locator("h1")).not_to_contain_text("Nothing is told yet")
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(EVIDENCE.read_text(encoding="utf-8").replace("shell_crept", "shell_krept"), encoding="utf-8")
    page.set_input_files("#evidence-file", wrong)
    expect(page.locator(".findings .fault")).to_contain_text("shell_crept")        # the nearest name
    expect(page.locator("#found-shell_rose_in_seconds")).to_have_value("seen")


def test_a_finding_of_ones_own_counts_and_is_taken_away(page: Page, address: str) -> None:
    opened(page, address, "/e/ammonia/failed")
    page.locator("#part-own summary").click()
    page.locator('[data-do="failed:add"]').click()
    expect(page.locator(".findings .fault")).to_contain_text("say it in a few words")
    typed(page, "#own-title", "white scale in the feed holes")
    page.locator("#own-part").select_option("deposits")
    page.locator("#own-mechanism-0").select_option("circulation plugged")
    page.locator("#own-likely-0").select_option("virtually certain")
    page.locator('[data-do="failed:add"]').click()
    expect(page.locator("#found-own_1")).to_have_value("seen")
    expect(page.get_by_role("table", name="What each item of evidence says")).to_contain_text("white scale")
    expect(page.get_by_role("button", name="deposits: 1 seen")).to_be_visible()
    page.reload()
    expect(page.locator("#found-own_1")).to_have_value("seen")
    page.get_by_role("button", name="take away: white scale").click()
    expect(page.locator("h1")).to_contain_text("Nothing is told yet")
    expect(page.locator("#found-own_1")).to_have_count(0)
