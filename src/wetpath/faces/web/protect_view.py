"""What protects it? An upset over time, what each instrument shows of it, and the plan of protection."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from html import escape

from nicegui import ui

from wetpath.drawing.section import section_drawing
from wetpath.drawing.upset_lanes import lanes_drawing, moments
from wetpath.drawing.upset_words import answer_of_upset
from wetpath.edge import quantities as q
from wetpath.errors import FileProblems, InputError
from wetpath.faces.web import protect_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.job import Job
from wetpath.faces.web.session import Session
from wetpath.questions.protection.instruments import Instrument
from wetpath.questions.protection.study import Plan, case_to_start_from, plan_protection
from wetpath.services.desk import Papers
from wetpath.services.protection import COPIES, followed_of, instrument_list_text
from wetpath.services.upsets import PARAMETER_KINDS, Followed, duration_of, follow, instruments_of, parsed, upsets_of
from wetpath.upsets import KINDS, Upset

#: Plans kept, so that going back and forth costs nothing.
KEPT = 16
FIRST_SHOWN = "suction lost"
DURATION = "600 s"
_Own = tuple[tuple[str, str, str], ...]                      # instrument, set point and delay as typed
_found: dict[tuple[Papers, int, str, _Own], Plan] = {}


class ProtectView(EnquiryPage):
    """The fourth view of an enquiry."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        session.upset = session.upset if session.upset in KINDS else FIRST_SHOWN
        self.values: dict[str, str] = {}                     # parameters as typed, by name
        self.duration = DURATION
        self.own: dict[str, tuple[str, str]] = {}            # set point and delay as typed, by instrument
        self.plan: Plan | None = None
        self.followed: Followed | None = None
        self._shown: tuple[Papers, int, str, _Own] | None = None
        self._us = session.us

    def body(self) -> None:
        """Set the upset with its lanes and drawing at the left, the plan at the right."""
        self.follows: Job[Followed] = Job(self.progress, "upsets followed")
        self.plans: Job[Plan] = Job(self.progress, "causes followed", place=self.place)
        with ui.element("div").classes("row main"):
            with ui.element("div").classes("cell drawing upset"):
                self.parts["answer"] = ui.html("", sanitize=False)
                self.fields = ui.element("div").classes("form upset-form")
                self.fault = ui.label("").classes("fault").props('role="alert"')
                self.fault.set_visibility(False)
                self.parts["lanes"] = ui.html("", sanitize=False).classes("lanes")
                self.parts["moment"] = ui.html("", sanitize=False)
                self.parts["events"] = ui.html("", sanitize=False)
            with ui.element("div").classes("cell side"):
                self.parts["plan"] = ui.html("<h2>Every cause against every instrument</h2><p>Following every upset "
                                             "...</p>", sanitize=False)
                self.settings = ui.element("div").classes("form")
                self.parts["rest"] = ui.html("", sanitize=False)
        self._write_fields()

    def _write_fields(self) -> None:
        """The upset and its parameters, as fields."""
        session, figures = self.session, self.session.figures
        self.fields.clear()
        with self.fields:
            with ui.element("div"):
                ui.html('<label for="upset">What goes wrong</label>', sanitize=False)
                entry = ui.element("select").props('id="upset"').on(
                    "change", lambda event: self._choose(str(event.args)), js_handler="(e) => emit(e.target.value)")
                with entry:
                    for name, kind in KINDS.items():
                        option = ui.element("option").props(f"value={json.dumps(name)}")
                        option._props["selected"] = name == session.upset
                        with option:
                            ui.html(escape(kind.title), tag="span", sanitize=False)
            upset = Upset(session.upset)
            for name, one in KINDS[session.upset].parameters.items():
                shown = self.values.get(name, figures.text(upset.number(name), PARAMETER_KINDS[one.unit]))
                self._entry(f"set-{name}", one.text, shown, lambda typed, name=name: self._set(name, typed))
            self._entry("looked-at", "time looked at", self.duration, self._look_for)

    def _entry(self, name: str, label: str, shown: str, act: object) -> None:
        with ui.element("div"):
            ui.html(f'<label for="{escape(name)}">{escape(label[:1].upper() + label[1:])}</label>', sanitize=False)
            field = ui.element("input")
            field._props.update({"id": name, "type": "text", "autocomplete": "off", "^value": shown})
            field.on("change", lambda event: act(str(event.args)),  # type: ignore[operator]
                     js_handler="(e) => emit(e.target.value)")

    def _choose(self, kind: str) -> None:
        if kind in KINDS:
            self.session.upset, self.values = kind, {}
            self._write_fields()
            self.tell_address()
            self._follow()

    def _set(self, name: str, typed: str) -> None:
        self.values[name] = typed.strip()
        self._follow()

    def _look_for(self, typed: str) -> None:
        self.duration = typed.strip() or DURATION
        self.write_case()

    def more_answers(self) -> Iterable[tuple[str, str, str]]:
        """Every upset that can be followed."""
        return [(kind, "upset: follow", f"upset:{kind}") for kind in KINDS]

    def _own_key(self) -> _Own:
        return tuple((name, *texts) for name, texts in sorted(self.own.items()))

    def write_case(self) -> None:
        """Follow the upset from the case looked at, and plan the protection."""
        session = self.session
        key = session.desk.papers, session.case, self.duration, self._own_key()
        if self._us != session.us:
            self._us = session.us
            self._write_anew()
        if key == self._shown:
            return
        self._shown, self.plan = key, _found.get(key)
        self.fault.set_visibility(False)
        if self.plan is not None:
            self._show_plan(self.plan)
        self._follow()
        if self.plan is None:
            self._start_plan(key)

    def _write_anew(self) -> None:
        """Write everything in other units."""
        self._write_fields()
        if self.followed is not None:
            self._show(self.followed)
        if self.plan is not None:
            self._show_plan(self.plan)

    def _start_plan(self, key: tuple[Papers, int, str, _Own]) -> None:
        rating = self.session.desk.rated.rating
        asked = self._asked()
        if asked is None:
            return
        case, instruments, seconds = asked
        self.parts["plan"].set_content("<h2>Every cause against every instrument</h2><p>Following every upset ...</p>")

        def found(plan: Plan) -> None:
            while len(_found) >= KEPT:
                _found.pop(next(iter(_found)))
            _found[key] = plan
            if self._shown == key:
                self.plan = plan
                self._show_plan(plan)

        self.plans.start(lambda told, _stopped: plan_protection(
            rating, case=case, instruments=instruments, duration=seconds, copies=COPIES, progress=told),
            found, self._no_plan, key=key)

    def _no_plan(self, words: str) -> None:
        self.parts["plan"].set_content(f"<h2>No plan</h2><p>{escape(words)}</p>")

    def _asked(self) -> tuple[int, Mapping[str, Instrument], float] | None:
        """Case, instruments and time as they are asked for; what is wrong is told."""
        rating = self.session.desk.rated.rating
        try:
            seconds = duration_of(self.duration)
            instruments = self._instruments()
            try:
                return case_to_start_from(rating, self.session.case), instruments, seconds
            except InputError:
                return case_to_start_from(rating, None), instruments, seconds
        except (InputError, FileProblems) as error:
            self._tell(str(error))
            return None

    def _instruments(self) -> dict[str, Instrument]:
        if not self.own:
            return instruments_of(None)[0]
        fitted = instruments_of(None)[0]
        for name, (set_point, delay) in self.own.items():
            one = fitted[name]
            point = parsed(set_point, one.signal.kind, f"set point of {one.title}") if set_point else None
            fitted[name] = replace(one, given_set_point=point, delay=parsed(
                delay, q.TIME, f"delay of {one.title}") if delay else one.delay)
        return fitted

    def _follow(self) -> None:
        """Follow the upset chosen, from the plan where it holds it."""
        session = self.session
        self.fault.set_visibility(False)
        if self.plan is not None and not any(self.values.values()):
            known = followed_of(self.plan, session.upset)
            if known is not None:
                self._show(known)
                return
        asked = self._asked()
        if asked is None:
            return
        case, instruments, seconds = asked
        try:
            upsets = upsets_of([session.upset], [f"{name}={typed}" for name, typed in self.values.items() if typed])
        except InputError as error:
            self._tell(str(error))
            return
        rating, settings = session.desk.rated.rating, self.plan.settings if self.plan is not None else None
        self.follows.start(lambda told, stopped: follow(
            rating, upsets, case=case, instruments=dict(instruments), duration=seconds, copies=COPIES,
            settings=settings), self._show, self._tell)

    def _tell(self, words: str) -> None:
        """Tell what keeps the upset from being followed."""
        if self.followed is None:
            self.parts["answer"].set_content("<h1>Not followed</h1>")
        self.fault.set_text(words)
        self.fault.set_visibility(True)

    def stop(self) -> None:
        """Stop what is going on."""
        self.follows.stop()
        self.plans.stop()

    def _show(self, found: Followed) -> None:
        session, figures = self.session, self.session.figures
        self.followed = found
        standing, words = answer_of_upset(found)
        from_case = found.rating.case_names[found.case]
        other = "" if found.case == session.case else (
            f" Case {session.record.cases[session.case].name} comes to harm as rated, so the upset begins elsewhere.")
        self.parts["answer"].set_content(
            f"<h1>{standing.sign} {escape(found.cause.kind[:1].upper() + found.cause.kind[1:])}: "
            f"{escape(words[:1].lower() + words[1:])}</h1><p>From case {escape(from_case)}. Bands: 5 to 95 % of "
            f"{found.copies} copies of the model.{escape(other)}</p>")
        self.parts["lanes"].set_content(lanes_drawing(found, figures)
                                        + protect_parts.readings_table(found, figures))
        case = next((one for one in session.record.cases if one.name == from_case), session.case_record)
        told = escape(json.dumps(moments(found, figures), ensure_ascii=False, separators=(",", ":")))
        self.parts["moment"].set_content(
            protect_parts.slider(found) + section_drawing(session.record, case, figures, identity="moment")
            + f'<div id="moments" hidden>{told}</div>')
        self.parts["events"].set_content(protect_parts.events(found, figures))
        self.live.client.run_javascript("window.wetpathMoment && window.wetpathMoment()")
        self.live.set_text(f"{found.cause.title}: {words}.")

    def _show_plan(self, plan: Plan) -> None:
        figures = self.session.figures
        self.parts["plan"].set_content(protect_parts.plan_html(plan, figures, self.session.upset))
        self._write_settings(plan)
        self.parts["rest"].set_content(protect_parts.rest_html(plan, figures))

    def _write_settings(self, plan: Plan) -> None:
        """Set points and delays of the smallest set and of those typed, to be typed anew."""
        self.settings.clear()
        names = [one.instrument.name for one in plan.settings if one.usable and (
            one.instrument.name in plan.cover.settings or one.instrument.name in self.own)]
        rest = [one for one in plan.settings if one.usable and one.instrument.name not in names]
        with self.settings:
            ui.html("<h2>Set points and delays</h2><p class='soft'>Computed from the curve, all liquids and instrument "
                    "errors; type your own.</p>", sanitize=False)
            for one in [one for one in plan.settings if one.instrument.name in names]:
                self._setting(one.instrument.name, protect_parts.setting_words(one, self.session.figures))
            with ui.element("details").classes("numbers"):
                ui.html("Other instruments", sanitize=False, tag="summary")
                for one in rest:
                    self._setting(one.instrument.name, protect_parts.setting_words(one, self.session.figures))

    def _setting(self, name: str, words: tuple[str, str, str]) -> None:
        title, set_point, delay = words
        with ui.element("div").classes("two"):
            self._entry(f"point-{name}", title, self.own.get(name, (set_point, ""))[0] or set_point,
                        lambda typed: self._own(name, typed, None))
            self._entry(f"delay-{name}", "delay", self.own.get(name, ("", delay))[1] or delay,
                        lambda typed: self._own(name, None, typed))

    def _own(self, name: str, set_point: str | None, delay: str | None) -> None:
        """Take a set point or a delay typed; nothing typed takes the computed one again."""
        old = self.own.get(name, ("", ""))
        new = (old[0] if set_point is None else set_point.strip(), old[1] if delay is None else delay.strip())
        if any(new):
            self.own[name] = new
        else:
            self.own.pop(name, None)
        self.write_case()

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button."""
        if name == "upset":
            self._choose(value)
        elif name == "instrument-list" and self.plan is not None:
            ui.download.content(instrument_list_text(self.plan, self.session.figures.units), "instruments.csv",
                                "text/csv")

    def parameters(self) -> dict[str, str]:
        """What is looked at, the upset with it, as parameters of the address."""
        return super().parameters() | {"upset": self.session.upset}

    def asked(self) -> str | None:
        """The address of what is looked at; set points as typed and another time are in none."""
        return None if self.own or self.duration != DURATION else super().asked()
