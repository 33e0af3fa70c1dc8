"""The server: addresses, pages, and how it starts."""

from __future__ import annotations

import os
import secrets
from collections.abc import Awaitable, Callable
from ipaddress import ip_address
from pathlib import Path

import platformdirs
from fastapi import Request, Response
from nicegui import app, ui

from wetpath.errors import InputError
from wetpath.faces.api.routes import install
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.far_view import FarView
from wetpath.faces.web.frame import serve_static
from wetpath.faces.web.run_view import RunView
from wetpath.faces.web.send_view import SendView
from wetpath.faces.web.session import Session
from wetpath.faces.web.which_view import WhichView
from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.desk import Desk, papers_of_file, rate_papers

HOST, PORT = "127.0.0.1", 8765
HEADERS = {"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
           "Cross-Origin-Opener-Policy": "same-origin",
           "Permissions-Policy": "camera=(), microphone=(), geolocation=()"}
VIEWS: dict[str, type[EnquiryPage]] = {"run": RunView, "which": WhichView, "far": FarView,
                                     "send": SendView}
_desks: dict[tuple[str, str], Desk] = {}


def register() -> None:
    """Register all pages and the HTTP interface."""
    serve_static()
    install(app)

    @app.middleware("http")
    async def headers(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
        answer = await go_on(request)
        for name, value in HEADERS.items():
            answer.headers.setdefault(name, value)
        return answer

    @ui.page("/")
    def first() -> None:
        open_view(demo_enquiries()[0], "run")

    @ui.page("/e/{key}/{view}")
    def enquiry(key: str, view: str, case: str = "", at: str = "") -> None:
        open_view(key, view, case, at)


def open_view(key: str, view: str, case: str = "", at: str = "") -> None:
    """Open one view of one enquiry."""
    user = str(app.storage.browser["id"])
    if (user, key) not in _desks:
        papers = papers_of_file(enquiry_path(key))
        _desks[user, key] = Desk(rate_papers(papers), papers)
    desk = _desks[user, key]
    session = Session(key, desk.rated.rating.enquiry.title, desk, view, station=at)
    session.look_at_governing()
    names = [one.name for one in session.record.cases]
    session.case = next((number for number, name in enumerate(names) if case and name.startswith(case)), session.case)
    VIEWS.get(view, RunView)(session).build()


def serve(host: str = HOST, port: int = PORT, *, show: bool = True) -> None:
    """Start the server; returns when it is stopped.

    Raises
    ------
    InputError
        For an address that others can reach: there are no accounts yet that would keep them out.
    """
    if not _is_loopback(host):
        raise InputError("can be reached from other machines, and there are no accounts that keep others out",
                         field="--host", value=f'"{host}"', do="listen at 127.0.0.1")
    register()
    ui.run(host=host, port=port, title="wetpath", show=show, reload=False, storage_secret=_secret(), dark=None,
           show_welcome_message=False, favicon="◎")


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _secret() -> str:
    """The key that signs cookies: made once on this machine, readable by its user only."""
    place = Path(platformdirs.user_data_dir("wetpath")) / "cookie.key"
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        with open(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
            file.write(secrets.token_hex(32))
    return place.read_text(encoding="ascii")
