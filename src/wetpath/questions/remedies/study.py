"""All remedies of a rating: tried singly, then the best in pairs, and put in order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import isnan

from wetpath.questions.remedies.drive import drive
from wetpath.questions.remedies.passages import passages
from wetpath.questions.remedies.remedy import Finder, NotOffered, Remedy
from wetpath.questions.remedies.shells import shells
from wetpath.questions.remedies.site import site
from wetpath.questions.remedies.trial import Attempt, Screen, Trial
from wetpath.rating.check import Check
from wetpath.rating.rate import Rating
from wetpath.rating.verdict import Headline

FINDERS: tuple[Finder, ...] = (shells, passages, drive, site)
#: A remedy that gains less than this share of the scale of the governing check is left out.
LEAST_GAIN = 0.02
#: Families of which pairs are tried, and pairs that are shown.
PAIRED, MOST_PAIRS = 6, 5
#: A pair that does not make it hold has to gain this much more than the better of its parts.
PAIR_GAIN = 1.1
#: Told how many remedies are rated, of how many.
Progress = Callable[[int, int], None]


@dataclass(frozen=True, eq=False)
class Remedies:
    """What was tried, the best first; ``governing`` is the check all gains are of."""

    rating: Rating
    governing: Check
    trials: tuple[Trial, ...]
    without_gain: tuple[Trial, ...]       # families that gain nothing that counts
    not_offered: tuple[NotOffered, ...]
    rated: int                            # remedies rated in all

    @property
    def needed(self) -> bool:
        """Whether anything is short, tight or cannot be told."""
        return self.rating.verdict.headline != Headline.RUNS

    @property
    def solved(self) -> bool:
        """Whether every check holds, as offered or with a remedy."""
        return self.rating.holds or any(trial.rating.holds for trial in self.trials)


def _quiet(done: int, total: int) -> None:
    """Say nothing."""


def remedies_of(rating: Rating, progress: Progress = _quiet) -> Remedies:
    """Try every remedy for a rating, made with ``full=True``, that does not simply run.

    Each is solved anew and the check that governs is made of it; every check is made of those that may be shown.
    """
    governing = rating.verdict.check
    if rating.verdict.headline == Headline.RUNS:
        return Remedies(rating, governing, (), (), (), 0)
    offered = [one for find in FINDERS for one in find(rating)]
    singles = [one for one in offered if isinstance(one, Remedy)]
    refused = [one for one in offered if isinstance(one, NotOffered)]
    screen = Screen(rating)
    tried: list[Attempt] = []
    for done, remedy in enumerate(singles, start=1):
        attempt = screen.attempt(remedy)
        if isinstance(attempt, Attempt):
            tried.append(attempt)
        else:
            refused.append(attempt)
        progress(done, len(singles) + PAIRED * (PAIRED - 1) // 2)
    best = sorted(_best_of_families(tried), key=_order)
    useful = [trial for trial in best if _gains(trial)]
    pairs = [pair for pair in combinations(useful[:PAIRED], 2) if not any(_holds(part) for part in pair)]
    paired: list[Trial] = []
    rated = len(tried)
    for done, pair in enumerate(pairs, start=len(singles) + 1):
        attempt = screen.attempt(pair[0].remedy.joined(pair[1].remedy))
        if isinstance(attempt, Attempt):
            rated += 1
            if _may_be_useful(attempt, pair) and _is_useful(attempt.trial, pair):
                paired.append(attempt.trial)
        progress(done, len(singles) + len(pairs))
    return Remedies(rating, governing, tuple(sorted([*useful, *sorted(paired, key=_order)[:MOST_PAIRS]], key=_order)),
                    tuple(trial for trial in best if not _gains(trial)),
                    tuple({(one.text, one.why): one for one in reversed(refused)}.values())[::-1], rated)


def _order(trial: Trial) -> tuple[bool, bool, int, int, float]:
    """Those that break another check last; before them what makes it hold, what is practical, what gains most."""
    return (bool(trial.broken), not trial.makes_it_hold, trial.remedy.practicality, len(trial.remedy.parts),
            -_known(trial.share_gain))


def _known(gain: float) -> float:
    return float("-inf") if isnan(gain) else gain


def _gains(trial: Trial) -> bool:
    return trial.makes_it_hold or trial.not_asked or trial.share_gain >= LEAST_GAIN


def _holds(trial: Trial) -> bool:
    return trial.makes_it_hold and not trial.broken


def _best_of_families(attempts: Sequence[Attempt]) -> list[Trial]:
    """Of each family the first that makes it hold without breaking another check, else that which gains most."""
    families: dict[str, list[Attempt]] = {}
    for attempt in attempts:
        families.setdefault(attempt.remedy.family, []).append(attempt)
    return [_best(some) for some in families.values()]


def _best(family: Sequence[Attempt]) -> Trial:
    for attempt in family:
        if attempt.may_hold and _holds(attempt.trial):
            return attempt.trial
    by_gain = sorted(family, key=lambda attempt: -_known(attempt.share_gain))
    return next((attempt.trial for attempt in by_gain if not attempt.trial.broken), by_gain[0].trial)


def _may_be_useful(pair: Attempt, parts: Sequence[Trial]) -> bool:
    """Whether a pair of which no part makes it hold may do so, or gains more than the better part."""
    return pair.may_hold or pair.share_gain > PAIR_GAIN * max(_known(part.share_gain) for part in parts)


def _is_useful(pair: Trial, parts: Sequence[Trial]) -> bool:
    """It makes it hold, or gains more than the better part, and breaks nothing."""
    gains = pair.share_gain > PAIR_GAIN * max(_known(part.share_gain) for part in parts)
    return not pair.broken and (pair.makes_it_hold or gains)
