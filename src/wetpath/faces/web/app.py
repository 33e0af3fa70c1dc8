"""The server: addresses, pages, and how it starts."""

from __future__ import annotations

from nicegui import app, ui

from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.far_view import FarView
from wetpath.faces.web.frame import serve_static
from wetpath.faces.web.run_view import RunView
from wetpath.faces.web.session import Session
from wetpath.faces.web.which_view import WhichView
from wetpath.services.demo import demo_enquiries, enquiry_path
from wetpath.services.desk import Desk, papers_of_file, rate_papers

HOST, PORT = "127.0.0.1", 8765
VIEWS: dict[str, type[EnquiryPage]] = {"run": RunView, "which": WhichView, "far": FarView}
_desks: dict[tuple[str, str], Desk] = {}


def register() -> None:
    """Register all pages."""
    serve_static()

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
    """Start the server; returns when it is stopped."""
    register()
    ui.run(host=host, port=port, title="wetpath", show=show, reload=False, storage_secret="x" * 32, dark=None,
           show_welcome_message=False, favicon="◎")
