"""``wetpath uncertainty``: how sure the vapour margins are, and which doubt is worth removing by a measurement."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from pathlib import Path

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge.quantities import Kind
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.faces.cli.scale import scale_of
from wetpath.faces.cli.worth import change_text
from wetpath.questions.sensitivity.evaluate import QUANTITIES, VAPOUR_MARGINS, Quantity
from wetpath.questions.sensitivity.variable import Variable
from wetpath.questions.uncertainty.study import CaseUncertainty, Probability, Uncertainty
from wetpath.rating.rate import Rating
from wetpath.services import uncertainty as service
from wetpath.services.cautions import cautions_of
from wetpath.services.standing import Standing

#: From this probability a demand is told as holding, from the lower one as tight.
SURE, LIKELY = 0.975, 0.8
#: Causes with a smaller total index are left out of the short table.
LEAST_TOTAL = 0.01


def show_uncertainty(enquiry: Path, *, pump: Path | None, practice: Path | None, case: str | None, samples: int,
                     seed: int, spreads: Sequence[str], cluster: str | None, workers: int | None, full: bool,
                     json: bool, us: bool) -> int:
    """Write how sure the vapour margins are."""
    rating, study, files = service.uncertainty_of_files(
        enquiry, pump=pump, practice=practice, samples=samples, seed=seed, case=case, spreads=spreads,
        announce=announce, scale=scale_of(cluster, workers))
    if json:
        sys.stdout.write(service.record_of_uncertainty(rating, study, files).model_dump_json(indent=2) + "\n")
    else:
        UncertaintyPage(rating, study, Paper(), Figures.of(us), full).write()
    return 0


def probability_text(value: float) -> str:
    """A probability in percent; never 100 % or 0 % unless it is.

    >>> probability_text(0.9996), probability_text(1.0), probability_text(0.0004), probability_text(0.42)
    ('> 99.9 %', '100 %', '< 0.1 %', '42 %')
    """
    percent = 100 * value
    if 99.9 < percent < 100:
        return "> 99.9 %"
    if 0 < percent < 0.1:
        return "< 0.1 %"
    decimals = 1 if 0 < percent < 10 or 90 < percent < 100 else 0
    return f"{percent:.{decimals}f} %"


class UncertaintyPage:
    """Writes one study on paper."""

    def __init__(self, rating: Rating, study: Uncertainty, paper: Paper, figures: Figures, full: bool) -> None:
        self.rating, self.study, self.paper, self.figures, self.full = rating, study, paper, figures, full

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        self._cases()
        self._probabilities()
        self._causes()
        self.paper.gap()
        self.paper.say(f"{self.study.samples} points for each case, the causes from {self.study.index_points} base "
                       f"points; seed {self.study.seed}: the same seed gives the same numbers. Inputs are taken as "
                       "independent. A probability is worth as much as the spreads it is made of.")
        words = self.figures.sentences(self.study.warnings)
        if words:
            self.paper.heading("Warnings and limits crossed")
            self.paper.items(words)
        self.paper.heading("Cautions")
        self.paper.items(cautions_of(self.rating, self.figures.units))

    def _answer(self) -> None:
        together = [(one, one.probabilities[-1]) for one in self.study.cases if one.probabilities]
        if not together:
            self.paper.headline("Vapour margins cannot be told", Standing.UNKNOWN)
            return
        worst, least = min(together, key=lambda pair: pair[1].share)
        standing = Standing.HOLDS if least.low >= SURE else Standing.TIGHT if least.share >= LIKELY else Standing.SHORT
        self.paper.headline(f"{worst.name}: every vapour demand holds with a probability of {_with_interval(least)}",
                            standing)
        worth = [one.variable.title for one in self.study.causes if one.worth_measuring]
        if worth:
            first = next(one for one in self.study.causes if one.worth_measuring)
            self.paper.say(f"Worth measuring: {', '.join(worth)}. With {first.variable.title} known, the range of "
                           f"{self._governing.title} in {self._own.name} shrinks to about "
                           f"{100 * first.left_when_known:.0f} % of its width.")

    @property
    def _own(self) -> CaseUncertainty:
        return self.study.cases[self.study.case]

    @property
    def _governing(self) -> Quantity:
        return QUANTITIES[self._own.governing]

    def _cases(self) -> None:
        rows = []
        for one in self.study.cases:
            quantity = QUANTITIES[one.governing]
            rows.append((one.name, quantity.title, *(self._value(value, quantity.kind) for value in (
                one.limit, one.now, one.low, one.median, one.high))))
        self.paper.heading("Governing margins", "95 % of the points lie between low and high")
        self.paper.table([Column("", wraps=True), Column("", wraps=True), *(
            Column(name, number=True) for name in ("asked", "rated", "low", "median", "high"))], rows)

    def _value(self, value: float, kind: Kind) -> str:
        return NOTHING if not math.isfinite(value) else self.figures.text(value, kind)

    def _probabilities(self) -> None:
        rows = []
        for one in self.study.cases:
            found = {each.name: each for each in one.probabilities}
            cells = [_with_interval(found[name]) if name in found else NOTHING
                     for name in (*(QUANTITIES[number].name for number in VAPOUR_MARGINS), "all")]
            rows.append((one.name, *cells))
        self.paper.heading("Probability that it holds", "with its interval of 95 % confidence")
        self.paper.table([Column("", wraps=True), *(Column(QUANTITIES[number].short, number=True)
                                                    for number in VAPOUR_MARGINS), Column("all", number=True)], rows)
        lost = [f"{one.name}: {one.count - one.closed} of {one.count}" for one in self.study.cases
                if one.closed < one.count]
        if lost:
            self.paper.say(f"Points that do not close at once, counted as not holding: {'; '.join(lost)}.")

    def _causes(self) -> None:
        rows = []
        for one in self.study.causes:
            if one.total < LEAST_TOTAL and not self.full:
                continue
            variable, spread = one.variable, one.spread
            between = (f"{self._change(spread.low, variable)} to {self._change(spread.high, variable)}"
                       f", {spread.shape}")
            rows.append((variable.title, between, f"{100 * max(one.first, 0.0):.0f} %", f"{100 * one.total:.0f} %",
                         f"{100 * max(one.total_interval[0], 0):.0f}–{100 * one.total_interval[1]:.0f} %",
                         f"{100 * one.left_when_known:.0f} %", spread.status))
        if not rows:
            return
        self.paper.heading("Causes", f"shares in the variance of the governing margin in {self._own.name}")
        self.paper.table([
            Column("", wraps=True, least=16), Column("spread", wraps=True, least=20), Column("alone", number=True),
            Column("with\nothers", number=True), Column("95 %\ninterval", number=True),
            Column("range left\nwhen known", number=True), Column("spread is", wraps=True, least=8)], rows)
        left_out = len(self.study.causes) - len(rows)
        if left_out:
            self.paper.say(f"{left_out} inputs that hardly matter are left out; --full shows them.")

    def _change(self, value: float, variable: Variable) -> str:
        return change_text(value, variable, self.figures)


def _with_interval(one: Probability) -> str:
    return f"{probability_text(one.share)} ({100 * one.low:.1f}–{100 * one.high:.1f})"
