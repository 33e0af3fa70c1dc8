"""The server: addresses, pages, and how it starts."""

from __future__ import annotations

import os
import secrets
from collections.abc import Awaitable, Callable
from html import escape
from ipaddress import ip_address

from fastapi import Request, Response
from nicegui import app, ui

from wetpath.errors import InputError, WetpathError
from wetpath.faces.api.routes import install
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.far_view import FarView
from wetpath.faces.web.frame import page_head, serve_static
from wetpath.faces.web.how_view import HowView
from wetpath.faces.web.projects_page import projects_page
from wetpath.faces.web.run_view import RunView
from wetpath.faces.web.send_view import SendView
from wetpath.faces.web.session import Session
from wetpath.faces.web.shelf import Shelf
from wetpath.faces.web.which_view import WhichView
from wetpath.services.demo import demo_enquiries
from wetpath.services.projects import User, data_folder, local_user, open_projects

HOST, PORT = "127.0.0.1", 8765
HEADERS = {"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
           "Cross-Origin-Opener-Policy": "same-origin",
           "Permissions-Policy": "camera=(), microphone=(), geolocation=()"}
VIEWS: dict[str, type[EnquiryPage]] = {"run": RunView, "which": WhichView, "far": FarView,
                                     "send": SendView, "how": HowView}


def register(shelf: Shelf) -> None:
    """Register all pages and the HTTP interface."""
    serve_static()
    install(app)
    user = local_user(shelf.store)

    @app.middleware("http")
    async def headers(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
        answer = await go_on(request)
        for name, value in HEADERS.items():
            answer.headers.setdefault(name, value)
        return answer

    @ui.page("/")
    def first() -> None:
        open_view(shelf, user, str(app.storage.user.get("last", demo_enquiries()[0])), "run")

    @ui.page("/projects")
    def all_projects() -> None:
        projects_page(shelf, user)

    @ui.page("/e/{key}/{view}")
    def enquiry(key: str, view: str, case: str = "", at: str = "") -> None:
        open_view(shelf, user, key, view, case, at)


def open_view(shelf: Shelf, user: User, key: str, view: str, case: str = "", at: str = "") -> None:
    """Open one view of one enquiry; what cannot be opened is told, with the way to the projects."""
    try:
        opened = shelf.take(user, key)
    except WetpathError as error:
        page_head("Not opened")
        ui.html(f"<div class='wp'><main class='sheet'><div class='cell'><h1>Not opened</h1><p>{escape(str(error))}</p>"
                "<p><a href='/projects'><b>Projects</b></a></p></div></main></div>", sanitize=False)
        return
    app.storage.user["last"] = key
    session = Session(shelf, user, opened, view, station=at)
    session.look_at_governing()
    names = [one.name for one in session.record.cases]
    session.case = next((number for number, name in enumerate(names) if case and name.startswith(case)), session.case)
    VIEWS.get(view, RunView)(session).build()


def serve(host: str = HOST, port: int = PORT, *, show: bool = True, database: str | None = None) -> None:
    """Start the server; returns when it is stopped.

    Parameters
    ----------
    database : str, optional
        "sqlite:///file" or "postgresql://user@host/name"; without it the file in the user's data folder.

    Raises
    ------
    InputError
        For an address that others can reach: there are no accounts yet that would keep them out.
    """
    if not _is_loopback(host):
        raise InputError("can be reached from other machines, and there are no accounts that keep others out",
                         field="--host", value=f'"{host}"', do="listen at 127.0.0.1")
    register(Shelf(open_projects(database)))
    ui.run(host=host, port=port, title="wetpath", show=show, reload=False, storage_secret=_secret(), dark=None,
           show_welcome_message=False, favicon="◎")


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _secret() -> str:
    """The key that signs cookies: made once on this machine, readable by its user only."""
    place = data_folder() / "cookie.key"
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        with open(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
            file.write(secrets.token_hex(32))
    return place.read_text(encoding="ascii")
