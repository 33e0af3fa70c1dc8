"""``wetpath protect``: set points, cause against instrument, the smallest set, and what stays uncovered."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.upset import band, in_hand, seconds, value_text
from wetpath.questions.protection.matrix import STOPPING, Cause, Reading
from wetpath.questions.protection.set_points import Met, Setting
from wetpath.questions.protection.study import NOT_SIMULATED, Plan
from wetpath.services import protection as service
from wetpath.services.standing import Standing
from wetpath.services.upsets import CAUTIONS

#: Instruments named against a cause.
MOST_NAMED = 4


def show_plan(enquiry: Path, *, pump: Path | None, practice: Path | None, instruments: Path | None, case: str | None,
              upsets: Sequence[str], duration: str, copies: int, samples: int, csv: Path | None, json: bool,
              us: bool) -> int:
    """Write the plan; exit code 1 when a cause that harms is not seen in time."""
    plan, files = service.plan_of_files(
        enquiry, pump=pump, practice=practice, instruments=instruments, case=case, upsets=upsets, duration=duration,
        copies=copies, samples=samples, announce=announce)
    figures = Figures.of(us)
    if csv is not None:
        service.write_instrument_list(plan, csv, figures.units)
        tell(f"{csv} is written.")
    if json:
        sys.stdout.write(service.record_of_plan(plan, files).model_dump_json(indent=2) + "\n")
    else:
        PlanPage(plan, Paper(), figures).write()
    return 1 if plan.cover.uncovered else 0


class PlanPage:
    """Writes one plan on paper."""

    def __init__(self, plan: Plan, paper: Paper, figures: Figures) -> None:
        self.plan, self.paper, self.figures = plan, paper, figures
        self.titles = {one.instrument.name: one.instrument.title for one in plan.settings}

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._smallest()
        self._causes()
        self._set_points()
        self._no_resolution()
        self._restart()
        self._rest()

    def _answer(self) -> None:
        plan, cover = self.plan, self.plan.cover
        harmful = [one for one in plan.causes if one.harms]
        if not harmful:
            self.paper.headline(f"No cause looked at does harm within {seconds(plan.duration)}", Standing.HOLDS)
        elif not cover.uncovered:
            self.paper.headline(f"{len(cover.signals)} instruments see all {len(harmful)} causes that do harm, in time",
                                Standing.HOLDS)
        else:
            self.paper.headline(f"{len(cover.uncovered)} of {len(harmful)} causes that do harm are seen by no "
                                f"instrument in time: {', '.join(cover.uncovered)}", Standing.SHORT)
        self.paper.say(f"{plan.rating.pump.name}; upsets from case {plan.case_name}, {seconds(plan.duration)} looked "
                       f"at; {plan.instruments_name}. In time: acts, late by its error, {STOPPING:g}\u2009s before "
                       f"damage{f' in 95 % of {plan.copies} copies of the model' * bool(plan.copies)}.")

    def _smallest(self) -> None:
        plan, cover = self.plan, self.plan.cover
        self.paper.heading("Smallest set", "of measured quantities that sees every cause that can be seen in time")
        rows = []
        for name in cover.settings:
            setting = next(one for one in plan.settings if one.instrument.name == name)
            longest = plan.longest_delay.get(name, np.inf)
            rows.append((self.titles[name], self._value(setting, setting.set_point), seconds(setting.instrument.delay),
                         seconds(setting.shortest_delay), seconds(longest) if np.isfinite(longest) else "any",
                         setting.instrument.voting))
        if rows:
            self.paper.table([Column(""), Column("set point", number=True), Column("delay", number=True),
                              Column("shortest", number=True), Column("longest", number=True), Column("voting")], rows)
        else:
            self.paper.say("None is needed, or none helps.")
        if cover.alternatives:
            self.paper.say(f"As small: {'; '.join(', '.join(one) for one in cover.alternatives)}.")
        for name in cover.uncovered:
            cause = next(one for one in plan.causes if one.kind == name)
            self.paper.say(f"Uncovered, {name}: {self._way_out(cause)}")
        if plan.missed_by_trips is not None:
            trips = ", ".join(plan.rating.enquiry.protection.trips)
            self.paper.say(f"The trips of the enquiry ({trips}) miss "
                           f"{', '.join(plan.missed_by_trips) or 'no cause that does harm'}.")

    def _way_out(self, cause: Cause) -> str:
        first = cause.first
        told = "no instrument acts." if first is None else (
            f"{first.setting.instrument.title} acts first, {seconds(first.acts - cause.begins)} after the cause, "
            f"{in_hand(first)} in hand before {cause.damage_text or 'harm'}.")
        if "restart" in cause.kind:
            return f"{told} The restart permissive below has to rule it out."
        if cause.at_start:
            return (f"{told} No trip is quick enough at a start: a permissive has to prove the liquid, and that the "
                    "rotor is free, before the driver starts.")
        vessel = next(one for one in self.plan.settings if one.instrument.name == "low_level"
                      ) if "low_level" in self.titles else None
        level = (" Give [cases.vessel], so that a level trip, which acts before the liquid is gone, can be judged."
                 if vessel is not None and not vessel.usable and "suction" in cause.kind else "")
        return f"{told} Take a shell with less loss, an earlier primary instrument, or rule the cause out.{level}"

    def _causes(self) -> None:
        self.paper.heading("Cause against instrument", "times after the cause; in hand before damage in brackets")
        rows = []
        for cause in self.plan.causes:
            if cause.harms:
                seen = [self._seen(one, cause.begins) for one in cause.seen_in_time[:MOST_NAMED]]
            else:
                acting = sorted((one for one in cause.readings if one.seen), key=lambda one: one.acts)
                seen = [f"{one.setting.instrument.title} {seconds(one.acts - cause.begins)}"
                        for one in acting[:MOST_NAMED]]
            late = [one.setting.instrument.title for one in cause.readings if one.words == "too late"]
            blind = [one.setting.instrument.title for one in cause.readings
                     if one.words == "not seen" and one.setting.instrument.name in
                     ("low_power", "low_flow", "shell_temperature", "high_return_rise")]
            told = [f"seen: {', '.join(seen)}" if seen else "seen in time by none"]
            told += [f"too late: {', '.join(late[:MOST_NAMED])}"] if late else []
            told += [f"not seen: {', '.join(blind)}"] if blind else []
            standing = (Standing.NOT_ASKED if not cause.harms
                        else Standing.HOLDS if cause.seen_in_time else Standing.SHORT)
            lost = band(cause.lost, cause.begins) if np.isfinite(cause.lost.low) else NOTHING
            damage = band(cause.damage, cause.begins) if np.isfinite(cause.damage.low) else NOTHING
            rows.append((standing.sign, cause.kind, lost, damage, "; ".join(told)))
        self.paper.table([Column(""), Column("", wraps=True), Column("liquid lost", wraps=True),
                          Column("damage", wraps=True), Column("", wraps=True)], rows)
        self.paper.say("A cause without damage here may still harm what this model does not follow: bearings by radial "
                       "load at low flow, cavitation, wear by solids.")

    @staticmethod
    def _seen(reading: Reading, begins: float) -> str:
        title = reading.setting.instrument.title
        if not reading.seen:
            return f"{title} in the copies that come to harm"
        hand = "no damage" if np.isposinf(reading.in_hand) else seconds(reading.in_hand)
        return f"{title} {seconds(reading.acts - begins)} ({hand})"

    def _set_points(self) -> None:
        plan = self.plan
        self.paper.heading("Set points", "for all operating cases and liquids together; nuisance trips counted over "
                                         f"{plan.samples} samples of normal operation, five minutes each")
        rows = []
        for one in plan.settings:
            if not one.usable:
                continue
            instrument = one.instrument
            normal = f"{self._value(one, one.normal_from)} to {self._value(one, one.normal_to)}"
            guards = ", ".join(met.text for met in one.guards) or "nothing that it has to meet"
            if instrument.name == "low_power" and np.isfinite(one.acts_below_flow).any():
                flows = one.acts_below_flow[np.isfinite(one.acts_below_flow)]
                ends = (f"{self.figures.number(flows.min(), q.VOLUME_FLOW)} to "
                        f"{self.figures.text(flows.max(), q.VOLUME_FLOW)}")
                guards = f"{guards}; acts below {ends} by case"
            rows.append((instrument.title, normal, self._value(one, one.alarm), self._value(one, one.set_point),
                         f"±{self.figures.significant(one.error, instrument.signal.difference)}",
                         seconds(instrument.delay), f"{one.nuisance_trips}", guards))
        self.paper.table([Column("", wraps=True), Column("normal", wraps=True), Column("alarm", number=True),
                          Column("set point", number=True), Column("error", number=True), Column("delay", number=True),
                          Column("nuisance", number=True), Column("acts before", wraps=True)], rows)
        for one in plan.settings:
            if one.nuisance_trips:
                self.paper.say(f"{one.instrument.title} trips in {one.nuisance_trips} of {one.samples} samples of "
                               "normal operation: move its set point, lengthen its delay, or take a better instrument.")
        at = self.figures.text(service.thermometer_at(plan), q.RATIO)
        self.paper.say(f"The shell thermometer is taken at {at} of the length under the magnets, in flow order, where "
                       "the shell is warmest.")

    def _no_resolution(self) -> None:
        rows = []
        for one in self.plan.settings:
            told = [self._why(one, met) for met in one.met if not met.told]
            if one.usable:
                rows += [(one.instrument.title, words) for words in told]
                continue
            alone = [f"{name} {self._value(one, value)}"
                     for name, value in zip(self.plan.rating.case_names, one.by_case, strict=True)
                     if np.isfinite(value)]
            more = f" A set point that is switched with the case fits: {', '.join(alone)}." if alone else ""
            rows.append((one.instrument.title, f"{one.reason}: {' '.join(told)}{more}" if told else f"{one.reason}."))
        self.paper.heading("No resolution here", "what a set point cannot tell from normal operation")
        if rows:
            self.paper.table([Column("", wraps=True), Column("", wraps=True)], rows)
        else:
            self.paper.say("Nothing.")

    def _why(self, one: Setting, met: Met) -> str:
        edge = self._value(one, one.normal_to if one.instrument.sense == "high" else one.normal_from)
        place = f"{met.text} at {self._value(one, met.level)} (case {met.case})"
        if met.resolution <= 0:
            return f"{place} lies inside normal operation, which goes to {edge}."
        between = self.figures.text(met.apart, one.instrument.signal.difference)
        needed = self.figures.text(met.needed, one.instrument.signal.difference)
        return f"{place} is {between} away from normal operation ({edge}); error and noise need {needed}."

    def _restart(self) -> None:
        restart, figures = self.plan.restart, self.figures
        self.paper.heading("Restart", f"case {self.plan.case_name}")
        told = [f"Cause of the trip found; every trip is latched and reset by hand. Rest {restart.rest / 60:.0f} min "
                "after dry running, so that ceramic bearings cool evenly (common practice, no source).",
                f"Shell at most {figures.text(restart.shell_at_most, q.TEMPERATURE)}: below boiling at the suction "
                f"pressure with the margin of the practice, and at most "
                f"{figures.text(restart.shell_over_suction, q.TEMPERATURE_DIFFERENCE)} over the liquid (common "
                "practice, no source)."]
        if np.isfinite(restart.suction_at_least):
            told.append(f"Suction at least {figures.text(restart.suction_at_least, q.PRESSURE_DIFFERENCE)} above the "
                        "vapour pressure with the pump at rest, which is NPSH3; liquid proven in the pump, shell "
                        "vented.")
        told.append("Rotor free and liquid not solid: turned by hand or by a start that trips on low power.")
        self.paper.items(told)

    def _rest(self) -> None:
        self.paper.heading("Not followed by this model", "common practice, no source")
        self.paper.items([f"{cause}: {seen}." for cause, seen in NOT_SIMULATED])
        self.paper.heading("Warnings and limits crossed")
        self.paper.items([f"{one[:1].upper()}{one[1:].rstrip('.')}." for one in self.plan.warnings] or ["None."])
        self.paper.heading("Cautions")
        self.paper.items(CAUTIONS)

    def _value(self, one: Setting, value: float) -> str:
        return value_text(self.figures, value, one.instrument.signal.kind)
