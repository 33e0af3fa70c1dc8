"""A rating as a page of text: the verdict first, then its proof."""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from rich.text import Text

from wetpath import __version__
from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.check_table import source_numbers, write_checks
from wetpath.faces.cli.full_tables import POINTER, FullTables
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.trace_table import write_trace
from wetpath.rating.rate import Rating
from wetpath.rating.verdict import Headline, judge
from wetpath.services.cautions import cautions_of
from wetpath.services.rating import FileOrigin, liquid_of
from wetpath.services.sources import source_text, sources_of
from wetpath.services.standing import Standing

Array = NDArray[np.float64]

STANDING_OF = {Headline.RUNS: Standing.HOLDS, Headline.TIGHT: Standing.TIGHT, Headline.NOT_AS_OFFERED: Standing.SHORT,
               Headline.CANNOT: Standing.SHORT, Headline.UNKNOWN: Standing.UNKNOWN}

_FOUND = {Outcome.LIQUID: "liquid", Outcome.WALL_BOILING: "boils at the shell wall", Outcome.FLASHING: "flashes",
          Outcome.NO_SOLUTION: "no liquid solution", Outcome.UNKNOWN: "cannot be told"}


class RatingPage:
    """Writes one rating on paper: traces of ``cases``, or of the governing one; with ``full`` every table."""

    def __init__(self, rating: Rating, files: tuple[FileOrigin, ...], figures: Figures, paper: Paper,
                 cases: tuple[int, ...] = (), full: bool = False) -> None:
        self.rating, self.files, self.figures, self.paper, self.full = rating, files, figures, paper, full
        self.cases = cases or (rating.verdict.case,)

    def write(self) -> None:
        """Write the whole page."""
        self._verdict()
        self._missing()
        self._operating_points()
        self._losses()
        self._coupling()
        self._circulation()
        for case in self.cases:
            write_trace(self.paper, self.figures, self.rating, case)
        if self.full:
            FullTables(self.rating, self.figures, self.paper).write()
        write_checks(self.paper, self.figures, self.rating)
        self._warnings()
        self._end()

    @cached_property
    def _names(self) -> tuple[str, ...]:
        return self.rating.case_names

    def _verdict(self) -> None:
        rating, paper = self.rating, self.paper
        outcomes = np.array([int(outcome) for outcome in rating.outcomes])
        verdict = judge(rating.checks, self._names, outcomes, self.figures.units)
        paper.headline(verdict.headline, STANDING_OF[verdict.headline])
        paper.say(f"{verdict.sentence[:1].upper()}{verdict.sentence[1:]}.")
        others = [check.title for check in rating.checks
                  if check.name in verdict.failing and check.name != verdict.check.name]
        if others:
            paper.say(f"Not fulfilled either: {'; '.join(others)}.")
        if float(verdict.margin) < 0 or math.isnan(verdict.margin):
            paper.say(f"What gains margin: {verdict.check.remedy}.")
        paper.gap()
        paper.say(Text(f"{rating.enquiry.title} · {rating.pump.name} · {rating.liquid.name}", style="bold"))
        for note in dict.fromkeys((rating.enquiry.note, rating.pump.note)):
            if note:
                paper.say(Text(note, style="dim"))

    def _missing(self) -> None:
        rating, paper = self.rating, self.paper
        missing = rating.missing
        paper.heading("What is missing")
        unknown = [liquid.name for liquid in rating.situation.liquids if not liquid.has_vapour_pressure]
        if unknown:
            paper.say(f"Cannot be told for {', '.join(unknown)}: the vapour pressure is not known.")
        to_liquid = self._amounts(missing.pressure_to_liquid, missing.cooling_to_liquid)
        to_practice = self._amounts(missing.pressure_to_practice, missing.cooling_to_practice)
        rows = [(name, self._found(number), to_liquid[number] or "nothing", to_practice[number] or "nothing")
                for number, name in enumerate(self._names) if (to_liquid[number] or to_practice[number])
                and rating.outcomes[number] != Outcome.UNKNOWN]
        if rows:
            paper.table([Column("case", wraps=True, least=8), Column("found", wraps=True, least=16),
                         Column("to stay liquid", wraps=True, least=12),
                         Column("to meet the practice", wraps=True, least=16)], rows)
            lost = [name for name, outcome in zip(self._names, rating.outcomes, strict=True)
                    if outcome == Outcome.NO_SOLUTION]
            if lost:
                paper.say(f"What follows for {', '.join(lost)} are the values of the last state that closed, with part "
                          "of the heat only.")
        elif not unknown:
            paper.say("Nothing: every case stays liquid and meets the vapour margins of the practice.")

    def _found(self, case: int) -> str:
        """How a case ends in a few words, and where its liquid is lost first."""
        solution, network = self.rating.situation.solution, self.rating.pump.network
        words = _FOUND[self.rating.outcomes[case]]
        if solution.lost_at[case] < 0:
            return words
        station = network.stations[solution.lost_at[case]]
        share = self.figures.text(float(solution.lost_share[case]), q.RATIO)
        return f"{words}; lost first at station {station}, {self.rating.pump.title_of(station)}, at {share} of the heat"

    def _amounts(self, pressures: Array, coolings: Array) -> list[str]:
        """What is missing in words, in suction pressure or in temperature; empty where nothing is."""
        told = []
        for pressure, cooling in zip(pressures, coolings, strict=True):
            if pressure == 0 or cooling == 0:
                told.append("")
                continue
            more = ("no suction pressure is enough" if np.isnan(pressure)
                    else f"{self.figures.text(pressure, q.PRESSURE_DIFFERENCE, sign=True)} at suction")
            colder = ("no temperature is low enough" if np.isnan(cooling)
                      else f"{self.figures.text(cooling, q.TEMPERATURE_DIFFERENCE)} colder")
            told.append(f"{more}, or {colder}")
        return told

    def _operating_points(self) -> None:
        rating = self.rating
        point, inputs = rating.point, rating.inputs
        demanded = rating.situation.demands.head
        self.paper.heading("Operating points")
        several = len(rating.situation.liquids) > 1
        rows = [("liquid", [liquid_of(rating, case).name for case in range(len(self._names))])] if several else []
        rows += [
            self.figures.row("flow", inputs.flow, q.VOLUME_FLOW),
            self.figures.row("liquid temperature", inputs.temperature, q.TEMPERATURE),
            self.figures.row("suction pressure", inputs.pressure, q.PRESSURE),
            self.figures.row("density", rating.situation.scalars[:, solve.DENSITY_IN], q.DENSITY),
            self.figures.row("speed", inputs.speed, q.ROTATIONAL_SPEED), self.figures.row("head", point.head, q.HEAD)]
        if not np.isnan(demanded).all():
            rows.append(self.figures.row("head asked", demanded, q.HEAD))
        rows += [
            self.figures.row("flow / best-efficiency flow", point.flow_share, q.RATIO),
            self.figures.row("impeller efficiency", point.efficiency, q.RATIO),
            self.figures.row("NPSH available", rating.situation.npsh_available, q.HEAD),
            self.figures.row("NPSH3 of the pump", point.npsh_required, q.HEAD)]
        self.paper.by_case(self._names, rows)

    def _losses(self) -> None:
        losses = self.rating.losses
        unit, decimals = ("W", 0) if self.figures.units.name == "metric" else ("hp", 2)
        rows = [("to the liquid pumped", losses.hydraulic), ("+ lost in impeller and casing", losses.wet_end),
                ("+ eddy currents in the shell", losses.eddy), ("+ drag in the annulus", losses.annulus_drag),
                ("+ drag of the ring's faces", losses.disc_drag), ("+ journal bearings", losses.journals),
                ("+ thrust faces", losses.thrust_faces), ("+ dry side, rolling bearings", losses.dry_side),
                ("= at the motor shaft", losses.shaft)]
        self.paper.heading("Losses from liquid to motor shaft", "in " + self.figures.unit(q.POWER, unit))
        self.paper.by_case(self._names, [
            *((name, self.figures.column(values.tolist(), q.POWER, unit=unit, decimals=decimals))
              for name, values in rows),
            self.figures.row("efficiency, liquid / shaft", losses.efficiency, q.RATIO),
            (f"heat into the circulation, {self.figures.unit(q.POWER, unit)}",
             self.figures.column(losses.circulation_heat.tolist(), q.POWER, unit=unit, decimals=decimals))])

    def _coupling(self) -> None:
        rating = self.rating
        losses, scalars = rating.losses, rating.situation.scalars
        pairs = rating.pump.inner_ring.poles // 2
        self.paper.heading("Magnetic coupling")
        self.paper.by_case(self._names, [
            self.figures.row("torque", losses.torque, q.TORQUE),
            self.figures.row("load angle, electrical", losses.load_angle, q.ANGLE),
            self.figures.row("load angle, mechanical", losses.load_angle / pairs, q.ANGLE),
            self.figures.row("pull-out torque, hot", losses.pull_out, q.TORQUE),
            self.figures.row("pull-out over running torque", losses.coupling_ratio, q.RATIO, unit="1"),
            self.figures.row("inner magnets", scalars[:, solve.INNER_RING], q.TEMPERATURE),
            self.figures.row("outer magnets", scalars[:, solve.OUTER_RING], q.TEMPERATURE),
            self.figures.row("shell wall, hottest", scalars[:, solve.HOTTEST_WALL], q.TEMPERATURE)])

    def _circulation(self) -> None:
        rating = self.rating
        traces = [rating.branches(case) for case in range(len(self._names))]
        self.paper.heading("Circulation flows", f"in {self.figures.unit(q.MASS_FLOW)}; negative: against its direction")
        self.paper.by_case(self._names, [
            (f"{branch.start} → {branch.end}  {branch.name}",
             self.figures.column([trace[row].flow for trace in traces], q.MASS_FLOW))
            for row, branch in enumerate(traces[0])])

    def _warnings(self) -> None:
        self.paper.heading("Warnings and limits crossed")
        if self.rating.warnings:
            self.paper.items(self.figures.sentences(self.rating.warnings))
        else:
            self.paper.say("None.")
        self.paper.heading("Cautions")
        self.paper.items(cautions_of(self.rating, self.figures.units))

    def _end(self) -> None:
        paper, liquids = self.paper, self.rating.situation.liquids
        uses = sources_of(self.rating)
        numbered = source_numbers(self.rating)
        paper.heading("Sources of the limits, and how they are known")
        known = {use.key: use for use in uses}
        paper.items([f"{source_text(key)}{_known_by(source_text(key), known[key].statuses)}" for key in numbered],
                    [f"[{number}]" for number in numbered.values()])
        others = ", ".join(f"{use.key} ({', '.join(use.statuses)})" for use in uses if use.key not in numbered)
        paper.heading("Sources of data and formulas")
        for liquid in liquids:
            paper.say(f"{liquid.name}: {liquid.source}.")
        if self.full:
            paper.say(f"Material data and formulas, by key; --json has their texts: {others}.")
        else:
            paper.say(f"Material data and formulas: {len(uses) - len(numbered)} more; --full names them, --json has "
                      "their texts.")
        files = " · ".join(f"{file.role} {file.name} {file.sha256[:8]}" for file in self.files)
        paper.gap()
        tables = ", ".join(liquid.content_hash[:8] for liquid in liquids)
        paper.say(Text(f"wetpath {__version__} · {files} · {self.rating.practice.name} · liquid table {tables} (first "
                       "8 digits of SHA-256)", style="dim"))
        if not self.full:
            paper.say(Text(POINTER, style="dim"))


def _known_by(text: str, statuses: tuple[str, ...]) -> str:
    """How a source is known, in brackets, unless its text begins with that."""
    return "" if text.casefold().startswith(statuses) else f" ({', '.join(statuses)})"
