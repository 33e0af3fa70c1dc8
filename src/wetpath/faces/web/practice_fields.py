"""The limits of the practice behind a check, as fields; a changed limit names where it comes from: reports print it."""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape
from typing import TYPE_CHECKING

from nicegui import ui

from wetpath.drawing.checks import kind_named
from wetpath.drawing.figures import Figures
from wetpath.edge.practice import default_practice
from wetpath.faces.web.fault import fault_html
from wetpath.faces.web.sentence import with_unit
from wetpath.faces.web.session import Session
from wetpath.services.desk import Papers
from wetpath.services.record import LimitRecord, Record

if TYPE_CHECKING:
    from wetpath.faces.web.enquiry_page import EnquiryPage

#: Limits behind checks that do not bear the name of their limit.
BEHIND: dict[str, tuple[str, ...]] = {
    "npsh": ("npsh_margin_ratio", "npsh_margin_head_hydrocarbon", "npsh_margin_head_chemical",
             "npsh_margin_ratio_outside_preferred", "npsh_margin_head_outside_preferred"),
    "suction_specific_speed": ("suction_specific_speed_highest",), "shell_wall": ("shell_wall_least",),
    "axial_thrust": ("thrust_specific_load",), "axial_thrust_worn": ("thrust_specific_load",),
    "preferred_lowest": ("preferred_flow_lowest", "preferred_flow_lowest_high_specific_speed"),
    "preferred_highest": ("preferred_flow_highest", "preferred_flow_highest_high_specific_speed"),
    "rated_lowest": ("rated_flow_lowest",), "rated_highest": ("rated_flow_highest",),
    "motor_margin": ("motor_margin_small", "motor_margin_medium", "motor_margin_large"),
    "supply_frequency": ("motor_speed_off_field",), "boiling_after_stop": ("standstill_margin_temperature",),
    "inner_magnets": ("magnet_temperature_margin",), "outer_magnets": ("magnet_temperature_margin",),
    "temperature_class_normal": ("temperature_class_margin", "temperature_class_margin_hot"),
    "autoignition": ("autoignition_margin", "autoignition_share")}
#: Where limits stand in the papers.
PLACE = "practice:limit."
#: A practice of one's own begins with this.
OWN = 'wetpath = "practice/1"\nname = "Own practice"\n'


def limits_behind(record: Record, check: str) -> list[LimitRecord]:
    """Limits of the practice that a check asks, in the order of the practice."""
    names = BEHIND.get(check, (check,))
    return [one for one in record.practice.limits if one.name in names]


def with_limit(papers: Papers, name: str, value: str, source: str) -> Papers:
    """The papers with one limit of the practice replaced; an empty value gives the default back."""
    own = papers if papers.practice else Papers(papers.enquiry, papers.pump, OWN)
    place = f"{PLACE}{name}"
    if not value.strip():
        return own.with_value(place, None)
    return own.with_value(f"{place}.value", value).with_value(f"{place}.source", source)


class PracticeFields:
    """Fields for the limits behind the check that the side sheet shows."""

    def __init__(self, page: EnquiryPage) -> None:
        self.page = page
        self.check = ""

    def open(self, check: str, *, focus: bool = False) -> None:
        """Set the fields under the explanation of a check."""
        self.check = check
        session = self.page.session
        limits = limits_behind(session.record, check)
        if not limits:
            return
        told = session.locked or _of_trial(session) or (
            "Enter rates with the changed limit; an empty field gives the default back.")
        with self.page.drawer_fields:
            ui.html("<h2 style='margin-top:10px'>Practice</h2><p class='soft'>"
                    f"{escape(session.record.practice.name)}. {escape(told)}</p>", sanitize=False)
            for one in limits:
                self._entry(one, session.figures)
        if focus:
            ui.run_javascript(f"setTimeout(() => document.getElementById('limit-{limits[0].name}')?.select(), 50)")

    def close(self) -> None:
        """Forget the check: the side sheet shows something else."""
        self.check = ""

    def _entry(self, one: LimitRecord, figures: Figures) -> None:
        session, kind, place = self.page.session, kind_named(one.quantity), f"{PLACE}{one.name}"
        shown = f"{figures.significant(one.value, kind)}\u2009{figures.unit(kind)}".rstrip()
        default = default_practice()[one.name]
        told = "" if default.value == one.value else f", default {figures.text(default.value, kind)}"
        given = session.desk.papers.value(f"{place}.source") if session.desk.papers.practice else None
        words = f"{default.meaning[:1].upper()}{default.meaning[1:]}{told}"
        self._input(f"limit-{one.name}", words, f"{place}.value", shown)
        self._input(f"source-{one.name}", "Where it comes from, as reports print it", f"{place}.source",
                    str(given or ""))

    def _input(self, identity: str, words: str, path: str, shown: str) -> None:
        session = self.page.session
        fault, why = session.faults.get(path), session.locked or _of_trial(session)
        with ui.element("div").classes("faulty" if fault else ""):
            ui.html(f'<label for="{escape(identity)}">{escape(words)}</label>', sanitize=False)
            entry = ui.element("input")
            entry._props.update({"id": identity, "type": "text", "autocomplete": "off", "maxlength": "300",
                                 "data-path": path, "^value": session.typed.get(path, shown)})
            if why:
                entry._props.update({"readonly": True, "title": why})
            if fault:
                entry._props.update({"aria-invalid": "true", "aria-describedby": f"{identity}-fault"})
                ui.html(fault_html(path, fault), sanitize=False).classes("fault").props(
                    f'role="alert" id="{identity}-fault"')

    async def enter(self, path: str, typed: str) -> None:
        """A limit or its source was entered: rate with it, or say under the field what is wrong."""
        page, session = self.page, self.page.session
        name, _, what = path.removeprefix(PLACE).rpartition(".")
        limit = next((one for one in session.record.practice.limits if one.name == name), None)
        if limit is None:
            return
        place, is_value = f"{PLACE}{name}", what == "value"
        value = with_unit(typed, session.figures.unit(kind_named(limit.quantity)))
        by = f"set by {session.user.name}, {datetime.now(UTC).date().isoformat()}"

        def changed(papers: Papers) -> Papers:
            own = papers.practice
            told = typed if not is_value else session.typed.get(f"{place}.source") or (
                own and papers.value(f"{place}.source"))
            kept = papers.value(f"{place}.value") if own else None
            return with_limit(papers, name, value if is_value else str(kept), str(told or by))

        if not is_value and not (session.desk.papers.practice and session.desk.papers.value(f"{place}.value")):
            session.typed[path] = typed      # waits for a value: a source alone changes nothing
            await page.keep_draft()
            return
        taken = await page.take(changed, path, typed)
        if taken and is_value:
            session.typed.pop(f"{place}.source", None)
        if self.check and page.drawer.visible:
            page.explain_check(self.check)


def _of_trial(session: Session) -> str:
    """Why limits wait while a change is tried."""
    return "A change is tried and not kept. Keep it or drop it before a limit is changed." if session.desk.tried else ""
