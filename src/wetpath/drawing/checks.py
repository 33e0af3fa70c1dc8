"""A check of the record in words: actual value, limit and margin in the units chosen."""

from __future__ import annotations

from functools import cache

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.services.record import CheckCaseRecord, CheckRecord


@cache
def kind_named(name: str) -> Kind:
    """The kind of quantity of a name."""
    return next(kind for kind in vars(q).values() if isinstance(kind, Kind) and kind.name == name)


def check_values(check: CheckRecord, one: CheckCaseRecord, figures: Figures) -> tuple[str, str, str]:
    """Actual value, limit with its sense, and margin with its sign, as every face shows them."""
    kind = kind_named(check.quantity)
    limit = figures.text(one.limit, kind)
    bound = "≥" if check.sense == "at least" else "≤"
    return (figures.text(one.actual, kind), limit if limit == NOTHING else f"{bound} {limit}",
            figures.text(one.margin, kind_named(check.margin_quantity), sign=True))
