"""Limits of validity that a formula reports beside its number, element by element of a batch."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]


class Limit(NamedTuple):
    """One limit of validity: what it is, and where in the batch it is crossed."""

    text: str
    crossed: Flags

    @property
    def anywhere(self) -> bool:
        """Whether any element of the batch crosses it."""
        return bool(np.count_nonzero(self.crossed))


def limit(text: str, crossed: Any) -> Limit:
    """A limit from its sentence and a condition of any shape; NaN conditions count as not crossed."""
    return Limit(text, np.asarray(crossed, dtype=np.bool_))


def messages(*limits: Limit) -> tuple[str, ...]:
    """The sentences of those limits that are crossed somewhere, in the order given.

    Examples
    --------
    >>> messages(limit("first", False), limit("second", [False, True]))
    ('second',)
    """
    return tuple(one.text for one in limits if one.anywhere)
