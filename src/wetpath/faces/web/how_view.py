"""How it works: the present pump built up part by part, with its own numbers."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from nicegui import ui

from wetpath.drawing.svg import document, element
from wetpath.edge import quantities as q
from wetpath.faces.web import run_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.explain import number_button
from wetpath.faces.web.html import button
from wetpath.faces.web.session import Session
from wetpath.services.provenance import key_of


@dataclass(frozen=True)
class Step:
    """One step: its title, its sentences as HTML, and the parts of the drawing that stand out."""

    title: str
    sentences: tuple[str, ...]
    parts: tuple[str, ...]


def steps_of(session: Session) -> list[Step]:
    """Every step with the numbers of the case looked at."""
    case, figures, pump = session.case_record, session.figures, session.desk.shown.rating.pump
    at = session.record.cases.index(case)
    point, losses, coupling = case.operating_point, case.losses, case.coupling

    def number(value: float | None, kind: q.Kind, quantity: str = "", place: str = "", *, sign: bool = False) -> str:
        shown = figures.text(value, kind, sign=sign)
        return f"<b>{number_button(shown, key_of(at, quantity, place) if quantity else '', quantity)}</b>"

    journals = case.bearings.journals
    loads = " and ".join(f"{number(one.load_n, q.FORCE)} ({escape(one.name)})" for one in journals)
    steps = [
        Step("Casing and impeller", (
            f"The impeller, {number(pump.impeller.diameter, q.LENGTH)} in diameter, turns at "
            f"{number(point.speed_rad_per_s, q.ROTATIONAL_SPEED)}.",
            f"It takes {number(point.flow_m3_per_s, q.VOLUME_FLOW)} from the suction and raises it by "
            f"{number(point.head_m, q.HEAD, 'head')}.",
            f"At its eye the liquid needs {number(point.npsh_required_m, q.HEAD, 'npshr')} above its vapour pressure "
            f"(NPSH3) and has {number(point.npsh_available_m, q.HEAD, 'npsha')}."), ("casing", "impeller")),
        Step("Shaft and plain bearings", (
            "No shaft leaves the pump, so no shaft seal is needed. The shaft turns in plain bearings in the liquid.",
            f"The liquid pumped is what carries and cools them. They bear {loads}.",
            "A film of liquid keeps the faces apart. If that liquid boils, the film is gone."),
            ("shaft", "bearings", "bush-holder")),
        Step("Inner magnet ring", (
            f"Magnets on the shaft, {pump.inner_ring.poles} poles, under a closed sheath.",
            f"They stand in the liquid and are {number(coupling.inner_magnets_k, q.TEMPERATURE)} warm. Warm magnets "
            "are weaker."), ("inner-ring",)),
        Step("Containment shell", (
            f"A shell of {escape(pump.containment_shell.material)} closes the liquid in. Its wall is "
            f"{number(pump.containment_shell.wall, q.LENGTH)} thick.",
            "The turning field drives eddy currents in a metal wall: "
            f"{number(losses.eddy_w, q.POWER, 'eddy')} of heat.",
            f"The wall reaches {number(case.wall.temperature_k, q.TEMPERATURE, 'wall')}; it is "
            f"{number(case.wall.margin_k, q.TEMPERATURE_DIFFERENCE, 'wall-margin', sign=True)} from boiling the liquid "
            "beside it."), ("shell",)),
        Step("Outer magnet ring", (
            "Magnets on the driver's side turn around the shell and take the inner ring with them, without touching.",
            f"The pump asks {number(coupling.torque_n_m, q.TORQUE, 'torque')}; the rings slip at "
            f"{number(coupling.pull_out_torque_n_m, q.TORQUE)}, "
            f"{number(coupling.pull_out_over_torque, q.NUMBER, 'pull-out')} times as much.",
            f"The driver gives {number(losses.shaft_w, q.POWER, 'shaft')}; "
            f"{number(losses.efficiency, q.RATIO, 'efficiency')} of it reach the liquid as head."),
            ("outer-ring", "housing", "drive-shaft", "external-bearings"))]
    titles = {one.name: one for one in case.trace}
    for one in case.branches:
        start, end = (one.start, one.end) if one.flow_kg_per_s >= 0 else (one.end, one.start)
        first, last = titles.get(start), titles.get(end)
        if first is None or last is None:
            continue
        steps.append(Step(f"Circulation: {one.name}", (
            f"From station {escape(start)}, {escape(first.title)}, to station {escape(end)}, {escape(last.title)}: "
            f"{number(abs(one.flow_kg_per_s), q.MASS_FLOW, 'flow', one.name)}.",
            f"It takes up {number(one.heat_w, q.POWER)}. The liquid goes from "
            f"{number(first.temperature_k, q.TEMPERATURE, 'temperature', start)} to "
            f"{number(last.temperature_k, q.TEMPERATURE, 'temperature', end)}, and from "
            f"{number(first.pressure_pa, q.PRESSURE, 'pressure', start)} to "
            f"{number(last.pressure_pa, q.PRESSURE, 'pressure', end)}.",
            f"At the end its pressure is {number(last.margin_pa, q.PRESSURE_DIFFERENCE, 'margin', end, sign=True)} "
            f"from its vapour pressure: {last.standing.sign} {last.standing.value}."), ()))
    return steps


def _key_html(steps: list[Step], at: int) -> str:
    """What stands on the drawing so far, until the circulation brings the key of its own."""
    if not steps[at].parts:
        return ""

    def names(some: list[Step]) -> str:
        return ", ".join(one.title.lower() for one in some if one.parts)

    def line(fill: str, opacity: float, words: str) -> str:
        mark = document(element("rect", x=1, y=1, width=20, height=10, fill=fill, stroke="var(--ink)",
                                stroke_width=1.2, opacity=opacity), width=22, height=12, aria_hidden="true",
                        style="width:22px;display:inline-block;vertical-align:-1px")
        return f"<p class='c'>{mark} {escape(words)}</p>"

    pale = line("var(--metal)", 0.25, f"still to come: {names(steps[at + 1:])}") if names(steps[at + 1:]) else ""
    return (f"<h2 style='margin-top:14px'>On the drawing</h2>{line('var(--metal)', 1, names(steps[:at + 1]))}{pale}"
            + line("var(--liquid)", 1, "liquid that is pumped"))


class HowView(EnquiryPage):
    """The page that builds the pump up."""

    at_step = 0

    def body(self) -> None:
        """Set the rows of the view."""
        with ui.element("div").classes("row main"):
            self.parts["drawing"] = self.cell("drawing")
            with ui.element("div").classes("cell side"):
                self.parts["step"] = ui.html("", sanitize=False).props('aria-live="polite"')

    def write_case(self) -> None:
        """Write the step and the drawing."""
        steps = steps_of(self.session)
        self.at_step = min(self.at_step, len(steps) - 1)
        step = steps[self.at_step]
        shown = [part for one in steps[:self.at_step + 1] for part in one.parts]
        hidden = {part for one in steps for part in one.parts} - set(shown)
        dimmed = ",".join(f'.wp-section .part[id$="{part}"]' for part in sorted(hidden))
        flowless = "" if any("Circulation" in one.title for one in steps[:self.at_step + 1]) else (
            ".wp-section .station,.wp-section .box,.wp-section .leader,.wp-section .seg,.wp-section .seg-halo,"
            ".wp-section .seg-mark,.wp-section .heat,.wp-section #layer-legend"
            "{opacity:0;pointer-events:none}.drawing .switch{display:none}")
        if "shell" not in shown:
            flowless += ".wp-section #shell-wall{opacity:0}"
        style = f"<style>{dimmed}{'{opacity:.08}' if dimmed else ''}{flowless}</style>"
        self.parts["drawing"].set_content(style + run_parts.drawing_html(self.session))
        moves = " ".join((button("Back", "do", "back"), button("Next", "do", "next", classes="btn first")))
        sentences = "".join(f"<p>{one}</p>" for one in step.sentences)
        self.parts["step"].set_content(
            f"<h1>{escape(step.title)}</h1><p class='soft'>Step {self.at_step + 1} of {len(steps)}, case "
            f"{escape(self.session.case_record.name)}</p>{sentences}<p>{moves}</p>{_key_html(steps, self.at_step)}")

    async def on_event(self, event: object) -> None:
        """Arrow keys go through the steps here, not along the stations."""
        args = getattr(event, "args", {})
        if args.get("what") == "key" and args.get("value") in ("ArrowRight", "ArrowLeft"):
            self._go(1 if args["value"] == "ArrowRight" else -1)
        else:
            await super().on_event(event)

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button."""
        if name in ("next", "back"):
            self._go(1 if name == "next" else -1)
        elif name == "show":
            self.session.show(value)
            self.write_case()

    def _go(self, by: int) -> None:
        self.at_step = max(0, min(self.at_step + by, len(steps_of(self.session)) - 1))
        self.write_case()
