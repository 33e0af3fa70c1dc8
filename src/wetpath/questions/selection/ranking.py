"""How candidates are ranked: weights on what counts, and the set in which none is better in everything."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Weights:
    """How much the user cares for vapour margin, for little shaft power and for NPSH margin."""

    margin: float = 1.0
    energy: float = 1.0
    npsh: float = 1.0

    @classmethod
    def of(cls, text: str) -> Weights:
        """Read names and numbers; what is not named does not count.

        >>> Weights.of("margin 2 NPSH 1")
        Weights(margin=2.0, energy=0.0, npsh=1.0)
        """
        words = text.replace(",", " ").split()
        names = [word.casefold() for word in words[::2]]
        try:
            values = [float(word) for word in words[1::2]]
        except ValueError:
            values = []
        if (not words or len(names) != len(values) or len(set(names)) != len(names)
                or not set(names) <= {"margin", "energy", "npsh"} or not all(0 <= one < np.inf for one in values)
                or not any(values)):
            raise InputError("cannot be read as weights", field="--weights", value=f'"{text}"',
                             do='names out of margin, energy, NPSH, each followed by a number from 0 up, as '
                                '"margin 2 energy 1 NPSH 1"')
        given = dict(zip(names, values, strict=True))
        return cls(*(given.get(name, 0.0) for name in ("margin", "energy", "npsh")))


def scores(margin: Array, power: Array, npsh: Array, weights: Weights) -> Array:
    """Weighted mean, 0 to 1, of where each candidate stands between the worst and the best of all of them.

    A quantity that is not known of some candidate, or is the same for all, tells none from another and counts as 0.
    """
    total = np.zeros(margin.size)
    for values, weight in ((margin, weights.margin), (-power, weights.energy), (npsh, weights.npsh)):
        if values.size and np.isfinite(values).all() and np.ptp(values) > 0:
            total += weight * (values - values.min()) / np.ptp(values)
    return total / (weights.margin + weights.energy + weights.npsh)


def best_trades(margin: Array, power: Array, npsh: Array) -> NDArray[np.bool_]:
    """Whether no other candidate is as good in all three and better in one; what is not known counts as equal."""
    values = np.nan_to_num(np.stack([margin, -power, npsh], axis=1))
    found = np.ones(margin.size, bool)
    for place, own in enumerate(values):
        found[place] = not ((values >= own).all(axis=1) & (values > own).any(axis=1)).any()
    return found
