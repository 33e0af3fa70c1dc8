"""The figures of *How far?*: the map of flow and temperature, and the suction pressure needed.

They are drawn in the light colours; the page puts references to its own colours in their place, so that dark screens
and paper follow.
"""

from __future__ import annotations

from html import escape
from itertools import pairwise
from typing import Any

import contourpy
import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from wetpath.drawing.figures import Figures
from wetpath.drawing.palette import LIGHT
from wetpath.drawing.window_lines import bounding_lines
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.questions.window.study import Window
from wetpath.rating.verdict import TIGHT_SHARE
from wetpath.services.standing import AMPLE_SHARE

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]

FONT = "IBM Plex Sans Condensed, Arial Narrow, sans-serif"
#: Flows of the curves of the suction pressure needed.
CURVES = 3
#: Shares beyond this are drawn alike.
FAR_SHARE = 50.0
#: Size of the map on paper, as far as names on lines need it [pixels].
ACROSS, UP = 820.0, 490.0
DASHES = ("solid", "dash", "dot", "dashdot", "longdash")
#: Places along a line at which its name is tried.
TRIED = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
#: A line shorter than this has its name beside it, so far off [pixels].
SHORT_LINE, ASIDE = 60.0, (0.0, 24.0, -24.0, 48.0, -48.0, 96.0, -96.0, 160.0, -160.0)
#: Least distance of the names of curves, as a share of the scale.
APART = 0.075


def shown(values: Any, kind: Kind, figures: Figures) -> Any:
    """Values in the unit of the set."""
    return np.asarray(convert(values, kind, figures.units.unit(kind).name))


def window_chart(window: Window, figures: Figures) -> go.Figure:
    """The map: how each point stands, where checks cease to hold, and the cases."""
    chart = window.map
    flow, temperature = shown(chart.flow, q.VOLUME_FLOW, figures), shown(chart.temperature, q.TEMPERATURE, figures)
    found = go.Figure()
    share = np.clip(np.where(chart.rated, chart.governing_share, np.nan).T, -FAR_SHARE, FAR_SHARE)
    for low, high, area in ((AMPLE_SHARE, np.inf, "amplearea"), (TIGHT_SHARE, AMPLE_SHARE, "holdsarea"),
                            (0.0, TIGHT_SHARE, "tightarea"), (-np.inf, 0.0, "mark")):
        found.add_trace(_area(flow, temperature, share, low, high, area))
    found.add_trace(_readings(window, figures, flow, temperature, share))
    scale = _Paper(flow, temperature)
    rating = window.rating
    at = [(float(shown(rating.inputs.flow[case], q.VOLUME_FLOW, figures)),
           float(shown(rating.inputs.temperature[case], q.TEMPERATURE, figures)), rating.case_names[case])
          for case in window.shown_cases]
    for x, y, _ in at:
        scale.take(x, y)
    for one in bounding_lines(chart, flow, temperature):
        points = np.vstack([np.vstack([part, [[np.nan, np.nan]]]) for part in one.bounding])
        found.add_trace(go.Scatter(x=points[:, 0], y=points[:, 1], mode="lines", hoverinfo="skip", line={
            "color": LIGHT["short"], "width": 2.2, "dash": DASHES[(one.number - 1) % len(DASHES)]}))
        words = f"{one.number} {one.title}"
        x, y, steep = scale.name(max(one.bounding, key=len), words)
        found.add_annotation(x=x, y=y, text=f"<b>{escape(words)}</b>", showarrow=False, textangle=-90 if steep else 0,
                             font={"size": 12, "color": LIGHT["short"]}, bgcolor=LIGHT["paper"], borderpad=2)
    for x, y, name in at:
        found.add_trace(go.Scatter(
            x=[x], y=[y], mode="markers+text", text=[f"<b>{escape(name[:1])}</b>"], cliponaxis=False,
            marker={"size": 22, "color": LIGHT["paper"], "line": {"color": LIGHT["ink"], "width": 2}},
            hovertemplate=f"{escape(name)}<extra></extra>", textfont={"color": LIGHT["ink"]}))
    found.update_xaxes(range=[float(flow[0]), float(flow[-1])])
    found.update_yaxes(range=[float(temperature[0]), float(temperature[-1])])
    found.update_xaxes(showspikes=True, spikemode="across", spikethickness=0.8, spikedash="solid",
                       spikecolor=LIGHT["soft"], spikesnap="cursor")
    found.update_yaxes(showspikes=True, spikemode="across", spikethickness=0.8, spikedash="solid",
                       spikecolor=LIGHT["soft"], spikesnap="cursor")
    return styled(found, f"flow, {figures.unit(q.VOLUME_FLOW)}", f"liquid temperature, {figures.unit(q.TEMPERATURE)}")


