"""``wetpath watch``: the hidden margin of a running pump from the files of a historian, and what was found."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.edge.units import parse
from wetpath.errors import InputError
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.services import watch as service
from wetpath.services.standing import Standing
from wetpath.services.watch_minutes import COUPLING, FILM
from wetpath.watching.evidence import Suspect
from wetpath.watching.reconcile import ORDER
from wetpath.watching.watcher import Alarm

ENDINGS = (".csv", ".parquet", ".json")
#: Explanations told with an alarm.
SUSPECTS = 3


def show_watch(data: Sequence[Path], *, live: str, journal: Path | None, keys: Path | None, seconds: str,
               mapping: Path, enquiry: Path, pump: Path | None, practice: Path | None, case: str | None, name: str,
               output: Path | None, json: bool, us: bool) -> int:
    """Watch and write what was found; exit code 1 when there is an alarm."""
    if output is not None and output.suffix.lower() not in ENDINGS:
        raise InputError("has an ending that is not known", field="--output", value=f'"{output}"',
                         do=f"end it in {', '.join(ENDINGS)}")
    figures = Figures.of(us)
    if bool(data) == bool(live):
        raise InputError("asks for files or for a live server, one of the two", field="DATA",
                         do="name files of a historian, or --live opc.tcp://host:4840 with --journal FOLDER")

    def raised(alarm: Alarm) -> None:
        tell(f"{service.utc(alarm.time)} {alarm.text}")

    if live:
        if journal is None:
            raise InputError("is missing", field="--journal", do="name a folder that keeps everything received")
        found, files = service.watch_live(
            live, journal, mapping, enquiry, pump=pump, practice=practice, case=case, name=name,
            seconds=parse(seconds, q.TIME) if seconds else None, keys=keys, announce=announce, raised=raised)
    else:
        found, files = service.watch_files(data, mapping, enquiry, pump=pump, practice=practice, case=case, name=name,
                                           announce=announce, raised=raised)
    record = service.record_of_watch(found, files)
    if output is not None:
        _write(found, record, output)
        tell(f"{output} is written.")
    if json:
        sys.stdout.write(record.model_dump_json(indent=2) + "\n")
    else:
        WatchPage(found, Paper(), figures).write()
    return 1 if found.watcher.alarms else 0


def _write(found: service.Watched, record: service.WatchRecord, output: Path) -> None:
    try:
        if output.suffix.lower() == ".json":
            output.write_text(record.model_dump_json(indent=1) + "\n", encoding="utf-8")
            return
        import polars as pl

        time, margin, half, wall, flow, misfit, coupling, film = found.minutes.T
        table = pl.DataFrame({"time_utc": [service.utc(one) for one in time.tolist()], "vapour_margin_pa": margin,
                              "half_range_pa": half, "wall_margin_k": wall, "flow_m3_per_s": flow, "misfit": misfit,
                              "coupling_ratio": coupling, "film_ratio": film})
        if output.suffix.lower() == ".csv":
            table.write_csv(output)
        else:
            table.write_parquet(output)
    except OSError as error:
        raise InputError(f"cannot be written ({error.strerror})", field="--output", value=f'"{output}"') from None


class WatchPage:
    """Writes one watch on paper."""

    def __init__(self, found: service.Watched, paper: Paper, figures: Figures) -> None:
        self.found, self.paper, self.figures = found, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._alarms()
        self._basis()
        self.paper.heading("Readings", "used and not used")
        self.paper.items(list(self.found.account) or ["Every reading was used."])
        warnings = service.warnings_of(self.found)
        if warnings:
            self.paper.heading("Warnings and limits crossed")
            self.paper.items(self.figures.sentences(warnings))
        self.paper.heading("Cautions")
        self.paper.items(service.CAUTIONS)

    def _answer(self) -> None:
        watcher, figures = self.found.watcher, self.figures
        lowest = watcher.lowest
        if not np.isfinite(lowest.margin):
            self.paper.headline("No margin can be told", Standing.UNKNOWN)
        else:
            level = (Standing.SHORT if lowest.margin < watcher.margin_asked else
                     Standing.HOLDS if not watcher.alarms else Standing.TIGHT)
            self.paper.headline(
                f"Lowest vapour margin {figures.text(lowest.margin, q.PRESSURE_DIFFERENCE, sign=True)} at station "
                f"{lowest.station}, {service.utc(lowest.time)}; "
                f"{figures.text(watcher.margin_asked, q.PRESSURE_DIFFERENCE)} asked", level)
        rating = watcher.surrogate.rating
        share = watcher.counts.running / max(watcher.counts.taken, 1)
        self.paper.say(f"{rating.pump.name}, case {rating.case_names[watcher.surrogate.case]}. "
                       f"{service.utc(self.found.first)} to {service.utc(self.found.last)}, {watcher.counts.taken} "
                       f"samples, running in {figures.text(share, q.RATIO)} of them.")
        half = self.found.lowest_half_range
        if np.isfinite(half):
            ends = [figures.text(lowest.margin + by, q.PRESSURE_DIFFERENCE, sign=True) for by in (-half, half)]
            self.paper.say(f"95\u2009% sure between {ends[0]} and {ends[1]}: errors of the model and of the signals "
                           "that were there, wider where they disagree.")
        if np.isfinite(lowest.wall_margin):
            self.paper.say(f"Lowest margin of the shell wall to boiling "
                           f"{figures.text(lowest.wall_margin, q.TEMPERATURE_DIFFERENCE, sign=True)}, "
                           f"{service.utc(lowest.wall_time)}.")
        for column, limit, what, over in (
                (COUPLING, "coupling_margin_running", "Coupling: pull-out torque", "that asked"),
                (FILM, "film_ratio", "Journal bearings, as new: film", "their roughness")):
            least, time = self.found.least(column)
            if np.isfinite(least):
                self.paper.say(f"{what} at least {least:.2f} times {over}, {service.utc(time)}; "
                               f"{rating.practice[limit].value:g} asked.")
        if watcher.feed < 1.0:
            self.paper.say(f"Area of the feed passages taken as left: {figures.text(watcher.feed, q.RATIO)}.")

    def _alarms(self) -> None:
        self.paper.heading("Alarms", "latched")
        alarms = list(self.found.watcher.alarms.values())
        if not alarms:
            self.paper.say("None.")
        for one in alarms:
            self.paper.say(f"{service.utc(one.time)}  {one.text}; {'; '.join(one.evidence)}.")
            if one.suspects:
                self.paper.table(
                    [Column("", wraps=True), Column("how likely", number=True), Column("amount", number=True)],
                    [(each.title, self.figures.text(each.probability, q.RATIO), self._amount(each))
                     for each in one.suspects[:SUSPECTS]])

    def _amount(self, suspect: Suspect) -> str:
        if np.isnan(suspect.amount):
            return ""
        return (f"{suspect.amount:+.1f} errors".replace("-", "−") if suspect.instrument
                else f"{self.figures.text(suspect.amount, q.RATIO)} of the feed area gone")

    def _basis(self) -> None:
        watcher, figures = self.found.watcher, self.figures
        self.paper.heading("How it is told")
        kinds = (q.VOLUME_FLOW, q.TEMPERATURE_DIFFERENCE, q.ROTATIONAL_SPEED, q.PRESSURE_DIFFERENCE,
                 q.PRESSURE_DIFFERENCE, q.POWER, q.TEMPERATURE_DIFFERENCE, q.TEMPERATURE_DIFFERENCE)
        errors = ", ".join(
            f"{signal.replace('_', ' ')} {figures.significant(float(error), kind)}\u2009{figures.unit(kind)}"
            for signal, error, kind in zip(ORDER, watcher.errors.signals, kinds, strict=True))
        self.paper.items([
            "All signals of a second are brought into agreement by least squares; the margin is that of the pump in "
            "the state that fits best.",
            f"Errors taken, one standard deviation, model and instrument: {errors}.",
            f"The quick model is within {figures.text(watcher.surrogate.error, q.PRESSURE_DIFFERENCE)} of the full "
            f"solve at points in between, {100 * watcher.surrogate.relative_error:.1f}\u2009% of the margin."])
