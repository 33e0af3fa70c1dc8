"""The drawing of an operating window: the map over flow and temperature beside the suction pressure needed."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter

from wetpath import __version__
from wetpath.drawing.axes import in_unit
from wetpath.drawing.figures import Figures
from wetpath.drawing.plot_style import AMPLE, HOLDS, INK, SHORT, SOFT, STYLE
from wetpath.drawing.window_lines import Lines, bounding_lines, on_the_line
from wetpath.drawing.window_scale import round_in_units
from wetpath.drawing.window_words import basis_in_words
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.errors import InputError
from wetpath.questions.window.required import required_at
from wetpath.questions.window.study import Window
from wetpath.rating.verdict import TIGHT_SHARE
from wetpath.services.standing import AMPLE_SHARE
from wetpath.words import spoken, told

Array = NDArray[np.float64]

SIZE, RESOLUTION = (13.0, 6.8), 160      # inches, dots per inch
#: Tints of areas: short, tight, holds, ample.
TINTS = ("#fbeae2", "#fbf1dc", "#e6f0f6", "#d3e4f0")
#: Temperatures along the curves of the second panel.
ALONG = 41
#: Line patterns of the three flows.
PATTERNS: tuple[Any, ...] = ((0, (1, 1.2)), "solid", (0, (6, 2)))
LONGEST_LINE = 120
#: A name beside lines takes this share of the width of its panel, and a line of text one over this of its height.
NAME_WIDE, ROWS_OF_TEXT = 0.22, 34
#: Kept clear of names around the circle of a case: left, below, right, above [pixels].
CLEAR = np.array([14.0, 14.0, 95.0, 14.0])


def draw_window(window: Window, target: Path, figures: Figures) -> None:
    """Draw a window into a file whose name ends in .svg or .png."""
    with mpl.rc_context({**STYLE, "hatch.linewidth": 0.5, "hatch.color": "#e0b39f"}):
        figure = window_figure(window, figures)
        try:
            figure.savefig(target, dpi=RESOLUTION)
        except OSError as error:
            raise InputError(f"cannot be written ({error.strerror})", field="--plot", value=f'"{target}"') from None


def window_figure(window: Window, figures: Figures) -> Figure:
    """Draw a window; the style is that of the caller."""
    figure = Figure(figsize=SIZE, layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.12, wspace=0.05))
    FigureCanvasAgg(figure)
    chart, needed = figure.subplots(1, 2, width_ratios=(1.25, 1))
    draw = _Panels(window, figures)
    draw.chart(chart)
    draw.needed(needed)
    figure.suptitle(draw.title(), x=0.012, ha="left", fontsize=11, fontweight="semibold", linespacing=1.35)
    figure.supxlabel(spoken(told("wetpath {version} · an aid for a competent engineer; the maker's data go before",
                                 version=__version__)), x=0.012, ha="left", fontsize=7.5, color=SOFT)
    figure.draw_without_rendering()      # places the panels, so that words can be laid along lines
    figure.set_layout_engine("none")     # they stay where they are
    draw.name_bounds(chart)
    return figure


class _Panels:
    """Both panels of one window in one set of units."""

    def __init__(self, window: Window, figures: Figures) -> None:
        self.window, self.figures = window, figures
        self.flow = self._in(window.map.flow, q.VOLUME_FLOW)
        self.temperature = self._in(window.map.temperature, q.TEMPERATURE)
        self.lines: list[Lines] = []

    def title(self) -> str:
        """Which pump, liquid and suction."""
        window = self.window
        name = "\n".join(textwrap.wrap(f"{window.rating.pump.name}; {window.basis.liquid.name}", LONGEST_LINE))
        return f"{name}\n{spoken(basis_in_words(window, self.figures))}"

    def chart(self, axes: Axes) -> None:
        """The map: excluded area hatched and tinted, bounds, cases."""
        chart = self.window.map
        share = np.where(np.isinf(chart.points.share) | np.isnan(chart.points.share), 1.0, chart.points.share)
        least = np.clip(share.min(axis=0).reshape(chart.shape), -1.0, 1.0)
        least = np.where(chart.rated, np.where(chart.holds, np.maximum(least, 1e-6), np.minimum(least, -1e-6)), np.nan)
        governing = np.clip(np.where(chart.holds, np.nan_to_num(chart.governing_share, nan=0.0), 0.0), 0.0, 1e3)
        # the tint goes on under the bound, which lies between two points of the grid
        governing = np.where(chart.holds, governing, maximum_filter(governing, size=3))
        axes.contourf(self.flow, self.temperature, governing.T,
                      levels=[-1.0, TIGHT_SHARE, AMPLE_SHARE, 2e3], colors=TINTS[1:])
        axes.contourf(self.flow, self.temperature, least.T, levels=[-2.0, 0.0], colors=[TINTS[0]], hatches=["////"])
        self.lines = bounding_lines(chart, self.flow, self.temperature)
        for line in self.lines:
            for part in line.beyond:
                axes.plot(part[:, 0], part[:, 1], color=SOFT, linewidth=0.7, linestyle=(0, (2, 2)))
            for part in line.bounding:
                axes.plot(part[:, 0], part[:, 1], color=SHORT, linewidth=2.2)
        axes.set_title(spoken(told("Where every check holds")))
        axes.set_xlabel(in_unit(told("flow"), q.VOLUME_FLOW, self.figures))
        axes.set_ylabel(in_unit(told("temperature at the suction flange"), q.TEMPERATURE, self.figures))
        axes.set_xlim(self.flow[0], self.flow[-1])
        axes.set_ylim(self.temperature[0], self.temperature[-1])
        axes.grid(visible=False)
        inputs = self.window.rating.inputs
        for case in self.window.shown_cases:
            at = (float(self._in(inputs.flow[case], q.VOLUME_FLOW)),
                  float(self._in(inputs.temperature[case], q.TEMPERATURE)))
            if self.flow[0] <= at[0] <= self.flow[-1] and self.temperature[0] <= at[1] <= self.temperature[-1]:
                self._case(axes, case, at, self.figures.text(float(inputs.pressure[case]), q.PRESSURE))

    def name_bounds(self, axes: Axes) -> None:
        """Number and name of every bound on its line, where it hides no other."""
        taken = [axes.transData.transform(
            (float(self._in(self.window.rating.inputs.flow[case], q.VOLUME_FLOW)),
             float(self._in(self.window.rating.inputs.temperature[case], q.TEMPERATURE))))
            for case in self.window.shown_cases]
        on_the_line(axes, self.lines, [np.concatenate([at - CLEAR[:2], at + CLEAR[2:]]) for at in taken], SHORT)

    def needed(self, axes: Axes) -> None:
        """Suction pressure needed over temperature for three flows, above the vapour pressure."""
        window, figures = self.window, self.figures
        kind = q.PRESSURE_DIFFERENCE
        axes.set_title(spoken(told("Suction pressure needed, above the vapour pressure")))
        axes.set_xlabel(in_unit(told("temperature at the suction flange"), q.TEMPERATURE, figures))
        axes.set_ylabel(in_unit(told("pressure at the suction flange above the vapour pressure"), kind, figures))
        axes.set_xlim(self.temperature[0], self.temperature[-1])
        if not window.basis.liquid.has_vapour_pressure:
            axes.text(0.5, 0.5, spoken(told("the vapour pressure is not known")), transform=axes.transAxes, ha="center",
                      color=SOFT)
            return
        flows = self._three_flows()
        along = np.linspace(window.map.temperature[0], window.map.temperature[-1], ALONG)
        shown = self._in(along, q.TEMPERATURE)
        found = required_at(window.basis, np.repeat(flows, ALONG), np.tile(along, flows.size)).reshaped(
            (flows.size, ALONG))
        wetted, low, high = (self._in(values - found.vapour_pressure, kind)
                             for values in (found.pressure, found.lowest, found.highest))
        npsh = self._in(found.npsh_pressure - found.vapour_pressure, kind)
        inputs, same = window.rating.inputs, list(window.shown_cases)
        own = self._in(inputs.pressure[same] - window.basis.liquid.vapour_pressure(inputs.temperature[same]), kind)
        top = 1.25 * float(np.nanmax([*np.nan_to_num(wetted).ravel(), *np.nan_to_num(npsh).ravel(), *own]))
        axes.set_ylim(-0.04 * top, top)
        middle = int(np.argmin(np.abs(flows - window.basis.flow)))
        axes.fill_between(shown, low[middle], high[middle], color=HOLDS, alpha=0.22, linewidth=0)
        ends = []
        for number, flow in enumerate(flows):
            words = figures.text(float(flow), q.VOLUME_FLOW)
            axes.plot(shown, wetted[number], color=AMPLE, linestyle=PATTERNS[number % 3])
            axes.plot(shown, npsh[number], color=SOFT, linewidth=1.1, linestyle=PATTERNS[number % 3])
            ends += [(wetted[number], told("wetted path, {flow}", flow=words), AMPLE),
                     (npsh[number], told("NPSH with margin, {flow}", flow=words), SOFT)]
        if not window.basis.suction.above_vapour:
            line = self._in(window.basis.suction.pressure - window.basis.liquid.vapour_pressure(along), kind)
            axes.plot(shown, line, color=INK, linewidth=1.0)
            ends.append((line, told("{pressure}, as in the map",
                                    pressure=figures.text(window.basis.suction.pressure, q.PRESSURE)), INK))
        else:
            line = np.full(ALONG, float(self._in(window.basis.suction.pressure, kind)))
            axes.plot(shown, line, color=INK, linewidth=1.0)
            ends.append((line, told("{pressure}, as in the map",
                                    pressure=figures.text(window.basis.suction.pressure, kind)), INK))
        axes.axhline(0.0, color=INK, linewidth=1.6)
        _name_ends(axes, shown, [*ends, (np.zeros(ALONG), told("vapour pressure"), INK)])
        for case, above in zip(same, own, strict=True):
            self._case(axes, case, (float(self._in(inputs.temperature[case], q.TEMPERATURE)), float(above)), "")
        marks = np.column_stack([self._in(inputs.temperature[same], q.TEMPERATURE), own])
        place = _free_in_band(shown, low[middle], np.minimum(high[middle], top), np.vstack([wetted, npsh, line]), marks)
        if place is not None:
            axes.annotate(spoken(told("band of {flow}", flow=figures.text(float(flows[middle]), q.VOLUME_FLOW))), place,
                          ha="right", va="center", color=AMPLE, fontsize=8.5)

    def _three_flows(self) -> Array:
        """The flow of the case, and round ones near both ends of the window."""
        flows = round_in_units(self.window.map.flow, q.VOLUME_FLOW, self.figures.units, 8)
        apart = 0.12 * (self.window.map.flow[-1] - self.window.map.flow[0])
        own = self.window.basis.flow
        ends = [flow for flow in (flows[0], flows[-1]) if abs(flow - own) > apart]
        return np.unique([own, *ends])

    def _case(self, axes: Axes, case: int, at: tuple[float, float], words: str) -> None:
        """A lettered circle; of a case that is short in its own rating, orange and with a sign below."""
        name = self.window.rating.case_names[case]
        letter = name[:1] if name[1:2] == " " else chr(65 + case)
        short = not all(bool(one.holds[case]) for one in self.window.rating.checks)
        colour = SHORT if short else INK
        axes.plot(*at, marker="o", markersize=13, markerfacecolor="white", markeredgecolor=colour, markeredgewidth=1.4,
                  zorder=8, clip_on=False)
        axes.annotate(letter, at, ha="center", va="center", fontsize=8.5, fontweight="semibold", color=colour, zorder=9)
        name = f"{words} ▼" if short and words else words
        if name:
            low, high = axes.get_xlim()
            side = -1 if at[0] > low + 0.84 * (high - low) else 1
            axes.annotate(name, at, xytext=(10 * side, 0), textcoords="offset points", va="center", fontsize=8,
                          color=colour, ha="left" if side > 0 else "right", zorder=9,
                          bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none",
                                "alpha": 0.75})

    def _in(self, values: Any, kind: Kind) -> Array:
        return np.asarray(convert(np.asarray(values), kind, self.figures.units.unit(kind).name))


def _free_in_band(along: Array, low: Array, high: Array, curves: Array, marks: Array) -> tuple[float, float] | None:
    """Right end of a name inside a band where it is farthest from curves and marks; None where it fits nowhere."""
    tall, wide = np.nanmax(high) / ROWS_OF_TEXT, int(NAME_WIDE * along.size)
    best, found = 0.0, None
    for end in range(wide, along.size - 1):
        span = slice(end - wide, end + 1)
        beside = marks[(marks[:, 0] > along[end - wide] - along[1] + along[0]) & (marks[:, 0] < along[end + 1]), 1]
        in_the_way = np.concatenate([curves[:, span].ravel(), low[span], high[span], beside])
        for level in np.linspace(np.nanmax(low[span]), np.nanmin(high[span]), 24)[1:-1]:
            free = float(np.nanmin(np.abs(in_the_way - level)))
            if free > max(best, tall):
                best, found = free, (float(along[end]), float(level))
    return found


def _name_ends(axes: Axes, along: Array, curves: list[tuple[Array, str, str]]) -> None:
    """Name curves at the right, moved apart where they end close together."""
    bottom, top = axes.get_ylim()
    apart = 0.038 * (top - bottom)
    at_side, at_top = [], []
    for values, told_words, colour in curves:
        words = spoken(told_words)
        inside = np.flatnonzero((values >= bottom) & (values <= top))
        if not inside.size:
            continue
        last = int(inside[-1])
        if values[0] > top:
            axes.annotate(words, (along[inside[0]], top), xytext=(6, -6), textcoords="offset points", color=colour,
                          fontsize=8.5, va="top")
        elif last == along.size - 1:
            at_side.append((float(values[last]), words, colour))
        else:
            at_top.append((float(along[last]), float(values[last]), words, colour))
    place = -np.inf
    for value, words, colour in sorted(at_side, key=lambda one: one[0]):
        place = max(value, place + apart)
        axes.annotate(words, (along[-1], value), xytext=(float(along[-1]) + 0.02 * float(np.ptp(along)), place),
                      textcoords="data", color=colour, fontsize=8.5, va="center", annotation_clip=False)
    for number, (across, value, words, colour) in enumerate(sorted(at_top)):
        axes.annotate(words, (across, value), xytext=(-5, -12 * number), textcoords="offset points", color=colour,
                      fontsize=8.5, ha="right", va="top")
