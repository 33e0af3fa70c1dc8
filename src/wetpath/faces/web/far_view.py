"""How far? Where every check holds over flow and temperature, and the suction pressure the wetted path needs."""

from __future__ import annotations

from html import escape
from typing import Any

import numpy as np
import plotly.graph_objects as go
from nicegui import ui

from wetpath.drawing.figures import Figures
from wetpath.drawing.palette import DARK, LIGHT
from wetpath.drawing.window_lines import bounding_lines
from wetpath.drawing.window_scale import round_in_units
from wetpath.drawing.window_words import basis_in_words, region_in_words
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.errors import InputError
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.html import cell, row, table
from wetpath.faces.web.job import Job
from wetpath.faces.web.session import Session
from wetpath.questions.window.required import required_at
from wetpath.questions.window.study import Window, study_window
from wetpath.rating.verdict import TIGHT_SHARE
from wetpath.services.desk import Papers
from wetpath.services.standing import AMPLE_SHARE
from wetpath.services.window import CAUTIONS, asked_of

#: Windows kept, so that going back and forth costs nothing.
KEPT = 16
#: Flows of the curves of the suction pressure needed, and rows and columns of its table.
CURVES, ROWS, COLUMNS = 3, 6, 4
_found: dict[tuple[Papers, int, str], Window] = {}
FONT = "IBM Plex Sans Condensed, Arial Narrow, sans-serif"


