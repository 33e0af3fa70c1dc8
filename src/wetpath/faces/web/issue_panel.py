"""Issuing a rating under a letter, and the issues that went out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from html import escape
from typing import TYPE_CHECKING

from nicegui import run, ui

from wetpath.errors import WetpathError
from wetpath.faces.web.html import button, cell, row, table
from wetpath.services import projects as kept_in
from wetpath.services.desk import Rated

if TYPE_CHECKING:
    from wetpath.faces.web.enquiry_page import EnquiryPage

CAUTION = ("An issue records who released what. It does not replace the approval that local codes and licensed "
           "practice ask for.")
LONGEST_REASON = 500
#: Sets the files of an issue: from the rating, the beginning of their names, who approves, the letter.
Files = Callable[[Rated, str, str, str], Mapping[str, bytes]]


class IssuePanel:
    """What the view of papers to send shows of issues."""

    def __init__(self, page: EnquiryPage, files: Files) -> None:
        self.page, self.files = page, files

    def html(self) -> str:
        """The list of issues, and the button or why there is none."""
        rows = [row((cell(one.letter, bold=True), cell(one.author), cell(f"{one.at.astimezone():%d %B %Y}"),
                     cell(one.reason, soft=True), cell(_buttons(one), raw=True)))
                for one in self.issues()]
        listed = table([("letter", False), ("by", False), ("date", False), ("for", False), ("files", False)], rows,
                       caption="Issues") if rows else "<p>Nothing was issued yet.</p>"
        why = self.obstacle()
        offer = f"<p class='soft'>{escape(why)}</p>" if why else f"<p>{button('Issue', 'do', 'issue:ask')}</p>"
        return f"<h2 style='margin-top:10px'>Issues</h2>{listed}{offer}"

    def obstacle(self) -> str:
        """Why the rating shown cannot be issued by this user now; empty when it can."""
        session = self.page.session
        if not session.user.may("approver"):
            return f"Your role is {session.user.role}. An approver can issue this rating."
        if session.desk.tried:
            return "A change is tried and not kept. Keep it or drop it before the rating is issued."
        return ""

    def answer(self, value: str) -> None:
        """Answer a button: ask for the reason of an issue, or hand out a file of one."""
        if value == "ask":
            self.ask()
            return
        letter, _, name = value.partition(" ")
        for one in self.issues():
            for file in one.files:
                if (one.letter, file.name) == (letter, name):
                    ui.download(file.content, file.name)

    def ask(self) -> None:
        """Ask what the issue is for."""
        page, why = self.page, self.obstacle()
        if why:
            page.open_drawer(f"<h2>Not issued</h2><p>{escape(why)}</p>")
            return
        letter = self._next_letter()
        page.open_drawer(f"<h2>Issue {letter}</h2>")
        with page.drawer_fields:
            ui.html('<label for="issue-reason">What it is for, as "for approval"</label>', sanitize=False)
            entry = ui.element("input").props(f'id="issue-reason" type="text" maxlength="{LONGEST_REASON}"')
            entry.on("change", lambda event: self._issue(str(event.args), letter),
                     js_handler="(e) => emit(e.target.value)")
            saved = "What was changed is saved as a revision first. " if page.session.desk.changed else ""
            ui.html(f"<p class='soft'>Enter issues. {saved}The report is set without the mark of a draft, names you, "
                    f"and stays as it is. {CAUTION}</p>", sanitize=False)
        ui.run_javascript("document.getElementById('issue-reason').focus()")

    async def _issue(self, reason: str, letter: str) -> None:
        page, session = self.page, self.page.session
        why = self.obstacle()
        if why:
            page.open_drawer(f"<h2>Not issued</h2><p>{escape(why)}</p>")
            return
        async with session.turn:             # nothing is changed between the saving and the issue
            issued = await self._issued(reason[:LONGEST_REASON], letter)
        if issued is not None:
            page.open_drawer(f"<h2>Issued</h2><p>Issue {issued.letter} by {escape(issued.author)}.</p>"
                             f"<p class='soft'>{CAUTION}</p>")
            page.refresh()

    async def _issued(self, reason: str, letter: str) -> kept_in.Issue | None:
        """Save what was changed, set the files and issue; None when it could not be, which is told."""
        page, session = self.page, self.page.session
        stem = f"{session.opened.path.rpartition('/')[2].removesuffix('.toml')}-{letter}"
        page.progress(1, 2, "setting the report")
        try:
            if session.desk.changed:
                conflicts = await run.io_bound(session.shelf.save, session.user, session.opened, reason)
            else:
                conflicts = ()
            if conflicts:
                page.open_drawer("<h2>Not issued</h2><p>Somebody saved in between. Save a revision, see what was "
                                 "changed, and issue again.</p>")
                return None
            shown = session.desk.shown
            files = await run.io_bound(self.files, shown, stem, session.user.name, letter)
            if files is None:               # nothing comes back from a server that is going down
                return None
            return await run.io_bound(
                kept_in.issue_record, session.shelf.store, session.user, session.opened.kept, shown.record,
                letter=letter, reason=reason, files=files)
        except WetpathError as error:
            page.open_drawer(f"<h2>Not issued</h2><p>{escape(str(error))}</p>")
            return None
        finally:
            page.progress(0, 1, "")

    def issues(self) -> tuple[kept_in.Issue, ...]:
        """Those that went out, the newest first."""
        opened = self.page.session.opened
        return kept_in.issues(self.page.session.shelf.store, opened.project, opened.path)

    def _next_letter(self) -> str:
        opened = self.page.session.opened
        return kept_in.next_letter(self.page.session.shelf.store, opened.project, opened.path)


def _buttons(one: kept_in.Issue) -> str:
    return " ".join(button(file.name.rpartition(".")[2], "do", f"issue:{one.letter} {file.name}",
                           label=f"{file.name} of issue {one.letter}") for file in one.files)