def needed_chart(window: Window, figures: Figures) -> go.Figure:
    """Suction pressure needed over temperature for a few flows, above the vapour pressure."""
    found = go.Figure()
    if not window.basis.liquid.has_vapour_pressure:
        return styled(found, "", "the vapour pressure is not known")
    flows = window.required_flow
    temperature = shown(window.required_temperature, q.TEMPERATURE, figures)
    dashes = ("dot", "solid", "dash")
    names: list[tuple[float, float, str]] = []
    for number, place in enumerate(np.linspace(0.15, 0.85, CURVES)):
        at = round(place * (flows.size - 1))
        above = shown(window.required.above_vapour[at], q.PRESSURE_DIFFERENCE, figures)
        name = figures.text(float(flows[at]), q.VOLUME_FLOW)
        found.add_trace(go.Scatter(x=temperature, y=above, mode="lines", name=name,
                                   line={"color": LIGHT["ample"], "dash": dashes[number % 3], "width": 2},
                                   hovertemplate=f"{name}: %{{y:.2f}} {figures.unit(q.PRESSURE_DIFFERENCE)} above at "
                                                 f"%{{x:.1f}} {figures.unit(q.TEMPERATURE)}<extra></extra>"))
        known = np.flatnonzero(np.isfinite(above))
        if known.size:
            names.append((float(above[known[-1]]), float(temperature[known[-1]]), name))
    top = max((value for value, _, _ in names), default=1.0) or 1.0
    place = -np.inf
    for value, x, name in sorted(names):
        place = max(value, place + APART * top)
        found.add_annotation(x=x, y=place, text=name, showarrow=False, xanchor="left", xshift=5, yanchor="middle",
                             font={"size": 12, "color": LIGHT["ink"]})
    styled(found, f"liquid temperature, {figures.unit(q.TEMPERATURE)}",
           f"needed above vapour pressure, {figures.unit(q.PRESSURE_DIFFERENCE)}")
    return found.update_layout(margin_r=66)


def styled(found: go.Figure, across: str, up: str) -> go.Figure:
    """The look that all charts share."""
    axis = {"gridcolor": LIGHT["hair"], "gridwidth": 0.6, "linecolor": LIGHT["ink"], "showline": True,
            "zeroline": False, "ticks": "", "title": {"font": {"size": 12, "color": LIGHT["soft"]}},
            "tickfont": {"color": LIGHT["soft"]}, "fixedrange": True, "layer": "below traces"}
    found.update_layout(paper_bgcolor="rgba(0,0,0,0)", plot_bgcolor="rgba(0,0,0,0)", showlegend=False,
                        font={"family": FONT, "size": 12.5, "color": LIGHT["ink"]}, hovermode="closest",
                        hoverlabel={"bgcolor": LIGHT["paper"], "bordercolor": LIGHT["ink"],
                                    "font": {"family": FONT, "size": 12.5, "color": LIGHT["ink"]}},
                        margin={"l": 54, "r": 14, "t": 14, "b": 44}, xaxis=axis, yaxis=axis)
    found.update_xaxes(title_text=across)
    found.update_yaxes(title_text=up)
    return found


def _area(flow: Array, temperature: Array, share: Array, low: float, high: float, area: str) -> go.Scatter:
    """The points between two shares as one filled outline; what is short is hatched."""
    generator = contourpy.contour_generator(flow, temperature, np.ma.masked_invalid(share),
                                            fill_type=contourpy.FillType.OuterOffset)
    outlines, offsets = generator.filled(low, high)[:2]
    rings = [points[first:last] for points, cuts in zip(outlines, offsets, strict=True)
             if points is not None and cuts is not None for first, last in pairwise(cuts)]
    points = np.vstack([np.vstack([ring, [[np.nan, np.nan]]]) for ring in rings]) if rings else np.empty((0, 2))
    fill: dict[str, Any] = {"fillcolor": LIGHT[area]}
    if area == "mark":
        fill = {"fillpattern": {"shape": "/", "size": 9, "solidity": 0.07, "fgcolor": LIGHT["short"],
                                "bgcolor": LIGHT[area], "fillmode": "replace"}}
    return go.Scatter(x=points[:, 0], y=points[:, 1], mode="lines", line={"width": 0}, fill="toself", hoverinfo="skip",
                      **fill)


