"""One enquiry on the desk: what its views share: question bar, sentence, strip, side sheet, keys."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime
from html import escape
from typing import Any
from urllib.parse import urlencode

from nicegui import run, ui

from wetpath.edge import quantities as q
from wetpath.errors import FileProblems
from wetpath.faces.web import explain
from wetpath.faces.web.ask import AskLine
from wetpath.faces.web.fault import fault_of
from wetpath.faces.web.frame import header_html, page_head
from wetpath.faces.web.front import at_the_front
from wetpath.faces.web.html import button
from wetpath.faces.web.job import Place
from wetpath.faces.web.part_editor import PartEditor
from wetpath.faces.web.practice_fields import PracticeFields
from wetpath.faces.web.revisions_panel import RevisionsPanel
from wetpath.faces.web.run_parts import plain_sentence
from wetpath.faces.web.sentence import sentence_html, with_unit, words_of
from wetpath.faces.web.session import Session
from wetpath.faces.web.strip import strip_html
from wetpath.services.desk import Papers
from wetpath.services.projects import DEMO_PROJECT

KEYS = (("1–7", "views"), ("E", "edit the sentence"), ("C, Shift C", "next, previous case"),
        ("← →", "stations in flow order"), ("Enter", "explain what has focus"), ("T", "try the first remedy"),
        ("K", "keep what is tried"), ("P", "pin this rating for comparison, unpin"),
        ("F", "marks of flow on the drawing, on and off"),
        ("/", "ask line: a value, view, station, case, part, check or change"), ("Ctrl Z", "undo"),
        ("S", "save a revision"), ("N", "projects and new enquiry"),
        ("Esc", "close, drop, stop"), ("?", "these keys"))

#: The switch of the single keys; the script of the page knows how it stands.
SINGLE_KEYS = ("<p><button type='button' class='btn' data-letters-switch='1'><span class='letters-on'>Turn single keys "
               "off</span><span class='letters-off'>Turn single keys on</span></button></p><p class='soft'><span "
               "class='letters-on'>Letters, digits, / and ? act while no field has the focus.</span><span "
               "class='letters-off'>Letters, digits, / and ? do nothing. Esc, arrows, Ctrl Z and Tab act.</span></p>")

#: Below this nothing is shown of a rating that is going on [s].
SHOWN_AFTER_S = 0.3
#: A browser that does not answer within this went away [s].
ANSWER = 2.0
#: So often a page looks whether a result waits at another view [s].
LOOK = 1.0


class EnquiryPage:
    """The page of one view of one enquiry, for one user."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.at = datetime.now(UTC)
        self.parts: dict[str, ui.html] = {}
        self.left = False                                    # whether the browser went away
        self.place = Place(session.opened.waiting, session.view, self.asked, lambda: self.left, self._answered)
        self._dotted: dict[str, str] = {}
        self._written = 0

    def build(self) -> None:
        """Set the page."""
        session = self.session
        page_head(session.title)
        ui.context.client.on_connect(lambda: self._is_left(False))
        ui.context.client.on_disconnect(lambda: self._is_left(True))
        session.opened.waiting.views.pop(session.view, None)
        with ui.element("div").classes("wp"):
            with ui.element("header"):
                self.parts["header"] = self._part("div", "display:contents")
            self.note = ui.html("", sanitize=False).classes("note")
            self.note.set_visibility(False)
            self.sentence = ui.html("", sanitize=False).classes("sentence").props(
                'role="group" aria-label="the enquiry"')
            with ui.element("div").classes("progress"):
                self.bar = ui.element("div").classes("bar")
                self.words = ui.label("").classes("words")
            self.sheet = ui.element("main").classes("sheet").props('id="answer" tabindex="-1"')
            with self.sheet:
                self.body()
                self.parts["strip"] = self._part("div", "")
                self.parts["strip"].classes("strip c")
            self.drawer = ui.element("aside").classes("drawer").props('aria-label="explanation"')
            with self.drawer:
                ui.html('<button type="button" class="key close" data-do="close">Esc</button>', sanitize=False)
                self.parts["drawer"] = self._part("div", "")
                self.drawer_fields = ui.element("div")
            self.drawer.set_visibility(False)
            self.revisions = RevisionsPanel(self)
            self.part_editor = PartEditor(self)
            self.practice = PracticeFields(self)
            self.ask = AskLine(self)
            self.live = ui.label("").classes("live").props('aria-live="polite" role="status"')
        ui.on("wp", self.on_event)
        ui.timer(LOOK, self._look_for_waiting)
        if session.locked:
            self.note.set_content(session.locked)
            self.note.set_visibility(True)
        elif session.opened.drafted is not None and session.desk.changed:
            self.note.set_content(f"Changes of {session.opened.drafted.astimezone():%d %B, %H:%M} are on the desk, not "
                                  f"saved. {button('Drop the changes', 'do', 'drop')}")
            self.note.set_visibility(True)
        elif session.opened.project == DEMO_PROJECT:
            self.note.set_content("This is an invented demo. Change any underlined value, or start your own: N")
            self.note.set_visibility(True)
        self.refresh()

    def body(self) -> None:
        """Set the rows of the view."""

    def write(self) -> None:
        """Write what the view shows of the record."""

    def write_case(self) -> None:
        """Write what the view shows of the case looked at."""

    def stop(self) -> None:
        """Stop what is going on."""

    def changes(self) -> tuple[str, ...]:
        """Changes that can be tried, in words."""
        return ()

    def more_answers(self) -> Iterable[tuple[str, str, str]]:
        """What else the ask line finds on this view: the words, of which kind it is, and the button that does it."""
        return ()

    async def view_key(self, key: str) -> None:
        """Answer a key that only this view knows."""

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button that only this view knows."""

    def refresh(self) -> None:
        """Write every part from the record shown."""
        self._write_header()
        self.parts["strip"].set_content(strip_html(self.session, self.at))
        self.refresh_case()
        self.write()

    def _is_left(self, left: bool) -> None:
        self.left = left

    async def _answered(self) -> None:
        """Ask the browser whether it is still there."""
        if not self.left:
            try:
                there = await self.live.client.run_javascript("return true", timeout=ANSWER)
            except TimeoutError:
                there = None
            self.left = not there

    def _look_for_waiting(self) -> None:
        """Put a dot on the views at which a result waits; at this one nothing does, it is looked at."""
        if not self.left:
            self.session.opened.waiting.views.pop(self.session.view, None)
        if self._dotted != self.session.opened.waiting.views:
            self._write_header()

    def _write_header(self) -> None:
        session = self.session
        units = " · ".join(session.figures.unit(kind) for kind in (q.VOLUME_FLOW, q.TEMPERATURE, q.PRESSURE))
        self._dotted = dict(session.opened.waiting.views)
        self.parts["header"].set_content(header_html(session.key, session.title, session.view, units,
                                                     session.account, self._dotted))

    def refresh_case(self) -> None:
        """Write what belongs to the case looked at."""
        session = self.session
        self._written += 1                     # always another text: in the browser something else may be typed
        self.sentence.set_content(f'{sentence_html(session)}<div><button type="button" class="key right" '
                                  f'data-do="edit">E</button></div><!-- {self._written} -->')
        self.write_case()
        self.part_editor.write()
        self.tell_address()
        if self.drawer.visible and session.station:
            self.parts["drawer"].set_content(explain.station_html(session, session.station))

    def parameters(self) -> dict[str, str]:
        """What is looked at, as parameters of the address."""
        session = self.session
        names = [one.name for one in session.record.cases]
        letter = names[session.case].split()[0]
        case = letter if sum(one.split()[0] == letter for one in names) == 1 else names[session.case]
        return {"case": case} | ({"at": session.station} if session.station else {})

    def asked(self) -> str | None:
        """What is looked at, as the end of an address that leads back to it; None where none does."""
        return f"?{urlencode(self.parameters())}"

    def tell_address(self) -> None:
        """Keep the address such that it leads back to what is looked at."""
        self.live.client.run_javascript(
            f"history.replaceState(history.state, '', {json.dumps(f'?{urlencode(self.parameters())}')})")

    async def change(self, path: str, typed: str) -> None:
        """A value was entered: rate, or say under its field what is wrong."""
        if path.startswith("practice:"):
            await self.practice.enter(path, typed)
            return
        word = next((one for one in words_of(self.session) if not isinstance(one, str) and one.path == path), None)
        if word is None:
            await self.part_editor.enter(path, typed)
            return
        value: Any = int(typed) if path.endswith("frequency") and typed.isdigit() else with_unit(typed, word.unit)
        await self.take(lambda papers: papers.with_value(path, value), path, typed)

    async def take(self, changed: Callable[[Papers], Papers], path: str = "", typed: str = "") -> bool:
        """Change the papers, rate them and show them; what is wrong is told at the field.

        Changes made fast wait for each other, so that each is made on top of the last.
        """
        if self.session.locked:
            self.refuse(self.session.locked)
            return False
        async with self.session.turn:
            return await self._take(changed(self.session.desk.papers), path, typed)

    async def _take(self, papers: Papers, path: str, typed: str) -> bool:
        session = self.session
        session.faults.pop(path, None)
        session.typed.pop(path, None)
        try:
            with at_the_front(session.seat):
                await self._stale_until(run.io_bound(session.desk.take, papers))
                self.shown_anew()
        except FileProblems as problems:
            session.faults[path], session.typed[path] = fault_of(problems, typed), typed
            self.refresh_case()
            return False
        finally:
            await self.keep_draft()
        return True

    async def _stale_until(self, work: Awaitable[Any]) -> None:
        """Wait for a rating; one that takes long leaves the old numbers in soft ink and says so."""
        going = asyncio.ensure_future(work)
        done, _ = await asyncio.wait({going}, timeout=SHOWN_AFTER_S)
        if done:
            going.result()
            return
        self.sheet.classes(add="stale")
        self.parts["strip"].set_content(strip_html(self.session, self.at, "rating ..."))
        try:
            await going
        finally:
            self.sheet.classes(remove="stale")
            self.parts["strip"].set_content(strip_html(self.session, self.at))

    def refuse(self, why: str) -> None:
        """Tell why something cannot be done, and show what holds."""
        self.open_drawer(f"<h2>Not changed</h2><p>{escape(why)}</p>")
        self.refresh_case()

    async def keep_draft(self) -> None:
        """Keep what is on the desk against a crash of server or browser."""
        await run.io_bound(self.session.shelf.keep_draft, self.session.user, self.session.opened)

    def shown_anew(self) -> None:
        """Show the record anew after a change, a trial or an undo."""
        self.at = datetime.now(UTC)
        self.session.case = min(self.session.case, len(self.session.record.cases) - 1)
        self.refresh()
        record = self.session.record
        self.live.set_text(f"{record.verdict.headline}. {plain_sentence(self.session, record)}.")

    def progress(self, done: int, total: int, words: str) -> None:
        """Show how far a job is; without words it is over."""
        self.bar.style(f"transform:scaleX({done / total if total and words else 0:.2f})")
        self.words.set_text(words)

    def choose_pump(self) -> None:
        """Open the side sheet with the pumps at hand."""
        from wetpath.services.demo import demo_pump, demo_pumps

        if self.session.locked:
            self.refuse(self.session.locked)
            return
        rows = "".join(f'<p><button type="button" class="btn" data-do="pump:{name}">Take</button> '
                       f"{escape(demo_pump(name).name)}</p>" for name in demo_pumps())
        self.open_drawer(f"<h2>Pumps</h2>{rows}")

    def open_drawer(self, content: str) -> None:
        """Show something in the side sheet."""
        self.drawer_fields.clear()
        self.part_editor.close()
        self.practice.close()
        self.parts["drawer"].set_content(content)
        self.drawer.set_visibility(True)

    async def on_event(self, event: Any) -> None:
        """A click on the drawing or a key."""
        self.left = False
        what, value = str(event.args.get("what", "")), str(event.args.get("value", ""))
        session = self.session
        if what == "typed" and not session.locked:
            path, _, typed = value.partition("\n")
            session.typed[path] = typed
            await self.keep_draft()
        elif what == "key":
            await self._key(value)
        elif what == "do":
            await self._do(value)
        elif what in ("set", "entered"):
            path, _, typed = value.partition("\n")
            await self.change(path, typed)
        else:
            await self._explain(what, value)

    async def _explain(self, what: str, value: str) -> None:
        """Show what was asked for: a station, part, number, check, limit or case."""
        session = self.session
        if what == "station":
            session.station = value
            self.open_drawer(explain.station_html(session, value))
            self.tell_address()
        elif what == "part":
            self.part_editor.open(value)
        elif what == "explain":
            session.station = ""
            self.open_drawer(explain.number_html(session, value, await run.io_bound(session.range_of, value)))
        elif what == "check":
            self.explain_check(value)
        elif what == "limit":
            self.explain_check(value, focus=True)
        elif what == "case" and value.isdigit():
            session.case = min(int(value), len(session.record.cases) - 1)
            self.refresh_case()

    def explain_check(self, name: str, *, focus: bool = False) -> None:
        """Show a check with the limits behind it in the side sheet."""
        self.session.station = ""
        self.open_drawer(explain.check_html(self.session, name))
        self.practice.open(name, focus=focus)

    async def answer(self, number: int) -> None:
        """Do what a line of the ask line says."""
        found = self.ask.take(number)
        if found is None:
            return
        if found.what == "go":
            ui.navigate.to(found.value)
        elif found.what == "set":
            path, _, typed = found.value.partition("\n")
            await self.change(path, typed)
        elif found.what == "do":
            await self._do(found.value)
        else:
            await self._explain(found.what, found.value)

    async def _key(self, key: str) -> None:
        session = self.session
        if key in ("c", "shift c"):
            session.step_case(1 if key == "c" else -1)
            self.refresh_case()
        elif key in ("ArrowRight", "ArrowLeft"):
            session.step_station(1 if key == "ArrowRight" else -1)
            self.open_drawer(explain.station_html(session, session.station))
        elif key == "k":
            if session.locked:
                self.refuse(session.locked)
                return
            async with session.turn:
                if session.desk.keep():
                    await self.keep_draft()
                    self.shown_anew()
        elif key == "undo":
            await self._undo()
        elif key == "?":
            await self._do("keys")
        elif key == "/":
            self.ask.open()
        elif key == "p":
            session.pinned = None if session.pinned is not None else session.record
            self.refresh()
        elif key == "s":
            self.revisions.ask()
        elif key == "n":
            ui.navigate.to("/projects")
        elif key == "Escape":
            await self._do("close")
        else:
            await self.view_key(key)

    async def _undo(self) -> None:
        """Go one change back."""
        session = self.session
        if session.locked:
            return
        async with session.turn:
            with at_the_front(session.seat):
                undone = await run.io_bound(session.desk.undo)
            if undone:
                await self.keep_draft()
                self.shown_anew()

    async def _do(self, what: str) -> None:
        session = self.session
        name, _, value = what.partition(":")
        if name == "units":
            session.us = not session.us
            self.refresh()
        elif name == "keys":
            self.open_drawer("<h2>Keys</h2><dl>" + "".join(f"<dt class='b'>{key}</dt><dd>{words}</dd>"
                                                           for key, words in KEYS) + f"</dl>{SINGLE_KEYS}")
        elif name == "close":
            if self.ask.visible:
                self.ask.close()
            elif self.drawer.visible:
                self.drawer.set_visibility(False)
            elif session.desk.tried:
                session.desk.tried = None
                self.shown_anew()
            else:
                self.stop()
        elif name == "keep":
            await self._key("k")
        elif name == "copy-case":
            number, name = session.case + 1, session.case_record.name
            if await self.take(lambda papers: papers.with_case_copied(
                    number, f"{name}, copy {len(session.desk.rated.record.cases)}")):
                session.case = len(session.record.cases) - 1
                self.refresh_case()
        elif name == "pump":
            from wetpath.services.demo import pump_path

            text = pump_path(value).read_text(encoding="utf-8")
            self.drawer.set_visibility(False)
            await self.take(lambda papers: replace(papers, pump=text), "pump", value)
        elif name == "pumps":
            self.choose_pump()
        elif name == "edit":
            ui.run_javascript("document.querySelector('.sentence input').focus()")
        elif name == "save":
            self.revisions.ask()
        elif name == "history":
            self.revisions.show_history()
        elif name == "open-ask":
            self.ask.open()
        elif name == "changed":
            self.revisions.show_changes()
        elif name == "ask":
            await self.answer(int(value))
        elif name == "unpin":
            session.pinned = None
            self.refresh()
        elif name == "drop":
            async with session.turn:                # a change still going on keeps its draft first
                await run.io_bound(session.shelf.drop_draft, session.user, session.opened)
            ui.navigate.reload()
        else:
            await self.view_do(name, value)

    @staticmethod
    def cell(name: str) -> ui.html:
        """A cell of the sheet."""
        return ui.html("", sanitize=False).classes(f"cell {name}")

    @staticmethod
    def _part(tag: str, style: str) -> ui.html:
        return ui.html("", sanitize=False, tag=tag).style(style)
