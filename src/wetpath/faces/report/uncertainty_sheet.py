"""The sheet of uncertainty: how sure the vapour margins are, and which doubts make them unsure."""

from __future__ import annotations

import math

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.errors import InputError
from wetpath.faces.report.parts import Cell, Part, Sheet, Table, Words
from wetpath.faces.report.texts import Texts
from wetpath.questions.sensitivity.evaluate import QUANTITIES, VAPOUR_MARGINS
from wetpath.questions.sensitivity.variable import Variable
from wetpath.questions.uncertainty.study import Cause, Probability, Uncertainty, uncertainty_of
from wetpath.rating.rate import Rating

#: Points for each case of a report.
SAMPLES = 256
#: Causes with a smaller share, and more than so many, are left out.
LEAST_TOTAL, MOST_CAUSES = 0.02, 12


def uncertainty_study_of(rating: Rating, samples: int) -> Uncertainty | None:
    """The study at a bounded number of points; none where the liquid has no vapour pressure to follow."""
    try:
        return uncertainty_of(rating, samples=samples)
    except InputError as error:
        if error.problem.field != "vapour pressure":
            raise
        return None


class UncertaintySheet:
    """Builds the sheet of one study."""

    def __init__(self, study: Uncertainty, figures: Figures, say: Texts) -> None:
        self.study, self.figures, self.say = study, figures, say

    def sheet(self) -> Sheet:
        """Ranges, probabilities, causes, and what they rest on."""
        study, say = self.study, self.say
        parts: list[Part] = [self._ranges(), self._probabilities()]
        lost = [f"{one.name}: {one.count - one.closed} of {one.count}" for one in study.cases if one.closed < one.count]
        if lost:
            parts.append(Words("", (say("uncertainty_lost", cases="; ".join(lost)),)))
        parts.append(self._causes())
        parts.append(Words("", (say("uncertainty_note", samples=study.samples, base=study.index_points,
                                    seed=study.seed), *(self.figures.in_words(say.words(one))
                                                        for one in study.warnings)), soft=True))
        return Sheet("uncertainty", say("uncertainty"), tuple(parts))

    def _ranges(self) -> Table:
        rows = []
        for one in self.study.cases:
            quantity = QUANTITIES[one.governing]
            rows.append((Cell(one.name), Cell(self.say.words(quantity.title)),
                         *(Cell(self._value(value, quantity.kind)) for value in (
                one.limit, one.now, one.low, one.median, one.high))))
        say = self.say
        return Table(say("uncertainty_ranges"), (
            (say("column_case"), False), (say("uncertainty_margin"), False), *((say(f"uncertainty_{key}"), True)
             for key in ("asked", "rated", "low", "median", "high"))), tuple(rows))

    def _value(self, value: float, kind: Kind) -> str:
        return NOTHING if not math.isfinite(value) else self.figures.text(value, kind)

    def _probabilities(self) -> Table:
        names = (*(QUANTITIES[number].name for number in VAPOUR_MARGINS), "all")
        rows = []
        for one in self.study.cases:
            found = {each.name: each for each in one.probabilities}
            rows.append((Cell(one.name), *(Cell(_interval(found[name], self.say) if name in found else NOTHING)
                                           for name in names)))
        columns = (*(self.say.words(QUANTITIES[number].short) for number in VAPOUR_MARGINS),
                   self.say("uncertainty_all"))
        return Table(self.say("uncertainty_probability"), (
            (self.say("column_case"), False), *((name.replace("\n", " "), True) for name in columns)), tuple(rows))

    def _causes(self) -> Part:
        say, own = self.say, self.study.cases[self.study.case]
        chosen = [one for one in self.study.causes if one.total >= LEAST_TOTAL][:MOST_CAUSES]
        title = say("uncertainty_causes", margin=QUANTITIES[own.governing].title, case=own.name)
        if not chosen:
            return Words(title, (say("none"),))
        return Table(title, (
            (say("column_item"), False), (say("uncertainty_spread"), False), (say("uncertainty_alone"), True),
            (say("uncertainty_with"), True), (say("uncertainty_left"), True), (say("uncertainty_known"), False)),
            tuple(self._cause(one) for one in chosen), note=say("uncertainty_causes_note"))

    def _cause(self, one: Cause) -> tuple[Cell, ...]:
        spread = one.spread
        between = self.say("from_to", low=self._change(spread.low, one.variable),
                           high=self._change(spread.high, one.variable)) + f", {self.say.words(spread.shape)}"
        return (Cell(self.say.words(one.variable.title), bold=one.worth_measuring), Cell(between),
                *(Cell(f"{100 * value:.0f}\u2009%") for value in (max(one.first, 0.0), one.total, one.left_when_known)),
                Cell(self.say.words(spread.status)))

    def _change(self, value: float, variable: Variable) -> str:
        unit = "" if variable.kind != q.RATIO else "%" if variable.is_factor else "1"
        number = self.figures.number(value, variable.kind, unit=unit, digits=2, sign=True)
        return f"{number}\u2009{self.figures.unit(variable.kind, unit)}".rstrip()


def _interval(one: Probability, say: Texts) -> str:
    span = say("from_to", low=f"{100 * one.low:.0f}", high=f"{100 * one.high:.0f}")
    return f"{100 * one.share:.0f}\u2009% ({span})"