def _readings(window: Window, figures: Figures, flow: Array, temperature: Array, share: Array) -> go.Heatmap:
    """What the crosshair reads: the governing check, and the suction pressure needed."""
    chart = window.map
    level = np.where(np.isnan(share), 0, np.digitize(share, (0.0, TIGHT_SHARE, AMPLE_SHARE)) + 1)
    words = np.array(["not rated", "short of", "tight:", "holds, nearest:", "ample, nearest:"])[level]
    titles = np.array([*chart.points.titles, ""])[chart.governing].T
    needed = np.full(share.shape, "suction needed not known", dtype=object)
    if window.basis.liquid.has_vapour_pressure and min(window.required.pressure.shape) > 1:
        pressure = RegularGridInterpolator((window.required_flow, window.required_temperature),
                                           window.required.pressure, bounds_error=False)
        at = pressure(tuple(np.meshgrid(chart.flow, chart.temperature, indexing="ij"))).T
        needed = np.array([f"needs {figures.text(float(one), q.PRESSURE)} at the suction" if np.isfinite(one)
                           else "suction needed not found" for one in at.ravel()], dtype=object).reshape(at.shape)
    return go.Heatmap(
        x=flow, y=temperature, z=level, showscale=False, opacity=0.0, name="",
        customdata=np.dstack([words, titles, needed]),
        hovertemplate=f"%{{x:.3~g}} {figures.unit(q.VOLUME_FLOW)}, %{{y:.1f}} {figures.unit(q.TEMPERATURE)}<br>"
                      "%{customdata[0]} %{customdata[1]}<br>%{customdata[2]}<extra></extra>")


class _Paper:
    """Places names on lines so that none hides another, a case, or leaves the map."""

    def __init__(self, flow: Array, temperature: Array) -> None:
        self.low = np.array([flow[0], temperature[0]])
        self.span = np.array([flow[-1] - flow[0], temperature[-1] - temperature[0]])
        self.taken: list[Box] = []

    def _pixels(self, point: Array) -> Array:
        return np.asarray((point - self.low) / self.span * (ACROSS, UP))

    def take(self, x: float, y: float) -> None:
        """Keep the circle of a case clear."""
        at = self._pixels(np.array([x, y]))
        self.taken.append((at[0] - 14, at[1] - 14, at[0] + 14, at[1] + 14))

    def name(self, line: Array, words: str) -> tuple[float, float, bool]:
        """Place of a name, and whether it stands upright."""
        pixels = self._pixels(line)
        across, up = np.ptp(pixels, axis=0)
        steep = bool(up > 2 * across)
        size = np.array([7.0 * len(words) + 8, 20.0])[::-1 if steep else 1] / 2
        edge = np.array([ACROSS, UP])
        best: tuple[float, Array, Box] | None = None
        length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(pixels, axis=0).T))])
        aside = length[-1] < SHORT_LINE
        for share, off in ((0.5, off) for off in ASIDE) if aside else ((share, 0.0) for share in TRIED):
            on = np.array([np.interp(share * length[-1], length, pixels[:, axis]) for axis in (0, 1)])
            on = on + np.array([0.0, off])
            at = np.clip(on, np.minimum(size + 2, edge / 2), np.maximum(edge - size - 2, edge / 2))
            box = (*(at - size), *(at + size))
            hidden = sum(max(min(box[2], one[2]) - max(box[0], one[0]), 0.0)
                         * max(min(box[3], one[3]) - max(box[1], one[1]), 0.0) for one in self.taken)
            if best is None or hidden < best[0] - 1e-9:
                best = hidden, at, box
        assert best is not None
        self.taken.append(best[2])
        x, y = best[1] / (ACROSS, UP) * self.span + self.low
        return float(x), float(y), steep
