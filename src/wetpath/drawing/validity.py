"""Where a number is outside what its model or table covers: it stands in brackets, with the reason."""

from __future__ import annotations

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.services.record import CaseRecord, Record


def why_not_valid(record: Record, case: CaseRecord, figures: Figures, temperature_k: float | None = None) -> str:
    """Why numbers of a case do not hold as they stand; empty where they do.

    Parameters
    ----------
    temperature_k : float, optional
        Of the liquid where the number holds; outside the table of the liquid its properties are carried on from the
        end of the table.
    """
    if case.note:
        return case.note
    liquid = next((one for one in record.liquids if one.name == case.liquid), None)
    if temperature_k is None or liquid is None:
        return ""
    if liquid.lowest_temperature_k <= temperature_k <= liquid.highest_temperature_k:
        return ""
    low, high = (figures.text(end, q.TEMPERATURE)
                 for end in (liquid.lowest_temperature_k, liquid.highest_temperature_k))
    return f"outside the table of {liquid.name}, which goes from {low} to {high}"


def in_brackets(shown: str, why: str) -> str:
    """A number as it stands, in brackets where there is a reason.

    >>> in_brackets("4.90 bar a", ""), in_brackets("4.90 bar a", "outside the table")
    ('4.90 bar a', '(4.90 bar a)')
    """
    return f"({shown})" if why and shown != NOTHING else shown
