"""The drawing of a coupling study: torque, pull-out, loss, start, and out of step in six panels, as SVG or PNG."""

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
from matplotlib.ticker import MaxNLocator

from wetpath import __version__
from wetpath.drawing.figures import Figures
from wetpath.drawing.plot_style import AMPLE, HOLDS, INK, SHORT, SOFT, STYLE, TIGHT
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.edge.units import convert
from wetpath.errors import InputError
from wetpath.questions.coupling_study.study import CouplingStudy

SIZE, RESOLUTION = (11.0, 11.2), 160      # inches, dots per inch
#: Distance of words from what they name, in points; longest line of the title, in letters.
NEAR, LONGEST_LINE = 6, 100


def draw_coupling(study: CouplingStudy, target: Path, figures: Figures) -> None:
    """Draw a study into a file whose name ends in .svg or .png."""
    with mpl.rc_context(STYLE):
        figure = coupling_figure(study, figures)
        try:
            figure.savefig(target, dpi=RESOLUTION)
        except OSError as error:
            raise InputError(f"cannot be written ({error.strerror})", field="--plot", value=f'"{target}"') from None


def coupling_figure(study: CouplingStudy, figures: Figures) -> Figure:
    """Draw a study; the style is that of the caller."""
    figure = Figure(figsize=SIZE, layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.12, wspace=0.04, hspace=0.06))
    FigureCanvasAgg(figure)
    draw = _Panels(study, figures)
    (torque, pull_out), (loss, start), (slip_loss, slip_torque) = figure.subplots(3, 2)
    draw.torque(torque)
    draw.pull_out(pull_out)
    draw.loss(loss)
    draw.start(start)
    draw.slip_loss(slip_loss)
    draw.slip_torque(slip_torque)
    figure.suptitle(draw.title(), x=0.012, ha="left", fontsize=11, fontweight="semibold", linespacing=1.35)
    figure.supxlabel(f"wetpath {__version__} · an aid for a competent engineer; the maker's data go before",
                     x=0.012, ha="left", fontsize=7.5, color=SOFT)
    return figure


