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
#: A practice of one's own begins with this.
OWN = 'wetpath = "practice/1"\nname = "Own practice"\n'


def limits_behind(record: Record, check: str) -> list[LimitRecord]:
    """Limits of the practice that a check asks, in the order of the practice."""
    names = BEHIND.get(check, (check,))
    return [one for one in record.practice.limits if one.name in names]


def with_limit(papers: Papers, name: str, value: str, source: str) -> Papers:
    """The papers with one limit of the practice replaced; an empty value gives the default back."""
    own = papers if papers.practice else Papers(papers.enquiry, papers.pump, OWN)
    place = f"practice:limit.{name}"
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
        if not limits or session.desk.tried:
            return
        with self.page.drawer_fields:
            ui.html("<h2 style='margin-top:10px'>Practice</h2><p class='soft'>"
                    f"{escape(session.record.practice.name)}. Enter rates with the changed limit; an empty field gives "
                    "the default back.</p>", sanitize=False)
            for number, one in enumerate(limits):
                self._entry(one, session.figures, focus and number == 0)

    def _entry(self, one: LimitRecord, figures: Figures, focus: bool) -> None:
        session, kind = self.page.session, kind_named(one.quantity)
        path = f"practice:limit.{one.name}.value"
        unit = figures.unit(kind)
        shown = f"{figures.significant(one.value, kind)}\u2009{unit}".rstrip()
        fault, default = session.faults.get(path), default_practice()[one.name]
        told = "" if default.value == one.value else f", default {figures.text(default.value, kind)}"
        with ui.element("div").classes("faulty" if fault else ""):
            words = default.meaning[:1].upper() + default.meaning[1:]
            ui.html(f'<label for="limit-{escape(one.name)}">{escape(words)}{escape(told)}</label>', sanitize=False)
            entry = ui.element("input")
            entry._props.update({"id": f"limit-{one.name}", "type": "text", "autocomplete": "off", "data-path": path,
                                 "^value": session.typed.get(path, shown)})
            if fault:
                entry._props["aria-invalid"] = "true"
                ui.html(fault_html(path, fault), sanitize=False).classes("fault").props('role="alert"')
            ui.html(f'<label for="source-{escape(one.name)}">Where it comes from, as reports print it</label>',
                    sanitize=False)
            source = ui.element("input")
            given = session.desk.papers.value(f"practice:limit.{one.name}.source")
            source._props.update({"id": f"source-{one.name}", "type": "text", "maxlength": "300",
                                  "^value": str(given or "")})
            entry.on("change", lambda event: self._take(one.name, with_unit(str(event.args), unit), None),
                     js_handler="(e) => emit(e.target.value)")
            source.on("change", lambda event: self._take(one.name, None, str(event.args)),
                      js_handler="(e) => emit(e.target.value)")
        if focus:
            ui.run_javascript(f"setTimeout(() => document.getElementById('limit-{one.name}')?.select(), 50)")

    async def _take(self, name: str, value: str | None, source: str | None) -> None:
        page, place = self.page, f"practice:limit.{name}"
        papers = page.session.desk.papers
        kept = papers.value(f"{place}.value") if papers.practice else None
        by = f"set by {page.session.user.name}, {datetime.now(UTC).date().isoformat()}"
        if value is None and kept is None:
            return                       # a source alone changes nothing until there is a value
        told = source or str((papers.practice and papers.value(f"{place}.source")) or by)
        await page.take(with_limit(papers, name, str(kept) if value is None else value, told), f"{place}.value",
                        value or "")
        page.explain_check(self.check)
