"""How far? Where every check holds over flow and temperature, and the suction pressure the wetted path needs."""

from __future__ import annotations

from html import escape
from typing import Any

import numpy as np
from nicegui import ui

from wetpath.drawing.figures import Figures
from wetpath.drawing.window_scale import round_in_units
from wetpath.drawing.window_words import basis_in_words, region_in_words
from wetpath.edge import quantities as q
from wetpath.edge.units import parse
from wetpath.errors import InputError
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.far_charts import needed_chart, window_chart
from wetpath.faces.web.html import as_table, button, cell, row, table
from wetpath.faces.web.job import Job
from wetpath.faces.web.sentence import with_unit
from wetpath.faces.web.session import Session
from wetpath.questions.window.required import required_at
from wetpath.questions.window.study import Search, Window, study_window
from wetpath.rating.verdict import TIGHT_SHARE
from wetpath.services.desk import Papers
from wetpath.services.window import CAUTIONS, asked_of

#: Windows kept, so that going back and forth costs nothing.
KEPT = 16
#: Rows and columns of the table of the suction pressure needed.
ROWS, COLUMNS = 6, 4
_found: dict[tuple[Papers, int, str], Window] = {}


class FarView(EnquiryPage):
    """The third view of an enquiry."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.window: Window | None = None
        self._shown: tuple[Papers, int, str] | None = None
        self._us = session.us
        self._told_at: tuple[str, str] | None = None     # the point last told, as typed

    def body(self) -> None:
        """Set the map at the left, suction and bounds at the right."""
        self.job: Job[Window] = Job(self.progress, "points rated", place=self.place)
        with ui.element("div").classes("row main"):
            with ui.element("div").classes("cell drawing"):
                self.parts["answer"] = ui.html("", sanitize=False)
                self.map = ui.plotly({}).classes("w-full").style("height:560px")
                self.map.on("plotly_click", self._point)
                self.parts["under"] = ui.html("", sanitize=False)
            with ui.element("div").classes("cell side"):
                with ui.element("div").classes("form"):
                    ui.html('<label for="above">Suction above vapour pressure, or absolute with a or g; empty: that of '
                            "the case</label>", sanitize=False)
                    self.entry = ui.element("input").props('id="above" type="text" placeholder="0.6 bar"').on(
                        "change", lambda event: self._suction(str(event.args)),
                        js_handler="(e) => emit(e.target.value)")
                    self.entry._props["^value"] = self.session.above
                    ui.html('<label for="above-slide">The same, slid from 0 to twice that of the case</label>',
                            sanitize=False)
                    self.slide = ui.element("input").props(
                        'id="above-slide" type="range" min="0" max="1" step="0.01" value="0.5"')
                    self.slide.on("change", lambda event: self._slid(float(event.args)),
                                  js_handler="(e) => emit(e.target.value)")
                    self.fault = ui.label("").classes("fault").props('role="alert"')
                    self.fault.set_visibility(False)
                    ui.html('<label for="point">Suction needed at a point: flow, temperature</label>', sanitize=False)
                    self.point = ui.element("input").props('id="point" type="text"').on(
                        "change", lambda event: self._at_point(str(event.args)),
                        js_handler="(e) => emit(e.target.value)")
                    self.parts["point"] = ui.html("", sanitize=False).props('aria-live="polite"')
                self.needed = ui.plotly({}).classes("w-full").style("height:270px")
                self.parts["needed"] = ui.html("", sanitize=False)
                self.parts["bounds"] = ui.html("", sanitize=False)

    def write_case(self) -> None:
        """Work out the window around the case looked at."""
        session = self.session
        key = session.desk.papers, session.case, session.above
        if key == self._shown:
            if self._us != session.us and self.window is not None:
                self._show(self.window)
            return
        self._shown = key
        if key in _found:
            self._show(_found[key])
            return
        self.parts["answer"].set_content("<h1>Rating the window ...</h1>")
        rating, case, above = session.desk.rated.rating, session.record.cases[session.case].name, session.above
        pressure = {"suction_pressure": above} if above[-1:].lower() in ("a", "g") else {"above_vapour_pressure": above}
        try:
            asked = asked_of(rating.enquiry, case=case, search=Search.MIDDLE, **(pressure if above else {}))
        except InputError as error:
            self._failed(str(error))
            return

        def found(window: Window) -> None:
            while len(_found) >= KEPT:
                _found.pop(next(iter(_found)))
            if window.complete:
                _found[key] = window
            if self._shown == key:
                self._show(window)

        self.job.start(lambda progress, stopped: study_window(rating, asked, progress=progress, cancelled=stopped),
                       found, self._failed, key=key)

    def parameters(self) -> dict[str, str]:
        """What is looked at, the suction typed with it, as parameters of the address."""
        return super().parameters() | ({"above": self.session.above} if self.session.above else {})

    def stop(self) -> None:
        """Stop the rating of points."""
        self.job.stop()

    def _failed(self, words: str) -> None:
        self.parts["answer"].set_content("<h1>No window</h1>")
        self.fault.set_text(words)
        self.fault.set_visibility(True)

    def _suction(self, typed: str) -> None:
        self.session.above = typed.strip()
        self.tell_address()
        self.fault.set_visibility(False)
        self.write_case()

    def _slid(self, share: float) -> None:
        """Take a suction pressure above vapour pressure from the slider, and write it into the field."""
        figures = self.session.figures
        typed = figures.text(round(2 * share * self._of_case(), -3), q.PRESSURE_DIFFERENCE)
        self.entry._props["value"] = typed
        self.entry.update()
        self._suction(typed)

    def _of_case(self) -> float:
        """Suction pressure of the case above the vapour pressure [Pa]; at least a tenth of a bar."""
        rating, case = self.session.desk.rated.rating, self.session.case
        situation = rating.situation
        liquid = situation.liquids[situation.model_of[case]]
        vapour = float(liquid.vapour_pressure(float(rating.inputs.temperature[case])))
        found = float(rating.inputs.pressure[case]) - vapour
        return max(found, 1e4) if np.isfinite(found) else 1e5

    def _point(self, event: Any) -> None:
        """Tell what a point clicked needs."""
        points = (event.args or {}).get("points") if isinstance(event.args, dict) else None
        if not points or self.window is None:
            return
        figures = self.session.figures
        self._at_point(f"{points[0]['x']:.3g} {figures.units.unit(q.VOLUME_FLOW).name}, "
                       f"{points[0]['y']:.1f} {figures.units.unit(q.TEMPERATURE).name}")

    def _at_point(self, typed: str) -> None:
        """Tell the suction pressure needed at a point, typed or clicked, and offer it as an operating case."""
        if self.window is None:
            return
        figures, basis = self.session.figures, self.window.basis
        first, _, second = typed.partition(";" if ";" in typed else ",")
        words = (with_unit(first, figures.units.unit(q.VOLUME_FLOW).name),
                 with_unit(second, figures.units.unit(q.TEMPERATURE).name))
        try:
            flow, temperature = parse(words[0], q.VOLUME_FLOW), parse(words[1], q.TEMPERATURE)
        except InputError as error:
            self.parts["point"].set_content(f"<p class='fault' role='alert'>{escape(str(error))}</p>")
            return
        told = "The vapour pressure of this liquid is not known: no suction pressure can be told."
        if basis.liquid.has_vapour_pressure:
            found = required_at(basis, np.array([flow]), np.array([temperature]))
            pressure, above = float(found.pressure[0]), float(found.above_vapour[0])
            told = (f"<b>{figures.text(pressure, q.PRESSURE)}</b> needed at the suction, "
                    f"{figures.text(above, q.PRESSURE_DIFFERENCE, sign=True)} above the vapour pressure."
                    if np.isfinite(pressure) else "No suction pressure within reach is enough there.")
        self._told_at = words
        self.parts["point"].set_content(
            f"<p>{figures.text(flow, q.VOLUME_FLOW)}, {figures.text(temperature, q.TEMPERATURE)}: {told} "
            f"{button('Add as operating case', 'do', 'add-point', why_not=self.session.locked)}</p>")

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button."""
        if name == "add-point" and self._told_at:
            await self._add(*self._told_at)

    async def _add(self, flow: str, temperature: str) -> None:
        """Add a point as an operating case."""
        session, number = self.session, self.session.case + 1

        def added(papers: Papers) -> Papers:
            count = len(session.desk.rated.record.cases)
            at = f"enquiry:cases[{count + 1}]"
            return papers.with_case_copied(number, f"{chr(65 + count % 26)} point of the window").with_value(
                f"{at}.flow", flow).with_value(f"{at}.temperature", temperature).with_value(f"{at}.head", None)

        if await self.take(added):
            session.case = len(session.record.cases) - 1
            self.refresh_case()

    def _show(self, window: Window) -> None:
        self.window, self._us = window, self.session.us
        figures, chart = self.session.figures, window.map
        short = window.bounds.short_here
        if not chart.holds.any():
            head = "▼ No point of this window holds every check"
        elif short:
            head = f"▼ Outside: short of {short[0]}" + (f" and {len(short) - 1} more" if len(short) > 1 else "")
        else:
            head = f"● Holds at {figures.text(chart.share_that_holds, q.RATIO)} of the window"
        words = " ".join([*region_in_words(window, figures), basis_in_words(window, figures)])
        partial = "" if window.complete else "<p class='soft'>Stopped; what is rated is kept.</p>"
        self.parts["answer"].set_content(f"<h1>{escape(head)}</h1><p>{escape(words)}</p>{partial}")
        self.live.set_text(head)
        self.map.update_figure(window_chart(window, figures))
        self.needed.update_figure(needed_chart(window, figures))
        if self._told_at:
            self._at_point(", ".join(self._told_at))
        self.parts["needed"].set_content(_needed_table(window, figures))
        self.parts["bounds"].set_content(_bounds_table(window, figures))
        notes = "".join(f"<p class='soft'>{escape(figures.in_words(one))}</p>"
                        for one in (*window.warnings, *CAUTIONS))
        self.parts["under"].set_content(as_table(_map_table(window, figures)) + (
            "<p class='soft'>A click on a point tells what it needs and offers it as an operating case. "
            f"Circled letters: the cases.</p>{notes}"))


