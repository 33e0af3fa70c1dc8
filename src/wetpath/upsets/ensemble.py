"""Times of an upset with bands: the uncertain numbers of the model drawn many times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from wetpath.errors import LimitError
from wetpath.rating.rate import Rating
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import ROUGHER, simulate
from wetpath.upsets.upset import Upset

Array = NDArray[np.float64]
Source = Literal["published", "common practice", "assumed"]


@dataclass(frozen=True)
class Uncertain:
    """Ends between which a number of the model is drawn, even on a logarithmic scale, and where they come from.

    ``source``: published (in print, recalled here), common practice (no source), or assumed (by us, nothing to cite).
    """

    low: float
    high: float
    unit: str
    source: Source
    text: str
    cited: str = ""      # what is published, where


#: By the name in `Factors`.
SPREADS: dict[str, Uncertain] = {
    "dry_friction": Uncertain(0.1, 0.2, "-", "common practice", "friction of dry ceramic bearings"),
    "dry_film": Uncertain(30.0, 100.0, "W/(m2 K)", "common practice", "vapour to walls"),
    "eddy": Uncertain(0.9, 1.1, "-", "assumed", "loss in the shell over that computed"),
    "film": Uncertain(0.7, 1.3, "-", "published",
                      "wall to liquid over that computed: scatter of the correlations of a turning annulus",
                      "reviews of Howey, Childs, Holmes (2012) and Fénot et al. (2011)"),
    "air": Uncertain(0.7, 2.0, "-", "common practice", "shell to air over the pump file"),
    "wall_heat": Uncertain(0.9, 1.1, "-", "assumed", "heat capacity of the shell over that computed"),
    "rear_volume": Uncertain(0.85, 1.2, "-", "assumed", "liquid behind the impeller over that computed"),
    "gas_half": Uncertain(0.04, 0.12, "-", "common practice", "volume share of gas with which half the head is gone"),
    "static_share": Uncertain(0.1, 0.8, "-", "assumed", "static share of the head of the system"),
    "emissivity": Uncertain(0.2, 0.8, "-", "published", "emissivity of the shell, bright to well oxidised",
                            "tables in textbooks of heat transfer"),
    "slip": Uncertain(0.75, 1.35, "-", "assumed", "loss out of step over that computed"),
    "dry_seconds": Uncertain(15.0, 60.0, "s", "common practice", "time that bearings stand dry")}


@dataclass(frozen=True)
class Band:
    """Time of an event over the ensemble [s]: 5, 50 and 95 % of all copies; infinite where it does not happen."""

    low: float
    middle: float
    high: float
    share: float      # of the copies in which it happens


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Times of every event in every copy that could be followed, and their bands."""

    times: dict[str, Array]
    bands: dict[str, Band]
    failed: int       # copies that the solver could not follow; they are in no band


def drawn(copies: int, seed: int = 1) -> list[Factors]:
    """Copies of the model with their uncertain numbers drawn: scrambled Sobol points."""
    if copies < 1:
        return []
    points = qmc.Sobol(len(SPREADS), rng=seed).random(1 << max(copies - 1, 1).bit_length())[:copies]
    return [Factors(**{name: one.low * (one.high / one.low) ** float(share)
                       for (name, one), share in zip(SPREADS.items(), point, strict=True)}) for point in points]


def ensemble(rating: Rating, upsets: Sequence[Upset], *, case: int | str = 0, duration: float = 600.0,
             copies: int = 100, seed: int = 1) -> Ensemble:
    """Simulate copies with drawn numbers and gather the times of their events.

    Parameters
    ----------
    rating, upsets, case, duration
        As of `simulate`.
    copies : int
    seed : int

    Raises
    ------
    LimitError
        When no copy at all can be followed.
    """
    found: list[dict[str, float]] = []
    failures: list[LimitError] = []
    for factors in drawn(copies, seed):
        try:
            line = simulate(rating, upsets, case=case, duration=duration, factors=factors, rougher=ROUGHER)
        except LimitError as failure:
            failures.append(failure)
            continue
        found.append({event.name: event.time for event in line.events})
    if failures and not found:
        raise failures[0]
    names = dict.fromkeys(name for one in found for name in one)
    times = {name: np.array([one.get(name, np.inf) for one in found]) for name in names}
    return Ensemble(times, {name: _band(values) for name, values in times.items()}, len(failures))


def _band(values: Array) -> Band:
    ordered = np.sort(values)
    low, middle, high = (float(ordered[min(int(share * values.size), values.size - 1)]) for share in (0.05, 0.5, 0.95))
    return Band(low, middle, high, float(np.isfinite(values).mean()))
