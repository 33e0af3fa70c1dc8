"""Try one remedy: change the files, rate anew, and compare every check with what it was."""

from __future__ import annotations

from dataclasses import dataclass
from math import nan
from typing import TypeVar

import numpy as np
from pydantic import ValidationError

from wetpath.edge.problems import problems_of
from wetpath.errors import FileProblems, InputError
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.remedies.remedy import Change, NotOffered, Remedy, unchanged
from wetpath.rating.check import Check
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating, rate
from wetpath.rating.verdict import Headline

File = TypeVar("File", PumpFile, Enquiry)

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
    """A remedy that was tried. NaN: cannot be told, or is not asked any more."""

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


def worst(check: Check) -> tuple[float, float]:
    """Margin and share of a check in its worst case."""
    case = check.worst_case
    return float(check.margin[case]), float(check.share[case])


def try_remedy(base: Rating, remedy: Remedy, *, full: bool = False) -> Trial | NotOffered:
    """Rate with a remedy; a remedy that the pump file or the liquid refuses is told as not offered.

    The limits on the flow are searched where all else holds, so that what is said to hold does, and with ``full``.
    """
    try:
        pump = _changed(PumpFile, base.pump, remedy.pump)
        enquiry = _changed(Enquiry, base.enquiry, remedy.enquiry)
        rating = _rated(base, pump, enquiry, full=full)
        if rating.holds and not full:
            rating = _rated(base, pump, enquiry, full=True)
    except InputError as error:
        return _refused(remedy, str(error))
    held = {one.name: bool(one.holds.all()) for one in rating.checks}
    lost = [name for name in remedy.keeps if not held.get(name, True)]
    if lost and all(one.holds.all() for one in base.checks if one.name in lost):
        titles = [one.title for one in rating.checks if one.name in lost]
        return _refused(remedy, f"{' and '.join(titles)} would not hold")
    return _compared(base, remedy, rating)


def _changed(model: type[File], file: File, change: Change) -> File:
    """A file validated anew: a copy would keep what the old one has computed of itself."""
    if change is unchanged:
        return file
    data = file.model_dump()
    change(data)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise FileProblems(problems_of(error, model, data)) from None


def _rated(base: Rating, pump: PumpFile, enquiry: Enquiry, *, full: bool) -> Rating:
    situation = base.situation
    others = {other.name: liquid for other, liquid in zip(enquiry.other_liquids, situation.liquids[1:], strict=True)}
    return rate(pump, enquiry, situation.liquid, situation.practice, others=others, full=full)


def _refused(remedy: Remedy, why: str) -> NotOffered:
    return NotOffered(remedy.text, why, remedy.amounts)


def _compared(base: Rating, remedy: Remedy, rating: Rating) -> Trial:
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
