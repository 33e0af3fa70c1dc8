"""``wetpath protect``: set points, cause against instrument, the smallest set, and what stays uncovered."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.upset_words import (
    answer_of_plan,
    band,
    restart_in_words,
    seconds,
    value_text,
    way_out,
    why_no_resolution,
)
from wetpath.edge import quantities as q
from wetpath.faces.cli.failures import tell
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.scale import scale_of
from wetpath.questions.protection.matrix import STOPPING, Reading
from wetpath.questions.protection.set_points import Setting
from wetpath.questions.protection.study import NOT_SIMULATED, Plan
from wetpath.services import protection as service
from wetpath.services.standing import Standing
from wetpath.services.upsets import CAUTIONS

#: Instruments named against a cause.
MOST_NAMED = 4


def show_plan(enquiry: Path, *, pump: Path | None, practice: Path | None, instruments: Path | None, case: str | None,
              upsets: Sequence[str], duration: str, copies: int, samples: int, csv: Path | None,
              cluster: str | None, workers: int | None, json: bool, us: bool) -> int:
    """Write the plan; exit code 1 when a cause that harms is not seen in time."""
    plan, files = service.plan_of_files(
        enquiry, pump=pump, practice=practice, instruments=instruments, case=case, upsets=upsets, duration=duration,
        copies=copies, samples=samples, announce=announce, scale=scale_of(cluster, workers))
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
        plan = self.plan
        standing, words = answer_of_plan(plan)
        self.paper.headline(words, standing)
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
            self.paper.say(f"Uncovered, {name}: {way_out(plan, cause)}")
        if plan.missed_by_trips is not None:
            trips = ", ".join(plan.rating.enquiry.protection.trips)
            self.paper.say(f"The trips of the enquiry ({trips}) miss "
                           f"{', '.join(plan.missed_by_trips) or 'no cause that does harm'}.")

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
            told = [why_no_resolution(one, met, self.figures) for met in one.met if not met.told]
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

    def _restart(self) -> None:
        self.paper.heading("Restart", f"case {self.plan.case_name}")
        self.paper.items(restart_in_words(self.plan, self.figures))

    def _rest(self) -> None:
        self.paper.heading("Not followed by this model", "common practice, no source")
        self.paper.items([f"{cause}: {seen}." for cause, seen in NOT_SIMULATED])
        self.paper.heading("Warnings and limits crossed")
        self.paper.items(self.figures.sentences(self.plan.warnings)
                         or ["None."])
        self.paper.heading("Cautions")
        self.paper.items(CAUTIONS)

    def _value(self, one: Setting, value: float) -> str:
        return value_text(self.figures, value, one.instrument.signal.kind)
