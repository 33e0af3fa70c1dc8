"""Upsets as a use case: enquiry and upsets in, course over time, record and table out."""

from __future__ import annotations

import csv
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from wetpath import __version__
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.edge.units import METRIC, UnitSet, convert, parse
from wetpath.errors import InputError, UnknownName
from wetpath.questions.parts import Runner, run_here
from wetpath.questions.protection.instruments import Instrument, InstrumentsFile, default_instruments
from wetpath.questions.protection.matrix import Cause, cause_of, copies_of_model
from wetpath.questions.protection.normal import sample_normal
from wetpath.questions.protection.set_points import Setting, settings_of
from wetpath.questions.protection.signals import warmest_band
from wetpath.questions.protection.study import SAMPLES, at_the_vessel, case_to_start_from
from wetpath.rating.rate import Rating
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.record import Entry
from wetpath.services.scale import Scale, runner_for
from wetpath.services.sensitivity import FileRecord, case_named, file_records, known
from wetpath.upsets import KINDS, SPREADS, Timeline, Upset

FORMAT: Literal["upset/1"] = "upset/1"

Array = NDArray[np.float64]
Row = tuple[float | None, ...]

CAUTIONS = (
    "Help for the responsible engineer, no safety design. Functional safety (IEC 61511), the control of ignition "
    "sources (ISO 80079-37), the hazard review of the plant and local codes decide on every trip.",
    "The times are those of a lumped model of a pump in good order. Take the early end of a damage band and the late "
    "end of an instrument; prove both on the pump where they are close.",
    "Set points computed here stand on the enquiry's cases, liquids and instrument errors. Check them on the running "
    "pump before they are relied on, and after every change of liquid, impeller or instrument.",
    "After a trip find the cause. Let a pump that ran dry cool before liquid comes in. Bypass no trip.")

#: Units of the parameters of upsets.
PARAMETER_KINDS: dict[str, Kind] = {"s": q.TIME, "Pa": q.PRESSURE, "K": q.TEMPERATURE_DIFFERENCE, "-": q.RATIO,
                                   "m": q.HEAD, "m2": q.SURFACE}


@dataclass(frozen=True, eq=False)
class Followed:
    """One upset, or several together, with what instruments show."""

    rating: Rating
    case: int
    band: int
    upsets: tuple[Upset, ...]
    duration: float
    copies: int
    settings: tuple[Setting, ...]
    cause: Cause

    @property
    def line(self) -> Timeline:
        """The course over time."""
        return self.cause.line


def upset_of_files(enquiry: FilePath, upsets: Sequence[str], *, pump: FilePath | None = None,
                   practice: FilePath | None = None, instruments: FilePath | None = None, case: str | None = None,
                   values: Sequence[str] = (), start: str | None = None, duration: str = "600 s", copies: int = 16,
                   announce: Announce = silent, scale: Scale | None = None
                   ) -> tuple[Followed, tuple[FileOrigin, ...]]:
    """Read an enquiry, rate, and follow upsets from the rated state of a case.

    Parameters
    ----------
    enquiry, pump, practice : path
        As for a rating.
    upsets : sequence of str
        Kinds of upset; several come together.
    instruments : path, optional
        Instrument file.
    case : str, optional
        Without it the governing one.
    values : sequence of str
        Parameters, ``"share=20 %"``; with several upsets ``"gas entrained.share=8 %"``; ``start`` of one of them.
    start, duration : str
        When the cause begins, how long is looked at, with unit.
    copies : int
        Copies of the model for the bands.
    announce : callable, optional
    scale : Scale, optional
        Who may help with the copies; without it this process does them.
    """
    asked = upsets_of(upsets, values, start)
    seconds = duration_of(duration)
    fitted, _ = instruments_of(instruments)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    number = case_to_start_from(rating, None if case is None else case_named(rating, case))
    with runner_for(scale, service, "upset", asked, in_plain_values(fitted), number, seconds, copies) as runner:
        return follow(rating, asked, case=number, instruments=fitted, duration=seconds, copies=copies,
                      runner=runner), service.files


