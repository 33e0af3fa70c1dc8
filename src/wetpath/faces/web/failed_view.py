"""Why did it fail? What was found on the opened pump, the mechanisms that explain it, and what to look at next."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from functools import partial
from html import escape
from typing import Any

from nicegui import app, run, ui

from wetpath.drawing.pins import PLACES
from wetpath.edge import quantities as q
from wetpath.errors import FileProblems, InputError, WetpathError
from wetpath.faces.report.investigation_sheet import investigation_report
from wetpath.faces.web import failed_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.failed_told import LONGEST, POWERS, STATES, UNLIKELY, WEIGHED, Told, text_of
from wetpath.faces.web.html import button
from wetpath.faces.web.job import Job
from wetpath.faces.web.sentence import with_unit
from wetpath.faces.web.session import Session
from wetpath.investigation.catalogue import SOMETHING_ELSE, bands, mechanisms
from wetpath.investigation.study import Investigation, investigate
from wetpath.services.desk import Papers
from wetpath.services.investigate import checklist, sentence_of
from wetpath.services.rating import FileOrigin

#: Mechanisms that a finding of one's own may speak of here; its part and its word of likelihood where none is chosen.
SPEAKS_OF, OTHERS, LIKELY = 2, "others", "likely"
#: Longest evidence file that is read [characters].
LONGEST_FILE = 200_000


class FailedView(EnquiryPage):
    """The view of an enquiry whose pump has failed."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._place = f"failed {session.user.id} {session.key}"
        self.told = Told.of_kept(app.storage.user.get(self._place) or {})
        self.found: Investigation | None = None
        self._shown: tuple[Papers, str] | None = None
        self._us = session.us
        self._typed: dict[str, Any] = {}                 # of a finding of one's own that is not added yet

    def body(self) -> None:
        """Set the checklist at the left, the answer in the middle, what to do next at the right."""
        self.weighing: Job[Investigation] = Job(self.progress, "mechanisms weighed")
        with ui.element("div").classes("row main"):
            with ui.element("div").classes("cell findings"):
                ui.html("<h2>What was found</h2>", sanitize=False)
                self.parts["told"] = ui.html("", sanitize=False).classes("paper-only")
                self.fault = ui.label("").classes("fault").props('role="alert"')
                self.fault.set_visibility(False)
                self.list = ui.element("div")
                self._write_list()
            with ui.element("div").classes("cell drawing failed"):
                for name in ("answer", "pins", "ranking", "matrix", "physics"):
                    self.parts[name] = ui.html("", sanitize=False)
            with ui.element("div").classes("cell side next"):
                for name in ("next", "cautions"):
                    self.parts[name] = ui.html("", sanitize=False)
        self.parts["answer"].set_content("<h1>Weighing ...</h1>")

    def _write_list(self) -> None:
        """Write the fields of everything that can be told; only after a file was read they are written anew."""
        self.list.clear()
        with self.list:
            with ui.element("div").classes("form"):
                ui.html('<label for="evidence-file">Load an evidence file; it takes the place of what is told</label>',
                        sanitize=False)
                file = ui.element("input").props('id="evidence-file" type="file" accept=".toml,text/plain"')
                file.on("change", lambda event: self._load(str(event.args)), js_handler=(
                    f"(e) => e.target.files[0] && e.target.files[0].slice(0, {LONGEST_FILE + 1}).text().then(emit)"))
                _entry("failed-title", "What failed, and when", self.told.title, self._take_title)
                with ui.element("div").classes("powers"):
                    for name, label in POWERS.items():
                        _entry(name, label, self.told.powers.get(name, ""), partial(self._take_power, name))
            for part, some in checklist():
                self._group(f"{part[:1].upper()}{part[1:]}, {len(some)}", part, {one.name: one.title for one in some})
            self.own = ui.element("div")
            self._write_own()

    def _write_own(self) -> None:
        self.own.clear()
        titles = self.told.titles()
        with self.own:
            own = {str(one["id"]): titles[str(one["id"])] for one in self.told.own}
            with self._group(f"Findings of your own, {len(own)}", "own", own):
                self._own_form()

    def _group(self, words: str, part: str, titles: Mapping[str, str]) -> ui.element:
        with ui.element("details").classes("numbers form") as group:
            group._props.update({"id": f"part-{part.replace(' ', '-')}", "open": any(
                self.told.states.get(name, STATES[0]) != STATES[0] for name in titles)})
            ui.html(escape(words), sanitize=False, tag="summary")
            for name, title in titles.items():
                self._finding(name, title)
        return group

    def _finding(self, name: str, title: str) -> None:
        """One finding with its state; with its weight and a note where something is told of it."""
        state = self.told.states.get(name, STATES[0])
        with ui.element("div").classes("finding"):
            ui.html(f'<label for="found-{escape(name)}">{escape(title)}</label>', sanitize=False)
            entry = _choice(f"found-{name}", STATES, state)
            weight = _field(f"weight-{name}", self.told.weights.get(name, "1"), f"weight of {title}, 0 to 1")
            weight.set_visibility(state in WEIGHED)
            note = _field(f"note-{name}", self.told.notes.get(name, ""), f"note to {title}")
            note.props(f'placeholder="where, how much, who says so" maxlength="{LONGEST}"').classes("note-of")
            note.set_visibility(state != STATES[0])
            if any(one["id"] == name for one in self.told.own):
                ui.html(button("Take away", "do", f"failed:drop {name}", label=f"take away: {title}"), sanitize=False)
            entry.on("change", lambda event: self._take_state(name, str(event.args), weight, note),
                     js_handler="(e) => emit(e.target.value)")
            _on_typed(weight, partial(self._take_weight, name))
            _on_typed(note, partial(self._take_note, name))

    def _own_form(self) -> None:
        """The fields of a finding of one's own; what is typed counts once it is added."""
        words, kept = tuple(bands()), self._typed
        named = {one.title: name for name, one in mechanisms().items() if name != SOMETHING_ELSE}
        kept.setdefault("part", OTHERS)
        kept.setdefault("otherwise", UNLIKELY)
        kept.setdefault("with", [["", LIKELY] for _ in range(SPEAKS_OF)])

        def keep(name: str, value: str) -> str:
            kept[name] = value.strip()[:LONGEST]
            return str(kept[name])

        def keep_with(number: int, at: int, value: str) -> None:
            kept["with"][number][at] = named.get(value, "") if at == 0 else value

        _entry("own-title", "What was found, in a few words", kept.get("title", ""), partial(keep, "title"))
        _label("own-part", "The part it was found on")
        _choice("own-part", (OTHERS, *PLACES), kept["part"]).on(
            "change", lambda event: keep("part", str(event.args)), js_handler="(e) => emit(e.target.value)")
        for number in range(SPEAKS_OF):
            chosen, likely = kept["with"][number]
            title = next((title for title, name in named.items() if name == chosen), "")
            _label(f"own-mechanism-{number}", "How likely it is with a mechanism" if not number else "and with another")
            with ui.element("div").classes("two"):
                for at, (name, some, value) in enumerate((("mechanism", ("", *named), title),
                                                          ("likely", words, likely))):
                    entry = _choice(f"own-{name}-{number}", some, value)
                    entry._props["aria-label"] = f"{name} {number + 1}"
                    entry.on("change", lambda event, number=number, at=at: keep_with(number, at, str(event.args)),
                             js_handler="(e) => emit(e.target.value)")
        _label("own-otherwise", "How likely with every other mechanism")
        _choice("own-otherwise", words, kept["otherwise"]).on(
            "change", lambda event: keep("otherwise", str(event.args)), js_handler="(e) => emit(e.target.value)")
        ui.html(f"<p>{button('Add the finding', 'do', 'failed:add')}</p><p class='soft'>The words of likelihood are "
                "yours: no source stands behind them.</p>", sanitize=False)

    def _take_title(self, typed: str) -> str:
        self.told.title = typed.strip()[:LONGEST]
        self._taken()
        return self.told.title

    def _take_power(self, name: str, typed: str) -> str:
        """A power is kept with its unit, so that it stays the same in other units."""
        unit = self.session.figures.unit(q.POWER)
        self.told.powers[name] = with_unit(typed.strip(), unit) if typed.strip() else ""
        self._taken()
        return self.told.powers[name]

    def _take_state(self, name: str, state: str, weight: ui.element, note: ui.element) -> None:
        if state in STATES:
            self.told.states[name] = state
            weight.set_visibility(state in WEIGHED)
            note.set_visibility(state != STATES[0])
            self._taken()

    def _take_weight(self, name: str, typed: str) -> str:
        self.told.weights[name] = typed.strip() or "1"
        self._taken()
        return self.told.weights[name]

    def _take_note(self, name: str, typed: str) -> str:
        self.told.notes[name] = typed.strip()[:LONGEST]
        self._taken()
        return self.told.notes[name]

    def _load(self, text: str) -> None:
        """Take the place of what is told by an evidence file."""
        try:
            if len(text) > LONGEST_FILE:
                raise InputError(f"is longer than {LONGEST_FILE} characters", field="evidence file")
            self.told, case = Told.of_file(text)
        except WetpathError as error:
            self._tell(str(error))
            return
        self._write_list()
        names = [one.name for one in self.session.record.cases]
        self.session.case = names.index(case) if case in names else self.session.case
        self._keep()
        self.refresh_case()

    def _add(self) -> None:
        """Add the finding of one's own that is typed."""
        kept = self._typed
        try:
            name = self.told.add(kept.get("title", ""), kept["part"], {
                mechanism: word for mechanism, word in kept["with"] if mechanism}, kept["otherwise"])
        except InputError as error:
            self._tell(str(error))
            return
        self._typed = {}
        self._write_own()
        self._taken()
        ui.run_javascript(f"document.getElementById('found-{name}')?.focus()")

    def _taken(self) -> None:
        """Keep what is told with the browser, and weigh anew."""
        self._keep()
        self.write_case()

    def _keep(self) -> None:
        app.storage.user[self._place] = self.told.kept()

    def write_case(self) -> None:
        """Weigh the mechanisms in the case looked at."""
        session = self.session
        if self._us != session.us:
            self._us = session.us
            if self.found is not None:
                self._show(self.found)
        self.fault.set_visibility(False)
        try:
            evidence = self.told.evidence(session.title, f"{session.key}.toml",
                                          session.desk.rated.rating.case_names[session.case])
        except (InputError, FileProblems) as error:
            self._tell(str(error))
            return
        key = session.desk.papers, text_of(evidence)
        if key == self._shown:
            return
        self._shown = key
        rating = session.desk.rated.rating
        self.weighing.start(lambda told, stopped: investigate(evidence, rating), self._show, self._not_weighed)

    def _not_weighed(self, words: str) -> None:
        self._shown = None
        self._tell(words)

    def _tell(self, words: str) -> None:
        """Tell what keeps the mechanisms from being weighed."""
        if self.found is None:
            self.parts["answer"].set_content("<h1>Not weighed</h1>")
        self.fault.set_text(words)
        self.fault.set_visibility(True)

    def stop(self) -> None:
        """Stop what is going on."""
        self.weighing.stop()

    def more_answers(self) -> Iterable[tuple[str, str, str]]:
        """Findings that are not seen yet: the ask line ticks them off."""
        for name, title in self.told.titles().items():
            if self.told.states.get(name) != "seen":
                yield title, "finding: seen", f"failed:seen {name}"

    def _show(self, found: Investigation) -> None:
        figures = self.session.figures
        self.found = found
        for name, content in (
                ("told", failed_parts.told_html(found)), ("answer", failed_parts.answer_html(found)),
                ("pins", failed_parts.pins_html(found)), ("ranking", failed_parts.ranking_html(found)),
                ("matrix", failed_parts.matrix_html(found)), ("physics", failed_parts.physics_html(found, figures)),
                ("next", failed_parts.next_html(found)), ("cautions", failed_parts.cautions_html(found, figures))):
            self.parts[name].set_content(content)
        self.live.set_text(sentence_of(found))

    async def view_do(self, name: str, value: str) -> None:
        """Add, take away or show a finding; hand out the report or the evidence file."""
        if name != "failed":
            return
        what, _, of = value.partition(" ")
        if what == "add":
            self._add()
        elif what == "drop":
            self.told.drop(of)
            self._write_own()
            self._taken()
        elif what == "seen" and of in self.told.titles():
            self.told.states[of] = "seen"
            self._write_list()
            self._taken()
        elif what == "pin":
            place = json.dumps(f"part-{of.replace(' ', '-')}")
            ui.run_javascript(f"const part = document.getElementById({place}); if (part) {{ part.open = true; "
                              "part.querySelector('summary').focus(); }")
        elif self.found is not None:
            await self._hand_out(self.found, value)

    async def _hand_out(self, found: Investigation, value: str) -> None:
        text, stem = text_of(found.evidence), f"{self.session.key}-evidence"
        if value == "toml":
            ui.download.content(text, f"{stem}.toml", "application/toml")
            return
        self.progress(1, 2, "setting the report")
        try:
            content = await run.io_bound(_pdf, found, text, f"{stem}.toml", self.session)
        finally:
            self.progress(0, 1, "")
        if content is not None:              # nothing comes back from a server that is going down
            ui.download(content, f"{self.session.key}-failure.pdf", "application/pdf")


