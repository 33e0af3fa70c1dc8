"""The smallest set of instruments that sees every cause in time: exact, by trying all sets, smallest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from wetpath.questions.protection.matrix import Cause, Reading


@dataclass(frozen=True)
class Cover:
    """A set of instruments by what they measure, and the causes it leaves."""

    signals: tuple[str, ...]
    settings: tuple[str, ...]         # trips of these instruments that are needed
    least_in_hand: float              # over the causes it sees [s]; infinite: none of them does damage
    covered: tuple[str, ...]
    uncovered: tuple[str, ...]        # causes that no instrument sees in time
    alternatives: tuple[tuple[str, ...], ...]      # other sets as small


def smallest_cover(causes: Sequence[Cause]) -> Cover:
    """Find the smallest set of measured quantities that sees in time every cause that can be seen in time.

    Of sets equally small, first the one that sees most causes by an instrument of the primary kind, then the one that
    leaves most time in hand for the worst cause.
    """
    harmful = [one for one in causes if one.harms]
    covered = [one for one in harmful if any(_counts(reading) for reading in one.seen_in_time)]
    uncovered = tuple(one.kind for one in harmful if one not in covered)
    signals = list(dict.fromkeys(reading.setting.instrument.signal.name
                                 for one in covered for reading in one.readings if _counts(reading)))
    for size in range(len(signals) + 1):
        fits = [chosen for chosen in combinations(signals, size)
                if all(_best(one, chosen) is not None for one in covered)]
        if fits:
            ranked = sorted(fits, key=lambda chosen: _merit(covered, chosen), reverse=True)
            best = ranked[0]
            needed = dict.fromkeys(_named(one, best).setting.instrument.name for one in covered)
            return Cover(best, tuple(needed), _merit(covered, best)[1], tuple(one.kind for one in covered),
                         uncovered, tuple(ranked[1:6]))
    raise AssertionError("all signals together cover what they cover")


def _counts(reading: Reading) -> bool:
    return reading.in_time and reading.setting.instrument.counts


def _best(cause: Cause, signals: Sequence[str]) -> Reading | None:
    """The earliest reading of these signals that is in time."""
    return next((one for one in cause.seen_in_time if one.setting.instrument.signal.name in signals), None)


def _named(cause: Cause, signals: Sequence[str]) -> Reading:
    found = _best(cause, signals)
    assert found is not None
    return found


def _merit(causes: Sequence[Cause], signals: Sequence[str]) -> tuple[int, float]:
    """Causes seen in time by a primary instrument of the set, and least time in hand."""
    primary = sum(any(one.setting.instrument.primary and one.setting.instrument.signal.name in signals
                      for one in cause.seen_in_time) for cause in causes)
    hand = min((max(one.in_hand_low for one in cause.seen_in_time
                    if one.setting.instrument.signal.name in signals) for cause in causes), default=np.inf)
    return primary, hand
