"""``wetpath coupling``: what the magnetic coupling of a pump carries, loses, stands and does while it starts."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.errors import InputError
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper, signed
from wetpath.questions.coupling_study.study import CouplingStudy
from wetpath.services import coupling as service
from wetpath.services.progress import announce_compiling
from wetpath.services.standing import Standing, standing_of

#: Load angles [deg] of the table.
ANGLES = (0, 15, 30, 45, 60, 75, 90, 120, 150, 180)


def show_coupling(pump_file: Path, *, liquid_temperature: str | None, torque: str | None, speed: str | None,
                  slip_loss_factor: str | None, plot: Path | None, json: bool, us: bool) -> int:
    """Write the study, and draw it where asked; exit code 1 when a demand is not met."""
    if plot is not None and plot.suffix.lower() not in (".svg", ".png"):
        raise InputError("does not end in .svg or .png", field="--plot", value=f'"{plot}"',
                         do="name the file plot.svg or plot.png")
    announce_compiling(lambda words: tell(f"{words} ..."), "start_course", what="the start", seconds=5)
    study = service.study_pump_file(pump_file, liquid_temperature=liquid_temperature, torque=torque, speed=speed,
                                    slip_loss_factor=slip_loss_factor)
    if plot is not None:
        from wetpath.drawing.coupling_plot import draw_coupling

        draw_coupling(study, plot, Figures.of(us))
    if json:
        sys.stdout.write(service.record_of_coupling(study).model_dump_json(indent=2) + "\n")
    else:
        CouplingPage(study, Paper(), Figures.of(us)).write()
    return 0 if study.holds else 1


class CouplingPage:
    """Writes one study on paper."""

    def __init__(self, study: CouplingStudy, paper: Paper, figures: Figures) -> None:
        self.study, self.paper, self.figures = study, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._demands()
        self._torque()
        self._temperature()
        self._loss()
        self._slip()
        self._heating()
        self._starts()
        self._shell()
        self._measured()
        self._limits()
        self.paper.heading("Warnings and limits crossed")
        words = self.figures.sentences(self.study.warnings)
        if words:
            self.paper.items(words)
        else:
            self.paper.say("None.")
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _answer(self) -> None:
        study, figures = self.study, self.figures
        conditions, point = study.conditions, study.point
        load = figures.text(conditions.torque, q.TORQUE)
        short = [one for one in study.checks if not one.holds[0]]
        ratio = figures.number(point.pull_out / conditions.torque, q.RATIO, unit="1", decimals=2)
        if np.isnan(point.angle):
            words, standing = f"Does not carry {load}", Standing.SHORT
        elif short:
            words, standing = f"Carries {load}, but a demand is missed", Standing.SHORT
        else:
            words, standing = f"Carries {load}", standing_of(study.checks[0], 0)
        top = figures.text(point.pull_out, q.TORQUE)
        self.paper.headline(f"{words}: pull-out {top}, {ratio} times the load", standing)
        if short:
            self.paper.say(f"Missed: {'; '.join(one.title for one in short)}. What gains margin: {short[0].remedy}.")
        self.paper.say(
            f"{study.pump.name}. {figures.text(conditions.speed, q.ROTATIONAL_SPEED)}, shell wall and inner magnets "
            f"{figures.text(conditions.inner_magnets, q.TEMPERATURE)}, outer magnets "
            f"{figures.text(conditions.outer_magnets, q.TEMPERATURE)}.")

    def _demands(self) -> None:
        rows = []
        for one in self.study.checks:
            actual, limit = (self._value(float(values[0]), one.kind) for values in (one.actual, one.limit))
            rows.append((signed(standing_of(one, 0), one.title), actual,
                         f"{'≥' if one.sense == 'at least' else '≤'} {limit}",
                         self._value(float(one.margin[0]), one.difference_kind, sign=True), one.where[0]))
        self.paper.heading("Demands")
        self.paper.table([Column("", wraps=True, least=24), *(Column(name, number=True) for name in (
            "actual", "demand", "margin")), Column("", wraps=True, least=10)], rows)

    def _torque(self) -> None:
        study, point, pairs = self.study, self.study.point, self.study.pump.inner_ring.poles // 2
        degrees = np.degrees(study.torque.angle)
        chosen = [int(np.argmin(np.abs(degrees - angle))) for angle in ANGLES]
        columns = [("load angle\nelectrical", q.ANGLE, study.torque.angle[chosen]),
                   ("\nmechanical", q.ANGLE, study.torque.angle[chosen] / pairs),
                   (f"torque\nat {self._room}", q.TORQUE, study.torque.cold[chosen]),
                   ("torque\nhot", q.TORQUE, study.torque.hot[chosen])]
        if study.pump.outer_ring.axial_offset:
            columns.append(("axial force\non inner ring", q.FORCE, study.torque.axial_force[chosen]))
        self.paper.heading("Torque over load angle", "without the drag of the shell")
        self._table(columns)
        figures = self.figures
        told = (f"Pull-out at {figures.text(point.pull_out_angle, q.ANGLE)} electrical; with magnets at {self._room} "
                f"{figures.text(point.pull_out_cold, q.TORQUE)}.")
        if not np.isnan(point.angle):
            told = (f"The load stands at {figures.text(point.angle, q.ANGLE)} electrical, "
                    f"{figures.text(point.angle / pairs, q.ANGLE)} mechanical; the shell brakes the inner ring with "
                    f"{figures.text(point.drag[0], q.TORQUE)}, the outer one with "
                    f"{figures.text(point.drag[1], q.TORQUE)}. {told}")
        self.paper.say(told)

    def _temperature(self) -> None:
        heat = self.study.temperature
        columns = [("magnets", q.TEMPERATURE, heat.temperature),
                   ("remanence\ninner", q.FLUX_DENSITY, heat.remanence[0]),
                   ("\nouter", q.FLUX_DENSITY, heat.remanence[1]), ("pull-out\n", q.TORQUE, heat.pull_out),
                   ("at load\ninner", q.RATIO, heat.field_running[0]), ("\nouter", q.RATIO, heat.field_running[1]),
                   ("slipping\ninner", q.RATIO, heat.field_opposing[0]), ("\nouter", q.RATIO, heat.field_opposing[1])]
        self.paper.heading("Pull-out and demagnetisation over temperature", "both rings equally warm")
        self._table(columns)
        knee = self.figures.text(self.study.practice["demagnetisation_slip"].value, q.RATIO)
        self.paper.say("The last four columns are the field against the magnets over their intrinsic coercivity. "
                       f"Above {knee} magnetisation is lost for good; below it the torque comes back on cooling.")

    def _loss(self) -> None:
        loss, figures = self.study.loss, self.figures
        self.paper.heading("Loss in the shell", f"wall at {figures.text(self.study.conditions.liquid, q.TEMPERATURE)}")
        if not loss.no_load.any():
            self.paper.say(f"None: {self.study.pump.shell_material.text} does not conduct.")
            return
        angle = NOTHING if np.isnan(self.study.point.angle) else figures.text(self.study.point.angle, q.ANGLE)
        self._table([("speed\n", q.ROTATIONAL_SPEED, loss.speed), ("loss\nno load", q.POWER, loss.no_load),
                     (f"loss\nat {angle}", q.POWER, loss.working)], watts=True)
        self._table([("load angle\nelectrical", q.ANGLE, loss.angle),
                     (f"loss at\n{figures.text(self.study.conditions.speed, q.ROTATIONAL_SPEED)}", q.POWER,
                      loss.over_angle)], watts=True)
        self.paper.say(f"Of it in the closed end at most {1000 * loss.end_share:.1f} ‰, taken as the cylinder "
                       "going on.")

    def _slip(self) -> None:
        slip, figures = self.study.slip, self.figures
        table, raised = slip.table, slip.loss_factor != 1.0
        self.paper.heading("Out of step", "driver at speed, the pump slows down; means over a slip cycle")
        columns = [("pump\n", q.ROTATIONAL_SPEED, table.inner_speed),
                   ("slip\n", q.ROTATIONAL_SPEED, table.outer_speed - table.inner_speed),
                   ("shell\nloss", q.POWER, table.shell_loss), ("over loss\nin step", q.RATIO, table.loss_share)]
        if raised:
            columns.append((f"loss\n× {slip.loss_factor:g}", q.POWER, table.shell_loss * np.where(
                np.arange(table.shell_loss.size) > 0, slip.loss_factor, 1.0)))
        columns += [("sheath\n", q.POWER, table.sheath_loss), ("magnets\ninner", q.POWER, table.inner_magnet_loss),
                    ("\nouter", q.POWER, table.outer_magnet_loss), ("torque\nmotor", q.TORQUE, table.driving_torque),
                    ("\npump", q.TORQUE, table.inner_torque)]
        self._table(columns, watts=True)
        top, frequency = figures.text(slip.swinging_torque, q.TORQUE), slip.swinging_frequency
        self.paper.say(
            "First row: in step, at the load angle. Out of step the fields of both rings pass each other, and only "
            "their squares add up; in step they stand together and add up before squaring, so that the shell loses "
            "more." + ("" if raised else " Some practice holds that the loss rises: --slip-loss-factor puts a factor "
                       "on it."))
        self.paper.items([
            f"The magnets' torque swings with ±{top}, at {frequency:.0f} Hz once the pump stands, and its mean is "
            "zero: every pole that passes pulls as long forwards as backwards. What is left is the drag of the "
            f"currents, {figures.text(slip.driving_torque, q.TORQUE)} at the motor, little enough for its protection "
            "to miss.",
            self._catching(),
            *(f"{text[:1].upper()}{text[1:]}." for text in slip.warnings)])

    def _heating(self) -> None:
        slip, figures = self.study.slip, self.figures
        table = slip.table
        rate = figures.unit(q.TEMPERATURE_DIFFERENCE)
        rows = list(zip(
            figures.column(table.inner_speed.tolist(), q.ROTATIONAL_SPEED),
            figures.column(table.wall_rate.tolist(), q.TEMPERATURE_DIFFERENCE, decimals=2),
            [_seconds(value) for value in table.wall_time],
            figures.column(table.ring_rate.tolist(), q.TEMPERATURE_DIFFERENCE, decimals=2),
            [_seconds(value) for value in table.ring_time], strict=True))
        start = figures.text(self.study.conditions.liquid, q.TEMPERATURE)
        self.paper.heading("Heating out of step", f"without liquid, from {start}")
        limit = "no limit known" if np.isnan(slip.wall_limit) else f"to {figures.text(slip.wall_limit, q.TEMPERATURE)}"
        ring = figures.text(self.study.pump.inner_magnet.highest_temperature, q.TEMPERATURE)
        self.paper.table([
            Column(f"pump\n{figures.unit(q.ROTATIONAL_SPEED)}", number=True),
            Column(f"shell wall\n{rate}/s", number=True), Column(f"{limit}\ns", number=True),
            Column(f"inner magnets\n{rate}/s", number=True), Column(f"to {ring}\ns", number=True)], rows)
        inner, outer = (self._watts(value) for value in slip.magnet_loss_touching)
        self.paper.say(
            "Shell: its hottest piece, which gives heat to the air alone. Inner magnets: they and the sheath together, "
            "which give none off. Magnets in pieces insulated from each other, their loss put high; where they touch, "
            f"at most {inner} in the inner and {outer} in the outer ones with the pump at rest.")

    def _catching(self) -> str:
        slip, figures = self.study.slip, self.figures
        drift, catch, lag = (figures.text(value, q.ROTATIONAL_SPEED) for value in (
            slip.drifting_speed, slip.catching_slip, slip.table.outer_speed[-1] - slip.drifting_speed))
        turned = (f"The drag keeps the pump turning at {drift} at most, a slip of {lag}; the magnets can bring the "
                  f"rings back into step only from a slip below {catch}, unloaded.")
        if slip.catches_again:
            return f"{turned} They might catch; do not count on it: stop the driver, find the cause, start again."
        return f"{turned} They do not catch again: stop the driver, find the cause, start again from rest."

    def _limits(self) -> None:
        rows = []
        for one in self.study.limits:
            def shown(value: float, kind: Kind = one.kind) -> str:
                if kind == q.RATIO:
                    return f"{100 * value:.2g}\u2009%"
                return self.figures.text(value, kind)

            span = f"≤ {shown(one.upper)}" if one.lower is None else f"{shown(one.lower)} to {shown(one.upper)}"
            rows.append((one.title, shown(one.actual), span, "holds" if one.holds else "doubtful", one.reason))
        self.paper.heading("Limits of the model")
        self.paper.table([Column(""), Column("actual", number=True), Column("limit", number=True), Column(""),
                          Column("", wraps=True, least=18)], rows)

    def _starts(self) -> None:
        study, figures = self.study, self.figures
        rows = []
        for start in study.starts:
            course = start.course
            state, said = ((Standing.SHORT, "loses step") if not course.in_step
                           else (Standing.HOLDS, "in step") if course.reaches_speed
                           else (Standing.UNKNOWN, "in step, does not reach speed"))
            rows.append((
                signed(state, course.starter + (" *" if start.own else "")),
                f"{course.ramp:.3g}" if course.ramp else NOTHING, said, figures.number(course.peak_torque, q.TORQUE),
                figures.number(course.peak_angle, q.ANGLE), f"{course.margin:.2f}" if course.in_step else NOTHING,
                NOTHING if np.isnan(course.run_up_time) else f"{course.run_up_time:.3g}",
                figures.number(start.simple_torque, q.TORQUE), _ramp(start.shortest_ramp, course.starter)))
        unit = figures.unit(q.TORQUE)
        load = figures.text(study.conditions.torque, q.TORQUE)
        self.paper.heading("Start, solved in time", f"load {load} at full speed, growing with its square; "
                           "* starter of the pump file")
        self.paper.table(
            [Column(""), Column("ramp\ns", number=True), Column("", wraps=True, least=9),
             Column(f"peak\n{unit}", number=True), Column("angle\n°", number=True),
             Column("pull-out\n/ peak", number=True), Column("run-up\ns", number=True),
             Column(f"as one\n{unit}", number=True), Column("shortest\nramp, s", number=True)], rows)
        told = f"; estimated: {', '.join(study.inertias.estimated)}" if study.inertias.estimated else ""
        self.paper.say(
            f"Inertia of the drive side {figures.text(study.inertias.drive, q.INERTIA)}, of the pump side "
            f"{figures.text(study.inertias.pump, q.INERTIA)}{told}. \"As one\": the motor's largest torque shared by "
            "inertia, with full load, no swinging. Shortest ramp: pull-out over peak stays at "
            f"{study.practice['coupling_margin_running'].value:g}. Motor curve of common shape; the maker's goes "
            "before.")

    def _shell(self) -> None:
        study, figures, strength = self.study, self.figures, self.study.shell.strength
        pressure = [("inside, cylinder by UG-27", strength.cylinder[0]), ("inside, cylinder by EN 13445-3",
                                                                          strength.cylinder_en[0]),
                    (f"inside, {study.pump.containment_shell.end} end", strength.end[0]),
                    ("inside, as rated", strength.bears[0]), ("outside", strength.bears_outside),
                    ("hydrostatic test", strength.test_pressure)]
        rows = [(name, figures.text(float(value), q.PRESSURE_DIFFERENCE)) for name, value in pressure]
        rows += [("allowable stress", figures.text(float(strength.allowable_stress[0]), q.STRESS)),
                 ("hoop stress at the test over yield", figures.text(strength.test_stress_share, q.RATIO)),
                 ("temperature drop through the wall", figures.text(study.shell.gradient, q.TEMPERATURE_DIFFERENCE)),
                 ("thermal stress by it", figures.text(study.shell.thermal_stress, q.STRESS))]
        self.paper.heading("Shell as a pressure part", f"{study.pump.containment_shell.material}, "
                           f"{figures.text(strength.sound_wall, q.LENGTH)} of sound wall at "
                           f"{figures.text(study.conditions.liquid, q.TEMPERATURE)}; pressures above the other side")
        self.paper.table([Column(""), Column("", number=True)], rows)

    def _measured(self) -> None:
        scale, figures = self.study.scale, self.figures
        self.paper.heading("Measured points")
        if self.study.pump.measured is None:
            self.paper.say("None in the pump file: torque and loss are those of the model.")
            return
        rows = [("pull-out torque", figures.text(ours, q.TORQUE), figures.text(model, q.TORQUE), f"{ours / model:.3f}")
                for ours, model in zip(scale.measured_torque, scale.model_torque, strict=True)]
        rows += [("shell loss", self._watts(ours), self._watts(model), f"{ours / model:.3f}")
                 for ours, model in zip(scale.measured_loss, scale.model_loss, strict=True)]
        self.paper.table([Column(""), Column("measured", number=True), Column("model", number=True),
                          Column("ratio", number=True)], rows)
        self.paper.say(f"Everything above has torque times {scale.torque:.3f} and shell loss times {scale.loss:.3f} of "
                       "the model.")
        if self.study.pump.measured.note:
            self.paper.say(self.study.pump.measured.note)

    @property
    def _room(self) -> str:
        return self.figures.text(ROOM_TEMPERATURE, q.TEMPERATURE)

    def _table(self, columns: Sequence[tuple[str, Kind, np.ndarray]], *, watts: bool = False) -> None:
        titles, texts = [], []
        for name, kind, values in columns:
            small = watts and kind == q.POWER
            unit = "W" if small and self.figures.units.name == "metric" else ""
            titles.append(Column(f"{name}\n{self.figures.unit(kind, unit)}", number=True))
            texts.append(self.figures.column([float(value) for value in values], kind, unit=unit,
                                             decimals=2 if small and not unit else None))
        self.paper.table(titles, list(zip(*texts, strict=True)))

    def _watts(self, value: float) -> str:
        if self.figures.units.name != "metric":
            return f"{self.figures.number(value, q.POWER, decimals=2)}\u2009{self.figures.unit(q.POWER)}"
        return f"{self.figures.number(value, q.POWER, unit='W')}\u2009W"

    def _value(self, value: float, kind: Kind, *, sign: bool = False) -> str:
        if kind == q.RATIO:
            return self.figures.number(value, kind, unit="1", decimals=2, sign=sign)
        return self.figures.text(value, kind, sign=sign)


def _ramp(value: float, starter: str) -> str:
    if starter in ("direct on line", "star-delta"):
        return NOTHING
    return "none" if np.isnan(value) else "any" if value == 0 else f"{value:.2g}"


def _seconds(value: float) -> str:
    """A time to a limit; without end where it is never reached."""
    return NOTHING if np.isnan(value) else "never" if np.isinf(value) else f"{value:.0f}"
