"""Try remedies: solve each anew with the check that governs, and rate those that need it, every check as before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import nan

import numpy as np

from wetpath.errors import InputError
from wetpath.liquids.liquid import Liquid
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.remedies.changed_file import changed_file
from wetpath.questions.remedies.remedy import NotOffered, Remedy
from wetpath.rating.check import Check
from wetpath.rating.checks import ALL, OVER_ALL_FLOWS, SUBJECTS
from wetpath.rating.checks.flow_limits import flow_findings
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.pump_model import PumpModel, solve_each
from wetpath.rating.rate import Rating, case_inputs, rate
from wetpath.rating.situation import Situation
from wetpath.rating.verdict import TIGHT_SHARE, Headline, judge

#: A check gets worse when it loses more than this share of its scale.
WORSE_SHARE = 0.1


@dataclass(frozen=True)
class Worse:
    """A check that loses by a remedy; margins in its worst case, in SI."""

    check: Check
    margin_before: float
    margin: float
    share_before: float
    share: float
    broken: bool        # it held before and does not any more


@dataclass(frozen=True, eq=False)
class Trial:
    """A remedy that was rated. NaN: cannot be told, or is not asked any more."""

    remedy: Remedy
    rating: Rating
    margin: float            # of the check that governed before, in its worst case now
    share: float
    gain: float
    share_gain: float
    not_asked: bool          # the check that governed is asked of no case any more
    makes_it_hold: bool
    worse: tuple[Worse, ...]

    @property
    def broken(self) -> tuple[Worse, ...]:
        """Checks that held before and do not any more."""
        return tuple(one for one in self.worse if one.broken)


@dataclass(frozen=True, eq=False)
class Attempt:
    """A remedy that was solved, with what the check that governed before has then; the rating is made on demand."""

    screen: Screen
    remedy: Remedy
    pump: PumpFile
    enquiry: Enquiry
    rated: Rating | None     # without the limits on the flow, where solving took a rating
    now: Check | None        # None where it is asked of no case any more

    @property
    def share_gain(self) -> float:
        """Gain of the check that governed before, in shares of its scale."""
        return nan if self.now is None else worst(self.now)[1] - worst(self.screen.base.verdict.check)[1]

    @cached_property
    def may_hold(self) -> bool:
        """Whether the check that governed before leaves room for `Trial.makes_it_hold`."""
        if self.now is None:
            return True
        return bool(self.now.holds.all()) and not (self.screen.base.holds and worst(self.now)[1] < TIGHT_SHARE)

    @cached_property
    def trial(self) -> Trial:
        """The rating, every check compared with what it was.

        The limits on the flow are searched where all else holds, so that what is said to hold does, and where they
        govern.
        """
        screen = self.screen
        rating = self.rated or screen.rate(self.pump, self.enquiry)
        if rating.holds or screen.by_flow:
            rating = _with_flow_limits(rating)
        return compared(screen.base, self.remedy, rating)


@dataclass(frozen=True, eq=False)
class Screen:
    """What remedies of one rating are measured by."""

    base: Rating

    @property
    def by_flow(self) -> bool:
        """Whether a limit on the flow governs."""
        return self.base.verdict.check.subject == SUBJECTS["flow_limits"]

    @cached_property
    def others(self) -> Mapping[str, Liquid]:
        """The other liquids by the names the cases call them."""
        liquids = self.base.situation.liquids[1:]
        return {other.name: liquid for other, liquid in zip(self.base.enquiry.other_liquids, liquids, strict=True)}

    @cached_property
    def make(self) -> Mapping[str, Callable[[Situation], Check]]:
        """What makes each check, by its name."""
        makers = (*ALL, *OVER_ALL_FLOWS) if self.by_flow else ALL
        return {make(self.base.situation).name: make for make in makers}

    def attempt(self, remedy: Remedy) -> Attempt | NotOffered:
        """Solve with a remedy; one that the pump file or the liquid refuses, or that loses a check which it must keep,
        is told as not offered.
        """
        base = self.base
        try:
            pump, enquiry = changed_file(base.pump, remedy.pump), changed_file(base.enquiry, remedy.enquiry)
            rated = None if enquiry is base.enquiry else self.rate(pump, enquiry)
            situation = self._solved(pump) if rated is None else rated.situation
        except InputError as error:
            return _refused(remedy, str(error))
        kept = [self.make[name](situation) for name in remedy.keeps]
        lost = [one for one in kept if one.applies.any() and not one.holds.all()]
        names = {one.name for one in lost}
        if lost and all(one.holds.all() for one in base.checks if one.name in names):
            return _refused(remedy, f"{' and '.join(one.title for one in lost)} would not hold")
        now = self.make[base.verdict.check.name](situation)
        return Attempt(self, remedy, pump, enquiry, rated, now if now.applies.any() else None)

    def rate(self, pump: PumpFile, enquiry: Enquiry) -> Rating:
        """Rate changed files without the limits on the flow."""
        return rate(pump, enquiry, self.base.liquid, self.base.practice, others=self.others, full=False)

    def _solved(self, pump: PumpFile) -> Situation:
        """The cases of the enquiry as it is, solved with another pump."""
        base = self.base
        models, model_of = tuple(PumpModel(pump, liquid) for liquid in base.situation.liquids), base.situation.model_of
        inputs = case_inputs(pump, base.enquiry, [models[group].liquid for group in model_of])
        return replace(base.situation, models=models, solved=solve_each(models, model_of, inputs))


def worst(check: Check) -> tuple[float, float]:
    """Margin and share of a check in its worst case."""
    case = check.worst_case
    return float(check.margin[case]), float(check.share[case])


def _refused(remedy: Remedy, why: str) -> NotOffered:
    return NotOffered(remedy.text, why, remedy.amounts)


def _with_flow_limits(rating: Rating) -> Rating:
    """A rating made without the limits on the flow, with them."""
    situation, names = rating.situation, rating.case_names
    more = (make(situation).under(SUBJECTS["flow_limits"]) for make in OVER_ALL_FLOWS)
    checks = (*rating.checks, *(one for one in more if one.applies.any()))
    return Rating(rating.enquiry, situation, checks, judge(checks, names, situation.solution.outcome),
                  (*rating.warnings, *flow_findings(situation, names)))


def compared(base: Rating, remedy: Remedy, rating: Rating) -> Trial:
    """Compare every check of a rating with a remedy with what it was."""
    governing = base.verdict.check
    now = next((one for one in rating.checks if one.name == governing.name), None)
    margin, share = (nan, nan) if now is None else worst(now)
    margin_before, share_before = worst(governing)
    solved = rating.holds if not base.holds else rating.verdict.headline == Headline.RUNS
    return Trial(remedy, rating, margin, share, margin - margin_before, share - share_before, now is None, solved,
                 tuple(_worse(base, rating)))


def _worse(base: Rating, rating: Rating) -> list[Worse]:
    before = {one.name: one for one in base.checks}
    found = []
    for one in rating.checks:
        held = before[one.name].holds.all() if one.name in before else True
        broken = bool(held and not one.holds.all())
        margin, share = worst(one)
        margin_before, share_before = worst(before[one.name]) if one.name in before else (nan, nan)
        if broken or share < share_before - WORSE_SHARE:
            found.append(Worse(one, margin_before, margin, share_before, share, broken))
    return sorted(found, key=lambda one: (not one.broken, np.nan_to_num(one.share, nan=-np.inf)))