class _Panels:
    """The six panels of one study in one set of units."""

    def __init__(self, study: CouplingStudy, figures: Figures) -> None:
        self.study, self.figures = study, figures

    def title(self) -> str:
        """Which pump, in which state."""
        conditions = self.study.conditions
        name = "\n".join(textwrap.wrap(self.study.pump.name, LONGEST_LINE))
        return (f"{name}\n{self._text(conditions.torque, q.TORQUE)}, "
                f"{self._text(conditions.speed, q.ROTATIONAL_SPEED)}; shell wall and inner magnets "
                f"{self._text(conditions.inner_magnets, q.TEMPERATURE)}, outer magnets "
                f"{self._text(conditions.outer_magnets, q.TEMPERATURE)}")

    def torque(self, axes: Axes) -> None:
        """Torque over load angle, working point and pull-out."""
        study, point = self.study, self.study.point
        angle = np.degrees(study.torque.angle)
        cold, hot = self._in(study.torque.cold, q.TORQUE), self._in(study.torque.hot, q.TORQUE)
        axes.plot(angle, cold, color=HOLDS, linestyle=(0, (5, 3)), linewidth=1.6)
        axes.plot(angle, hot, color=AMPLE)
        top = float(self._in(point.pull_out, q.TORQUE))
        axes.set_title("Torque over load angle")
        axes.set_xlabel("electrical load angle, °")
        axes.set_ylabel(f"torque, {self.figures.unit(q.TORQUE)}")
        axes.set_xlim(0, 180)
        axes.set_xticks(range(0, 181, 30))
        load = float(self._in(study.conditions.torque, q.TORQUE))
        axes.set_ylim(0, 1.24 * max(float(cold.max()), load))
        peak = np.degrees(point.pull_out_angle)
        axes.plot([peak], [top], marker="o", color=AMPLE, markersize=6)
        _say(axes, f"pull-out, hot: {self._text(point.pull_out, q.TORQUE)}", (peak, top), (0, -22), AMPLE, ha="center")
        right = int(np.argmin(np.abs(angle - 115)))
        _say(axes, f"magnets at {self._text(ROOM_TEMPERATURE, q.TEMPERATURE)}", (angle[right], cold[right]), (NEAR, 5),
             HOLDS, ha="left")
        if np.isnan(point.angle):
            axes.axhline(load, color=SHORT, linewidth=1.4, linestyle=(0, (1, 2)))
            _say(axes, f"load {self._text(study.conditions.torque, q.TORQUE)}: not carried", (4, load), (0, 5), SHORT)
            return
        degrees = float(np.degrees(point.angle))
        axes.plot([0, degrees, degrees], [load, load, 0], color=SOFT, linewidth=0.9)
        axes.plot([degrees], [load], marker="o", color=INK, markersize=7, zorder=5)
        low = load < 0.2 * axes.get_ylim()[1]       # no room below it
        _say(axes, f"load {self._text(study.conditions.torque, q.TORQUE)}{' ' if low else chr(10)}at {degrees:.0f}°",
             (degrees, load), (20, -2) if low else (10, -10), INK, ha="left", va="bottom" if low else "top")

    def pull_out(self, axes: Axes) -> None:
        """Pull-out over the temperature of both rings, and where magnetisation is lost."""
        study, heat = self.study, self.study.temperature
        temperature, torque = self._in(heat.temperature, q.TEMPERATURE), self._in(heat.pull_out, q.TORQUE)
        axes.plot(temperature, torque, color=AMPLE)
        axes.set_title("Pull-out over magnet temperature")
        axes.set_xlabel(f"magnets of both rings, {self.figures.unit(q.TEMPERATURE)}")
        axes.set_ylabel(f"pull-out torque, {self.figures.unit(q.TORQUE)}")
        load = float(self._in(study.conditions.torque, q.TORQUE))
        axes.set_xlim(float(temperature[0]), float(temperature[-1]))
        asked = study.practice["coupling_margin_running"].value * load
        axes.set_ylim(0, 1.2 * max(float(torque.max()), asked))
        axes.axhline(load, color=INK, linewidth=1.2)
        axes.axhline(asked, color=TIGHT, linewidth=1.4, linestyle=(0, (6, 3)))
        _say(axes, "load", (float(temperature[0]), load), (NEAR, 5 if load > torque[0] else -12), INK)
        _say(axes, f"{asked / load:.3g} × load, asked by the practice", (float(temperature[0]), asked),
             (NEAR, -12 if asked - load > 0.08 * axes.get_ylim()[1] else 5), INK)
        for name, fields, limit in (
                ("lost for good when they slip", heat.field_opposing, study.practice["demagnetisation_slip"].value),
                ("lost for good at this load", heat.field_running, study.practice["demagnetisation_running"].value)):
            self._knee(axes, name, temperature, np.maximum(*fields), limit)
        self._rings(axes, temperature, torque, load)

    def _rings(self, axes: Axes, temperature: np.ndarray, torque: np.ndarray, load: float) -> None:
        """Mark where the rings stand on the curve; one name for both where they are near each other."""
        places = [(name, float(self._in(kelvin, q.TEMPERATURE))) for name, kelvin in (
            ("inner", self.study.conditions.inner_magnets), ("outer", self.study.conditions.outer_magnets))]
        places = sorted((place for place in places if temperature[0] <= place[1] <= temperature[-1]),
                        key=lambda place: place[1])
        span = float(np.ptp(temperature))
        values = [float(np.interp(at, temperature, torque)) for _, at in places]
        axes.plot([at for _, at in places], values, marker="o", color=INK, markersize=5, zorder=8, linestyle="none")
        if len(places) == 2 and places[1][1] - places[0][1] < 0.2 * span:
            places, values = [(f"{places[0][0]}, {places[1][0]}", places[0][1])], values[:1]
        for (name, at), value in zip(places, values, strict=True):
            right = at > temperature[0] + 0.8 * span
            _say(axes, name, (at, value), (-3 if right else 3, -14 if load > value else 7), INK,
                 ha="right" if right else "left")

    def _knee(self, axes: Axes, name: str, temperature: np.ndarray, share: np.ndarray, limit: float) -> None:
        """Shade the temperatures at which a field over coercivity passes its limit."""
        beyond = np.flatnonzero(share > limit)
        if not beyond.size:
            return
        first = int(beyond[0])
        start = float(temperature[0]) if first == 0 else float(np.interp(
            limit, share[first - 1:first + 1], temperature[first - 1:first + 1]))
        axes.axvspan(start, float(temperature[-1]), facecolor=SHORT, alpha=0.09, linewidth=0)
        axes.axvline(start, color=SHORT, linewidth=1.2, linestyle=(0, (1, 2)))
        axes.annotate(name, (start, 0.03), xycoords=("data", "axes fraction"), xytext=(3, 0),
                      textcoords="offset points", rotation=90, color=SHORT, fontsize=8, fontweight="semibold",
                      ha="left", va="bottom",
                      bbox={"boxstyle": "square,pad=0.1", "facecolor": "#fdf3ee", "edgecolor": "none"})

    def loss(self, axes: Axes) -> None:
        """Loss of the shell over speed, without load and at the load angle."""
        study, loss, point = self.study, self.study.loss, self.study.point
        unit = "W" if self.figures.units.name == "metric" else "hp"
        speed = self._in(loss.speed, q.ROTATIONAL_SPEED)
        axes.set_title("Loss in the shell over speed")
        axes.set_xlabel(f"speed, {self.figures.unit(q.ROTATIONAL_SPEED)}")
        axes.set_ylabel(f"loss, {self.figures.unit(q.POWER, unit)}")
        axes.set_xlim(0, float(speed[-1]))
        if not loss.no_load.any():
            axes.set_ylim(0, 1)
            axes.set_yticks([0])
            axes.text(0.5, 0.5, f"none: {study.pump.shell_material.name} does not conduct", transform=axes.transAxes,
                      ha="center", va="center", color=SOFT, fontsize=10)
            return
        fine = np.linspace(0.0, loss.speed[-1], 60)
        rows: list[tuple[str, np.ndarray, str, Any]] = [("no load", loss.no_load, HOLDS, (0, (5, 3)))]
        if not np.isnan(point.angle):
            rows.append((f"at {np.degrees(point.angle):.0f}° load angle", loss.working, AMPLE, "solid"))
        for name, values, colour, line in rows:
            # over the square of speed the loss is all but a straight line through zero
            curve = convert(np.interp(fine**2, np.append(0.0, loss.speed**2), np.append(0.0, values)), q.POWER, unit)
            axes.plot(self._in(fine, q.ROTATIONAL_SPEED), curve, color=colour, linestyle=line)
            over = name == "no load"
            place = 33
            _say(axes, name, (float(self._in(fine[place], q.ROTATIONAL_SPEED)), float(curve[place])),
                 (-8, 4) if over else (9, -9), colour, ha="right" if over else "left")
        axes.set_ylim(0, 1.08 * float(convert(loss.no_load[-1], q.POWER, unit)))
        if not np.isnan(point.angle):
            at = float(self._in(study.conditions.speed, q.ROTATIONAL_SPEED))
            value = float(convert(point.shell_loss, q.POWER, unit))
            axes.plot([at, at, 0], [0, value, value], color=SOFT, linewidth=0.9)
            axes.plot([at], [value], marker="o", color=INK, markersize=7, zorder=5)
            told = self.figures.number(point.shell_loss, q.POWER, unit=unit, decimals=0 if unit == "W" else 2)
            _say(axes, f"{told} {self.figures.unit(q.POWER, unit)}", (0, value), (NEAR, 5), INK)

    def start(self, axes: Axes) -> None:
        """Torque through the coupling while the driver of the pump file starts, and its speed."""
        study, own = self.study, self.study.own_start
        course = own.course
        torque = self._in(course.torque, q.TORQUE)
        end = float(course.time[-1])
        if course.in_step and not np.isnan(course.run_up_time):
            end = min(end, 1.35 * course.run_up_time + 0.05)
        axes.set_title(f"Start, {course.starter}" + (f", ramp {course.ramp:.3g} s" if course.ramp else ""))
        axes.set_xlabel("time, s")
        axes.set_ylabel(f"torque through the coupling, {self.figures.unit(q.TORQUE)}")
        top = float(self._in(course.pull_out, q.TORQUE))
        least = min(float(torque.min()), 0.0)
        axes.set_xlim(0, end)
        axes.set_ylim(1.12 * least, 1.28 * top)
        axes.axhline(top, color=SHORT, linewidth=1.4, linestyle=(0, (1, 2)))
        _say(axes, f"pull-out {self._text(course.pull_out, q.TORQUE)}", (end, top), (-2, 5), SHORT, ha="right")
        speed = axes.twinx()
        turning = self._in(course.inner_speed, q.ROTATIONAL_SPEED)
        speed.plot(course.time, turning, color=SOFT, linewidth=1.6, linestyle=(0, (5, 3)))
        speed.set_ylabel(f"speed of the pump (dashed), {self.figures.unit(q.ROTATIONAL_SPEED)}", color=SOFT)
        highest = 1.28 * float(convert(study.conditions.speed, q.ROTATIONAL_SPEED, self._unit(q.ROTATIONAL_SPEED)))
        low, high = axes.get_ylim()
        speed.set_ylim(low / high * highest, highest)
        speed.spines["right"].set_visible(True)
        speed.spines["right"].set_color(SOFT)
        speed.tick_params(axis="y", colors=SOFT)
        speed.grid(visible=False)
        speed.yaxis.set_major_locator(MaxNLocator(6))
        axes.plot(course.time, torque, color=AMPLE, linewidth=1.5)
        axes.set_zorder(speed.get_zorder() + 1)
        axes.patch.set_visible(False)
        peak = int(np.argmax(np.where(course.time <= end, torque, -np.inf)))
        words = (f"peak {self._text(course.peak_torque, q.TORQUE)}, {np.degrees(course.peak_angle):.0f}°"
                 if course.in_step else "loses step")
        axes.plot([course.time[peak]], [torque[peak]], marker="o", color=INK if course.in_step else SHORT, markersize=5,
                  zorder=6)
        late = course.time[peak] > 0.6 * end
        _say(axes, words, (float(course.time[peak]), float(torque[peak])),
             (-9 if late else 9, 6 if course.in_step else -14), INK if course.in_step else SHORT,
             ha="right" if late else "left")

    def slip_loss(self, axes: Axes) -> None:
        """Loss of the shell, and heat in the inner ring, over the slip; in step the first point."""
        slip, table = self.study.slip, self.study.slip.table
        unit = "W" if self.figures.units.name == "metric" else "hp"
        lag = self._slip_axis(axes)
        shell = np.asarray(convert(table.shell_loss, q.POWER, unit))
        ring = np.asarray(convert(table.sheath_loss + table.inner_magnet_loss, q.POWER, unit))
        axes.set_title("Out of step: loss over slip")
        axes.set_ylabel(f"loss, {self.figures.unit(q.POWER, unit)}")
        highest = max(float(np.nanmax(np.append(shell, 0.0))), float(ring.max()), slip.loss_factor * float(shell[-1]))
        axes.set_ylim(0, 1.2 * highest)
        axes.plot(lag, ring, color=TIGHT)
        words = "inner magnets and sheath, at most"
        if ring[5] > 0.14 * axes.get_ylim()[1]:
            _say(axes, words, (float(lag[5]), float(ring[5])), (10, -6), INK, va="top")
        else:       # no room below it
            _say(axes, words, (float(lag[6]), float(ring[6])), (-8, 6), INK, ha="right")
        if not shell[-1] > 0:
            axes.text(0.03, 0.94, f"shell: none, {self.study.pump.shell_material.name} does not conduct",
                      transform=axes.transAxes, color=SOFT, fontsize=8.5, va="top")
            return
        axes.plot(lag[1:], shell[1:], color=AMPLE)
        raised = slip.loss_factor != 1.0
        _say(axes, "shell", (float(lag[2]), float(shell[2])), (0, -13 if raised else 6), AMPLE)
        if raised:
            axes.plot(lag[1:], slip.loss_factor * shell[1:], color=AMPLE, linestyle=(0, (5, 3)), linewidth=1.6)
            _say(axes, f"× {slip.loss_factor:g}", (float(lag[-2]), slip.loss_factor * float(shell[-2])), (0, 6), AMPLE,
                 ha="center")
        if not np.isnan(shell[0]):
            axes.plot([0.0], [shell[0]], marker="o", color=INK, markersize=7, zorder=5, clip_on=False)
            told = self.figures.number(self.study.point.shell_loss, q.POWER, unit=unit,
                                       decimals=0 if unit == "W" else 2)
            _say(axes, f"shell in step: {told} {self.figures.unit(q.POWER, unit)}", (0.0, float(shell[0])), (10, 4),
                 INK)

    def slip_torque(self, axes: Axes) -> None:
        """Mean torques over the slip, the load of the pump, and from where the magnets could catch."""
        study, slip, table = self.study, self.study.slip, self.study.slip.table
        lag = self._slip_axis(axes)
        motor, pump = self._in(table.driving_torque, q.TORQUE)[1:], self._in(table.inner_torque, q.TORQUE)[1:]
        swing = self._text(slip.swinging_torque, q.TORQUE)
        axes.set_title(f"Out of step: mean torque; the magnets' ±{swing} averages out")
        axes.set_ylabel(f"mean torque, {self.figures.unit(q.TORQUE)}")
        top = 1.4 * float(motor.max())
        axes.set_ylim(1.5 * min(float(pump.min()), 0.0), top)
        axes.axhline(0.0, color=INK, linewidth=0.8)
        fine = np.linspace(0.0, float(lag[-1]), 200)
        load = float(self._in(study.conditions.torque, q.TORQUE)) * (1 - fine / fine[-1]) ** 2
        axes.plot(fine, load, color=INK, linewidth=1.2)
        out = int(np.argmax(load < 0.9 * top))
        late, early = fine[out] > 0.7 * fine[-1], fine[out] < 0.08 * fine[-1]
        _say(axes, "load of the pump", (float(fine[out]), float(load[out])),
             (-NEAR if late else 24 if early else NEAR, 0), INK, ha="right" if late else "left")
        axes.plot(lag[1:], motor, color=HOLDS, linestyle=(0, (5, 3)), linewidth=1.6)
        axes.plot(lag[1:], pump, color=AMPLE)
        if np.allclose(motor, pump):
            _say(axes, "at the motor and on the pump", (float(lag[4]), float(pump[3])), (8, -10), AMPLE)
        else:
            _say(axes, "at the motor", (float(lag[4]), float(motor[3])), (-8, 5), HOLDS, ha="right")
            _say(axes, "on the pump", (float(lag[4]), float(pump[3])), (8, -10), AMPLE)
        full = float(lag[-1])
        drift = full - float(self._in(slip.drifting_speed, q.ROTATIONAL_SPEED))
        if slip.drifting_speed > 0:
            balance = float(np.interp(drift, lag[1:], pump))
            axes.plot([drift], [balance], marker="o", color=INK, markersize=7, zorder=5)
            right = drift < 0.78 * full
            _say(axes, f"pump: {self._text(slip.drifting_speed, q.ROTATIONAL_SPEED)}", (drift, balance),
                 (9, -6) if right else (-9, 9), INK, ha="left" if right else "right")
        catch = min(float(self._in(slip.catching_slip, q.ROTATIONAL_SPEED)), full)
        axes.axvspan(0.0, catch, facecolor=HOLDS, alpha=0.15, linewidth=0)
        axes.annotate("can be caught", (0.0, 0.97), xycoords=("data", "axes fraction"), xytext=(3, 0),
                      textcoords="offset points", rotation=90, color=AMPLE, fontsize=8, fontweight="semibold",
                      ha="left", va="top")

    def _slip_axis(self, axes: Axes) -> np.ndarray:
        """Slip of the rows of the table; the axis for it."""
        table = self.study.slip.table
        lag = self._in(table.outer_speed - table.inner_speed, q.ROTATIONAL_SPEED)
        axes.set_xlabel(f"slip, driver less pump, {self.figures.unit(q.ROTATIONAL_SPEED)}")
        axes.set_xlim(0, float(lag[-1]))
        return lag

    def _in(self, values: np.ndarray | float, kind: Kind) -> np.ndarray:
        return np.asarray(convert(np.asarray(values), kind, self._unit(kind)))

    def _unit(self, kind: Kind) -> str:
        return self.figures.units.unit(kind).name

    def _text(self, value: float, kind: Kind) -> str:
        return self.figures.text(value, kind)


def _say(axes: Axes, words: str, place: tuple[float, float], shift: tuple[float, float], colour: str, *,
         ha: str = "left", va: str = "baseline") -> None:
    """Write beside a point, on a ground of its own so that lines do not cross the letters."""
    axes.annotate(words, place, xytext=shift, textcoords="offset points", color=colour, fontsize=8.5, ha=ha, va=va,
                  bbox={"boxstyle": "square,pad=0.12", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
                  zorder=7, annotation_clip=False)
