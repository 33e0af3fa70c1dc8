"""Projects: their enquiries and pumps, a new enquiry from another one, a sheet or pasted rows."""

from __future__ import annotations

from html import escape

from nicegui import ui

from wetpath.errors import WetpathError
from wetpath.faces.web.frame import page_head
from wetpath.faces.web.html import cell, row, table
from wetpath.faces.web.shelf import Shelf
from wetpath.services import projects as kept_in
from wetpath.services.projects import DocumentEntry, Project, User


def projects_page(shelf: Shelf, user: User) -> None:
    """Set the page."""
    page_head("Projects")
    with ui.element("div").classes("wp"):
        ui.html('<header><a class="w" href="/">wetpath</a><span class="soft">Projects</span></header>', sanitize=False)
        with ui.element("main").classes("sheet"):
            with ui.element("div").classes("cell form"):
                ui.html("<h1>Projects</h1>", sanitize=False)
                told = ui.label("").classes("fault").props('role="alert"')
                told.set_visibility(False)

                def new_project(name: str) -> None:
                    try:
                        kept_in.create_project(shelf.store, user, name)
                    except WetpathError as error:
                        told.set_text(str(error))
                        told.set_visibility(True)
                        return
                    ui.navigate.reload()

                ui.html('<label for="project">New project: a name, then Enter</label>', sanitize=False)
                ui.element("input").props('id="project" type="text" maxlength="120" style="max-width:420px"').on(
                    "change", lambda event: new_project(str(event.args)), js_handler="(e) => emit(e.target.value)")
            for project in kept_in.projects(shelf.store):
                with ui.element("div").classes("cell bt"):
                    _project(shelf, user, project)


def _project(shelf: Shelf, user: User, project: Project) -> None:
    entries = kept_in.documents(shelf.store, project.name)
    enquiries = [one for one in entries if one.kind == "enquiry"]
    ui.html(f"<h2>{escape(project.name)}</h2><p class='soft'>by {escape(project.author)}, "
            f"{project.created.astimezone():%d %B %Y}; {len(entries)} documents</p>" + table(
                [("enquiry", False), ("revision", True), ("by", False), ("at", False), ("reason", False)],
                (_line(shelf, project, one) for one in enquiries), caption=f"Enquiries of {project.name}"),
            sanitize=False)
    if not enquiries:
        _copy(shelf, user, project)


def _line(shelf: Shelf, project: Project, one: DocumentEntry) -> str:
    address = f"/e/{shelf.key_of(project.name, one.path)}/run"
    return row((cell(f'<a href="{escape(address)}"><b>{escape(one.path)}</b></a>', raw=True),
                cell(str(one.number), number=True), cell(one.author), cell(f"{one.at.astimezone():%d %B, %H:%M}"),
                cell(one.reason, soft=True)))


def _copy(shelf: Shelf, user: User, project: Project) -> None:
    """An empty project begins with a copy of the demo's first enquiry and pump."""
    def begin() -> None:
        kept = kept_in.kept_papers(shelf.store, kept_in.DEMO_PROJECT, "enquiries/butane_reflux.toml")
        for role, path in (("pump", "pumps/pump.toml"),):
            kept_in.save(shelf.store, user, project.name, path, kept.revisions[role].content, based_on=None,
                         reason="copied from the demo")
        text = kept_in.with_fields(kept.revisions["enquiry"].content, {"pump_file": "../pumps/pump.toml"})
        kept_in.save(shelf.store, user, project.name, "enquiries/enquiry.toml", text, based_on=None,
                     reason="copied from the demo")
        ui.navigate.to(f"/e/{shelf.key_of(project.name, 'enquiries/enquiry.toml')}/run")

    with ui.element("button").props('type="button"').classes("btn").on("click", begin):
        ui.html("Begin with a copy of the demo's first enquiry", tag="span", sanitize=False)
