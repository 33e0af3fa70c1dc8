"""The sheet of the magnetic coupling: every case, torque, temperature, loss, start, and the limits of the model."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.palette import LIGHT, fixed
from wetpath.drawing.torque_curves import torque_drawing
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.tables import ROOM_TEMPERATURE
from wetpath.faces.report.cells import cell_of
from wetpath.faces.report.parts import Cell, Chart, Part, Picture, Sheet, Table, Words
from wetpath.faces.report.texts import Texts
from wetpath.questions.coupling_study.conditions import Conditions
from wetpath.questions.coupling_study.study import CouplingStudy, study_coupling
from wetpath.rating.rate import Rating
from wetpath.services.record import CaseRecord, Record
from wetpath.services.standing import Standing, standing_of
from wetpath.words import joined

#: Every so many of the study's load angles is a row.
ANGLE_STEP = 3
_CHECK = "coupling_margin_running"


def coupling_case(record: Record) -> CaseRecord:
    """The case in which the coupling has least in hand."""
    worst = next(one.worst_case for one in record.checks if one.name == _CHECK)
    return next(one for one in record.cases if one.name == worst)


def coupling_study_of(rating: Rating, record: Record) -> CouplingStudy:
    """Study the coupling at load and temperatures of that case."""
    case = coupling_case(record)
    return study_coupling(rating.pump, Conditions(
        torque=case.coupling.torque_n_m, speed=case.operating_point.speed_rad_per_s, liquid=case.wall.temperature_k,
        inner_magnets=case.coupling.inner_magnets_k, outer_magnets=case.coupling.outer_magnets_k), rating.practice)


class CouplingSheet:
    """Builds the sheet of one study."""

    def __init__(self, study: CouplingStudy, record: Record, figures: Figures, say: Texts) -> None:
        self.study, self.record, self.figures, self.say = study, record, figures, say
        self.metric = figures.units.name == "metric"

    def sheet(self) -> Sheet:
        """All parts in order; the table of torque is the one of the native chart."""
        say, figures = self.say, self.figures
        picture = fixed(torque_drawing(self.study, figures, identity="torque-report"), LIGHT)
        torque = self._torque()
        parts: list[Part] = [self._answer(), self._cases(), self._demands(),
                             Picture(say("coupling_curve"), picture, say("coupling_curve")), torque,
                             self._temperature(), self._loss(), self._start(), self._slip(), self._limits()]
        warnings = tuple(self.figures.sentences(map(say.words, self.study.warnings)))
        if warnings:
            parts.append(Words(say("warnings"), warnings))
        return Sheet("coupling", say("coupling"), tuple(parts), Chart(
            say("coupling_curve"), 0, (2, 3), torque.columns[0][0], torque.columns[3][0]))

    def _answer(self) -> Words:
        study, figures = self.study, self.figures
        point, conditions, pairs = study.point, study.conditions, study.pump.inner_ring.poles // 2
        angle = figures.text(point.angle, q.ANGLE)
        told = [self.say("coupling_at", case=coupling_case(self.record).name,
                         torque=figures.text(conditions.torque, q.TORQUE),
                         speed=figures.text(conditions.speed, q.ROTATIONAL_SPEED),
                         inner=figures.text(conditions.inner_magnets, q.TEMPERATURE),
                         outer=figures.text(conditions.outer_magnets, q.TEMPERATURE),
                         wall=figures.text(conditions.liquid, q.TEMPERATURE)),
                self.say("coupling_told_pull_out", pull_out=figures.text(point.pull_out, q.TORQUE),
                         ratio=figures.number(point.pull_out / conditions.torque, q.RATIO, unit="1", decimals=2),
                         cold=figures.text(point.pull_out_cold, q.TORQUE),
                         room=figures.text(ROOM_TEMPERATURE, q.TEMPERATURE))]
        if math.isfinite(point.angle):
            told.append(self.say("coupling_angle", angle=angle,
                                 mechanical=figures.text(point.angle / pairs, q.ANGLE),
                                 inner=figures.text(point.drag[0], q.TORQUE),
                                 outer=figures.text(point.drag[1], q.TORQUE)))
        else:
            told.append(self.say("coupling_lost"))
        return Words("", tuple(told))

    def _cases(self) -> Table:
        lines: list[tuple[str, Kind, Callable[[CaseRecord], float | None]]] = [
            ("torque", q.TORQUE, lambda case: case.coupling.torque_n_m),
            ("pull_out", q.TORQUE, lambda case: case.coupling.pull_out_torque_n_m),
            ("pull_out_share", q.NUMBER, lambda case: case.coupling.pull_out_over_torque),
            ("load_angle", q.ANGLE, lambda case: math.radians(case.coupling.load_angle_electrical_deg)),
            ("inner_magnets", q.TEMPERATURE, lambda case: case.coupling.inner_magnets_k),
            ("outer_magnets", q.TEMPERATURE, lambda case: case.coupling.outer_magnets_k),
            ("eddy", q.POWER, lambda case: case.losses.eddy_w),
            ("annulus_drag", q.POWER, lambda case: case.losses.annulus_drag_w),
            ("start_share", q.NUMBER, lambda case: case.start.pull_out_over_torque)]
        rows = tuple((Cell(self.say(f"coupling_{key}")), *(cell_of(self.figures, value(case), kind)
                                                         for case in self.record.cases),
                      Cell(self.figures.unit(kind))) for key, kind, value in lines)
        return Table(self.say("coupling_cases"), ((self.say("column_item"), False), *(
            (case.name, True) for case in self.record.cases), (self.say("column_unit"), False)), rows)

    def _demands(self) -> Table:
        rows = []
        for one in self.study.checks:
            level, ratio = standing_of(one, 0), one.kind == q.RATIO
            unit, decimals = ("1", 2) if ratio else ("", None)

            def shown(value: float, kind: Kind, *, sign: bool = False, unit: str = unit,
                      decimals: int | None = decimals) -> str:
                return (self.figures.number(value, kind, unit=unit, decimals=decimals, sign=sign) if unit
                        else self.figures.text(value, kind, sign=sign))

            bound = "≥" if one.sense == "at least" else "≤"
            rows.append((Cell(f"{level.sign} {self.say.words(one.title)}", standing=level.value),
                         Cell(self.say.words(one.where[0])),
                         Cell(shown(float(one.actual[0]), one.kind)),
                         Cell(f"{bound} {shown(float(one.limit[0]), one.kind)}"),
                         Cell(shown(float(one.margin[0]), one.difference_kind, sign=True))))
        return Table(self.say("coupling_demands"), (
            (self.say("column_check"), False), (self.say("column_where"), False), (self.say("column_actual"), True),
            (self.say("column_limit"), True), (self.say("column_margin"), True)), tuple(rows))

    def _torque(self) -> Table:
        curve, pairs = self.study.torque, self.study.pump.inner_ring.poles // 2
        rows = slice(None, None, ANGLE_STEP)
        columns = [("angle_electrical", q.ANGLE, curve.angle[rows]),
                   ("angle_mechanical", q.ANGLE, curve.angle[rows] / pairs),
                   ("torque_cold", q.TORQUE, curve.cold[rows]), ("torque_hot", q.TORQUE, curve.hot[rows])]
        if self.study.pump.outer_ring.axial_offset:
            columns.append(("axial", q.FORCE, curve.axial_force[rows]))
        return self._table("", columns, note=self.say(
            "coupling_torque_note", room=self.figures.text(ROOM_TEMPERATURE, q.TEMPERATURE)))

    def _temperature(self) -> Table:
        heat = self.study.temperature
        knee = self.figures.text(self.study.practice["demagnetisation_slip"].value, q.RATIO)
        return self._table("coupling_temperature", [
            ("magnets", q.TEMPERATURE, heat.temperature), ("remanence_inner", q.FLUX_DENSITY, heat.remanence[0]),
            ("remanence_outer", q.FLUX_DENSITY, heat.remanence[1]), ("pull_out", q.TORQUE, heat.pull_out),
            ("running_inner", q.RATIO, heat.field_running[0]), ("running_outer", q.RATIO, heat.field_running[1]),
            ("slipping_inner", q.RATIO, heat.field_opposing[0]), ("slipping_outer", q.RATIO, heat.field_opposing[1])],
            note=self.say("coupling_temperature_note", knee=knee))

    def _loss(self) -> Part:
        loss = self.study.loss
        if not loss.no_load.any():
            return Words(self.say("coupling_loss"), (self.say("coupling_no_loss",
                                                              shell=self.study.pump.shell_material.text),))
        return self._table("coupling_loss", [
            ("speed", q.ROTATIONAL_SPEED, loss.speed), ("loss_no_load", q.POWER, loss.no_load),
            ("loss_at_load", q.POWER, loss.working)], watts=True)

    def _slip(self) -> Table:
        table = self.study.slip.table
        return self._table("coupling_slip", [
            ("pump_speed", q.ROTATIONAL_SPEED, table.inner_speed), ("shell_loss", q.POWER, table.shell_loss),
            ("sheath_loss", q.POWER, table.sheath_loss), ("magnet_loss", q.POWER, table.inner_magnet_loss),
            ("motor_torque", q.TORQUE, table.driving_torque), ("wall_heating", q.TEMPERATURE_DIFFERENCE,
                                                               table.wall_rate)],
            watts=True, note=self.say("coupling_slip_note"), suffix={"wall_heating": "/s"})

    def _start(self) -> Table:
        say, figures, study = self.say, self.figures, self.study
        rows = []
        for start in study.starts:
            course = start.course
            level, state = ((Standing.SHORT, "start_loses") if not course.in_step else
                            (Standing.HOLDS, "start_holds") if course.reaches_speed else
                            (Standing.UNKNOWN, "start_stays"))
            rows.append((Cell(f"{level.sign} {say.words(course.starter)}{' *' if start.own else ''}",
                              standing=level.value),
                         Cell(f"{course.ramp:.3g}" if course.ramp else NOTHING), Cell(say(state)),
                         cell_of(figures, course.peak_torque, q.TORQUE), cell_of(figures, course.peak_angle, q.ANGLE),
                         Cell(f"{course.margin:.2f}" if course.in_step else NOTHING),
                         Cell(NOTHING if math.isnan(course.run_up_time) else f"{course.run_up_time:.3g}")))
        names = (("starter", ""), ("ramp", "s"), ("state", ""), ("peak", figures.unit(q.TORQUE)),
                 ("peak_angle", figures.unit(q.ANGLE)), ("peak_share", ""), ("run_up", "s"))
        estimated = say("coupling_estimated", names=joined(", ", study.inertias.estimated)
                        ) if study.inertias.estimated else ""
        note = say("coupling_start_note", drive=figures.text(study.inertias.drive, q.INERTIA),
                   pump=figures.text(study.inertias.pump, q.INERTIA))
        return Table(say("coupling_start"), tuple(
            (say(f"coupling_{name}") + (f", {unit}" if unit else ""), name not in ("starter", "state"))
            for name, unit in names), tuple(rows), note=f"{note} {estimated}".strip())

    def _limits(self) -> Table:
        rows = []
        for one in self.study.limits:
            def shown(value: float, kind: Kind = one.kind) -> str:
                return f"{100 * value:.2g}\u2009%" if kind == q.RATIO else self.figures.text(value, kind)

            span = f"≤ {shown(one.upper)}" if one.lower is None else self.say(
                "from_to", low=shown(one.lower), high=shown(one.upper))
            rows.append((Cell(self.say.words(one.title)), Cell(shown(one.actual)), Cell(span),
                         Cell(self.say("limit_holds" if one.holds else "limit_doubtful"), bold=not one.holds),
                         Cell(self.say.words(one.reason))))
        return Table(self.say("coupling_limits"), (
            (self.say("column_item"), False), (self.say("column_actual"), True), (self.say("column_limit"), True),
            (self.say("coupling_state"), False), (self.say("column_why"), False)), tuple(rows))

    def _table(self, title: str, columns: Sequence[tuple[str, Kind, np.ndarray]], *, note: str = "",
               watts: bool = False, suffix: dict[str, str] | None = None) -> Table:
        names, cells = [], []
        for key, kind, values in columns:
            unit = "W" if watts and self.metric and kind == q.POWER else ""
            told = self.figures.unit(kind, unit) + (suffix or {}).get(key, "")
            names.append((f"{self.say(f'coupling_{key}')}, {told}", True))
            texts = self.figures.column([float(value) for value in values], kind, unit=unit)
            decimals = max((len(text.partition(".")[2]) for text in texts if text != NOTHING), default=0)
            cells.append([cell_of(self.figures, float(value), kind, decimals=decimals, shown_in=unit)
                          for value in values])
        return Table(self.say(title) if title else "", tuple(names), tuple(zip(*cells, strict=True)), note=note)
