"""Trips of motor power that the data sheet advises: powers at no and at least flow, and what lies between."""

from __future__ import annotations

import numpy as np

from wetpath.circulation.outcome import Outcome
from wetpath.edge import quantities as q
from wetpath.rating.flow_limits import RESOLUTIONS_APART, at_flows
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import Block, Cell, computed_line, known, line

#: A high-power trip stands this much above the largest power of all cases, not above the nameplate. Common practice.
HIGH_POWER = 1.1
NO_POWER = "no minimum flow, or the circulation is not liquid there"


def settings(rating: Rating) -> Block:
    """Low trip of motor power of every case and the high one of all, on that of the shaft.

    The low one stands midway between the power at no flow and that at the minimum continuous flow, where two
    resolutions of a power monitor fit between them.
    """
    situation, limits = rating.situation, rating.flow_limits
    least = np.full(situation.count, np.nan)
    flows = np.flatnonzero(limits.minimum > 0)
    if flows.size:
        at_least = at_flows(situation, flows, limits.minimum[flows])
        least[flows] = np.where(at_least.solution.outcome == Outcome.NO_SOLUTION, np.nan, at_least.losses.shaft)
    none, rated = situation.driver.shut_off_power, situation.driver.rated_power
    stated = rating.pump.impeller.tested.shut_off_power is not None
    apart = RESOLUTIONS_APART * rating.practice["power_monitor_resolution"].value * rated
    low = np.where(least - none >= apart, (least + none) / 2, np.nan)
    high = np.fmin(HIGH_POWER * np.nanmax(rating.losses.shaft), rated)
    return Block(key="settings", title="Trips of motor power, at the shaft", party="maker", lines=(
        computed_line("power_at_no_flow", "power at no flow", q.POWER, none,
                      "" if stated else "the curve of the wet end is extrapolated to no flow"),
        computed_line("power_at_minimum", "power at the minimum continuous flow", q.POWER, least, reason=NO_POWER),
        line("low_power", "low-power trip", q.POWER, [_advised(
            value, "midway between the two; of this case: one setting for all stands for the lightest liquid and the "
            "lowest speed, and does not guard the others",
            NO_POWER if np.isnan(at) else "power hardly changes with flow: guard the least flow by a flow meter")
            for value, at in zip(low, least, strict=True)]),
        line("high_power", "high-power trip", q.POWER, _advised(
            high, "a tenth above the largest power of all cases, the nameplate at most", "cannot be told"))))


def _advised(value: float, note: str, reason: str) -> Cell:
    """Computed by a rule of common practice."""
    return Cell(value=known(value), basis="computed", source="common-practice", status="common practice",
                note=reason if np.isnan(value) else note)
