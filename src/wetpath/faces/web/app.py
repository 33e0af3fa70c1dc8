"""The server: addresses, pages, and how it starts."""

from __future__ import annotations

import os
import secrets
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from nicegui import app, core, run, ui

from wetpath.errors import WetpathError
from wetpath.faces.api.account import not_let_in
from wetpath.faces.api.limits import PREFIX
from wetpath.faces.api.routes import install
from wetpath.faces.web.door import HOST, PORT, Door, Place, cookies_of
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.failed_view import FailedView
from wetpath.faces.web.far_view import FarView
from wetpath.faces.web.frame import page_head, serve_static
from wetpath.faces.web.front import at_the_front
from wetpath.faces.web.gate import Gate, Interface, tie_sockets
from wetpath.faces.web.how_view import HowView
from wetpath.faces.web.login_page import account_html, install_login
from wetpath.faces.web.projects_page import projects_page
from wetpath.faces.web.protect_view import ProtectView
from wetpath.faces.web.ready import make_ready
from wetpath.faces.web.run_view import RunView
from wetpath.faces.web.running_view import RunningPage
from wetpath.faces.web.send_view import SendView
from wetpath.faces.web.session import Session
from wetpath.faces.web.shelf import Shelf
from wetpath.faces.web.which_view import WhichView
from wetpath.services.demo import demo_enquiries
from wetpath.services.fleet import demo_fleet, load_fleet
from wetpath.services.fleet_replay import Fleet
from wetpath.services.projects import User, data_folder, open_projects

#: Longest time until an enquiry is open [s]: the first use of a liquid makes its table.
OPENING_S = 60.0
VIEWS: dict[str, type[EnquiryPage]] = {"run": RunView, "which": WhichView, "far": FarView,
                                     "protect": ProtectView, "send": SendView, "failed": FailedView, "how": HowView}


def register(shelf: Shelf, door: Door, fleets: Sequence[Fleet] = ()) -> None:
    """Register all pages and the HTTP interface."""
    serve_static()
    install(app, shelf.store)
    app.state.visitor = door.user_of
    app.add_middleware(Gate, door=door, interface=Interface(PREFIX, not_let_in))
    if door.login:
        install_login(app, door)
        tie_sockets(core.sio)

    def visitor() -> Visitor:
        scope = ui.context.client.request.scope
        user = door.user_of(scope)
        return Visitor(user, lambda: door.user_of(scope),
                       account_html(user, cookies_of(scope).get(door.cookie, "")) if door.login else "")

    @ui.page("/", response_timeout=OPENING_S)
    async def first() -> None:
        found = visitor()
        await open_view(shelf, found, str(app.storage.user.get(found.last, demo_enquiries()[0])), "run")

    @ui.page("/projects")
    def all_projects() -> None:
        found = visitor()
        projects_page(shelf, found.now, found.account)

    @ui.page("/site/running", response_timeout=OPENING_S)
    async def running(fleet: str = "", pump: str = "", show: str = "") -> None:
        found = visitor()
        key = str(app.storage.user.get(found.last, demo_enquiries()[0]))
        await RunningPage(shelf, found.now, fleets or (load_fleet(demo_fleet()),), key, found.account).build(
            fleet, pump, show)

    @ui.page("/e/{key}/{view}", response_timeout=OPENING_S)
    async def enquiry(key: str, view: str, case: str = "", at: str = "", upset: str = "", above: str = "") -> None:
        await open_view(shelf, visitor(), key, view, case, at, upset, above)


@dataclass(frozen=True)
class Visitor:
    """Who opened a page, who that is at this moment, and what the bar at the top tells of the account."""

    user: User
    now: Callable[[], User]
    account: str

    @property
    def last(self) -> str:
        """Under which name the browser remembers the enquiry looked at last."""
        return f"last {self.user.id}"


async def open_view(shelf: Shelf, visitor: Visitor, key: str, view: str, case: str = "", at: str = "",
                    upset: str = "", above: str = "") -> None:
    """Open one view of one enquiry; what cannot be opened is told, with the way to the projects."""
    try:
        with at_the_front():
            opened = await run.io_bound(shelf.take, visitor.user, key)
    except WetpathError as error:
        page_head("Not opened")
        ui.html(f"<div class='wp'><main class='sheet'><div class='cell'><h1>Not opened</h1><p>{escape(str(error))}</p>"
                "<p><a href='/projects'><b>Projects</b></a></p></div></main></div>", sanitize=False)
        return
    if opened is None:      # the server is going down
        return
    app.storage.user[visitor.last] = key
    session = Session(shelf, visitor.now, opened, view, visitor.account, station=at, upset=upset, above=above)
    session.look_at_governing()
    names = [one.name for one in session.record.cases]
    session.case = next((number for number, name in enumerate(names) if case and name.startswith(case)), session.case)
    VIEWS.get(view, RunView)(session).build()


def serve(host: str = HOST, port: int = PORT, *, address: str = "", proxy: str = "127.0.0.1",
          certificate: Path | None = None, key: Path | None = None, show: bool = True,
          database: str | None = None, fleets: Sequence[Path] = ()) -> None:
    """Start the server; returns when it is stopped.

    Parameters
    ----------
    address : str
        Where users find it when a proxy stands before it, as "https://pumps.example.org".
    proxy : str
        The address from which that proxy asks.
    certificate, key : path, optional
        For TLS without a proxy.
    database : str, optional
        "sqlite:///file" or "postgresql://user@host/name"; without it the file in the user's data folder.

    fleets : sequence of path
        Fleet files whose pumps are shown; the invented one of the demo without any.

    Raises
    ------
    InputError
        For an address that others can reach while there is no account.
    """
    place = Place(host, port, address, proxy, certificate, key)
    read = [load_fleet(one) for one in fleets]
    store = open_projects(database)
    door = Door(store, place)
    if not place.only_here and not place.secure:
        print("Passwords and data cross the network unencrypted. Give --certificate and --key, or the --address "
              "https://... of a proxy with TLS.", file=sys.stderr)
    register(Shelf(store), door, read)
    app.on_startup(make_ready)
    ui.run(host=host, port=port, title="wetpath", show=show, reload=False, storage_secret=_secret(), dark=None,
           show_welcome_message=False, favicon="◎", forwarded_allow_ips=proxy, server_header=False,
           session_middleware_kwargs={"https_only": place.secure}, ssl_certfile=certificate, ssl_keyfile=key)


def _secret() -> str:
    """The key that signs cookies: made once on this machine, readable by its user only."""
    place = data_folder() / "cookie.key"
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        with open(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
            file.write(secrets.token_hex(32))
    return place.read_text(encoding="ascii")