class FarView(EnquiryPage):
    """The third view of an enquiry."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.above = ""                  # suction above vapour pressure as typed; empty: that of the case
        self.window: Window | None = None
        self._shown: tuple[Papers, int, str] | None = None

    def body(self) -> None:
        """Set the map at the left, suction and bounds at the right."""
        self.job: Job[Window] = Job(self.progress, "points rated")
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
                    self.fault = ui.label("").classes("fault").props('role="alert"')
                    self.fault.set_visibility(False)
                self.needed = ui.plotly({}).classes("w-full").style("height:270px")
                self.parts["needed"] = ui.html("", sanitize=False)
                self.parts["bounds"] = ui.html("", sanitize=False)

    def write_case(self) -> None:
        """Work out the window around the case looked at."""
        session = self.session
        key = session.desk.papers, session.case, self.above
        if key == self._shown:
            return
        self._shown = key
        if key in _found:
            self._show(_found[key])
            return
        self.parts["answer"].set_content("<h1>Rating the window ...</h1>")
        rating, case, above = session.desk.rated.rating, session.record.cases[session.case].name, self.above
        pressure = {"suction_pressure": above} if above[-1:].lower() in ("a", "g") else {"above_vapour_pressure": above}
        try:
            asked = asked_of(rating.enquiry, case=case, **(pressure if above else {}))
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
                       found, self._failed)

    def stop(self) -> None:
        """Stop the rating of points."""
        self.job.stop()

    def _failed(self, words: str) -> None:
        self.parts["answer"].set_content("<h1>No window</h1>")
        self.fault.set_text(words)
        self.fault.set_visibility(True)

    def _suction(self, typed: str) -> None:
        self.above = typed.strip()
        self.fault.set_visibility(False)
        self.write_case()

    async def _point(self, event: Any) -> None:
        """Add the point clicked as an operating case."""
        points = (event.args or {}).get("points") if isinstance(event.args, dict) else None
        if not points or self.window is None:
            return
        figures, session = self.session.figures, self.session
        flow = f"{points[0]['x']:.4g} {figures.units.unit(q.VOLUME_FLOW).name}"
        temperature = f"{points[0]['y']:.4g} {figures.units.unit(q.TEMPERATURE).name}"
        count = len(session.record.cases)
        papers = session.desk.papers.with_case_copied(session.case + 1, f"{chr(65 + count % 26)} point of the window")
        at = f"enquiry:cases[{count + 1}]"
        papers = papers.with_value(f"{at}.flow", flow).with_value(f"{at}.temperature", temperature).with_value(
            f"{at}.head", None)
        if await self.take(papers):
            session.case = count
            self.refresh_case()

    def _show(self, window: Window) -> None:
        self.window = window
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
        self.map.update_figure(window_chart(window, figures))
        self.needed.update_figure(needed_chart(window, figures))
        self.parts["needed"].set_content(_needed_table(window, figures))
        self.parts["bounds"].set_content(_bounds_table(window, figures))
        notes = "".join(f"<p class='soft'>{escape(one)}</p>" for one in (*window.warnings, *CAUTIONS))
        self.parts["under"].set_content(
            f"<p class='soft'>A click on a point makes it an operating case. Circled letters: the cases.</p>{notes}")


def window_chart(window: Window, figures: Figures, *, dark: bool = False) -> go.Figure:
    """The map as a figure: how each point stands, where checks cease to hold, and the cases."""
    chart, ink = window.map, DARK if dark else LIGHT
    flow, temperature = _shown(chart.flow, q.VOLUME_FLOW, figures), _shown(chart.temperature, q.TEMPERATURE, figures)
    share = np.where(chart.rated, chart.governing_share, np.nan).T
    told = np.where(np.isnan(share), 0.0, np.digitize(share, (0.0, TIGHT_SHARE, AMPLE_SHARE)) + 1.0)
    titles = np.array([*chart.points.titles, "not rated"])[chart.governing].T
    words = np.array([["short of", "tight:", "holds, nearest:", "ample, nearest:"][int(max(level, 1)) - 1]
                      for level in told.ravel()]).reshape(told.shape)
    shades = [ink["nodata"], ink["mark"], "#f6dfb6", "#cfe0ea", "#a9cde0"]
    scale = [[edge / 5, shade] for place, shade in enumerate(shades) for edge in (place, place + 1)]
    found = go.Figure()
    found.add_trace(go.Heatmap(
        x=flow, y=temperature, z=told, zmin=-0.5, zmax=4.5, colorscale=scale, showscale=False, name="",
        customdata=np.dstack([words, titles]),
        hovertemplate=f"%{{x:.3~g}} {figures.unit(q.VOLUME_FLOW)}, %{{y:.1f}} {figures.unit(q.TEMPERATURE)}<br>"
                      "%{customdata[0]} %{customdata[1]}<extra></extra>"))
    dashes = ("solid", "dash", "dot", "dashdot", "longdash")
    for one in bounding_lines(chart, flow, temperature):
        parts = [np.vstack([part, [[np.nan, np.nan]]]) for part in one.bounding]
        points = np.vstack(parts)
        found.add_trace(go.Scatter(x=points[:, 0], y=points[:, 1], mode="lines", hoverinfo="skip", showlegend=False,
                                   line={"color": ink["short"], "width": 2.2,
                                         "dash": dashes[(one.number - 1) % len(dashes)]}))
        longest = max(one.bounding, key=len)
        middle = longest[len(longest) // 2]
        found.add_annotation(x=middle[0], y=middle[1], text=f"<b>{one.number} {escape(one.title)}</b>", showarrow=False,
                             font={"size": 12, "color": ink["short"]}, bgcolor=ink["paper"], borderpad=2)
    rating = window.rating
    for case in window.shown_cases:
        x = float(_shown(rating.inputs.flow[case], q.VOLUME_FLOW, figures))
        y = float(_shown(rating.inputs.temperature[case], q.TEMPERATURE, figures))
        found.add_trace(go.Scatter(
            x=[x], y=[y], mode="markers+text", text=[f"<b>{rating.case_names[case][:1]}</b>"], showlegend=False,
            marker={"size": 22, "color": ink["paper"], "line": {"color": ink["ink"], "width": 2}},
            hovertemplate=f"{escape(rating.case_names[case])}<extra></extra>", textfont={"color": ink["ink"]}))
    return _styled(found, ink, f"flow, {figures.unit(q.VOLUME_FLOW)}",
                   f"liquid temperature, {figures.unit(q.TEMPERATURE)}")


def needed_chart(window: Window, figures: Figures, *, dark: bool = False) -> go.Figure:
    """Suction pressure needed over temperature for a few flows, above the vapour pressure."""
    ink, found = DARK if dark else LIGHT, go.Figure()
    if not window.basis.liquid.has_vapour_pressure:
        return _styled(found, ink, "", "the vapour pressure is not known")
    flows = window.required_flow
    temperature = _shown(window.required_temperature, q.TEMPERATURE, figures)
    dashes = ("dot", "solid", "dash")
    for number, place in enumerate(np.linspace(0.15, 0.85, CURVES)):
        at = round(place * (flows.size - 1))
        above = _shown(window.required.above_vapour[at], q.PRESSURE_DIFFERENCE, figures)
        name = figures.text(float(flows[at]), q.VOLUME_FLOW)
        found.add_trace(go.Scatter(x=temperature, y=above, mode="lines", name=name,
                                   line={"color": ink["ample"], "dash": dashes[number % 3], "width": 2},
                                   hovertemplate=f"{name}: %{{y:.2f}}<extra></extra>"))
        known = np.flatnonzero(np.isfinite(above))
        if known.size:
            last = known[-1]
            found.add_annotation(x=float(temperature[last]), y=float(above[last]), text=name, showarrow=False,
                                 xanchor="right", yanchor="bottom", font={"size": 12, "color": ink["ink"]})
    return _styled(found, ink, f"liquid temperature, {figures.unit(q.TEMPERATURE)}",
                   f"suction needed above vapour pressure, {figures.unit(q.PRESSURE_DIFFERENCE)}")


def _styled(found: go.Figure, ink: Any, across: str, up: str) -> go.Figure:
    axis = {"gridcolor": ink["hair"], "gridwidth": 0.6, "linecolor": ink["ink"], "showline": True, "zeroline": False,
            "ticks": "", "title": {"font": {"size": 12, "color": ink["soft"]}}, "tickfont": {"color": ink["soft"]}}
    found.update_layout(paper_bgcolor="rgba(0,0,0,0)", plot_bgcolor="rgba(0,0,0,0)", showlegend=False,
                        font={"family": FONT, "size": 12.5, "color": ink["ink"]}, hovermode="closest",
                        margin={"l": 54, "r": 14, "t": 18, "b": 44}, xaxis=axis, yaxis=axis)
    found.update_xaxes(title_text=across)
    found.update_yaxes(title_text=up)
    return found


def _shown(values: Any, kind: Kind, figures: Figures) -> Any:
    return np.asarray(convert(values, kind, figures.units.unit(kind).name))


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
