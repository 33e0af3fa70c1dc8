"""While a rating goes on the old numbers stay, in soft ink, and the title strip says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

FLOW_B = '[data-path="enquiry:cases[2].flow"]'
#: Tells of a rating from its first moment on: usually too short a time shows nothing, and fast machines never would.
#: A rating takes as long as a file of the test is there, so that what is shown meanwhile can be looked at.
AT_ONCE = """
import pathlib, time
import wetpath.faces.web.enquiry_page as page
from wetpath.services.desk import Desk
page.SHOWN_AFTER_S, take = 0.0, Desk.take
def held(desk, papers):
    while pathlib.Path("hold").exists():
        time.sleep(0.05)
    return take(desk, papers)
Desk.take = held
"""


@pytest.fixture
def telling_at_once(tmp_path: Path, serving: Callable[..., AbstractContextManager[str]]) -> Iterator[str]:
    with serving(tmp_path, f"sqlite:///{tmp_path / 'projects.db'}", AT_ONCE) as found:
        yield found


def test_numbers_being_renewed_stay_in_soft_ink(page: Page, telling_at_once: str, tmp_path: Path,
                                                in_all_looks: Callable[[Page, str], None]) -> None:
    page.set_default_timeout(60_000)
    page.goto(f"{telling_at_once}/e/butane_reflux/run")
    page.wait_for_function("() => window.socket && window.socket.connected")
    before = page.locator(".verdict h1").inner_text()
    page.evaluate("""() => {
        window.seen = [];
        const sheet = document.querySelector('.sheet');
        const look = () => sheet.classList.contains('stale') && window.seen.push([
            document.querySelector('.strip').innerText, document.querySelector('.verdict h1').innerText,
            getComputedStyle(document.querySelector('.side td')).color,
            getComputedStyle(sheet).getPropertyValue('--soft')]);
        new MutationObserver(look).observe(sheet, {attributes: true, subtree: true, childList: true});
    }""")
    hold = tmp_path / "hold"
    hold.touch()
    page.fill(FLOW_B, "44")
    page.press(FLOW_B, "Enter")
    expect(page.locator(".sheet.stale .strip")).to_contain_text("rating ...")
    in_all_looks(page, "state-stale")
    hold.unlink()
    expect(page.locator("tr.on td").nth(1)).to_have_text("44", timeout=60_000)
    expect(page.locator(".sheet.stale")).to_have_count(0)
    seen = page.evaluate("() => window.seen")
    assert any("rating ..." in strip for strip, *_ in seen)
    assert {headline for _, headline, *_ in seen} == {before}
    for _, _, ink, soft in seen:
        wanted = soft.strip().lstrip("#")
        assert ink == "rgb({}, {}, {})".format(*(int(wanted[at:at + 2], 16) for at in (0, 2, 4)))
