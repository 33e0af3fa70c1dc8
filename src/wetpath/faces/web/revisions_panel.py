"""Saving a revision with its reason, what others saved in between, and the history of an enquiry."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from nicegui import run, ui

from wetpath.errors import WetpathError
from wetpath.services.projects import Conflict, differing

if TYPE_CHECKING:
    from wetpath.faces.web.enquiry_page import EnquiryPage


class RevisionsPanel:
    """What the side sheet shows of revisions."""

    def __init__(self, page: EnquiryPage) -> None:
        self.page = page

    def ask(self) -> None:
        """Ask for the reason of a save."""
        page = self.page
        if page.session.locked:
            page.open_drawer(f"<h2>Not saved</h2><p>{escape(page.session.locked)}</p>")
            return
        if not page.session.desk.changed:
            page.open_drawer("<h2>Save</h2><p>Nothing has changed since the last revision.</p>")
            return
        page.open_drawer("<h2>Save a revision</h2>")
        with page.drawer_fields:
            ui.html('<label for="reason">Why, for whoever reads the history</label>', sanitize=False)
            entry = ui.element("input").props('id="reason" type="text" maxlength="500"')
            entry.on("change", lambda event: self._save(str(event.args)), js_handler="(e) => emit(e.target.value)")
            ui.html("<p class='soft'>Enter saves. Every revision is kept; none is overwritten.</p>", sanitize=False)
        ui.run_javascript("document.getElementById('reason').focus()")

    async def _save(self, reason: str) -> None:
        page, session = self.page, self.page.session
        try:
            conflicts = await run.io_bound(session.shelf.save, session.user, session.opened, reason)
        except WetpathError as error:
            page.open_drawer(f"<h2>Not saved</h2><p>{escape(str(error))}</p><p>What is on the desk is kept.</p>")
            return
        if conflicts:
            self._show_conflicts(conflicts, reason)
            return
        number = session.opened.kept.revisions["enquiry"].number
        page.open_drawer(f"<h2>Saved</h2><p>Revision {number} of {escape(session.opened.path)}.</p>")
        page.refresh()

    def _show_conflicts(self, conflicts: tuple[Conflict, ...], reason: str) -> None:
        page = self.page
        parts = ["<h2>Somebody saved in between</h2>"]
        for one in conflicts:
            theirs = one.theirs
            parts.append(f"<p>{escape(theirs.author)} saved revision {theirs.number} of {escape(theirs.path)} at "
                         f"{theirs.at.astimezone():%H:%M}: {escape(theirs.reason or 'no reason given')}.</p>")
            parts.extend(f"<p class='soft'>theirs: {escape(str(change))}</p>" for change in one.theirs.changes)
            parts.extend(f"<p><b>{escape(clash.field)}</b>: theirs {escape(clash.theirs)}, yours "
                         f"{escape(clash.mine)}</p>" for clash in one.merge.clashes)
        complete = all(one.merge.complete for one in conflicts)
        parts.append("<p>Your changes are kept on the desk.</p>" + (
            "<p>The changes do not touch each other: both can be kept.</p>" if complete else
            "<p>Both changed the same values. Change yours, or drop your changes, and save again.</p>"))
        page.open_drawer("".join(parts))
        if complete:
            with page.drawer_fields:
                both = ui.element("button").props('type="button"').classes("btn first")
                with both:
                    ui.html("Keep both", tag="span", sanitize=False)
                both.on("click", lambda: self._merge(conflicts, reason))

    async def _merge(self, conflicts: tuple[Conflict, ...], reason: str) -> None:
        page, session = self.page, self.page.session
        try:
            done = await run.io_bound(session.shelf.save_merged, session.user, session.opened, conflicts, reason)
        except WetpathError as error:
            page.open_drawer(f"<h2>Not saved</h2><p>{escape(str(error))}</p><p>What is on the desk is kept.</p>")
            return
        words = "Both are kept." if done else "Somebody was faster again. Save once more."
        page.open_drawer(f"<h2>{'Saved' if done else 'Not saved'}</h2><p>{words}</p>")
        page.shown_anew()

    def show_changes(self) -> None:
        """Show what differs between the desk and the last revision, field by field."""
        desk = self.page.session.desk
        parts = ["<h2>Changed since the last revision</h2>"]
        for name in ("enquiry", "pump", "practice"):
            before, after = getattr(desk.saved, name), getattr(desk.papers, name)
            if before != after:
                parts.append(f"<h3>{name.capitalize()}</h3>" + "".join(
                    f"<p>{escape(str(change))}</p>" for change in differing(before or None, after)))
        self.page.open_drawer("".join(parts) if len(parts) > 1 else f"{parts[0]}<p>Nothing.</p>")

    def show_history(self) -> None:
        """Show every revision with author, time, reason and what it changed."""
        session = self.page.session
        parts = ["<h2>History</h2>"]
        for one in session.shelf.history(session.opened):
            changes = "".join(f"<p class='soft'>{escape(str(change))}</p>" for change in one.changes[:12])
            parts.append(f"<p><b>{escape(one.path)}, revision {one.number}</b><br>{escape(one.author)}, "
                         f"{one.at.astimezone():%d %B %Y, %H:%M}<br>{escape(one.reason or 'no reason given')}</p>"
                         f"{changes}")
        self.page.open_drawer("".join(parts))