def follow(rating: Rating, upsets: Sequence[Upset], *, case: int, instruments: dict[str, Instrument] | None = None,
           duration: float = 600.0, copies: int = 16, settings: tuple[Setting, ...] | None = None,
           runner: Runner = run_here) -> Followed:
    """Follow upsets together, and read the instruments along them; ``settings`` are taken where they are known."""
    band = warmest_band(rating.situation, case)
    upsets = tuple(at_the_vessel(rating, case, one) for one in upsets)
    if settings is None:
        settings = settings_of(rating, instruments or dict(default_instruments()), sample_normal(rating, SAMPLES), band)
    cause = cause_of(rating, upsets, settings, case=case, band=band, duration=duration,
                     factors=copies_of_model(copies), runner=runner)
    return Followed(rating, case, band, upsets, duration, copies, settings, cause)


def duration_of(text: str) -> float:
    """Read the time that is looked at."""
    seconds = parsed(text, q.TIME, "--duration")
    if not 1.0 <= seconds <= 86400.0:
        raise InputError("is outside 1 s to 1 d", field="--duration", value=f'"{text}"', do='write for example "600 s"')
    return seconds


def upsets_of(kinds: Sequence[str], values: Sequence[str] = (), start: str | None = None) -> tuple[Upset, ...]:
    """Read upsets as a user types them."""
    names = [_kind(name) for name in kinds]
    begins = 10.0 if start is None else parsed(start, q.TIME, "--start")
    found: dict[str, dict[str, float]] = {name: {} for name in names}
    starts: dict[str, float] = {}
    for text in values:
        left, equals, value = text.partition("=")
        if not equals:
            raise InputError("has no equals sign", field="--set", value=f'"{text}"',
                             do='write for example --set "share=20 %"')
        kind, _, name = left.strip().rpartition(".")
        owner = _kind(kind) if kind else names[0]
        if owner not in found or (not kind and len(names) > 1):
            raise InputError("does not say of which upset" if not kind else "is of an upset that is not asked for",
                             field="--set", value=f'"{text}"', do=f'write --set "{names[0]}.{name}=..."')
        parameters = KINDS[owner].parameters
        if name == "start":
            starts[owner] = parsed(value.strip(), q.TIME, "--set start")
            continue
        if name not in parameters:
            raise UnknownName(f'parameter of "{owner}"', name, [*parameters, "start"], field="--set")
        found[owner][name] = parsed(value.strip(), PARAMETER_KINDS[parameters[name].unit], f"--set {name}")
    try:
        return tuple(Upset(name, starts.get(name, begins), found[name]) for name in names)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=f"--set {told.field}", value=told.value, why=told.why, do=told.do) from None


def _kind(name: str) -> str:
    plain = name.strip().casefold().replace("_", " ").replace("-", " ")
    if plain not in KINDS:
        raise UnknownName("upset", name, KINDS, field="--upset", do=f"take one of {', '.join(KINDS)}")
    return plain


def in_plain_values(instruments: Mapping[str, Instrument]) -> list[dict[str, object]]:
    """Instruments as plain values, by which the answers of two questions are known to be the same."""
    return [{**vars(one), "signal": one.signal.name} for one in instruments.values()]


def instruments_of(file: FilePath | None) -> tuple[dict[str, Instrument], str]:
    """Instruments of a file, or the defaults, and what they are called."""
    if file is None:
        return dict(default_instruments()), "all known instruments, default values"
    from wetpath.edge.files import load_document

    read = load_document(file, InstrumentsFile)
    return read.instruments(), read.name


def parsed(text: str, kind: Kind, field: str) -> float:
    """Read a value typed for a field; what is wrong is told with the name of the field."""
    try:
        return parse(text, kind)
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=field, value=told.value, why=told.why, do=told.do) from None


class EventRecord(Entry):
    """Something that happens once."""

    name: str
    time_s: float
    text: str


class TimesRecord(Entry):
    """Time of something with its band over the copies of the model; null: it does not happen in the time looked at."""

    nominal_s: float | None
    low_s: float | None = Field(description="5 % of the copies are earlier")
    high_s: float | None = Field(description="5 % are later; null: they never get there")


class ReadingRecord(Entry):
    """What one instrument does in one upset."""

    instrument: str
    words: Literal["seen", "too late", "not seen", "no set point"]
    passes_s: float | None = Field(description="reading passes the set point, instrument without error")
    acts_s: float | None = Field(description="with its delay, and late by its error")
    in_hand_s: float | None = Field(description="damage less that; null: no damage, or it never acts")
    in_hand_low_s: float | None
    in_hand_high_s: float | None


