"""Times of an upset with bands: the uncertain numbers of the model drawn many times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from wetpath.rating.rate import Rating
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import ROUGHER, simulate
from wetpath.upsets.upset import Upset

Array = NDArray[np.float64]

#: Low and high end of each uncertain number; even on a logarithmic scale. Common practice, no source; emissivities of
#: bright and of well oxidised metal are recalled from textbooks.
SPREADS = {"dry_friction": (0.1, 0.2), "dry_film": (30.0, 100.0), "eddy": (0.9, 1.1), "film": (0.7, 1.3),
           "air": (0.7, 2.0), "wall_heat": (0.9, 1.1), "rear_volume": (0.85, 1.2),
           "gas_half": (0.04, 0.12), "static_share": (0.1, 0.8), "emissivity": (0.2, 0.8), "slip": (0.75, 1.35),
           "dry_seconds": (15.0, 60.0)}


@dataclass(frozen=True)
class Band:
    """Time of an event over the ensemble [s]: 5, 50 and 95 % of all copies; infinite where it does not happen."""

    low: float
    middle: float
    high: float
    share: float      # of the copies in which it happens


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Times of every event in every copy, and their bands."""

    times: dict[str, Array]
    bands: dict[str, Band]


def ensemble(rating: Rating, upsets: Sequence[Upset], *, case: int | str = 0, duration: float = 600.0,
             copies: int = 100, seed: int = 1) -> Ensemble:
    """Simulate copies with drawn numbers (scrambled Sobol points) and gather the times of their events.

    Parameters
    ----------
    rating, upsets, case, duration
        As of `simulate`.
    copies : int
    seed : int
    """
    points = qmc.Sobol(len(SPREADS), rng=seed).random(1 << max(copies - 1, 1).bit_length())[:copies]
    found: list[dict[str, float]] = []
    for point in points:
        drawn = {name: low * (high / low) ** float(share)
                 for (name, (low, high)), share in zip(SPREADS.items(), point, strict=True)}
        line = simulate(rating, upsets, case=case, duration=duration, factors=Factors(**drawn),
                        rougher=ROUGHER)
        found.append({event.name: event.time for event in line.events})
    names = dict.fromkeys(name for one in found for name in one)
    times = {name: np.array([one.get(name, np.inf) for one in found]) for name in names}
    return Ensemble(times, {name: _band(values) for name, values in times.items()})


def _band(values: Array) -> Band:
    ordered = np.sort(values)
    low, middle, high = (float(ordered[min(int(share * values.size), values.size - 1)]) for share in (0.05, 0.5, 0.95))
    return Band(low, middle, high, float(np.isfinite(values).mean()))
