"""One check: a demand on the rating with its actual value, limit, margin and source, over all cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetpath.edge.practice import Limit
from wetpath.edge.quantities import Kind

Array = NDArray[np.float64]
Sense = Literal["at least", "at most"]

#: Up to so many cases the columns of a limit that is the same in all of them are shared among the checks.
FEW = 64


@dataclass(frozen=True)
class Check:
    """One demand on every operating case; values in SI, first axis the case.

    ``scale`` is what the margin is compared with across checks: the limit itself unless something else is said
    (a temperature is compared with its distance from a stated reference, never with kelvin from absolute zero).
    A NaN actual value or limit means that it cannot be told; ``applies`` is false where the demand is not made.
    """

    name: str
    title: str
    kind: Kind
    difference_kind: Kind
    sense: Sense
    actual: Array
    limit: Array
    scale: Array
    applies: NDArray[np.bool_]
    where: tuple[str, ...]
    source: str
    status: str
    meaning: str
    remedy: str
    by_choice: bool = False        # near its limit by the choice of a size; it governs only when it is short
    follows: bool = False          # short together with another check, which then governs
    subject: str = ""              # what it is about, a heading of the report

    def under(self, subject: str) -> Check:
        """The same check under a heading of the report; what was worked out of it comes along."""
        headed = object.__new__(Check)
        headed.__dict__.update(self.__dict__, subject=subject)
        return headed

    @cached_property
    def margin(self) -> Array:
        """What is left to the limit, in its own unit; negative when short."""
        left = self.actual - self.limit if self.sense == "at least" else self.limit - self.actual
        return np.where(self.applies, left, np.nan)

    @cached_property
    def share(self) -> Array:
        """Margin over scale: comparable between checks, right is better; NaN where it cannot be told."""
        return self.margin / self.scale

    @cached_property
    def holds(self) -> NDArray[np.bool_]:
        """Whether the demand is met; true where it is not made, false where it cannot be told."""
        return ~self.applies | (self.margin >= 0)

    @cached_property
    def unknown(self) -> NDArray[np.bool_]:
        """Where the demand is made and the actual value or the limit cannot be told."""
        return self.applies & (np.isnan(self.actual) | np.isnan(self.limit))

    @cached_property
    def worst_case(self) -> int:
        """Index of the case with the least share; -1 when the demand is made nowhere."""
        if not self.applies.any():
            return -1
        return int(np.argmin(np.where(self.applies, np.where(np.isnan(self.share), -np.inf, self.share), np.inf)))


def check(name: str, title: str, kind: Kind, actual: ArrayLike, limit: ArrayLike | Limit, *, sense: Sense | None = None,
          scale: ArrayLike | None = None, applies: ArrayLike = True, where: Sequence[str] | str = "",
          difference_kind: Kind | None = None, by_choice: bool = False, follows: bool = False, source: str = "",
          status: str = "", meaning: str = "", remedy: str = "") -> Check:
    """Build a check; a `Limit` of the practice brings its own sense, source, status, meaning and remedy."""
    values = np.asarray(actual, float)
    if not values.ndim:
        values = values.reshape(1)
    way: Any = sense
    if isinstance(limit, Limit):
        way, source, status = sense or limit.sense, source or limit.source, status or limit.status
        meaning, remedy, limit = meaning or limit.meaning, remedy or limit.remedy, limit.value
    limits = _spread(limit, values, float)
    if scale is None:
        scale = abs(limit) if isinstance(limit, (float, int)) else np.abs(limits)
    scales = _spread(scale, values, float)
    places = (where,) * values.size if isinstance(where, str) else tuple(where)
    made = object.__new__(Check)     # a rating makes dozens: the columns go in at once
    made.__dict__.update(
        name=name, title=title, kind=kind, difference_kind=difference_kind or kind, sense=way, actual=values,
        limit=limits, scale=scales,
        applies=_spread(applies, values, bool), where=places,
        source=source, status=status, meaning=meaning, remedy=remedy, by_choice=by_choice, follows=follows, subject="")
    return made


def _spread(given: ArrayLike, values: Array, kind: type) -> NDArray[Any]:
    """One value for every case, from one for all or one each."""
    if isinstance(given, (float, int)) and values.ndim == 1 and values.size <= FEW:
        return _same(kind(given), values.size)
    array: NDArray[Any] = np.asarray(given, kind)
    return array if array.shape == values.shape else np.full(values.shape, array)


@lru_cache(maxsize=1024, typed=True)
def _same(value: float, count: int) -> NDArray[Any]:
    """The same value for every case; shared by all checks, so not to be written to."""
    same = np.full(count, value)
    same.flags.writeable = False
    return same
