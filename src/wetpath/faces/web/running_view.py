"""How are they running? All pumps of a fleet on one ruler, the worst first, and the one looked at beside it."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from html import escape
from typing import Any

from nicegui import app, run, ui

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.errors import WetpathError
from wetpath.faces.web import running_parts
from wetpath.faces.web.frame import header_html, page_head
from wetpath.faces.web.html import button
from wetpath.faces.web.job import Job, Stopped, Told
from wetpath.faces.web.session import locked
from wetpath.faces.web.shelf import Shelf
from wetpath.faces.web.strip import edges_of_paper
from wetpath.services.fleet import FleetState, PumpState, fleet_state, see
from wetpath.services.fleet_evidence import enquiry_of, evidence_of
from wetpath.services.fleet_replay import Fleet, Outcome, bring_up_to_date
from wetpath.services.projects import User

KEYS = (("1–7", "views"), ("J, K", "next, previous pump"), ("Esc", "close, stop"), ("?", "these keys"))
#: Fleets whose history is being brought up to date by a page of this server.
GOING: set[str] = set()
#: Seconds between two looks at a history that others write.
LOOK = 2.0


class RunningPage:
    """The page of the fleets for one user."""

    def __init__(self, shelf: Shelf, who: Callable[[], User], fleets: Sequence[Fleet], key: str, account: str = ""
                 ) -> None:
        self.shelf, self.who, self.fleets, self.key, self.account = shelf, who, fleets, key, account
        self.fleet = fleets[0]
        self.selected = self.show = ""
        self.group, self.us, self.asks, self.told = "site", False, "", ""
        self.state: FleetState | None = None
        self.parts: dict[str, ui.html] = {}
        self._addresses: dict[str, str] = {}
        self._new = False

    async def build(self, fleet: str = "", pump: str = "", show: str = "") -> None:
        """Set the page; the address says which fleet, which pump is looked at, and which are shown."""
        self.fleet = next((one for one in self.fleets if one.file.name == fleet), self.fleets[0])
        self.selected, self.show = pump, show
        page_head("How are they running?")
        with ui.element("div").classes("wp"):
            with ui.element("header"):
                self.parts["header"] = ui.html("", sanitize=False).style("display:contents")
            self.sentence = ui.element("div").classes("sentence").props('role="group" aria-label="the fleet"')
            with ui.element("div").classes("progress"):
                self.bar = ui.element("div").classes("bar")
                self.words = ui.label("").classes("words")
            with ui.element("main").classes("sheet").props('id="answer" tabindex="-1"'):
                with ui.element("div").classes("row main running"):
                    self.parts["answer"] = ui.html("<h1>Reading the history ...</h1>", sanitize=False).classes(
                        "cell drawing")
                    self.parts["pump"] = ui.html("", sanitize=False).classes("cell side")
                self.parts["strip"] = ui.html("", sanitize=False).classes("strip c")
            self.drawer = ui.html("", sanitize=False).classes("drawer").props('role="region" aria-label="explanation"')
            self.drawer.set_visibility(False)
            self.live = ui.label("").classes("live").props('aria-live="polite" role="status"')
        ui.on("wp", self.on_event)
        self.job: Job[Outcome] = Job(self.progress, "pumps watched")
        self.timer = ui.timer(LOOK, self._look)
        await self.renew()
        state = self.state
        if state is not None and all(one.watch is None for one in state.pumps):
            self.bring_up_to_date()

    async def renew(self) -> None:
        """Read the history, and show it."""
        state = await run.io_bound(fleet_state, self.shelf.store, self.fleet)
        if state is None:                         # the server is going down
            return
        before = None if self.state is None else self.state.sentence
        self.state = state
        self.write()
        if state.sentence != before:
            self.live.set_text(state.sentence)

    @property
    def figures(self) -> Figures:
        """The units numbers are written in."""
        return Figures.of(self.us)

    @property
    def visible(self) -> list[PumpState]:
        """Pumps that the filter leaves."""
        return [] if self.state is None else running_parts.chosen(self.state, self.show)

    @property
    def pump(self) -> PumpState | None:
        """The pump looked at: the one chosen, else the worst that is shown."""
        some = self.visible
        return next((one for one in some if one.pump.tag == self.selected), some[0] if some else None)

    def write(self) -> None:
        """Write every part from the state."""
        state, figures = self.state, self.figures
        if state is None:
            return
        units = " · ".join(figures.unit(kind) for kind in (q.VOLUME_FLOW, q.TEMPERATURE, q.PRESSURE))
        self.parts["header"].set_content(header_html(self.key, self.fleet.file.name, "running", units, self.account))
        self._write_sentence(state)
        one = self.pump
        self.parts["answer"].set_content(running_parts.answer_html(state, figures, self.show, self.group,
                                                                   one.pump.tag if one else ""))
        self.parts["pump"].set_content("" if one is None else running_parts.pump_html(
            one, state, figures, address=self._address(one), locked=locked(self.who()), asks=self.asks))
        self._write_strip(state)
        given = {"fleet": self.fleet.file.name} if len(self.fleets) > 1 else {}
        given |= {"pump": self.selected} if self.selected else {}
        given |= {"show": self.show} if self.show else {}
        self.live.client.run_javascript("history.replaceState(history.state, '', location.pathname + "
                                        f"(new URLSearchParams({json.dumps(given)}).size ? '?' : '') + "
                                        f"new URLSearchParams({json.dumps(given)}))")

    def _write_sentence(self, state: FleetState) -> None:
        self.sentence.clear()
        with self.sentence:
            ui.html("Show", tag="span", sanitize=False)
            _choice("which pumps", running_parts.filters(state), self.show, self._filter)
            if len(self.fleets) > 1:
                ui.html("of", tag="span", sanitize=False)
                _choice("which fleet", {one.file.name: one.file.name for one in self.fleets}, self.fleet.file.name,
                        self._choose_fleet)
            ui.html("by <b>vapour margin</b>, the worst first, against <b>30 days ago</b>", tag="span", sanitize=False)
            ui.html('<button type="button" class="key" data-do="previous" title="previous pump (K)">K</button> '
                    '<button type="button" class="key" data-do="next" title="next pump (J)">J</button>',
                    tag="span", sanitize=False).classes("right")

    def _write_strip(self, state: FleetState) -> None:
        sites = {one.pump.site for one in state.pumps} - {""}
        last = max((one.at for one in state.pumps if one.at is not None), default=None)
        named = [f"{len(state.pumps)} pumps · {len(sites)} sites", f"As of {state.at:%d %B %Y %H:%M} UTC",
                 f"Signals to {last:%d %B %H:%M} UTC" if last else "no signals yet"]
        if self.fleet.file.note:
            named.append(self.fleet.file.note)
        edges = edges_of_paper("How are they running?", self.fleet.file.name, " · ".join(named[:3]), "/site/running")
        busy = "being brought up to date" if self.fleet.file.name in GOING else button(
            "Bring up to date", "do", "update", why_not=locked(self.who()))
        told = f"<div>{escape(self.told)}</div>" if self.told else ""
        self.parts["strip"].set_content("".join((*(f"<div>{escape(words)}</div>" for words in named), told,
                                                 f"<div>{busy}</div>",
                                                 "<div>No measurement, no safety function</div>", edges)))

    def _address(self, one: PumpState) -> str:
        """Where the enquiry of a pump is; empty where no project holds it."""
        if one.watch is None:
            return ""
        wanted = str(one.watch.about.get("enquiry_sha256"))
        if wanted not in self._addresses:
            found = enquiry_of(self.shelf.store, one)
            self._addresses[wanted] = "" if found is None else f"/e/{self.shelf.key_of(*found)}"
        return self._addresses[wanted]

    async def _filter(self, value: str) -> None:
        self.show, self.selected, self.asks = value, "", ""
        self.write()

    async def _choose_fleet(self, name: str) -> None:
        self.fleet = next(one for one in self.fleets if one.file.name == name)
        self.show = self.selected = self.asks = self.told = ""
        await self.renew()

    def bring_up_to_date(self) -> None:
        """Watch what is new, and show what comes as it comes."""
        name, fleet, store = self.fleet.file.name, self.fleet, self.shelf.store
        if name in GOING:
            return

        def work(told: Told, stopped: Stopped) -> Outcome:
            try:
                return bring_up_to_date(store, fleet, progress=told, stop=stopped, kept=self._is_new)
            finally:
                GOING.discard(name)

        GOING.add(name)
        self.told = ""
        self.job.start(work, self._done, self._failed)
        self.write()

    def _is_new(self, _tag: str) -> None:
        self._new = True

    def _done(self, outcome: Outcome) -> None:
        self.told = "; ".join(f"{tag}: {words}" for tag, words in outcome.problems.items())
        self._new = True

    def _failed(self, words: str) -> None:
        GOING.discard(self.fleet.file.name)
        self.told, self._new = words, True

    async def _look(self) -> None:
        """Show what has come since; pages of others look too while a history is written."""
        if self._new or (self.fleet.file.name in GOING and not self.job.running):
            self._new = False
            await self.renew()

    def progress(self, done: int, total: int, words: str) -> None:
        """Show how far a job is; without words it is over."""
        self.bar.style(f"transform:scaleX({done / total if total and words else 0:.2f})")
        self.words.set_text(words)

    async def on_event(self, event: Any) -> None:
        """A click or a key."""
        what, value = str(event.args.get("what", "")), str(event.args.get("value", ""))
        if what == "key":
            acts = {"j": "next", "k": "previous", "?": "keys", "Escape": "close"}
            if value.lower() in acts or value in acts:
                await self._do(acts.get(value) or acts[value.lower()])
            elif value == "n":
                ui.navigate.to("/projects")
        elif what == "do":
            await self._do(value)

    async def _do(self, what: str) -> None:
        name, _, value = what.partition(":")
        if name in ("next", "previous"):
            self._step(1 if name == "next" else -1)
        elif name == "pump":
            self.selected, self.asks = value, ""
            self.write()
        elif name == "show":
            await self._filter(value)
        elif name == "group" and value in ("site", "service"):
            self.group = value
            self.write()
        elif name == "units":
            self.us = not self.us
            self.write()
        elif name == "update" and not locked(self.who()):
            self.bring_up_to_date()
        elif name == "seen":
            await self._note_seen()
        elif name == "investigate":
            self._investigate(at_once=value == "now")
        elif name == "keys":
            self.drawer.set_content('<button type="button" class="key close" data-do="close">Esc</button><h2>Keys</h2>'
                                    "<dl>" + "".join(f"<dt class='b'>{key}</dt><dd>{words}</dd>" for key, words in KEYS)
                                    + "</dl>")
            self.drawer.set_visibility(True)
        elif name == "close":
            if self.drawer.visible:
                self.drawer.set_visibility(False)
            elif self.job.running:
                self.job.stop()

    def _step(self, by: int) -> None:
        some, one = self.visible, self.pump
        if one is None:
            return
        at = some.index(one) + by
        self.selected, self.asks = some[max(0, min(at, len(some) - 1))].pump.tag, ""
        self.write()
        chosen = self.pump
        if chosen is not None:
            self.live.set_text(f"{chosen.pump.tag}, {chosen.status}")

    async def _note_seen(self) -> None:
        one = self.pump
        if one is None or one.watch is None:
            return
        self.selected = one.pump.tag
        try:
            await run.io_bound(see, self.shelf.store, self.who(), one)
        except WetpathError as error:
            self.told = str(error)
        await self.renew()

    def _investigate(self, *, at_once: bool) -> None:
        """Hand what the signals say to the investigation of the enquiry, and go there."""
        one = self.pump
        address = "" if one is None else self._address(one)
        if one is None or not address:
            return
        found = evidence_of(one)
        place = f"failed {self.who().id} {address.removeprefix('/e/')}"
        kept: Any = app.storage.user.get(place) or {}
        title = str(kept.get("title", ""))
        if kept.get("states") and not title.startswith(f"{one.pump.tag},") and not at_once:
            self.asks = f'Findings of "{title or "another pump"}" are there for this enquiry.'
            self.selected = one.pump.tag
            self.write()
            return
        same = title.startswith(f"{one.pump.tag},")
        app.storage.user[place] = {
            "title": found.title, "states": {**(kept.get("states", {}) if same else {}), **found.states},
            "weights": kept.get("weights", {}) if same else {},
            "powers": {**(kept.get("powers", {}) if same else {}), **found.powers}}
        ui.navigate.to(f"{address}/failed")


def _choice(label: str, options: dict[str, str], chosen: str, act: Callable[[str], Any]) -> None:
    """A choice within the sentence."""
    entry = ui.element("select")
    entry._props["aria-label"] = label
    with entry:
        for value, words in options.items():
            option = ui.element("option")
            option._props["value"] = value
            option._props["selected"] = value == chosen
            with option:
                ui.html(escape(words), tag="span", sanitize=False)

    async def changed(event: Any) -> None:
        await act(str(event.args))

    entry.on("change", changed, js_handler="(e) => emit(e.target.value)")
