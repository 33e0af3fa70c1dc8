"""The sheet of the protection plan: smallest set, causes against instruments, set points, restart."""

from __future__ import annotations

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.drawing.upset_words import (
    answer_of_plan,
    quantities_seen,
    restart_in_words,
    seconds,
    value_text,
    way_out,
    why_no_resolution,
)
from wetpath.edge import quantities as q
from wetpath.errors import InputError
from wetpath.faces.report.cells import cell_of
from wetpath.faces.report.parts import Cell, Part, Sheet, Table, Words
from wetpath.faces.report.texts import Texts
from wetpath.questions.protection.matrix import STOPPING, Cause, Reading
from wetpath.questions.protection.set_points import Setting
from wetpath.questions.protection.study import NOT_SIMULATED, Plan, plan_protection
from wetpath.rating.rate import Rating
from wetpath.services.protection import COPIES_IN_REPORT
from wetpath.services.standing import Standing
from wetpath.services.upsets import CAUTIONS
from wetpath.words import joined

#: Quantities that stand as columns of the matrix: those that see most causes in time.
MOST_COLUMNS = 6


def plan_of(rating: Rating, copies: int = COPIES_IN_REPORT) -> Plan | str:
    """The plan of a report; the reason where no case can be the beginning of an upset."""
    try:
        return plan_protection(rating, copies=copies)
    except InputError as error:
        return f"{error.problem.text} {error.problem.do}".strip()


class ProtectionSheet:
    """Builds the sheet of one plan."""

    def __init__(self, plan: Plan | str, figures: Figures, say: Texts) -> None:
        self.plan, self.figures, self.say = plan, figures, say

    def sheet(self) -> Sheet:
        """The whole sheet, or why there is none."""
        title = self.say("protection_plan")
        if isinstance(self.plan, str):
            return Sheet("protection", title, (Words("", (self.say("protection_none", why=self.plan),)),))
        plan, say = self.plan, self.say
        standing, words = answer_of_plan(plan)
        basis = say("protection_basis", case=plan.case_name, time=seconds(plan.duration), samples=plan.samples,
                    stopping=f"{STOPPING:g}\u2009s")
        model = say("protection_bands", copies=plan.copies) if plan.copies else say("protection_nominal")
        parts: list[Part] = [Words("", (f"{standing.sign} {say.words(words)}.", f"{basis} {model}")),
                             self._smallest(plan)]
        causes = {one.kind: one for one in plan.causes}
        uncovered = [f"{say.words(name)}: {say.words(way_out(plan, causes[name]))}" for name in plan.cover.uncovered]
        if uncovered:
            parts.append(Words(say("protection_uncovered"), tuple(uncovered)))
        parts += [self._matrix(plan), self._settings(plan)]
        blind = [f"{say.words(one.instrument.title)}: " + " ".join(
                     say.words(why_no_resolution(one, met, self.figures)) for met in one.met if not met.told)
                 for one in plan.settings if one.reason == "no resolution here"]
        if blind:
            parts.append(Words(say("protection_blind"), tuple(blind), soft=True))
        parts += [Words(say("protection_restart"), tuple(map(say.words, restart_in_words(plan, self.figures)))),
                  Words(say("protection_beyond"), tuple(
                      f"{say.words(cause)}: {say.words(seen)}." for cause, seen in NOT_SIMULATED),
                        soft=True),
                  Words("", (f"{say.words(CAUTIONS[0])} {say('protection_cautions')}",))]
        return Sheet("protection", title, tuple(parts))

    def _smallest(self, plan: Plan) -> Table | Words:
        say, rows = self.say, []
        settings = {one.instrument.name: one for one in plan.settings}
        for name in plan.cover.settings:
            one = settings[name]
            longest = plan.longest_delay.get(name, np.inf)
            rows.append((Cell(say.words(one.instrument.title), bold=True), self._value(one, one.set_point),
                         self._unit(one),
                         self._time(one.instrument.delay),
                         self._time(longest) if np.isfinite(longest) else Cell(say("protection_any")),
                         Cell(say.words(one.instrument.voting))))
        if not rows:
            return Words(say("protection_smallest"), (say("protection_no_set"),))
        return Table(say("protection_smallest"), (
            (say("protection_instrument"), False), (say("protection_set_point"), True), (say("column_unit"), False),
            (say("protection_delay"), True), (say("protection_longest"), True), (say("protection_voting"), False)),
            tuple(rows))

    def _matrix(self, plan: Plan) -> Table:
        say = self.say
        harmful = [one for one in plan.causes if one.harms]
        columns = quantities_seen(plan, MOST_COLUMNS)
        rows = tuple((Cell(say.words(cause.kind), bold=True), self._time(cause.lost.nominal - cause.begins),
                      self._time(cause.damage.nominal - cause.begins), *(self._hand(cause, name) for name in columns))
                     for cause in harmful)
        harmless = joined(", ", (one.kind for one in plan.causes if not one.harms))
        return Table(say("protection_matrix"), (
            (say("protection_cause"), False), (say("protection_lost"), True), (say("protection_damage"), True),
            *((say.words(title), True) for title in columns.values())), rows,
            note=say("protection_matrix_note", stopping=f"{STOPPING:g}\u2009s", harmless=harmless or NOTHING))

    def _hand(self, cause: Cause, signal: str) -> Cell:
        readings: list[Reading] = [one for one in cause.readings
                                   if one.setting.instrument.signal.name == signal and one.seen]
        if not readings:
            return Cell(NOTHING)
        best = max(readings, key=lambda one: one.in_hand)
        if np.isposinf(best.in_hand):
            return Cell(self.say("protection_no_damage"))
        if np.isneginf(best.in_hand):
            return Cell(f"{Standing.SHORT.sign} {self.say('protection_late')}", standing=Standing.SHORT.value)
        return cell_of(self.figures, best.in_hand, q.TIME, sign=True, decimals=1,
                       standing=Standing.HOLDS if best.in_time else Standing.SHORT)

    def _settings(self, plan: Plan) -> Table:
        say, rows = self.say, []
        for one in plan.settings:
            if not one.usable:
                continue
            instrument = one.instrument
            rows.append((Cell(say.words(instrument.title)), self._value(one, one.normal_from),
                         self._value(one, one.normal_to),
                         self._value(one, one.alarm), self._value(one, one.set_point), self._unit(one),
                         self._time(instrument.delay), self._time(one.shortest_delay),
                         Cell(f"{one.nuisance_trips}", one.nuisance_trips, 0)))
        return Table(say("protection_settings"), (
            (say("protection_instrument"), False), (say("protection_from"), True), (say("protection_to"), True),
            (say("protection_alarm"), True), (say("protection_set_point"), True), (say("column_unit"), False),
            (say("protection_delay"), True), (say("protection_shortest"), True), (say("protection_nuisance"), True)),
            tuple(rows), note=say("protection_settings_note"))

    def _value(self, one: Setting, value: float) -> Cell:
        """A value of a signal without its unit, with as many digits as tell something."""
        kind = one.instrument.signal.kind
        if not np.isfinite(value):
            return Cell(NOTHING)
        text = value_text(self.figures, value, kind).partition("\u2009")[0]
        decimals = len(text.partition(".")[2])
        return cell_of(self.figures, value, kind, decimals=decimals, sign=text.startswith("+"))

    def _unit(self, one: Setting) -> Cell:
        return Cell(self.figures.unit(one.instrument.signal.kind))

    def _time(self, value: float) -> Cell:
        return cell_of(self.figures, value, q.TIME, decimals=1) if np.isfinite(value) else Cell(NOTHING)
