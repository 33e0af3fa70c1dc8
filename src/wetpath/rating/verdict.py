"""The verdict: which check governs over all operating cases, where, and by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.edge.units import METRIC, UnitSet, express
from wetpath.rating.check import Check
from wetpath.words import joined, told

Array = NDArray[np.float64]

#: A margin below this share of its scale is called tight.
TIGHT_SHARE = 0.5


class Headline(StrEnum):
    """The five answers a rating can give."""

    RUNS = "Runs"
    TIGHT = "Runs, tight"
    NOT_AS_OFFERED = "Not as offered"
    CANNOT = "Cannot run"
    UNKNOWN = "Cannot tell yet"


@dataclass(frozen=True)
class Verdict:
    """What governs, in which operating case, where, by how much."""

    headline: Headline
    check: Check
    case: int
    case_name: str
    failing: tuple[str, ...]     # names of all checks that do not hold in some case
    sentence: str

    @property
    def holds(self) -> bool:
        """Whether every check holds in every case."""
        return not self.failing

    @property
    def margin(self) -> float:
        """Margin of the governing check in its worst case, SI."""
        return float(self.check.margin[self.case])

    def __str__(self) -> str:
        return f"{self.headline}: {self.sentence}"

    def sentence_in(self, units: UnitSet) -> str:
        """The sentence in other units."""
        return _sentence(self.check, self.case, self.case_name, units)


def judge(checks: Sequence[Check], case_names: Sequence[str], outcome: NDArray[np.int64],
          units: UnitSet = METRIC) -> Verdict:
    """Find the governing check: no liquid solution first, then what is short, what cannot be told, the least share.

    A check that sits near its limit by choice of a size (head, motor, wall) governs only when it is short; one that
    follows from others (the flow limits) only when none of them is.
    """
    table = _Table.of(checks)
    lost = bool((outcome == Outcome.NO_SOLUTION).any())
    number = table.governing(checks, lost=lost)
    governing, case = checks[number], int(table.worst_case[number])
    if lost:
        headline = Headline.CANNOT
    elif (~table.holds & ~table.unknown).any():
        headline = Headline.NOT_AS_OFFERED
    elif table.unknown.any():
        headline = Headline.UNKNOWN
    elif not governing.by_choice and table.share[number, case] < TIGHT_SHARE:
        headline = Headline.TIGHT
    else:
        headline = Headline.RUNS
    failing = tuple(checks[one].name for one in np.flatnonzero(~table.holds.all(axis=1)).tolist())
    return Verdict(headline, governing, case, case_names[case], failing,
                   _sentence(governing, case, case_names[case], units))


@dataclass(frozen=True, eq=False)
class _Table:
    """All checks side by side, (checks, cases); the columns are those of `Check`."""

    margin: Array
    share: Array
    holds: NDArray[np.bool_]
    unknown: NDArray[np.bool_]
    worst_case: NDArray[np.int64]     # (checks,)

    @classmethod
    def of(cls, checks: Sequence[Check]) -> _Table:
        applies, actual, limit, scale = (
            np.concatenate([getattr(one, name) for one in checks]).reshape(len(checks), -1)
            for name in ("applies", "actual", "limit", "scale"))
        least = np.array([one.sense == "at least" for one in checks])[:, None]
        margin = np.where(applies, np.where(least, actual - limit, limit - actual), np.nan)
        share = margin / scale
        nearest = np.where(applies, np.where(np.isnan(share), -np.inf, share), np.inf)
        return cls(margin, share, ~applies | (margin >= 0), applies & (np.isnan(actual) | np.isnan(limit)),
                   nearest.argmin(axis=1))

    def governing(self, checks: Sequence[Check], *, lost: bool) -> int:
        """Number of the check that governs, by `judge`'s order; ``lost``: some case has no liquid solution."""
        share = self.share[np.arange(len(checks)), self.worst_case]
        by_choice, follows = np.array([one.by_choice for one in checks]), np.array([one.follows for one in checks])
        order = np.where(share < 0, np.where(follows, 1.5, 1.0), np.where(by_choice, 4.0, 3.0))
        untold = self.unknown.any(axis=1) & ~(self.margin < 0).any(axis=1)
        order, share = np.where(untold, 2.0, order), np.where(untold, 0.0, share)
        if lost:
            first = np.array([one.name == "circulation" for one in checks])
            order, share = np.where(first, 0.0, order), np.where(first, 0.0, share)
        return int(np.lexsort((share, order))[0])


def _sentence(governing: Check, case: int, case_name: str, units: UnitSet) -> str:
    actual, limit = governing.actual[case], governing.limit[case]
    place = joined("; ", filter(None, (governing.where[case], told('case "{case}"', case=case_name))))
    if governing.unknown[case]:
        return told("{check} cannot be told ({place})", check=governing.title, place=place)
    margin = float(governing.margin[case])
    amount = express(abs(margin), governing.difference_kind, units=units)
    stands = told("{check} is short by {amount} ({place})" if margin < 0 else
                  "{check} governs with {amount} to spare ({place})", check=governing.title, amount=amount, place=place)
    asked = told("{limit} asked" if governing.sense == "at least" else "{limit} allowed",
                 limit=express(float(limit), governing.kind, units=units))
    return told("{stands}: {actual}, {asked}", stands=stands, asked=asked,
                actual=express(float(actual), governing.kind, units=units))
