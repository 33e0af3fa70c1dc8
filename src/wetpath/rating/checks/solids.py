"""Solids in the liquid against clearances, passages and bearings."""

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import LENGTH, RATIO
from wetpath.machine import branches as listed
from wetpath.machine.smallest_passage import smallest_passage, tightest_bearing
from wetpath.rating.check import Check, check
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.situation import Situation
from wetpath.rating.solids import Solids
from wetpath.words import told

#: Scale of a share of solids where none is allowed [-].
SHARE_SCALE = 0.01

_smallest_passage, _tightest_bearing = once_per_pump(smallest_passage), once_per_pump(tightest_bearing)


def size(situation: Situation) -> Check:
    """Largest particle against the limit of the practice."""
    return _check(situation, "solids_size", "largest particle", _size(situation),
                  situation.practice["solids_size"].value, "solids_size", "pumped liquid")


def in_bearing(situation: Situation) -> Check:
    """Largest particle against the gap of the tightest bearing; not where clean liquid is fed from outside."""
    name, gap = _tightest_bearing(situation.pump)
    return _check(situation, "solids_bearing_gap", "largest particle, gap of the bearing", _size(situation),
                  gap * situation.practice["solids_over_bearing_gap"].value, "solids_over_bearing_gap", name,
                  circulated=True)


def in_passage(situation: Situation) -> Check:
    """Largest particle against the narrowest passage of the circulation, with room so that none bridge it."""
    name, width = _smallest_passage(situation.pump)
    return _check(situation, "solids_passage", "largest particle, narrowest passage", _size(situation),
                  width / situation.practice["solids_passage_ratio"].value, "solids_passage_ratio", name,
                  circulated=True)


def share(situation: Situation) -> Check:
    """Mass share of solids against what bearings of their material stand: hard solids less, carbon none."""
    solids, practice = situation.demands.solids, situation.practice
    pump = situation.pump
    carbon = "carbon" in {*(one.material for one in pump.journal_bearings),
                          *(one.material for one in pump.thrust_bearings)}
    hard = solids is not None and solids.hardness >= practice["solids_hardness"].value
    name = "solids_share_carbon" if carbon else "solids_share_hard" if hard else "solids_share"
    actual = np.full(situation.count, np.nan if solids is None else solids.share)
    return _check(situation, "solids_share", "mass share of solids", actual, practice[name].value, name, "bearings",
                  circulated=True)


def magnetic(situation: Situation) -> Check:
    """No solids that stick to the magnets of the inner ring."""
    solids = situation.demands.solids
    actual = np.full(situation.count, np.nan if solids is None else solids.share)
    return _check(situation, "solids_magnetic", "mass share of magnetic solids", actual,
                  situation.practice["solids_share_magnetic"].value, "solids_share_magnetic", "inner ring",
                  asked=solids is not None and solids.magnetic)


def _size(situation: Situation) -> NDArray[np.float64]:
    solids = situation.demands.solids
    return np.full(situation.count, np.nan if solids is None else solids.largest_size)


def _check(situation: Situation, name: str, title: str, actual: NDArray[np.float64], highest: float, limit_name: str,
           where: str, *, circulated: bool = False, asked: bool = True) -> Check:
    limit, solids = situation.practice[limit_name], situation.demands.solids
    own = situation.model_of == 0        # solids are those of the liquid of the enquiry
    applies = own & asked & (solids is not None)
    if circulated and solids is not None:
        applies = applies & ~_flushed(situation)
    of_share = name in ("solids_share", "solids_magnetic")
    return check(name, title, RATIO if of_share else LENGTH, actual, highest, sense="at most",
                 scale=highest if highest > 0 else SHARE_SCALE, applies=applies, where=where, source=limit.source,
                 status=limit.status, meaning=limit.meaning, remedy=_remedy(limit.remedy, solids))


def _remedy(remedy: str, solids: Solids | None) -> str:
    if solids is not None and solids.magnetic and "magnetic" not in remedy:
        return told("{remedy}; a magnetic strainer for the part that sticks to magnets", remedy=remedy)
    return remedy


def _flushed(situation: Situation) -> NDArray[np.bool_]:
    """Where the circulation is fed by a supply from outside alone."""
    pump, flow = situation.pump, situation.solution.states.flow
    outside = {tap.station for tap in pump.taps if isinstance(tap, listed.OutsideTap)}
    inside = {tap.station for tap in pump.taps} - outside
    return (_drawn(situation, outside, flow) > 0) & (_drawn(situation, inside, flow) <= 0)


def _drawn(situation: Situation, stations: set[str], flow: NDArray[np.float64]) -> NDArray[np.float64]:
    """Largest flow that leaves one of the stations into the circulation [kg/s]."""
    branches = situation.pump.network.branches
    leaving = np.array([float(branch.start in stations) - float(branch.end in stations) for branch in branches])
    return np.maximum(flow * leaving, 0.0).max(axis=1)