def _map_table(window: Window, figures: Figures) -> str:
    """The map in numbers: how some of its rated points stand, and by which check."""
    chart = window.map
    across = np.unique(np.linspace(0, chart.flow.size - 1, ROWS + 1).round().astype(int))
    up = np.unique(np.linspace(0, chart.temperature.size - 1, COLUMNS).round().astype(int))

    def words(flow: int, temperature: int) -> str:
        if not chart.rated[flow, temperature]:
            return "not rated"
        share = float(chart.governing_share[flow, temperature])
        sign = "▼" if share < 0 else "◆" if share < TIGHT_SHARE else "●"
        return f"{sign} {chart.points.titles[chart.governing[flow, temperature]]}"

    rows = [row((cell(figures.number(float(chart.flow[i]), q.VOLUME_FLOW), number=True, bold=True),
                 *(cell(words(int(i), int(j))) for j in up))) for i in across]
    return table([(figures.unit(q.VOLUME_FLOW), True), *(
        (figures.text(float(chart.temperature[j]), q.TEMPERATURE), False) for j in up)], rows,
        caption="The check that governs, over flow and liquid temperature") + (
        "<p class='soft'>The check that governs at the point: ▼ short, ◆ tight, ● holds.</p>")


def _needed_table(window: Window, figures: Figures) -> str:
    if not window.basis.liquid.has_vapour_pressure:
        return "<p>The vapour pressure of this liquid is not known: no suction pressure can be told.</p>"
    flows = round_in_units(window.map.flow, q.VOLUME_FLOW, figures.units, ROWS)
    temperatures = round_in_units(window.map.temperature, q.TEMPERATURE, figures.units, COLUMNS)
    flow, temperature = (one.ravel() for one in np.meshgrid(flows, temperatures, indexing="ij"))
    required = required_at(window.basis, flow, temperature)
    rows = []
    for number, one in enumerate(flows):
        at = slice(number * temperatures.size, (number + 1) * temperatures.size)
        rows.append(row((cell(figures.number(float(one), q.VOLUME_FLOW), number=True, bold=True), *(
            cell(f"{figures.number(float(p), q.PRESSURE)} "
                 f"<span class='soft'>({figures.number(float(a), q.PRESSURE_DIFFERENCE, sign=True)})</span>",
                 number=True, raw=True)
            for p, a in zip(required.pressure[at], required.above_vapour[at], strict=True)))))
    names = [(figures.text(float(one), q.TEMPERATURE), True) for one in temperatures]
    unit = figures.unit(q.PRESSURE)
    return "<h2>Suction pressure needed for every vapour demand to hold</h2>" + table(
        [(figures.unit(q.VOLUME_FLOW), True), *names], rows, caption="Suction pressure needed") + (
        f"<p class='soft'>{unit}; in brackets above the vapour pressure at that temperature.</p>")


def _bounds_table(window: Window, figures: Figures) -> str:
    rows = []
    for way in window.bounds.ways:
        met = "; ".join(f"{one.title} at {figures.text(one.at, way.kind)}" for one in way.met[:4])
        rows.append(row((cell(way.name), cell(met or f"none up to {figures.text(way.end, way.kind)}"))))
    return f"<h2 style='margin-top:8px'>Bounds, in the order they are met from case {escape(window.case_name)}</h2>" + (
        table([("way", False), ("check", False)], rows, caption="Bounds"))
