"""The protection plan as a use case: enquiry and instruments in, plan, record and instrument list out."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Sequence
from typing import Literal

import numpy as np
from pydantic import Field

from wetpath import __version__
from wetpath.edge import quantities as q
from wetpath.edge.units import METRIC, UnitSet, convert
from wetpath.errors import InputError
from wetpath.questions.parts import Progress
from wetpath.questions.protection.set_points import Setting
from wetpath.questions.protection.study import COPIES as COPIES
from wetpath.questions.protection.study import NOT_SIMULATED, SAMPLES, Plan, plan_protection
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import FileOrigin, FilePath, load_service
from wetpath.services.record import Entry
from wetpath.services.scale import Scale, runner_for
from wetpath.services.sensitivity import FileRecord, case_named, file_records, known
from wetpath.services.upsets import (
    CAUTIONS,
    CauseRecord,
    Followed,
    SpreadRecord,
    duration_of,
    in_plain_values,
    instruments_of,
    record_of_cause,
    record_of_spreads,
    row,
    upsets_of,
    write_csv,
)

FORMAT: Literal["protection/1"] = "protection/1"
MOST_COPIES, MOST_SAMPLES = 1000, 4096
#: Copies of the model behind the bands of the plan in a report, which is set in seconds; the samples of normal
#: operation are those of every other plan, so that set points agree to the last digit.
COPIES_IN_REPORT = 0


def plan_of_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                  instruments: FilePath | None = None, case: str | None = None, upsets: Sequence[str] = (),
                  duration: str = "600 s", copies: int = COPIES, samples: int = SAMPLES, seed: int = 1,
                  announce: Announce = silent, progress: Progress | None = None,
                  scale: Scale | None = None) -> tuple[Plan, tuple[FileOrigin, ...]]:
    """Read an enquiry with all it refers to, rate, and plan the protection.

    Parameters
    ----------
    enquiry, pump, practice : path
        As for a rating.
    instruments : path, optional
        Instrument file: which are fitted, how good they are.
    case : str, optional
        Case the upsets start from; without it the governing one.
    upsets : sequence of str
        Causes held to be credible; without them every one that applies.
    duration : str
        How long each upset is looked at, with unit.
    copies, samples, seed : int
    announce, progress : callable, optional
    scale : Scale, optional
        Who may help with the copies; without it this process does them.
    """
    copies_allowed(copies)
    _within("--samples", samples, 16, MOST_SAMPLES)
    chosen = [one for name in upsets for one in upsets_of([name])]
    seconds = duration_of(duration)
    fitted, called = instruments_of(instruments)
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    rating = service.rate(announce=announce)
    number = None if case is None else case_named(rating, case)
    asked = "protection", chosen, in_plain_values(fitted), number, seconds, copies, samples, seed
    with runner_for(scale, service, *asked) as runner:
        plan = plan_protection(rating, case=number, upsets=chosen or None, instruments=fitted, instruments_name=called,
                               duration=seconds, copies=copies, samples=samples, seed=seed, progress=progress,
                               runner=runner)
    return plan, service.files


def copies_allowed(copies: int) -> None:
    """Raise `InputError` for a number of copies that is not allowed."""
    _within("--copies", copies, 0, MOST_COPIES)


def _within(name: str, value: int, least: int, most: int) -> None:
    if not least <= value <= most:
        raise InputError(f"is outside {least} to {most}", field=name, value=f"{value}")


class DemandRecord(Entry):
    """A level that has to be met."""

    text: str
    level: float
    case: str
    resolution: float | None = Field(description="distance to normal operation over what error and noise need; from 1 "
                                                 "on a set point fits; null: no error")
    guarded: bool


class SettingRecord(Entry):
    """One trip; values in the SI unit of its signal, absolute pressures."""

    name: str
    title: str
    signal: str
    unit: str
    acts_when: Literal["low", "high"]
    span: float | None
    largest_error: float | None
    noise: float | None
    time_constant_s: float
    normal_from: float | None
    normal_to: float | None
    set_point: float | None
    alarm: float | None
    delay_s: float
    shortest_delay_s: float | None = Field(description="of those tried, without a nuisance trip; null: none, or no set "
                                                       "point")
    longest_delay_s: float | None = Field(description="with which every cause it is needed for is still met; null: not "
                                                      "needed")
    by_pass_s: float
    voting: str
    primary: bool
    reason: str = Field(description="why there is no set point; empty when there is one")
    set_point_by_case: dict[str, float | None]
    acts_below_flow_m3_per_s: dict[str, float | None]
    demands: tuple[DemandRecord, ...]
    nuisance_trips: int
    samples: int
    source: str
    status: str
    meaning: str


class CoverRecord(Entry):
    """The smallest set of instruments."""

    signals: tuple[str, ...]
    trips: tuple[str, ...]
    least_in_hand_s: float | None
    covered: tuple[str, ...]
    uncovered: tuple[str, ...]
    alternatives: tuple[tuple[str, ...], ...]


class RestartRecord(Entry):
    """When the pump may be started again."""

    shell_at_most_k: float
    shell_over_suction_k: float
    suction_above_vapour_pressure_pa: float | None
    rest_after_dry_running_s: float


class PlanRecord(Entry):
    """A protection plan."""

    wetpath: Literal["protection/1"] = FORMAT
    program_version: str
    enquiry: str
    pump: str
    case: str
    files: tuple[FileRecord, ...]
    instruments: str
    duration_s: float
    copies: int
    spreads: tuple[SpreadRecord, ...]
    samples: int
    samples_left_out: int
    thermometer_at_share_of_shell: float
    settings: tuple[SettingRecord, ...]
    causes: tuple[CauseRecord, ...]
    cover: CoverRecord
    missed_by_trips_of_enquiry: tuple[str, ...] | None
    not_simulated: tuple[tuple[str, str], ...]
    restart: RestartRecord
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def record_of_plan(plan: Plan, files: tuple[FileOrigin, ...] = ()) -> PlanRecord:
    """Return the record."""
    cover, restart = plan.cover, plan.restart
    return PlanRecord(
        program_version=__version__, enquiry=plan.rating.enquiry.title, pump=plan.rating.pump.name,
        case=plan.case_name, files=file_records(files), instruments=plan.instruments_name, duration_s=plan.duration,
        copies=plan.copies, spreads=record_of_spreads(), samples=plan.samples, samples_left_out=plan.samples_left_out,
        thermometer_at_share_of_shell=thermometer_at(plan),
        settings=tuple(_setting(plan, one) for one in plan.settings),
        causes=tuple(record_of_cause(one) for one in plan.causes),
        cover=CoverRecord(signals=cover.signals, trips=cover.settings, least_in_hand_s=known(cover.least_in_hand),
                          covered=cover.covered, uncovered=cover.uncovered, alternatives=cover.alternatives),
        missed_by_trips_of_enquiry=plan.missed_by_trips, not_simulated=NOT_SIMULATED,
        restart=RestartRecord(
            shell_at_most_k=restart.shell_at_most, shell_over_suction_k=restart.shell_over_suction,
            suction_above_vapour_pressure_pa=known(restart.suction_at_least), rest_after_dry_running_s=restart.rest),
        warnings=plan.warnings, cautions=CAUTIONS)


def thermometer_at(plan: Plan) -> float:
    """Place of the shell thermometer along the annulus, in flow order: the middle of its band."""
    return (plan.band + 0.5) / max(plan.bands, 1)


def _setting(plan: Plan, one: Setting) -> SettingRecord:
    instrument, names = one.instrument, plan.rating.case_names
    return SettingRecord(
        name=instrument.name, title=instrument.title, signal=instrument.signal.title,
        unit=instrument.signal.kind.si.name, acts_when=instrument.sense, span=known(one.span),
        largest_error=known(one.error), noise=known(one.noise), time_constant_s=instrument.time_constant,
        normal_from=known(one.normal_from), normal_to=known(one.normal_to), set_point=known(one.set_point),
        alarm=known(one.alarm), delay_s=instrument.delay,
        shortest_delay_s=known(one.shortest_delay),
        longest_delay_s=known(plan.longest_delay.get(instrument.name, np.inf)), by_pass_s=instrument.by_pass,
        voting=instrument.voting, primary=instrument.primary, reason=one.reason,
        set_point_by_case=dict(zip(names, row(one.by_case), strict=True)),
        acts_below_flow_m3_per_s=dict(zip(names, row(one.acts_below_flow), strict=True)),
        demands=tuple(DemandRecord(text=met.text, level=met.level, case=met.case, resolution=known(met.resolution),
                                   guarded=met in one.guards) for met in one.met),
        nuisance_trips=one.nuisance_trips, samples=one.samples, source=instrument.source, status=instrument.status,
        meaning=instrument.meaning)


def write_instrument_list(plan: Plan, target: str | os.PathLike[str], units: UnitSet = METRIC) -> None:
    """Write the list for the instrument engineer as CSV."""
    write_csv(target, *instrument_list(plan, units))


def instrument_list_text(plan: Plan, units: UnitSet = METRIC) -> str:
    """Return the same list as the text of a CSV file."""
    headings, rows = instrument_list(plan, units)
    text = io.StringIO()
    csv.writer(text).writerows([headings, *rows])
    return text.getvalue()


def instrument_list(plan: Plan, units: UnitSet = METRIC) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the list: one line a trip, then its times against every cause."""
    headings = ["trip", "signal", "acts when", "unit", "span", "normal from", "normal to", "alarm", "set point",
                "delay [s]", "shortest delay [s]", "longest delay [s]", "by-pass at start [s]", "voting",
                "largest error", "noise", "time constant [s]", "in the smallest set", "basis", "remark"]
    harmful = [one for one in plan.causes if one.harms]
    headings += [f"{one.kind}: acts after the cause [s] / in hand before damage [s]" for one in harmful]
    rows = []
    for place, one in enumerate(plan.settings):
        instrument = one.instrument
        kind, difference = instrument.signal.kind, instrument.signal.difference
        unit = units.unit(kind).name

        def shown(value: float, of: q.Kind, unit_of: UnitSet = units) -> str:
            if not np.isfinite(value):
                return ""
            return f"{float(convert(value, of, unit_of.unit(of).name)):.4g}"

        basis = "; ".join(met.text for met in one.guards) or one.reason
        told = [instrument.title, instrument.signal.title, instrument.sense,
                f"{unit}{' a' if kind is q.PRESSURE else ''}", shown(one.span, difference),
                shown(one.normal_from, kind), shown(one.normal_to, kind), shown(one.alarm, kind),
                shown(one.set_point, kind), f"{instrument.delay:g}",
                shown(one.shortest_delay, q.TIME),
                shown(plan.longest_delay.get(instrument.name, np.inf), q.TIME), f"{instrument.by_pass:g}",
                instrument.voting, shown(one.error, difference), shown(one.noise, difference),
                f"{instrument.time_constant:g}", "yes" if instrument.name in plan.cover.settings else "no", basis,
                f"{instrument.meaning} ({instrument.status})"]
        for cause in harmful:
            reading = cause.readings[place]
            if not reading.seen:
                told.append(reading.words)
                continue
            hand = "no damage" if np.isposinf(reading.in_hand) else f"{reading.in_hand:.1f}"
            told.append(f"{reading.words}: {reading.acts - cause.begins:.1f} / {hand}")
        rows.append(told)
    for what, seen in NOT_SIMULATED:
        rows.append([f"not computed: {what}", seen, *[""] * (len(headings) - 3), ""])
        rows[-1][headings.index("remark")] = "common practice, no source"
    return headings, rows


def followed_of(plan: Plan, kind: str) -> Followed | None:
    """An upset of a plan by itself; None for one that the plan does not hold."""
    cause = next((one for one in plan.causes if one.kind == kind), None)
    if cause is None:
        return None
    return Followed(plan.rating, plan.case, plan.band, cause.upsets, plan.duration, plan.copies, plan.settings, cause)