def _label(name: str, words: str) -> None:
    ui.html(f'<label for="{escape(name)}">{escape(words[:1].upper() + words[1:])}</label>', sanitize=False)


def _field(name: str, shown: str, label: str = "") -> ui.element:
    field = ui.element("input")
    field._props.update({"id": name, "type": "text", "autocomplete": "off", "^value": shown}
                        | ({"aria-label": label, "title": label} if label else {}))
    return field


def _entry(name: str, label: str, shown: str, act: Callable[[str], str]) -> None:
    with ui.element("div"):
        _label(name, label)
        _on_typed(_field(name, shown), act)


def _choice(name: str, words: Iterable[str], chosen: str) -> ui.element:
    entry = ui.element("select")
    entry._props["id"] = name
    with entry:
        for one in words:
            option = ui.element("option").props(f"value={json.dumps(one)}")
            option._props["selected"] = one == chosen
            with option:
                ui.html(escape(one), tag="span", sanitize=False)
    return entry


def _on_typed(field: ui.element, act: Callable[[str], str]) -> None:
    """Tell what is typed, and leave in the field what was kept of it, unless more has been typed since."""
    def typed(words: str) -> None:
        kept = act(words)
        field._props["^value"] = kept           # an attribute: a redraw leaves alone what is being typed
        if kept != words:
            ui.run_javascript(f"const field = document.getElementById({json.dumps(field._props['id'])});"
                              f"if (field && field.value === {json.dumps(words)}) field.value = {json.dumps(kept)}")

    field.on("change", lambda event: typed(str(event.args)), js_handler="(e) => emit(e.target.value)")


def _pdf(found: Investigation, text: str, name: str, session: Session) -> bytes:
    from wetpath.faces.report.pdf import pdf_of

    origin = FileOrigin("evidence", name, hashlib.sha256(text.encode()).hexdigest())
    return pdf_of(investigation_report(found, (origin,), session.figures.units, datetime.now(UTC).date().isoformat()))
