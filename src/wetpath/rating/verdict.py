"""The verdict: which check governs over all operating cases, where, and by how much."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.edge.units import METRIC, UnitSet, express
from wetpath.rating.check import Check

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


def judge(checks: Sequence[Check], case_names: Sequence[str], outcome: NDArray[np.int64],
          units: UnitSet = METRIC) -> Verdict:
    """Find the governing check: no liquid solution first, then what is short, what cannot be told, the least share.

    A check that sits near its limit by choice of a size (head, motor, wall) governs only when it is short; one that
    follows from others (the flow limits) only when none of them is.
    """
    governing = min(checks, key=_urgency(outcome))
    case = governing.worst_case
    failing = tuple(one.name for one in checks if not one.holds.all())
    unknown = any(one.unknown.any() for one in checks)
    if (outcome == Outcome.NO_SOLUTION).any():
        headline = Headline.CANNOT
    elif any(not one.holds[~one.unknown].all() for one in checks):
        headline = Headline.NOT_AS_OFFERED
    elif unknown:
        headline = Headline.UNKNOWN
    elif not governing.by_choice and governing.share[case] < TIGHT_SHARE:
        headline = Headline.TIGHT
    else:
        headline = Headline.RUNS
    return Verdict(headline, governing, case, case_names[case], failing, _sentence(governing, case, case_names, units))


def _urgency(outcome: NDArray[np.int64]) -> Callable[[Check], tuple[float, float]]:
    lost = (outcome == Outcome.NO_SOLUTION).any()

    def key(one: Check) -> tuple[float, float]:
        case = one.worst_case
        if lost and one.name == "circulation":
            return 0, 0.0
        if one.unknown.any() and not (one.margin < 0).any():
            return 2, 0.0
        short = 1.5 if one.follows else 1
        return (short if one.share[case] < 0 else 4 if one.by_choice else 3), float(one.share[case])

    return key


def _sentence(governing: Check, case: int, case_names: Sequence[str], units: UnitSet) -> str:
    actual, limit = governing.actual[case], governing.limit[case]
    place = "; ".join(filter(None, (governing.where[case], f'case "{case_names[case]}"')))
    if governing.unknown[case]:
        return f"{governing.title} cannot be told ({place})"
    margin = float(governing.margin[case])
    amount = express(abs(margin), governing.difference_kind, units=units)
    told = f"is short by {amount}" if margin < 0 else f"governs with {amount} to spare"
    asked = "asked" if governing.sense == "at least" else "allowed"
    return (f"{governing.title} {told} ({place}): {express(float(actual), governing.kind, units=units)}, "
            f"{express(float(limit), governing.kind, units=units)} {asked}")
