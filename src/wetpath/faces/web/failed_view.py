"""Why did it fail? What was found on the opened pump, the mechanisms that explain it, and what to look at next."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from html import escape
from typing import Any

from nicegui import app, run, ui

from wetpath.edge import quantities as q
from wetpath.edge.files import dump_document, validate
from wetpath.edge.quantities import Kind
from wetpath.edge.units import parse
from wetpath.errors import FileProblems, InputError
from wetpath.faces.report.investigation_sheet import investigation_report
from wetpath.faces.web import failed_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.job import Job
from wetpath.faces.web.sentence import with_unit
from wetpath.faces.web.session import Session
from wetpath.investigation.evidence import EvidenceFile
from wetpath.investigation.study import Investigation, investigate
from wetpath.services.desk import Papers
from wetpath.services.investigate import checklist, sentence_of
from wetpath.services.rating import FileOrigin

STATES: tuple[str, ...] = ("not looked at", "seen", "not there", "lost")
WEIGHED = ("seen", "not there")
POWERS = {"power_before": "power before", "power_after": "power when it began"}
TITLES = {one.name: one.title for _, some in checklist() for one in some}


class FailedView(EnquiryPage):
    """The view of an enquiry whose pump has failed."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._place = f"failed {session.user.id} {session.key}"
        kept: Any = app.storage.user.get(self._place) or {}
        self.title = str(kept.get("title", ""))
        self.states: dict[str, str] = {name: state for name, state in kept.get("states", {}).items()
                                       if name in TITLES and state in STATES}
        self.weights: dict[str, str] = {name: str(typed) for name, typed in kept.get("weights", {}).items()
                                        if name in TITLES}
        self.powers: dict[str, str] = {name: str(typed) for name, typed in kept.get("powers", {}).items()
                                       if name in POWERS}
        self.found: Investigation | None = None
        self._shown: tuple[Papers, str] | None = None
        self._us = session.us

    def body(self) -> None:
        """Set the checklist at the left, the answer in the middle, what to do next at the right."""
        self.weighing: Job[Investigation] = Job(self.progress, "mechanisms weighed")
        with ui.element("div").classes("row main"):
            with ui.element("div").classes("cell findings"):
                ui.html("<h2>What was found</h2>", sanitize=False)
                self.fault = ui.label("").classes("fault").props('role="alert"')
                self.fault.set_visibility(False)
                self.top = ui.element("div").classes("form")
                self._write_top()
                for part, some in checklist():
                    self._part_of_list(part, tuple(one.name for one in some))
            with ui.element("div").classes("cell drawing failed"):
                for name in ("answer", "ranking", "matrix", "physics"):
                    self.parts[name] = ui.html("", sanitize=False)
            with ui.element("div").classes("cell side next"):
                for name in ("next", "cautions"):
                    self.parts[name] = ui.html("", sanitize=False)
        self.parts["answer"].set_content("<h1>Weighing ...</h1>")

    def _write_top(self) -> None:
        self.top.clear()
        with self.top:
            self._entry("failed-title", "What failed, and when", self.title, self._take_title)
            with ui.element("div").classes("powers"):
                for name, label in POWERS.items():
                    self._entry(name, label, self.powers.get(name, ""), partial(self._take_power, name))

    def _part_of_list(self, part: str, names: tuple[str, ...]) -> None:
        with ui.element("details").classes("numbers form") as group:
            group._props["open"] = any(self.states.get(name, STATES[0]) != STATES[0] for name in names)
            ui.html(escape(f"{part[:1].upper()}{part[1:]}, {len(names)}"), sanitize=False, tag="summary")
            for name in names:
                self._finding(name)

    def _finding(self, name: str) -> None:
        """One finding with its state, and its weight where it counts."""
        state = self.states.get(name, STATES[0])
        with ui.element("div").classes("finding"):
            ui.html(f'<label for="found-{escape(name)}">{escape(TITLES[name])}</label>', sanitize=False)
            entry = ui.element("select").props(f'id="found-{name}"')
            with entry:
                for one in STATES:
                    option = ui.element("option").props(f"value={json.dumps(one)}")
                    option._props["selected"] = one == state
                    with option:
                        ui.html(one, tag="span", sanitize=False)
            weight = ui.element("input")
            weight._props.update({"id": f"weight-{name}", "type": "text", "autocomplete": "off",
                                  "title": "weight, 0 to 1", "aria-label": f"weight of {TITLES[name]}, 0 to 1",
                                  "^value": self.weights.get(name, "1")})
            weight.set_visibility(state in WEIGHED)
            entry.on("change", lambda event: self._take_state(name, str(event.args), weight),
                     js_handler="(e) => emit(e.target.value)")
            _on_typed(weight, partial(self._take_weight, name))

    def _entry(self, name: str, label: str, shown: str, act: Callable[[str], str]) -> None:
        with ui.element("div"):
            ui.html(f'<label for="{escape(name)}">{escape(label[:1].upper() + label[1:])}</label>', sanitize=False)
            field = ui.element("input")
            field._props.update({"id": name, "type": "text", "autocomplete": "off", "^value": shown})
            _on_typed(field, act)

    def _take_title(self, typed: str) -> str:
        self.title = typed.strip()
        self._taken()
        return self.title

    def _take_power(self, name: str, typed: str) -> str:
        """A power is kept with its unit, so that it stays the same in other units."""
        self.powers[name] = with_unit(typed.strip(), self.session.figures.unit(q.POWER)) if typed.strip() else ""
        self._taken()
        return self.powers[name]

    def _take_state(self, name: str, state: str, weight: ui.element) -> None:
        if state in STATES:
            self.states[name] = state
            weight.set_visibility(state in WEIGHED)
            self._taken()

    def _take_weight(self, name: str, typed: str) -> str:
        self.weights[name] = typed.strip() or "1"
        self._taken()
        return self.weights[name]

    def _taken(self) -> None:
        """Keep what is told with the browser, and weigh anew."""
        app.storage.user[self._place] = {"title": self.title, "states": dict(self.states),
                                         "weights": dict(self.weights), "powers": dict(self.powers)}
        self.write_case()

    def write_case(self) -> None:
        """Weigh the mechanisms in the case looked at."""
        session = self.session
        if self._us != session.us:
            self._us = session.us
            if self.found is not None:
                self._show(self.found)
        self.fault.set_visibility(False)
        try:
            evidence = self._evidence()
        except (InputError, FileProblems) as error:
            self._tell(str(error))
            return
        key = session.desk.papers, dump_document(evidence)
        if key == self._shown:
            return
        self._shown = key
        rating = session.desk.rated.rating
        self.weighing.start(lambda told, stopped: investigate(evidence, rating), self._show, self._not_weighed)

    def _evidence(self) -> EvidenceFile:
        """The evidence file of what is told; raises for what is mistyped."""
        entries: list[dict[str, Any]] = []
        for name, state in self.states.items():
            if state != STATES[0]:
                weight = _weight(self.weights.get(name, "1"), TITLES[name]) if state in WEIGHED else 1.0
                entries.append({"id": name, "state": state, "weight": weight})
        powers = {name: typed for name, typed in self.powers.items() if typed}
        for name, typed in powers.items():
            if _read(typed, q.POWER, POWERS[name]) <= 0:
                raise InputError("is not above zero", field=POWERS[name], value=f'"{typed}"')
        if len(powers) == 1:
            missing = next(label for name, label in POWERS.items() if name not in powers)
            raise InputError("is missing", field=missing, why="only the ratio of both powers is compared",
                             do="give both, or none")
        return validate({
            "title": self.title or self.session.title, "enquiry_file": f"{self.session.key}.toml",
            "case": self.session.desk.rated.rating.case_names[self.session.case], "findings": entries,
            "recorded": powers}, EvidenceFile, context={"texts": True})

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

    def _show(self, found: Investigation) -> None:
        figures = self.session.figures
        self.found = found
        for name, content in (
                ("answer", failed_parts.answer_html(found)), ("ranking", failed_parts.ranking_html(found)),
                ("matrix", failed_parts.matrix_html(found)), ("physics", failed_parts.physics_html(found, figures)),
                ("next", failed_parts.next_html(found)), ("cautions", failed_parts.cautions_html(found, figures))):
            self.parts[name].set_content(content)
        self.live.set_text(sentence_of(found))

    async def view_do(self, name: str, value: str) -> None:
        """Hand out the report or the evidence file."""
        found = self.found
        if name != "failed" or found is None:
            return
        text, stem = dump_document(found.evidence), f"{self.session.key}-evidence"
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


def _weight(typed: str, title: str) -> float:
    weight = _read(typed, q.RATIO, f"weight of {title}")
    if not 0 <= weight <= 1:
        raise InputError("is not a weight; allowed: 0 to 1", field=f"weight of {title}", value=f'"{typed}"')
    return weight


def _read(typed: str, kind: Kind, name: str) -> float:
    """A value typed; what is wrong is told with its name."""
    try:
        return parse(typed, kind)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=name, value=told.value, why=told.why, do=told.do) from None
