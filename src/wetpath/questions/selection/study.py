"""A selection: screen a catalogue, rank what passed, rate the best in full, and say why the others fell out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.practice import Practice
from wetpath.edge.quantities import Kind
from wetpath.liquids.liquid import Liquid
from wetpath.questions.parts import Cancelled, Progress, Runner, run_here
from wetpath.questions.selection.candidates import Candidate, CatalogueEntry, Choices
from wetpath.questions.selection.ranking import Weights, best_trades, scores
from wetpath.questions.selection.screening import Screening, screen
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating, rate

Array = NDArray[np.float64]

#: Rated in full at most, as a multiple of what is asked to be shown.
RATED_SHARE = 4


@dataclass(frozen=True, eq=False)
class Offer:
    """A candidate that passed the screening, rated in full."""

    number: int            # of the candidate in the screening
    candidate: Candidate
    rating: Rating
    score: float
    best_trade: bool       # none other that passed is better in margin, shaft power and NPSH margin together


@dataclass(frozen=True)
class FellOut:
    """Candidates that fell out by one check, and the nearest miss among them."""

    check: str
    title: str
    count: int
    nearest: Candidate
    missing: float         # by which it is short there, SI; NaN where there is no liquid solution
    kind: Kind
    case_name: str


@dataclass(frozen=True, eq=False)
class Selection:
    """The answer: offers in the order of their score, those that hold first."""

    enquiry: Enquiry
    catalogue: tuple[str, ...]
    weights: Weights
    screening: Screening
    offers: tuple[Offer, ...]
    fell_out: tuple[FellOut, ...]              # by the screening, the most frequent reason first
    fell_out_in_full: tuple[FellOut, ...]      # by a check that only the full rating makes
    designs: int                               # different pairs of pump file and shell material that passed
    rated: int             # candidates rated in full
    stopped: bool

    @property
    def holds(self) -> bool:
        """Whether some offer holds in every check."""
        return any(one.rating.holds for one in self.offers)


def select(catalogue: Sequence[CatalogueEntry], enquiry: Enquiry, liquid: Liquid, practice: Practice, *,
           others: Mapping[str, Liquid] | None = None, choices: Choices | None = None, weights: Weights | None = None,
           most: int = 8, progress: Progress | None = None, cancelled: Cancelled | None = None,
           runner: Runner = run_here) -> Selection:
    """Select pumps for an enquiry out of a catalogue.

    Parameters
    ----------
    catalogue : sequence of CatalogueEntry
        At least one.
    enquiry, liquid, practice, others
        As for a rating.
    choices : Choices, optional
        What may be changed of the pump files.
    weights : Weights, optional
        Equal without it.
    most : int
        Offers shown, the best of each pair of pump file and shell material.
    progress, cancelled : callable, optional
        Told pump files screened and in all; asked between parts whether to stop.
    runner : Runner
        Does the parts of the screening; who does them does not change a digit.
    """
    others, weights = others or {}, weights or Weights()
    demands = rate(catalogue[0].pump, enquiry, liquid, practice, others=others, full=False).situation.demands
    found = screen(catalogue, enquiry, {"": liquid, **others}, demands, practice, choices or Choices(),
                   progress=progress, cancelled=cancelled, runner=runner)
    passed = np.flatnonzero(found.passed)
    figures = found.vapour_margin[passed], found.power[passed], found.npsh_margin[passed]
    score, trade = scores(*figures, weights), best_trades(*figures)
    order = _best_of_each(found, passed, score)
    offers: list[Offer] = []
    rated = 0
    for best in order[:RATED_SHARE * most]:
        if sum(one.rating.holds for one in offers) >= most or (cancelled is not None and cancelled()):
            break
        tried: list[Offer] = []
        for place in _lengths_of(found, passed, score, best):
            one = found.candidates[passed[place]]
            rating = rate(one.pump, one.enquiry(enquiry), liquid, practice, others=others, full=False)
            tried.append(Offer(int(passed[place]), one, rating, float(score[place]), bool(trade[place])))
            if rating.holds:
                break
        rated += len(tried)
        offers.append(tried[-1] if tried[-1].rating.holds else tried[0])
    stopped = found.left > 0 or (cancelled is not None and cancelled())
    shown = sorted(offers, key=lambda one: (not one.rating.holds, -one.score))[:most]
    return Selection(enquiry, tuple(entry.name for entry in catalogue), weights, found, tuple(shown),
                     _fell_out(found, enquiry), _fell_out_in_full(offers), len(order), rated, stopped)


def _best_of_each(found: Screening, passed: NDArray[np.int64], score: Array) -> list[int]:
    """Places in ``passed``, by falling score, of the best candidate of each pump file and shell material.

    Two pump files that become the same machine count once, under the name that comes first.
    """
    best: dict[tuple[str, str], int] = {}
    for place in np.argsort(-score, kind="stable"):
        build = found.candidates[passed[place]].build
        best.setdefault((build.entry.name, build.material), int(place))
    different: list[int] = []
    for place in best.values():
        one = found.candidates[passed[place]]
        if not any(_same(one, found.candidates[passed[other]]) for other in different if score[other] == score[place]):
            different.append(place)
    return different


def _lengths_of(found: Screening, passed: NDArray[np.int64], score: Array, best: int) -> list[int]:
    """Places of the best candidate of each magnet length of a pump file and shell material, that of all first."""
    def pair(place: int) -> tuple[str, str]:
        build = found.candidates[passed[place]].build
        return build.entry.name, build.material

    lengths: dict[float, int] = {found.candidates[passed[best]].build.length: best}
    for place in np.argsort(-score, kind="stable"):
        if pair(place) == pair(best):
            lengths.setdefault(found.candidates[passed[place]].build.length, int(place))
    return list(lengths.values())


def _same(one: Candidate, other: Candidate) -> bool:
    """Whether two candidates differ in nothing but the name and note of their pump files."""
    apart = {"name", "note"}
    return one.speed == other.speed and one.pump.model_dump(exclude=apart) == other.pump.model_dump(exclude=apart)


def _fell_out(found: Screening, enquiry: Enquiry) -> tuple[FellOut, ...]:
    reason, reasons = found.reason, []
    for check in np.unique(reason[reason >= 0]):
        own = np.flatnonzero(reason == check)
        share = np.where(found.lost[own] | np.isnan(found.share[check, own]), -np.inf, found.share[check, own])
        nearest = int(own[share.argmax()])
        missing = np.nan if found.lost[nearest] else -float(found.margin[check, nearest])
        reasons.append(FellOut(found.names[check], found.titles[check], own.size, found.candidates[nearest], missing,
                               found.kinds[check], enquiry.cases[int(found.case[check, nearest])].name))
    return tuple(sorted(reasons, key=lambda one: -one.count))


def _fell_out_in_full(offers: Sequence[Offer]) -> tuple[FellOut, ...]:
    groups: dict[str, list[Offer]] = {}
    for one in offers:
        if not one.rating.holds:
            groups.setdefault(one.rating.verdict.check.name, []).append(one)
    reasons = []
    for name, group in groups.items():
        near = max(group, key=lambda one: np.nan_to_num(one.rating.verdict.check.share[one.rating.verdict.case],
                                                        nan=-np.inf))
        verdict = near.rating.verdict
        reasons.append(FellOut(name, verdict.check.title, len(group), near.candidate, -verdict.margin,
                               verdict.check.difference_kind, verdict.case_name))
    return tuple(sorted(reasons, key=lambda one: -one.count))
