"""Projects: their enquiries, a new enquiry out of pasted rows or a sheet, import and export of the same files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html import escape

from nicegui import events, run, ui

from wetpath.errors import InputError, WetpathError
from wetpath.faces.web.frame import page_head
from wetpath.faces.web.html import cell, row, table
from wetpath.faces.web.session import locked
from wetpath.faces.web.shelf import Shelf
from wetpath.services import projects as kept_in
from wetpath.services.enquiry_rows import RowsOfEnquiry, enquiry_of_sheet, enquiry_of_text
from wetpath.services.project_files import export_zip, files_of_zip, import_files
from wetpath.services.projects import DocumentEntry, Project, User

#: Largest file that is taken [bytes].
LARGEST = 20_000_000
#: The pump that a new enquiry of a project without pumps begins with.
FIRST_PUMP = "pumps/medium.toml"


class ProjectsPage:
    """The page for one user."""

    def __init__(self, shelf: Shelf, who: Callable[[], User], account: str = "") -> None:
        self.shelf, self.who, self.account = shelf, who, account

    @property
    def user(self) -> User:
        """Who works on the page, with the role of this moment."""
        return self.who()

    def build(self) -> None:
        """Set the page."""
        page_head("Projects")
        with ui.element("div").classes("wp"):
            ui.html('<header><a class="w" href="/">wetpath</a><span class="soft">Projects</span>'
                    f'<span class="right"></span>{self.account}</header>', sanitize=False)
            why = locked(self.user)
            with ui.element("main").classes("sheet"):
                with ui.element("div").classes("cell form"):
                    ui.html("<h1>Projects</h1>", sanitize=False)
                    self.told = ui.label("").classes("fault").props('role="alert"')
                    self.told.set_visibility(False)
                    self.notes = ui.html("", sanitize=False)
                    ui.html('<label for="project">New project: a name, then Enter</label>', sanitize=False)
                    if why:
                        ui.html(f"<p>{escape(why)}</p>", sanitize=False)
                    closed = " disabled" if why else ""
                    ui.element("input").props(f'id="project" type="text" maxlength="120"{closed}').style(
                        "max-width:420px").on("change", lambda event: self._new_project(str(event.args)),
                                              js_handler="(e) => emit(e.target.value)")
                for project in kept_in.projects(self.shelf.store):
                    with ui.element("div").classes("cell bt form"):
                        self._project(project)

    def _tell(self, error: Exception) -> None:
        self.told.set_text(str(error))
        self.told.set_visibility(True)

    def _new_project(self, name: str) -> None:
        try:
            kept_in.create_project(self.shelf.store, self.user, name)
        except WetpathError as error:
            self._tell(error)
            return
        ui.navigate.reload()

    def _project(self, project: Project) -> None:
        entries = kept_in.documents(self.shelf.store, project.name)
        enquiries = [one for one in entries if one.kind == "enquiry"]
        ui.html(f"<h2>{escape(project.name)}</h2><p class='soft'>by {escape(project.author)}, "
                f"{project.created.astimezone():%d %B %Y}; {len(entries)} documents</p>" + table(
                    [("enquiry", False), ("revision", True), ("by", False), ("at", False), ("reason", False)],
                    (self._line(project, one) for one in enquiries), caption=f"Enquiries of {project.name}"),
                sanitize=False)
        with ui.element("details").style("margin:8px 0"):
            if locked(self.user):
                ui.html("Export", tag="summary", sanitize=False)
                self._export_button(project)
                return
            ui.html("New enquiry, import, export", tag="summary", sanitize=False)
            name = f"rows-{project.id}"
            ui.html(f'<label for="{name}">New enquiry from pasted rows, like "Flow: 45 m3/h"; leave the field to read '
                    "them</label>", sanitize=False)
            ui.element("textarea").props(f'id="{name}" rows="6" maxlength="20000"').on(
                "change", lambda event: self._pasted(project, str(event.args)),
                js_handler="(e) => emit(e.target.value)")
            ui.html("<label>Or a sheet (.xlsx) with rows of label, value, unit; or a project (.zip)</label>",
                    sanitize=False)
            ui.upload(auto_upload=True, max_file_size=LARGEST,
                      on_upload=lambda event: self._file(project, event)).props('accept=".xlsx,.zip" flat')
            self._export_button(project)

    def _export_button(self, project: Project) -> None:
        with ui.element("button").props('type="button"').classes("btn").on("click", lambda: self._export(project)):
            ui.html("Export the project as files", tag="span", sanitize=False)

    def _line(self, project: Project, one: DocumentEntry) -> str:
        address = f"/e/{self.shelf.key_of(project.name, one.path)}/run"
        return row((cell(f'<a href="{escape(address)}"><b>{escape(one.path)}</b></a>', raw=True),
                    cell(str(one.number), number=True), cell(one.author), cell(f"{one.at.astimezone():%d %B, %H:%M}"),
                    cell(one.reason, soft=True)))

    async def _export(self, project: Project) -> None:
        content = await run.io_bound(export_zip, self.shelf.store, project.name)
        if content is not None:
            ui.download(content, f"{project.name}.zip", "application/zip")

    async def _pasted(self, project: Project, text: str) -> None:
        try:
            rows = await run.io_bound(enquiry_of_text, text)
            if rows is not None:                                     # none: the server stops
                self._rows(project, rows)
        except WetpathError as error:
            self._tell(error)

    async def _file(self, project: Project, event: events.UploadEventArguments) -> None:
        content = await event.file.read()
        try:
            kept_in.require(self.user, "engineer", "import")
            if event.file.name.lower().endswith(".zip"):
                found = await run.io_bound(files_of_zip, content)
                if found is None:
                    return
                done = await run.io_bound(import_files, self.shelf.store, self.user, project.name, found.contents)
                if done is None:
                    return
                left = "".join(f"<p>left out: {escape(path)}, {escape(why)}</p>"
                               for path, why in found.left_out.items())
                self.notes.set_content(f"<p>{len(done.new)} new, {len(done.changed)} changed, {len(done.unchanged)} as "
                                       f"they were.</p>{left}")
            else:
                rows = await run.io_bound(enquiry_of_sheet, content)
                if rows is not None:
                    self._rows(project, rows)
        except WetpathError as error:
            self._tell(error)

    def _rows(self, project: Project, found: RowsOfEnquiry) -> None:
        """Save what rows gave as a new enquiry; what could not be read is told, row by row."""
        unread = "".join(f"<p>not read: {escape(one.place)}, {escape(one.text)}: {escape(one.reason)}</p>"
                         for one in found.unread)
        missing = "".join(f"<p>▼ {escape(str(replace(one, file='')))}</p>" for one in found.problems)
        assumed = "".join(f"<p class='soft'>{escape(one)}</p>" for one in found.assumed)
        if found.problems:
            self.notes.set_content(f"<h2>Not an enquiry yet</h2>{missing}{unread}{assumed}")
            return
        try:
            path = self._keep(project, found.content)
        except WetpathError as error:
            self._tell(error)
            return
        address = f"/e/{self.shelf.key_of(project.name, path)}/run"
        self.notes.set_content(f"<h2>Read {len(found.read)} rows</h2>{unread}{assumed}<p><a href='{escape(address)}'>"
                               "<b>Open the enquiry</b></a></p>")

    def _keep(self, project: Project, content: str) -> str:
        store, user = self.shelf.store, self.user
        taken = {one.path for one in kept_in.documents(store, project.name, with_retired=True)}
        pumps = [one.path for one in kept_in.documents(store, project.name, kind="pump")]
        if not pumps:
            demo = kept_in.revision(store, kept_in.DEMO_PROJECT, FIRST_PUMP)
            kept_in.save(store, user, project.name, FIRST_PUMP, demo.content, based_on=None,
                         reason="copied from the demo")
            pumps = [FIRST_PUMP]
        path = next(name for number in range(1, 10_000)
                    if (name := f"enquiries/enquiry_{number}.toml") not in taken)
        text = kept_in.with_fields(content, {"pump_file": f"../{pumps[0]}"})
        outcome = kept_in.save(store, user, project.name, path, text, based_on=None, reason="read from rows")
        if isinstance(outcome, kept_in.Conflict):
            raise InputError("was made by somebody else in between", field=path, do="read the rows once more")
        return path


def projects_page(shelf: Shelf, who: Callable[[], User], account: str = "") -> None:
    """Set the page."""
    ProjectsPage(shelf, who, account).build()
