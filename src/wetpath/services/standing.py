"""How a margin stands against its demand, in the four words and signs every face uses."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from wetpath.edge.practice import Practice
from wetpath.rating.check import Check
from wetpath.rating.checks.vapour import WALL_SCALE
from wetpath.rating.trace import StationState
from wetpath.rating.verdict import TIGHT_SHARE

#: From this share of the demand left above it, a margin is ample: three times the demand and more.
AMPLE_SHARE = 2.0
#: What a station's margin is measured by where the practice asks for none: 1 bar, 5 K.
PRESSURE_SCALE, TEMPERATURE_SCALE = 1e5, 5.0


class Standing(StrEnum):
    """The words; each has its own sign, so that colour never stands alone."""

    SHORT = "short"
    TIGHT = "tight"
    HOLDS = "holds"
    AMPLE = "ample"
    UNKNOWN = "not known"
    NOT_ASKED = "not asked"

    @property
    def sign(self) -> str:
        """One character."""
        return _SIGNS[self]


_SIGNS = {Standing.SHORT: "▼", Standing.TIGHT: "◆", Standing.HOLDS: "●", Standing.AMPLE: "●", Standing.UNKNOWN: "?",
          Standing.NOT_ASKED: "·"}


def standing(share: float) -> Standing:
    """Standing of a margin given as a share of its demand.

    >>> standing(-0.1).value, standing(0.2).value, standing(0.5).value, standing(2.0).value
    ('short', 'tight', 'holds', 'ample')
    """
    if np.isnan(share):
        return Standing.UNKNOWN
    if share < 0:
        return Standing.SHORT
    if share < TIGHT_SHARE:
        return Standing.TIGHT
    return Standing.HOLDS if share < AMPLE_SHARE else Standing.AMPLE


def standing_of(check: Check, case: int) -> Standing:
    """Standing of a check in one case; one that sits near its limit by choice of a size only holds or is short."""
    if not check.applies[case]:
        return Standing.NOT_ASKED
    share = float(check.share[case])
    if check.by_choice and share >= 0:
        return Standing.HOLDS
    return standing(share)


def station_standing(state: StationState, practice: Practice) -> Standing:
    """Standing of the worse of the two margins of a station against the practice."""
    pressure, temperature = practice["vapour_margin_pressure"].value, practice["vapour_margin_temperature"].value
    shares = ((state.pressure_margin - pressure) / abs(pressure or PRESSURE_SCALE),
              (state.temperature_margin - temperature) / abs(temperature or TEMPERATURE_SCALE))
    return standing(float(np.min(shares)))


def wall_standing(margin: float, practice: Practice) -> Standing:
    """Standing of the shell wall's margin to boiling against the practice."""
    demand = practice["wall_margin_temperature"].value
    return standing((margin - demand) / max(abs(demand), WALL_SCALE))
