"""The drawing of an upset: one lane for each instrument, and one for the hidden margin that none of them shows."""

from __future__ import annotations

import textwrap
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from wetpath import __version__
from wetpath.drawing.figures import Figures
from wetpath.drawing.plot_style import AMPLE, INK, SHORT, SOFT, STYLE
from wetpath.drawing.upset_lanes import hidden_margin, lanes_of, last_shown
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import convert
from wetpath.errors import InputError
from wetpath.questions.protection.matrix import Reading, reading_of
from wetpath.services.upsets import Followed

Array = NDArray[np.float64]

WIDTH, LANE, RESOLUTION = 11.0, 0.92, 160      # inches, inches a lane, dots per inch
LONGEST_LINE = 110


def draw_upset(found: Followed, target: Path, figures: Figures) -> None:
    """Draw an upset into a file whose name ends in .svg or .png."""
    with mpl.rc_context(STYLE):
        figure = upset_figure(found, figures)
        try:
            figure.savefig(target, dpi=RESOLUTION)
        except OSError as error:
            raise InputError(f"cannot be written ({error.strerror})", field="--plot", value=f'"{target}"') from None


def upset_figure(found: Followed, figures: Figures) -> Figure:
    """Draw an upset; the style is that of the caller."""
    shown = lanes_of(found)
    figure = Figure(figsize=(WIDTH, 1.7 + LANE * (len(shown) + 1)),
                    layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.06, hspace=0.04))
    FigureCanvasAgg(figure)
    panels = figure.subplots(len(shown) + 1, 1, sharex=True)
    lanes = _Lanes(found, figures)
    lanes.hidden(panels[0])
    for axes, reading in zip(panels[1:], shown, strict=True):
        lanes.instrument(axes, reading)
    for number, axes in enumerate(panels):
        lanes.marks(axes, named=number == 0)
    panels[-1].set_xlabel("time, s")
    panels[-1].set_xlim(0.0, lanes.last)
    title = f"{found.cause.title}: {found.rating.pump.name}; case {found.rating.case_names[found.case]}"
    figure.suptitle("\n".join(textwrap.wrap(title, LONGEST_LINE)), x=0.012, ha="left", fontsize=11,
                    fontweight="semibold")
    figure.supxlabel(f"wetpath {__version__} · an aid for a competent engineer; functional safety and explosion "
                     "protection are decided elsewhere", x=0.012, ha="left", fontsize=7.5, color=SOFT)
    return figure


class _Lanes:
    """The lanes of one upset in one set of units."""

    def __init__(self, found: Followed, figures: Figures) -> None:
        self.found, self.figures, self.last = found, figures, last_shown(found)

    def hidden(self, axes: Axes) -> None:
        """The margin that no instrument shows: least pressure above vapour pressure, and the liquid that is left."""
        name, kind, values = hidden_margin(self.found)
        self._plot(axes, values, kind, dashed=True)
        if kind is q.PRESSURE_DIFFERENCE:
            axes.axhline(0.0, color=SHORT, linewidth=0.8)
        self._name(axes, f"hidden: {name}", kind)

    def instrument(self, axes: Axes, reading: Reading) -> None:
        """One instrument with its set point, and where it acts."""
        setting = reading.setting
        signal = setting.instrument.signal
        values = reading_of(self.found.rating, self.found.line, setting, self.found.case, self.found.band)
        self._plot(axes, values, signal.kind)
        set_point = float(self._in(setting.set_point, signal.kind))
        axes.axhline(set_point, color=SOFT, linewidth=1.0, linestyle=(0, (5, 3)))
        self._name(axes, setting.instrument.title, signal.kind)
        words, colour = reading.words, AMPLE if reading.in_time else SHORT
        if reading.seen:
            axes.plot([reading.acts], [set_point], marker="D", color=colour, markersize=6, zorder=6, clip_on=False)
            words = f"{reading.words} {reading.acts:.0f} s"
        axes.annotate(words, (1.0, 0.5), xycoords="axes fraction", xytext=(8, 0), textcoords="offset points",
                      color=colour if reading.seen else SOFT, fontsize=9, va="center", fontweight="semibold",
                      annotation_clip=False)

    def marks(self, axes: Axes, *, named: bool) -> None:
        """Cause begins, liquid lost, damage with its band; the time between the last two tinted."""
        cause = self.found.cause
        marks = [(cause.begins, "cause begins", INK, "solid"), (cause.lost.nominal, "liquid lost", SHORT, "dashed"),
                 (cause.damage.nominal, "damage", SHORT, "solid")]
        for number, (time, name, colour, style) in enumerate(marks):
            if not np.isfinite(time) or time > self.last:
                continue
            axes.axvline(time, color=colour, linewidth=1.4, linestyle=style, zorder=4)
            if named:
                axes.annotate(name, (time, 1.0), xycoords=("data", "axes fraction"), xytext=(3, 3 + 11 * number),
                              textcoords="offset points", color=colour, fontsize=8.5, annotation_clip=False)
        if np.isfinite(cause.lost.nominal) and np.isfinite(cause.damage.nominal):
            axes.axvspan(cause.lost.nominal, cause.damage.nominal, facecolor=SHORT, alpha=0.12, linewidth=0)
        if np.isfinite(cause.damage.low):
            axes.axvspan(cause.damage.low, min(cause.damage.high, self.last), facecolor=SHORT, alpha=0.12, linewidth=0)

    def _plot(self, axes: Axes, values: Array, kind: Kind, *, dashed: bool = False) -> None:
        time = self.found.line.time
        axes.plot(time[time <= self.last], self._in(values, kind)[time <= self.last], color=INK if dashed else AMPLE,
                  linewidth=1.8, linestyle=(0, (4, 2)) if dashed else "solid")
        axes.yaxis.set_major_locator(MaxNLocator(3))

    def _name(self, axes: Axes, words: str, kind: Kind) -> None:
        unit = self.figures.unit(kind)
        axes.set_title(f"{words}, {unit}" if unit else words, fontsize=9, fontweight="normal", pad=3, loc="right",
                       color=INK)

    def _in(self, values: Array | float, kind: Kind) -> Array:
        return np.asarray(convert(np.asarray(values, float), kind, self.figures.units.unit(kind).name))
