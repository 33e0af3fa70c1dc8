"""Does the liquid stay liquid: vapour margins at the stations and at the shell wall, and a circulation that runs."""

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.edge.quantities import PRESSURE_DIFFERENCE, RATIO, TEMPERATURE_DIFFERENCE
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.check import Check, check
from wetpath.rating.per_pump import once_per_pump
from wetpath.rating.situation import Situation
from wetpath.words import told

Array = NDArray[np.float64]

#: Scale of the wall margin where the practice asks for none [K].
WALL_SCALE = 5.0
#: Flow in the annulus below this share of the feed counts as stalled. Common practice.
LEAST_SHARE_TO_ANNULUS = 0.05


def pressure_margin(situation: Situation) -> Check:
    """Pressure above vapour pressure at the worst station."""
    scalars = situation.scalars
    where = situation.titles(scalars[:, solve.PRESSURE_MARGIN_AT].astype(int))
    return check("vapour_margin_pressure", "vapour margin", PRESSURE_DIFFERENCE, scalars[:, solve.PRESSURE_MARGIN],
                 situation.practice["vapour_margin_pressure"], where=where)


def temperature_margin(situation: Situation) -> Check:
    """Temperature below boiling at the worst station."""
    scalars = situation.scalars
    where = situation.titles(scalars[:, solve.TEMPERATURE_MARGIN_AT].astype(int))
    return check("vapour_margin_temperature", "margin to boiling", TEMPERATURE_DIFFERENCE,
                 scalars[:, solve.TEMPERATURE_MARGIN], situation.practice["vapour_margin_temperature"], where=where)


def wall_margin(situation: Situation) -> Check:
    """Temperature of the shell wall below boiling at the worst place under the magnets."""
    scalars = situation.scalars
    cells = situation.cells.shape[2]
    where = tuple(told("shell wall, {cell:.0f} % along the annulus", cell=100 * (int(cell) + 0.5) / cells)
                  for cell in scalars[:, solve.WALL_MARGIN_AT])
    limit = situation.practice["wall_margin_temperature"]
    return check("wall_margin_temperature", "shell wall margin to boiling", TEMPERATURE_DIFFERENCE,
                 scalars[:, solve.WALL_MARGIN], limit, scale=max(abs(limit.value), WALL_SCALE), where=where)


def share_to_annulus(situation: Situation) -> Array:
    """Flow through the annulus over what the taps feed; not above zero where no liquid solution was found."""
    flow, network = situation.solution.states.flow, situation.pump.network
    feed = np.maximum(flow * _leaving_taps(situation.pump), 0.0).sum(axis=1)
    share = flow[:, network.annulus] / np.maximum(feed, 1e-12)
    return np.where(situation.solution.outcome == Outcome.NO_SOLUTION, np.minimum(share, 0.0), share)


@once_per_pump
def _leaving_taps(pump: PumpFile) -> Array:
    """Of each branch 1 where it leaves a tap, -1 where it enters one."""
    taps = {tap.station for tap in pump.network.taps}
    return np.array([float(branch.start in taps) - float(branch.end in taps) for branch in pump.network.branches])


def circulation_runs(situation: Situation) -> Check:
    """The liquid flows through the annulus in its direction, and more than a trickle of what the taps feed.

    Zero where no liquid solution was found.
    """
    return check("circulation", "share of the feed that cools the shell", RATIO, share_to_annulus(situation),
                 LEAST_SHARE_TO_ANNULUS, sense="at least", scale=1.0, where="annulus inside the shell",
                 source="common-practice", status="common practice",
                 meaning="below this the flow under the magnets has stalled or runs backwards, or there is no liquid "
                         "solution at all",
                 remedy="larger feed holes, larger or fewer shaft holes, more driving pressure")