class CauseRecord(Entry):
    """One upset, or several together."""

    upsets: tuple[str, ...]
    parameters: dict[str, dict[str, float]] = Field(description="of each upset, SI")
    cause_begins_s: float
    liquid_lost: TimesRecord
    liquid_lost_where: str
    damage: TimesRecord
    damage_by: str
    events: tuple[EventRecord, ...]
    readings: tuple[ReadingRecord, ...]
    shell_loss_share_out_of_step: float | None = Field(
        description="loss of the shell out of step over that in step; null: the rings stay in step")
    damage_if_loss_stays_s: float | None = Field(
        description="damage if the shell took as much out of step as in step, as some practice holds; null: none, or "
                    "the rings stay in step")
    copies_failed: int = Field(description="copies of the model that could not be followed; they are in no band")


class SpreadRecord(Entry):
    """Ends between which a number of the model is drawn, even on a logarithmic scale."""

    name: str
    text: str
    low: float
    high: float
    unit: str
    source: Literal["published", "common practice", "assumed"]
    cited: str = Field(description="what is published, where; recalled, not read here")


class UpsetRecord(Entry):
    """The course of one upset: states, observables, events, instruments; SI, absolute pressures."""

    wetpath: Literal["upset/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    liquid: str
    case: str
    files: tuple[FileRecord, ...]
    duration_s: float
    copies: int
    spreads: tuple[SpreadRecord, ...]
    cause: CauseRecord
    time_s: Row
    columns: dict[str, Row] = Field(description="by name with the SI unit at its end")
    stations: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def record_of_upset(found: Followed, files: tuple[FileOrigin, ...] = ()) -> UpsetRecord:
    """Return the record."""
    rating, line = found.rating, found.line
    return UpsetRecord(
        program_version=__version__, enquiry=rating.enquiry.title, pump=rating.pump.name,
        liquid=rating.situation.liquids[rating.situation.model_of[found.case]].name,
        case=rating.case_names[found.case], files=file_records(files), duration_s=found.duration, copies=found.copies,
        spreads=record_of_spreads(), cause=record_of_cause(found.cause), time_s=row(line.time),
        columns={name: row(values) for name, values, _ in columns_of(line)}, stations=line.station_names,
        warnings=found.cause.warnings, cautions=CAUTIONS)


def record_of_cause(cause: Cause) -> CauseRecord:
    """Return the record of an upset and its readings."""
    return CauseRecord(
        upsets=tuple(one.kind for one in cause.upsets),
        parameters={one.kind: {name: one.number(name) for name in KINDS[one.kind].parameters} for one in cause.upsets},
        cause_begins_s=cause.begins, liquid_lost=_times(cause.lost), liquid_lost_where=cause.lost_where,
        damage=_times(cause.damage), damage_by=cause.damage_text,
        events=tuple(EventRecord(name=one.name, time_s=one.time, text=one.text) for one in cause.line.events),
        readings=tuple(ReadingRecord(
            instrument=one.setting.instrument.name, words=one.words if one.setting.usable else "no set point",
            passes_s=known(one.passes), acts_s=known(one.acts), in_hand_s=known(one.in_hand),
            in_hand_low_s=known(one.in_hand_low), in_hand_high_s=known(one.in_hand_high)) for one in cause.readings),
        shell_loss_share_out_of_step=known(cause.shell_loss_share),
        damage_if_loss_stays_s=known(cause.damage_if_loss_stays), copies_failed=cause.failed)


def record_of_spreads() -> tuple[SpreadRecord, ...]:
    """Return what is drawn for the bands."""
    return tuple(SpreadRecord(name=name, text=one.text, low=one.low, high=one.high, unit=one.unit, source=one.source,
                              cited=one.cited)
                 for name, one in SPREADS.items())


def spreads_in_words() -> list[str]:
    """What is drawn for the bands, by where it comes from."""
    told: dict[str, list[str]] = {"published": [], "common practice": [], "assumed": []}
    for one in SPREADS.values():
        told[one.source].append(f"{one.text} {one.low:g} to {one.high:g}{'' if one.unit == '-' else f' {one.unit}'}"
                                f"{f' ({one.cited})' if one.cited else ''}")
    heads = {"published": "published, recalled", "common practice": "common practice, no source",
             "assumed": "assumed here"}
    return [f"{heads[source]}: {'; '.join(lines)}" for source, lines in told.items()]


def _times(times: object) -> TimesRecord:
    return TimesRecord(nominal_s=known(times.nominal), low_s=known(times.low),  # type: ignore[attr-defined]
                       high_s=known(times.high))  # type: ignore[attr-defined]


def row(values: Array) -> Row:
    """Numbers of a record; null where not known."""
    return tuple(float(value) if np.isfinite(value) else None for value in np.asarray(values, float))


#: Columns of the course: name, unit of SI, kind.
_COLUMNS: tuple[tuple[str, str, Kind], ...] = (
    ("outer_speed", "rad_per_s", q.ROTATIONAL_SPEED), ("inner_speed", "rad_per_s", q.ROTATIONAL_SPEED),
    ("shaft_power", "w", q.POWER), ("motor_power", "w", q.POWER), ("current_share", "", q.RATIO),
    ("suction_pressure", "pa", q.PRESSURE), ("discharge_pressure", "pa", q.PRESSURE),
    ("flow", "m3_per_s", q.VOLUME_FLOW), ("suction_temperature", "k", q.TEMPERATURE),
    ("casing_temperature", "k", q.TEMPERATURE), ("return_temperature", "k", q.TEMPERATURE),
    ("annulus_flow", "kg_per_s", q.MASS_FLOW), ("bearing_temperature", "k", q.TEMPERATURE),
    ("magnet_temperature", "k", q.TEMPERATURE), ("outer_magnet_temperature", "k", q.TEMPERATURE),
    ("rear_liquid_share", "", q.RATIO), ("casing_liquid_share", "", q.RATIO), ("bearing_liquid_share", "", q.RATIO),
    ("bearing_dry_time", "s", q.TIME), ("bearing_clearance_share", "", q.RATIO),
    ("wall_margin", "k", q.TEMPERATURE_DIFFERENCE), ("torque", "n_m", q.TORQUE), ("pull_out", "n_m", q.TORQUE),
    ("load_angle", "rad", q.ANGLE), ("vessel_level", "m", q.HEAD), ("over_outlet", "m", q.HEAD))


def columns_of(line: Timeline) -> list[tuple[str, Array, Kind]]:
    """Everything of a course that is one number at a time: name with unit, values, kind."""
    found: list[tuple[str, Array, Kind]] = []
    for name, unit, kind in _COLUMNS:
        found.append((f"{name}_{unit}" if unit else name, getattr(line, name), kind))
    found.append(("vibration_class", line.vibration_class.astype(float), q.NUMBER))
    for band in range(line.shell_wall.shape[1]):
        found.append((f"shell_wall_{band + 1}_k", line.shell_wall[:, band], q.TEMPERATURE))
    for place, name in enumerate(line.station_names):
        found.append((f"margin_{name}_pa", line.station_margin[:, place], q.PRESSURE_DIFFERENCE))
    return found


def write_course(line: Timeline, target: str | os.PathLike[str], units: UnitSet = METRIC) -> None:
    """Write a course as CSV, one line a time, units in the heading, nothing where there is no number."""
    headings, columns = ["time [s]"], [[f"{value:.6g}" for value in line.time]]
    endings = sorted({f"_{unit}" for _, unit, _ in _COLUMNS if unit} | {"_pa", "_k"}, key=len, reverse=True)
    for name, values, kind in columns_of(line):
        plain = next((name.removesuffix(end) for end in endings if name.endswith(end)), name)
        unit = units.unit(kind)
        headings.append(f"{plain.replace('_', ' ')} [{unit.name}{' a' if kind is q.PRESSURE else ''}]")
        shown = np.asarray(convert(values, kind, unit.name))
        columns.append([f"{value:.6g}" if np.isfinite(value) else "" for value in shown])
    write_csv(target, headings, zip(*columns, strict=True))


def write_csv(target: str | os.PathLike[str], headings: Sequence[str], rows: object) -> None:
    """Write a table; a file that cannot be written is told."""
    try:
        with Path(target).open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(headings)
            writer.writerows(rows)  # type: ignore[arg-type]
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--csv", value=f'"{target}"') from None
