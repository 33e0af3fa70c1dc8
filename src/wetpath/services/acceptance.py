"""The works test as a use case: pump file and measured points in, judgement, record and updated pump file out."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from wetpath import __version__
from wetpath.edge import quantities as q
from wetpath.edge.files import dump_document, load_document
from wetpath.edge.quantities import Kind
from wetpath.edge.ranges import Within
from wetpath.edge.units import parse
from wetpath.errors import InputError, UnknownName
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.physics.pump.acceptance import GRADES, Grade
from wetpath.questions.acceptance.accept import Acceptance, accept
from wetpath.questions.acceptance.bench import Bench, Prediction, predict
from wetpath.questions.acceptance.curves import Array
from wetpath.questions.acceptance.guarantee import Demand, Guarantee, Judgement
from wetpath.questions.acceptance.points_file import read_points
from wetpath.questions.acceptance.updated_pump import UpdatedPump, updated_pump
from wetpath.rating.enquiry import Enquiry
from wetpath.services.liquids import liquid_of_name
from wetpath.services.progress import Announce, announce_compiling, silent
from wetpath.services.record import Entry

FilePath = str | os.PathLike[str]

#: Grade and conditions of the bench when nothing else is said.
GRADE, TEMPERATURE, SUCTION_PRESSURE = "2B", "20 degC", "2 bar a"


@dataclass(frozen=True)
class Asked:
    """A guarantee as typed: texts with units, one for each guarantee point; empty where nothing is guaranteed."""

    flow: Sequence[str] = ()
    head: Sequence[str] = ()
    power: Sequence[str] = ()
    efficiency: Sequence[str] = ()
    npsh: Sequence[str] = ()

    def guarantees(self) -> tuple[Guarantee, ...]:
        """Read the texts."""
        count = len(self.flow)
        if not count or len(self.head) != count:
            raise InputError("and head are given in pairs, one pair for each guarantee point", field="--flow",
                             do='write for example --flow "50 m3/h" --head "60 m"')
        for name in ("power", "efficiency", "npsh"):
            if len(getattr(self, name)) not in (0, count):
                raise InputError(f"is given {len(getattr(self, name))} times; allowed: {count} times, once for each "
                                 "guarantee point, or not at all", field=f"--{name}")
        read = {name: [_read(text, kind, name, within) for text in getattr(self, name)]
                for name, (kind, within) in _GUARANTEED.items()}
        return tuple(Guarantee(**{name: values[number] for name, values in read.items() if values})
                     for number in range(count))


_GUARANTEED: dict[str, tuple[Kind, Within]] = {
    "flow": (q.VOLUME_FLOW, Within(above=0.0)), "head": (q.HEAD, Within(above=0.0)),
    "power": (q.POWER, Within(above=0.0)), "efficiency": (q.RATIO, Within(above=0.0, below=1.0)),
    "npsh": (q.HEAD, Within(above=0.0))}


def bench_of(pump: PumpFile, *, speed: str | None = None, temperature: str = TEMPERATURE,
             suction_pressure: str = SUCTION_PRESSURE) -> Bench:
    """Conditions of the bench; the guaranteed speed is that of the driver when none is given."""
    return Bench(
        pump.driver.speed if speed is None else _read(speed, q.ROTATIONAL_SPEED, "speed", Within(above="1 rpm")),
        _read(temperature, q.TEMPERATURE, "temperature", Within(lower="1 degC", upper="80 degC")),
        _read(suction_pressure, q.PRESSURE, "suction-pressure", Within(lower="0.2 bar a")))


def grade_of(name: str) -> Grade:
    """A grade by its name; raise `UnknownName` with those there are."""
    try:
        return GRADES[name.upper()]
    except KeyError:
        raise UnknownName("grade", name, GRADES, field="--grade") from None


def grade_asked(option: str | None, enquiry_file: FilePath | None) -> str:
    """The grade to judge by: of the enquiry where it names one, else as typed, else :data:`GRADE`."""
    agreed = load_document(enquiry_file, Enquiry).acceptance_grade if enquiry_file is not None else ""
    if agreed and option is not None and grade_of(option).name != agreed:
        raise InputError(f"is not the grade {agreed} of the enquiry", field="--grade", value=f'"{option}"',
                         do="leave --grade out, or change acceptance_grade in the enquiry")
    return agreed or option or GRADE


def load_bench(pump_file: FilePath, *, announce: Announce = silent) -> tuple[PumpFile, Liquid]:
    """The pump that is tested, and the water it is tested with."""
    pump = load_document(pump_file, PumpFile)
    water = liquid_of_name("water", announce=announce)
    announce_compiling(announce)
    return pump, water


def predicted_bench(pump: PumpFile, water: Liquid, bench: Bench) -> Prediction:
    """What the bench should show at the tested flows of the pump file, carried to speed and diameter fitted."""
    tested = pump.impeller.tested
    scale = bench.speed / tested.speed * pump.impeller.diameter / tested.diameter
    return predict(pump, water, bench, np.array(tested.flow) * scale)


def accept_points(pump: PumpFile, water: Liquid, points_file: FilePath, asked: Asked, *, grade: str = GRADE,
                  bench: Bench) -> Acceptance:
    """Read measured points and judge them."""
    guarantees, chosen = asked.guarantees(), grade_of(grade)
    points = read_points(points_file, speed=bench.speed, temperature=bench.temperature)
    return accept(pump, water, bench, points, guarantees, chosen)


def write_updated(acceptance: Acceptance, water: Liquid, points_file: FilePath, target: FilePath) -> UpdatedPump:
    """Write the pump file that the test leads to; a file that is there already is not written over."""
    if Path(target).exists():
        raise InputError("is there already and is not written over", field="--update", value=f'"{os.fspath(target)}"',
                         do="give another name")
    origin = f"Curves refitted from the works test in {Path(points_file).name}."
    updated = updated_pump(acceptance, water, origin=origin)
    try:
        Path(target).write_text(dump_document(updated.pump), encoding="utf-8")
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--update",
                         value=f'"{os.fspath(target)}"') from None
    return updated


class DemandRecord(Entry):
    """One guaranteed quantity."""

    name: str
    flow_m3_per_s: float | None
    guaranteed: float
    measured: float | None
    least: float | None
    most: float | None
    met: bool
    note: str


class JudgementRecord(Entry):
    """One guarantee point in one grade."""

    grade: str
    accepted: bool
    flow_deviation: float | None
    meets_head_arm: bool
    meets_flow_arm: bool
    demands: tuple[DemandRecord, ...]


class PointRecord(Entry):
    """One measured point at the guaranteed speed, and what was predicted there."""

    flow_m3_per_s: float
    head_m: float
    power_w: float | None
    efficiency: float | None
    npsh_m: float | None
    predicted_head_m: float
    predicted_power_w: float | None
    predicted_npsh_m: float | None


class AcceptanceRecord(Entry):
    """A works test judged, in SI units."""

    wetpath: Literal["acceptance/1"] = "acceptance/1"
    program_version: str
    pump: str
    speed_rad_per_s: float
    water_temperature_k: float
    accepted: bool
    points: tuple[PointRecord, ...]
    judgements: tuple[JudgementRecord, ...]
    all_grades: tuple[tuple[JudgementRecord, ...], ...]
    warnings: tuple[str, ...]


class PredictionRecord(Entry):
    """What the bench should show, in SI units."""

    wetpath: Literal["bench/1"] = "bench/1"
    program_version: str
    pump: str
    speed_rad_per_s: float
    water_temperature_k: float
    flow_m3_per_s: tuple[float, ...]
    head_m: tuple[float, ...]
    power_w: tuple[float | None, ...]
    efficiency: tuple[float | None, ...]
    npsh_m: tuple[float | None, ...]
    drive_losses_w: tuple[float | None, ...]
    pull_out_over_torque: tuple[float | None, ...]


def record_of_acceptance(acceptance: Acceptance) -> AcceptanceRecord:
    """Return the record of a works test."""
    points, predicted = acceptance.points, acceptance.predicted
    rows = zip(points.flow, points.head, points.power, points.efficiency, points.npsh, predicted.head, predicted.power,
               predicted.npsh, strict=True)
    return AcceptanceRecord(
        program_version=__version__, pump=acceptance.pump.name, speed_rad_per_s=acceptance.bench.speed,
        water_temperature_k=acceptance.bench.temperature, accepted=acceptance.accepted,
        points=tuple(PointRecord(flow_m3_per_s=row[0], head_m=row[1], power_w=_known(row[2]), efficiency=_known(row[3]),
                                 npsh_m=_known(row[4]), predicted_head_m=row[5], predicted_power_w=_known(row[6]),
                                 predicted_npsh_m=_known(row[7])) for row in rows),
        judgements=tuple(_judgement(one) for one in acceptance.judgements),
        all_grades=tuple(tuple(_judgement(one) for one in grades) for grades in acceptance.other_grades),
        warnings=acceptance.warnings)


def record_of_prediction(pump: PumpFile, bench: Bench, predicted: Prediction) -> PredictionRecord:
    """Return the record of a prediction."""
    def known(values: Array) -> tuple[float | None, ...]:
        return tuple(_known(value) for value in values)

    return PredictionRecord(
        program_version=__version__, pump=pump.name, speed_rad_per_s=bench.speed, water_temperature_k=bench.temperature,
        flow_m3_per_s=tuple(predicted.flow), head_m=tuple(predicted.head), power_w=known(predicted.power),
        efficiency=known(predicted.efficiency), npsh_m=known(predicted.npsh), drive_losses_w=known(predicted.drive),
        pull_out_over_torque=known(predicted.coupling_ratio))


def _judgement(one: Judgement) -> JudgementRecord:
    return JudgementRecord(
        grade=one.grade.name, accepted=one.accepted, flow_deviation=_known(one.flow_deviation),
        meets_head_arm=one.meets_head_arm, meets_flow_arm=one.meets_flow_arm,
        demands=tuple(_demand(demand) for demand in one.demands))


def _demand(one: Demand) -> DemandRecord:
    return DemandRecord(name=one.name, flow_m3_per_s=_known(one.flow), guaranteed=one.guaranteed,
                        measured=_known(one.measured), least=_known(one.least), most=_known(one.most), met=one.met,
                        note=one.note)


def _read(text: str, kind: Kind, option: str, within: Within) -> float:
    try:
        return parse(text, kind, within=within)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=f"--{option}", value=told.value, why=told.why, do=told.do) from None


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
