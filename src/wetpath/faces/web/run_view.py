"""Can it run? The verdict, the margin rule, what gains margin, the section drawing, the trace, the operating cases."""

from __future__ import annotations

from nicegui import ui

from wetpath.faces.web import run_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.remedies_panel import RemediesPanel
from wetpath.faces.web.sure_panel import SurePanel


class RunView(EnquiryPage):
    """The first view of an enquiry."""

    def body(self) -> None:
        """Set the rows of the view."""
        self.sure = SurePanel(self.session, self.progress, self.place, self.write_verdict)
        with ui.element("div").classes("row top"):
            self.parts["verdict"] = self.cell("verdict")
            self.parts["rule"] = self.cell("rule")
            with ui.element("div").classes("cell gains"):
                self.remedies = RemediesPanel(self.session, self.progress, self.shown_anew, self.write_verdict)
        with ui.element("div").classes("row bt main"):
            self.parts["drawing"] = self.cell("drawing")
            with ui.element("div").classes("cell side"):
                self.parts["trace"] = ui.html("", sanitize=False).classes("trace")
                self.parts["cases"] = ui.html("", sanitize=False)
        with ui.element("div").classes("row bt rest"):
            self.parts["checks"] = self.cell("checks")
            self.parts["notes"] = self.cell("notes")

    def write(self) -> None:
        """Write what the view shows of the record."""
        session = self.session
        self.remedies.start()
        self.write_verdict()
        self.parts["rule"].set_content(run_parts.rule_html(session))
        self.parts["checks"].set_content(run_parts.checks_html(session))
        self.parts["notes"].set_content(run_parts.notes_html(session))

    def write_verdict(self) -> None:
        """Write the verdict, with the remedy that makes it hold once that is known."""
        self.parts["verdict"].set_content(run_parts.verdict_html(self.session, self.remedies.answer) + self.sure.html())

    def write_case(self) -> None:
        """Write what belongs to the case looked at."""
        self.parts["drawing"].set_content(run_parts.drawing_html(self.session))
        self.parts["trace"].set_content(run_parts.trace_html(self.session))
        self.parts["cases"].set_content(run_parts.cases_html(self.session))

    def changes(self) -> tuple[str, ...]:
        """Changes that can be tried, in words."""
        return self.remedies.titles()

    def stop(self) -> None:
        """Stop what is going on."""
        self.remedies.stop()
        self.sure.stop()

    async def view_key(self, key: str) -> None:
        """Answer a key."""
        if key == "t":
            await self._attempt(0)

    async def _attempt(self, number: int) -> None:
        async with self.session.turn:
            self.remedies.attempt(number)

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button."""
        if name == "try":
            await self._attempt(int(value))
        elif name == "sure":
            self.sure.start()
        elif name == "show":
            self.session.show(value)
            self.parts["drawing"].set_content(run_parts.drawing_html(self.session))
