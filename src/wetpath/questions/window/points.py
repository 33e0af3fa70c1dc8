"""Every check at any number of points, and the one that governs at each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.questions.parts import Cancelled, Progress, Result, Runner, Work, run_here, slices
from wetpath.questions.window.basis import CHUNK, Basis
from wetpath.rating.check import Check
from wetpath.rating.checks import all_checks

Array = NDArray[np.float64]

#: Name of what is asked of a point before it can be solved: liquid at the suction flange.
AT_FLANGE = "liquid_at_suction"
AT_FLANGE_TITLE = "boils at the suction flange"
#: Standing of a check at a point, the most urgent first; the ranks of the verdict of a rating.
_LOST, _SHORT, _SHORT_FOLLOWING, _UNKNOWN, _HOLDS, _HOLDS_BY_CHOICE, _NOT_MADE = range(7)


@dataclass(frozen=True, eq=False)
class Points:
    """Checks at points; arrays have the check first, then the point."""

    names: tuple[str, ...]
    titles: tuple[str, ...]
    share: Array                       # margin over scale; NaN where a check is not made or cannot be told
    governing: NDArray[np.int64]       # index of the check that governs, -1 where the point was not rated
    holds: NDArray[np.bool_]           # every check holds
    closed: NDArray[np.bool_]          # the circulation closed from its first guess

    @property
    def governing_share(self) -> Array:
        """Share of the check that governs at each point; NaN where it cannot be told, or the point was not rated."""
        found = np.take_along_axis(self.share, np.maximum(self.governing, 0)[None], axis=0)[0]
        return np.where(self.governing < 0, np.nan, found)


def rate_points(basis: Basis, flow: Array, temperature: Array, pressure: Array, *, progress: Progress | None = None,
                cancelled: Cancelled | None = None, runner: Runner = run_here) -> Points:
    """Make every check at points given as columns.

    Parameters
    ----------
    basis : Basis
    flow, temperature, pressure : array [m3/s], [K], [Pa]
        At the suction flange.
    progress, cancelled : callable, optional
        Told how many points are done; asked between parts whether to stop.
    runner : Runner
        Does the parts; who does them does not change a digit.

    Notes
    -----
    A point whose circulation does not close from its first guess counts as without solution, on the safe side and
    unproved. What is not rated when it is stopped has -1 as governing check.
    """
    count, cut = flow.size, slices(flow.size, CHUNK)
    work = Work("points of the window", rate_part, basis.bare,
                [(flow[chunk], temperature[chunk], pressure[chunk]) for chunk in cut],
                [chunk.stop - chunk.start for chunk in cut])
    found = runner(work, progress, cancelled)
    vapour = np.asarray(basis.liquid.vapour_pressure(temperature))
    titles = {AT_FLANGE: AT_FLANGE_TITLE}
    for part in found:
        if part is not None:
            titles |= dict(zip(part["names"].tolist(), part["titles"].tolist(), strict=True))
    places = {name: place for place, name in enumerate(titles)}
    share, governing = np.full((len(titles), count), np.nan), np.full(count, -1, np.int64)
    share[0] = (pressure - vapour) / np.maximum(vapour, 1.0)
    holds, closed = np.zeros(count, bool), np.zeros(count, bool)
    for chunk, part in zip(cut, found, strict=True):
        if part is None:
            continue
        own = np.array([0, *(places[name] for name in part["names"].tolist())], np.int64)
        share[own[1:], chunk] = part["share"]
        governing[chunk] = own[part["governing"] + 1]
        holds[chunk], closed[chunk] = part["holds"], part["closed"]
    return Points(tuple(titles), tuple(titles.values()), share, governing, holds, closed)


def rate_part(basis: Basis, points: tuple[Array, Array, Array]) -> Result:
    """Checks at flow, temperature and pressure of one part; what boils at the flange has -1 as governing check."""
    flow, temperature, pressure = points
    count = flow.size
    liquid = np.flatnonzero(~(pressure < np.asarray(basis.liquid.vapour_pressure(temperature))))
    governing, holds, closed = np.full(count, -1, np.int64), np.zeros(count, bool), np.zeros(count, bool)
    checks: list[Check] = []
    if liquid.size:
        at = basis.at(basis.inputs(flow[liquid], temperature[liquid], pressure[liquid]))
        checks = list(all_checks(at))
        governing[liquid], holds[liquid] = governing_check(checks, at.solution.outcome)
        closed[liquid] = at.solution.outcome != Outcome.NO_SOLUTION
    share = np.full((len(checks), count), np.nan)
    for row, one in enumerate(checks):
        share[row, liquid] = one.share
    names, titles = (np.array([getattr(one, name) for one in checks], str) for name in ("name", "title"))
    return {"names": names, "titles": titles, "share": share, "governing": governing, "holds": holds, "closed": closed}


def governing_check(checks: Sequence[Check], outcome: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Index of the check that governs each case by itself, and whether all of them hold.

    Ranked as the verdict of a rating ranks: no liquid solution, what is short, what cannot be told, the least share; a
    check that sits near its limit by choice of a size governs only when it is short.
    """
    share = np.array([one.share for one in checks])
    margin = np.array([one.margin for one in checks])
    applies = np.array([one.applies for one in checks])
    follows = np.array([one.follows for one in checks])[:, None]
    by_choice = np.array([one.by_choice for one in checks])[:, None]
    rank = np.where(by_choice, _HOLDS_BY_CHOICE, _HOLDS) * np.ones(share.shape, int)
    rank[np.isnan(margin)] = _UNKNOWN
    rank = np.where(margin < 0, np.where(follows, _SHORT_FOLLOWING, _SHORT), rank)
    rank[~applies] = _NOT_MADE
    lost = np.array([one.name == "circulation" for one in checks])[:, None] & (outcome == Outcome.NO_SOLUTION)
    rank[lost] = _LOST
    first = rank.min(axis=0)
    left = np.where(rank == first, np.where(np.isnan(share), -np.inf, share), np.inf)
    return left.argmin(axis=0), first >= _HOLDS
