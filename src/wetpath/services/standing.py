"""How a margin stands against its demand, in the four words and signs every face uses."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from wetpath.rating.check import Check
from wetpath.rating.verdict import TIGHT_SHARE

#: From this share of the demand left above it, a margin is ample: three times the demand and more.
AMPLE_SHARE = 2.0


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
