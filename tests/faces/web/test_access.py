"""A server that a team shares: who comes in, in which role, and what is refused."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from datetime import timedelta
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlalchemy import update
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from wetpath.faces.web.gate import LONGEST_BODY
from wetpath.services.projects import (
    DEMO_PROJECT,
    Store,
    add_token,
    add_user,
    close_account,
    history,
    issues,
    open_projects,
    set_role,
)
from wetpath.store.accounts import FAILURES_OF_NAME, IDLE_TIME, now
from wetpath.store.tables import AttemptRow, SessionRow

PASSWORD = "four words in a row"
PATH = "enquiries/butane_reflux.toml"


@dataclass(frozen=True)
class Team:
    """A server with accounts and its store."""

    address: str
    store: Store

    @contextmanager
    def opened(self, name: str = "") -> Iterator[httpx.Client]:
        """A browser without scripts, logged in under a name if one is given."""
        with httpx.Client(base_url=self.address, headers={"Origin": self.address}, timeout=60) as client:
            if name:
                assert log_in(client, name).status_code == 303
            yield client


@pytest.fixture(scope="module")
def team(tmp_path_factory: pytest.TempPathFactory,
         serving: Callable[[Path, str], AbstractContextManager[str]]) -> Iterator[Team]:
    folder = tmp_path_factory.mktemp("team")
    url = f"sqlite:///{folder / 'projects.db'}"
    store = open_projects(url)
    add_user(store, "Ada", PASSWORD, "engineer")
    add_user(store, "Cyd", PASSWORD, "approver")
    for reader in ("Rob", "Eve", "Ida"):
        add_user(store, reader, PASSWORD, "reader")
    with serving(folder, url) as address:
        yield Team(address, store)
    store.close()


def mark_in(page: str) -> str:
    found = re.search(r'name="mark" value="([^"]+)"', page)
    assert found, page[:500]
    return found[1]


def log_in(client: httpx.Client, name: str, password: str = PASSWORD, to: str = "/") -> httpx.Response:
    form = client.get("/login", params={"to": to})
    return client.post("/login", data={"name": name, "password": password, "to": to, "mark": mark_in(form.text)})


def test_without_a_login_there_is_nothing_but_the_login_page(team: Team) -> None:
    with team.opened() as client:
        assert client.get("/").headers["location"] == "/login"
        assert client.get("/e/naphtha/run?case=A").headers["location"] == "/login?to=/e/naphtha/run%3Fcase%3DA"
        for path in ("/api/v1/version", "/api/v1/projects", "/api/v1/liquids?name=water", "/_nicegui/x.js"):
            assert client.get(path).status_code == 401, path
        assert client.post("/api/v1/rate", json={}).status_code == 401
        told = client.get("/api/v1/projects")
        assert (told.headers["www-authenticate"], told.json()["title"]) == ("Bearer",
                                                                            "Log in, or send a token that is valid.")
        assert client.get("/static/wetpath.css").status_code == 200


def test_the_cookie_of_a_session_is_kept_from_scripts_and_new_at_every_login(team: Team) -> None:
    """OWASP Session Management Cheat Sheet: HttpOnly, SameSite, a new identifier at the login (recalled)."""
    with team.opened() as client:
        client.cookies.set("wetpath-login", "chosen-by-somebody-else", domain="127.0.0.1")
        answer = log_in(client, "Rob", to="/projects")
        assert answer.headers["location"] == "/projects"
        (cookie,) = [one for one in answer.headers.get_list("set-cookie") if one.startswith("wetpath-login=")]
        assert {"httponly", "samesite=lax", "path=/"} <= {part.strip().lower() for part in cookie.split(";")}
        assert "chosen-by-somebody-else" not in cookie
        first = client.cookies.get("wetpath-login", domain="127.0.0.1")
        assert client.get("/api/v1/projects").status_code == 200
        client.post("/login", data={"name": "Rob", "password": PASSWORD, "mark": "x"})
    with team.opened("Rob") as again:
        assert again.cookies["wetpath-login"] != first


@pytest.mark.parametrize("elsewhere", ["https://other.example", "//other.example/x", "/\\other.example",
                                       "javascript:1"])
def test_a_login_leads_nowhere_else(team: Team, elsewhere: str) -> None:
    with team.opened() as client:
        assert log_in(client, "Rob", to=elsewhere).headers["location"] == "/"


def test_a_form_of_somebody_else_does_not_log_in_or_out(team: Team) -> None:
    with team.opened() as client:
        client.get("/login")
        assert client.post("/login", data={"name": "Rob", "password": PASSWORD, "mark": "guess"}).status_code == 403
    with team.opened("Rob") as client:
        assert client.post("/logout", data={"mark": "guess"}).status_code == 403
        assert client.get("/api/v1/projects").status_code == 200


def test_requests_made_by_pages_of_others_are_refused(team: Team) -> None:
    with team.opened("Ada") as client:
        for origin in ("https://other.example", "null", team.address.replace("127.0.0.1", "localhost")):
            for way, path in (("POST", "/api/v1/projects"), ("PUT", "/api/v1/projects/1/document"),
                              ("POST", "/logout"), ("POST", "/login")):
                answer = client.request(way, path, json={"name": "taken"}, headers={"Origin": origin})
                assert answer.status_code == 403, (way, path, origin)
        del client.headers["Origin"]
        assert client.post("/api/v1/projects", json={"name": "taken"}).status_code == 403
        assert "taken" not in client.get("/api/v1/projects").text


def test_a_name_that_is_not_the_servers_own_is_refused(team: Team) -> None:
    with team.opened("Ada") as client:
        assert client.get("/api/v1/projects", headers={"Host": "rebound.example"}).status_code == 400


def test_failed_logins_are_slowed_down_in_plain_words(team: Team) -> None:
    with team.opened() as client:
        for _ in range(FAILURES_OF_NAME):
            failed = log_in(client, "Eve", "wrong")
            assert failed.status_code == 401
            assert "Name and password do not belong together" in failed.text
        told = log_in(client, "Eve")
        assert (told.status_code, int(told.headers["retry-after"]) > 0) == (429, True)
        assert re.search(r"Too many logins failed\. Try again in \d+ min\.", told.text)
        with team.store.writing() as session:
            session.execute(update(AttemptRow).values(at=now() - timedelta(hours=1)))
        assert log_in(client, "Eve").status_code == 303


def test_a_session_without_use_ends(team: Team) -> None:
    with team.opened("Eve") as client:
        assert client.get("/api/v1/projects").status_code == 200
        with team.store.writing() as session:
            session.execute(update(SessionRow).values(seen=now() - IDLE_TIME))
        assert client.get("/api/v1/projects").status_code == 401


def test_logging_out_ends_the_session(team: Team) -> None:
    with team.opened("Ada") as client:
        token = client.cookies["wetpath-login"]
        left = client.post("/logout", data={"mark": mark_in(client.get("/projects").text.replace('\\"', '"'))})
        assert left.headers["location"] == "/login"
        client.cookies.set("wetpath-login", token, domain="127.0.0.1")
        assert client.get("/api/v1/projects").status_code == 401


def test_headers_tell_a_browser_what_not_to_allow(team: Team) -> None:
    with team.opened("Rob") as client:
        for path in ("/projects", "/login", "/api/v1/version", "/static/wetpath.css", "/nothing"):
            headers = client.get(path).headers
            assert headers["x-content-type-options"] == "nosniff", path
            assert "frame-ancestors 'none'" in headers["content-security-policy"], path
            assert headers["referrer-policy"] == "same-origin", path
            assert "strict-transport-security" not in headers, path
        assert client.get("/projects").headers["cache-control"] == "no-store"
    with team.opened() as client:
        assert "unsafe" not in client.get("/login").headers["content-security-policy"]


def test_tokens_ask_in_the_name_of_an_account_and_its_role(team: Team) -> None:
    reader, engineer = (httpx.Client(base_url=team.address, headers={
        "Authorization": f"Bearer {add_token(team.store, name, 'test', 1)}"}) for name in ("Rob", "Ada"))
    with reader, engineer:
        number = next(one["number"] for one in reader.get("/api/v1/projects").json() if one["name"] == DEMO_PROJECT)
        place = f"/api/v1/projects/{number}/document"
        seen = reader.get(place, params={"path": PATH}).json()
        saved = {"content": seen["content"] + "# by a program\n", "based_on": seen["number"], "reason": "program"}
        refused = reader.put(place, params={"path": PATH}, json=saved)
        assert (refused.status_code, refused.json()["title"]) == (
            403, f'"Rob" may not save {PATH}: the role is reader, needed is engineer\n  do:  ask somebody who has that '
                 'role')
        assert reader.post("/api/v1/check", json={"text": seen["content"]}).status_code == 200
        done = engineer.put(place, params={"path": PATH}, json=saved)
        assert (done.status_code, done.json()["revision"]["author"]) == (200, "Ada")
    bad = httpx.get(f"{team.address}/api/v1/projects", headers={"Authorization": "Bearer wp_guess"})
    assert bad.status_code == 401


def test_a_closed_account_is_out_at_once(team: Team) -> None:
    token = add_token(team.store, "Ida", "test", 1)
    with team.opened("Ida") as client:
        close_account(team.store, "Ida")
        assert client.get("/api/v1/projects").status_code == 401
    assert httpx.get(f"{team.address}/api/v1/projects",
                     headers={"Authorization": f"Bearer {token}"}).status_code == 401


def page_number(page: str) -> str:
    """The number under which a page of the library is known to its socket."""
    found = re.search(r"client_id\W+([0-9a-f-]{36})", page)
    assert found
    return found[1]


def on_socket(team: Team, number: str, headers: dict[str, str], *sent: str) -> list[str]:
    """What a socket that asks for a page is sent: packets of Engine.IO 4 and Socket.IO 5; none when it is refused."""
    asked = {"EIO": "4", "transport": "websocket"} | ({"client_id": number} if number else {})
    query = urlencode(asked | {"document_id": "d", "tab_id": "t", "next_message_id": "0", "implicit_handshake":
                               str(bool(number)).lower()})
    heard: list[str] = []
    try:
        with connect(f"ws{team.address.removeprefix('http')}/_nicegui_ws/socket.io/?{query}",
                     additional_headers=headers) as socket:
            heard.append(str(socket.recv(5)))
            for one in ("40", *sent):
                socket.send(one)
                heard.append(str(socket.recv(5)))
    except InvalidStatus:
        return []
    return heard


def test_a_socket_gets_a_page_only_of_its_own_login(team: Team) -> None:
    with team.opened("Ada") as ada, team.opened("Rob") as rob:
        number = page_number(ada.get("/projects").text)
        own = {"Origin": team.address}
        mine, others = ({"Cookie": f"wetpath-login={client.cookies['wetpath-login']}"} for client in (ada, rob))
        assert on_socket(team, number, own) == []
        assert on_socket(team, "", own) == []
        assert on_socket(team, number, own | others) == []
        assert on_socket(team, number, {"Origin": "https://other.example"} | mine) == []
        assert on_socket(team, number, mine) == [], "a socket that does not tell from which page it comes"
        ask = '420["handshake",' + json.dumps({"client_id": number, "tab_id": "t", "document_id": "d",
                                               "next_message_id": 0}) + "]"
        assert on_socket(team, "", own | others, ask)[-1] == "430[false]"
        assert on_socket(team, "", own | mine, ask)[-1] == "430[true]"
        number = page_number(ada.get("/projects").text)
        assert on_socket(team, number, own | mine)[1].startswith("40{")
        polled = f"/_nicegui_ws/socket.io/?EIO=4&transport=polling&client_id={number}"
        assert rob.get(polled).status_code == 403
        assert ada.get(polled).text.startswith("0{")
        assert httpx.get(f"{team.address}{polled}").status_code == 401


def test_a_socket_takes_nothing_any_more_when_its_login_has_ended(team: Team) -> None:
    with team.opened("Ada") as ada:
        headers = {"Origin": team.address, "Cookie": f"wetpath-login={ada.cookies['wetpath-login']}"}
        url = f"ws{team.address.removeprefix('http')}/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
        with connect(url, additional_headers=headers) as socket:
            socket.recv(5)
            socket.send("40")
            assert str(socket.recv(5)).startswith("40{")
            ada.post("/logout", data={"mark": mark_in(ada.get("/projects").text.replace('\\"', '"'))})
            socket.send('42["ack",{}]')
            assert socket.recv(5) == '42["open",{"path":"/login","new_tab":false}]'
            with pytest.raises(ConnectionClosed):
                socket.recv(5)


def answer_to_head(asked: httpx.Request) -> int:
    """What a server answers before anything of the body has come."""
    with closing(HTTPConnection(asked.url.host, asked.url.port or 80, timeout=30)) as connection:
        connection.putrequest("POST", asked.url.raw_path.decode(), skip_host=True, skip_accept_encoding=True)
        for name, value in asked.headers.items():
            connection.putheader(name, value)
        connection.endheaders()
        return connection.getresponse().status


def test_what_is_sent_to_a_page_has_a_length_and_a_limit(team: Team) -> None:
    with team.opened("Ada") as ada:
        number = page_number(ada.get("/projects").text)
        for place in (f"/_nicegui/client/{number}/upload/1", "/_nicegui_ws/socket.io/?EIO=4&transport=polling"):
            asked = ada.build_request("POST", place, headers={"Content-Length": str(LONGEST_BODY + 1)})
            assert answer_to_head(asked) == 413, place
            assert ada.post(place, content=iter([b"x"])).status_code == 411, place


def entered(browser: Browser, team: Team, name: str, view: str = "run") -> tuple[BrowserContext, Page]:
    context = browser.new_context(viewport={"width": 1600, "height": 1000})
    page = context.new_page()
    page.set_default_timeout(30000)
    page.goto(f"{team.address}/e/butane_reflux/{view}")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.keyboard.press("Enter")
    ready(page)
    return context, page


def ready(page: Page) -> None:
    expect(page.locator(".sentence input").first).to_be_visible(timeout=90000)
    page.wait_for_function("() => window.socket && window.socket.connected")


@pytest.mark.thorough
def test_a_reader_takes_no_candidate_and_adds_no_case(browser: Browser, team: Team, screen: Callable) -> None:
    why = "Your role is reader. An engineer can change and save values."
    context, reader = entered(browser, team, "Rob")
    reader.goto(f"{team.address}/e/butane_reflux/which")
    take = reader.get_by_role("button", name="take candidate 1", exact=True)
    expect(take).to_have_attribute("aria-disabled", "true", timeout=120_000)
    assert take.get_attribute("title") == why
    take.click(force=True)
    expect(reader.locator(".drawer")).to_contain_text(why)
    reader.goto(f"{team.address}/e/butane_reflux/far")
    expect(reader.locator(".js-plotly-plot path.js-line").first).to_be_attached(timeout=120_000)
    reader.locator("#point").fill("20 m3/h, 50 degC")
    reader.locator("#point").press("Enter")
    expect(reader.get_by_role("button", name="Add as operating case")).to_have_attribute("title", why)
    screen(reader, "access-reader-far")
    context.close()


def test_an_engineer_edits_a_reader_reads_an_approver_issues(browser: Browser, team: Team, screen: Callable,
                                                             pages_of: Callable) -> None:
    context, page = entered(browser, team, "Ada")
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text) if message.type == "error" else None)
    flow = page.get_by_role("textbox", name="flow", exact=True)
    before = flow.input_value()
    flow.fill("46")
    flow.press("Enter")
    expect(flow).to_have_value(re.compile("^46"))
    expect(page.get_by_role("button", name="Save")).to_be_visible()

    other, reader = entered(browser, team, "Rob")
    theirs = reader.get_by_role("textbox", name="flow", exact=True)
    assert theirs.input_value() == before, "two users share a desk"
    assert not theirs.is_editable()
    assert theirs.get_attribute("title") == "Your role is reader. An engineer can change and save values."
    expect(reader.locator(".note")).to_have_text("Your role is reader. An engineer can change and save values.")
    reader.evaluate("""() => { const field = document.querySelector('.sentence input[aria-label="flow"]');
        field.readOnly = false; field.value = '99'; field.dispatchEvent(new Event('change', {bubbles: true})) }""")
    expect(reader.locator(".drawer")).to_contain_text("An engineer can change and save values")
    screen(reader, "access-reader")
    why = "Your role is reader. An engineer can change and save values."
    reader.keyboard.press("Escape")
    reader.locator('.checks button[data-limit="vapour_margin_pressure"]').click()
    limit = reader.locator("#limit-vapour_margin_pressure")
    expect(limit).to_have_attribute("title", why)
    assert not limit.is_editable()
    reader.goto(f"{team.address}/e/butane_reflux/send")
    expect(reader.locator(".side")).to_contain_text("Your role is reader. An approver can issue this rating.")

    page.keyboard.press("Escape")
    page.locator("h2").first.click()
    page.keyboard.press("s")
    page.locator("#reason").fill("duty changed")
    page.keyboard.press("Enter")
    expect(page.locator(".drawer h2")).to_have_text("Saved")
    newest = history(team.store, DEMO_PROJECT, PATH)[0]
    assert (newest.author, newest.reason) == ("Ada", "duty changed")
    screen(page, "access-engineer")

    third, approver = entered(browser, team, "Cyd", "send")
    assert approver.get_by_role("textbox", name="flow", exact=True).input_value().startswith("46")
    approver.get_by_role("button", name="Issue", exact=True).click()
    approver.locator("#issue-reason").fill("for approval")
    approver.keyboard.press("Enter")
    expect(approver.locator(".drawer h2")).to_have_text("Issued", timeout=60000)
    screen(approver, "access-issued")
    (issue,) = issues(team.store, DEMO_PROJECT, PATH)
    assert (issue.letter, issue.author, issue.reason) == ("A", "Cyd", "for approval")
    assert issue.rating.made_from["enquiry"].number == newest.number
    approver.keyboard.press("Escape")
    expect(approver.locator(".drawer")).to_be_hidden()
    with approver.expect_download() as download:
        approver.get_by_role("button", name="butane_reflux-A.pdf of issue A").click()
    sent = Path(download.value.path()).read_bytes()
    assert sent == next(one.content for one in issue.files if one.name.endswith(".pdf"))
    words = "".join(pages_of(sent))
    assert "Cyd" in words
    assert "draft" not in words.lower()
    assert json.loads(issue.rating.record)["wetpath"].startswith("rating/")

    set_role(team.store, "Cyd", "reader")
    approver.keyboard.press("Escape")
    approver.locator("h2").first.click()
    approver.evaluate("() => window.emitEvent('wp', {what: 'do', value: 'issue:ask'})")
    expect(approver.locator(".drawer")).to_contain_text("Your role is reader")
    set_role(team.store, "Cyd", "approver")

    second = context.new_page()
    second.goto(f"{team.address}/e/butane_reflux/run")
    ready(second)
    page.keyboard.press("Escape")
    expect(page.locator(".drawer")).to_be_hidden()
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", name="Log in")).to_be_visible()
    screen(page, "access-login")
    second.evaluate("() => window.emitEvent('wp', {what: 'key', value: 'c'})")
    expect(second.get_by_role("heading", name="Log in")).to_be_visible()
    assert not [one for one in told if "Content Security" in one or "Content-Security" in one]
    for one in (context, other, third):
        one.close()
