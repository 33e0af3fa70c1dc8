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
from wetpath.questions.remedies.trial import Trial, try_remedy
from wetpath.rating.check import Check
from wetpath.rating.checks import SUBJECTS
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
    """Try every remedy for a rating, made with ``full=True``, that does not simply run; each is rated anew."""
    governing = rating.verdict.check
    if rating.verdict.headline == Headline.RUNS:
        return Remedies(rating, governing, (), (), (), 0)
    offered = [one for find in FINDERS for one in find(rating)]
    singles = [one for one in offered if isinstance(one, Remedy)]
    refused = [one for one in offered if isinstance(one, NotOffered)]
    full = governing.subject == SUBJECTS["flow_limits"]
    tried: list[Trial] = []
    most = len(singles) + PAIRED * (PAIRED - 1) // 2

    def attempt(remedy: Remedy, done: int, total: int) -> None:
        result = try_remedy(rating, remedy, full=full)
        if isinstance(result, Trial):
            tried.append(result)
        elif not remedy.parts:
            refused.append(result)
        progress(done, total)

    for done, remedy in enumerate(singles, start=1):
        attempt(remedy, done, most)
    best = sorted(_best_of_families(tried), key=_order)
    useful = [trial for trial in best if _gains(trial)]
    rated = len(tried)
    pairs = list(combinations(useful[:PAIRED], 2))
    tried = []
    for done, (one, other) in enumerate(pairs, start=len(singles) + 1):
        attempt(one.remedy.joined(other.remedy), done, len(singles) + len(pairs))
    alone = {id(trial.remedy): trial for trial in useful}
    paired = sorted((trial for trial in tried if _pair_is_useful(trial, alone)), key=_order)[:MOST_PAIRS]
    return Remedies(rating, governing, tuple(sorted([*useful, *paired], key=_order)),
                    tuple(trial for trial in best if not _gains(trial)),
                    tuple({(one.text, one.why): one for one in reversed(refused)}.values())[::-1], rated + len(tried))


def _order(trial: Trial) -> tuple[bool, bool, int, int, float]:
    """Those that break another check last; before them what makes it hold, what is practical, what gains most."""
    return (bool(trial.broken), not trial.makes_it_hold, trial.remedy.practicality, len(trial.remedy.parts),
            -_known(trial.share_gain))


def _known(gain: float) -> float:
    return float("-inf") if isnan(gain) else gain


def _gains(trial: Trial) -> bool:
    return trial.makes_it_hold or trial.not_asked or trial.share_gain >= LEAST_GAIN


def _best_of_families(trials: Sequence[Trial]) -> list[Trial]:
    """Of each family the first that makes it hold without breaking another check, else that which gains most."""
    families: dict[str, list[Trial]] = {}
    for trial in trials:
        families.setdefault(trial.remedy.family, []).append(trial)
    found = []
    for some in families.values():
        holding = [trial for trial in some if trial.makes_it_hold and not trial.broken]
        found.append(holding[0] if holding else
                     min(some, key=lambda trial: (bool(trial.broken), -_known(trial.share_gain))))
    return found


def _pair_is_useful(pair: Trial, alone: dict[int, Trial]) -> bool:
    """It makes hold what neither part does, or, where it does not either, gains more than the better part."""
    parts = [alone[id(part)] for part in pair.remedy.parts]
    if any(part.makes_it_hold and not part.broken for part in parts) or pair.broken:
        return False
    return pair.makes_it_hold or pair.share_gain > PAIR_GAIN * max(_known(part.share_gain) for part in parts)
