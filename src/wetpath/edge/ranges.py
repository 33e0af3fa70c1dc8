"""Ranges of values, and the error that tells a range in the unit the user typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wetpath.edge.quantities import PRESSURE, RATIO, Kind, Unit
from wetpath.errors import UnitError


@dataclass(frozen=True)
class Within:
    """A range of allowed values; bounds in SI or as text with a unit, for example ``Within(upper="6.5 mm")``.

    ``lower`` and ``upper`` belong to the range, ``above`` and ``below`` do not.
    """

    lower: float | str | None = None
    above: float | str | None = None
    upper: float | str | None = None
    below: float | str | None = None

    def bounds(self, kind: Kind) -> tuple[float | None, float | None, float | None, float | None]:
        """Return ``lower, above, upper, below`` in SI."""
        return tuple(_si(bound, kind) for bound in (self.lower, self.above, self.upper, self.below))  # type: ignore[return-value]

    def too_low(self, value: float, kind: Kind) -> bool:
        """Whether an SI value lies under the range."""
        lower, above, _, _ = self.bounds(kind)
        return (lower is not None and value < lower) or (above is not None and value <= above)

    def too_high(self, value: float, kind: Kind) -> bool:
        """Whether an SI value lies over the range."""
        _, _, upper, below = self.bounds(kind)
        return (upper is not None and value > upper) or (below is not None and value >= below)

    def holds(self, value: float, kind: Kind) -> bool:
        """Whether an SI value lies in the range."""
        return not self.too_low(value, kind) and not self.too_high(value, kind)

    def told(self, kind: Kind, unit: Unit) -> str:
        """Return the range in words, for example ``0.5 mm to 6.5 mm`` or ``above 0 mm``."""
        lower, above, upper, below = self.bounds(kind)

        def say(bound: float) -> str:
            number = number_text((bound - unit.offset) / unit.factor, None, 5, minus="-")
            return f"{number} {unit.printed}{' a' if kind == PRESSURE else ''}".strip()

        if lower is not None and upper is not None:
            return f"{say(lower)} to {say(upper)}"
        parts = []
        if above is not None:
            parts.append(f"above {say(above)}")
        if lower is not None:
            parts.append(f"{say(lower)} or more" if below is None else f"from {say(lower)}")
        if upper is not None:
            parts.append(f"up to {say(upper)}")
        if below is not None:
            parts.append(f"below {say(below)}")
        return " and ".join(parts)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        """Check the range after the field is read.

        A range given beside the field, not inside its type, comes here before the mark of the quantity, or
        around an optional type; then the mark takes it over (`wetpath_within`), or the kind is found inside
        the type.
        """
        from pydantic_core import core_schema

        from wetpath.edge.annotations import marks_in
        from wetpath.edge.units import check_range, unit_of

        inner = handler(source)
        facts = inner.get("metadata", {})
        marks = marks_in(source)
        kind = facts.get("wetpath_kind") or (marks[0].kind if marks else None)

        def check(given: Any, read: Any) -> Any:
            value = read(given)
            values = value if isinstance(value, tuple) else (value,)
            typed = given if isinstance(given, str) else ""
            listed = isinstance(value, tuple)
            for item in values:
                if isinstance(item, (int, float)):
                    check_range(item, kind or RATIO, self, typed="" if listed else typed,
                                whole=typed if listed else "", unit=unit_of(typed, kind or RATIO))
            return value

        schema = core_schema.no_info_wrap_validator_function(check, inner)
        schema["metadata"] = {"wetpath_kind": kind} if kind else {
            "wetpath_within": (*facts.get("wetpath_within", ()), self),
            "wetpath_bare": facts.get("wetpath_bare", inner)}
        return schema


class OutOfRange(UnitError):
    """A value outside its range; told in the unit that was typed, or again in another by `retold`.

    ``typed`` is the text of the value and ``whole`` that of the list it stands in; ``words`` replace "is too
    large", ``note`` follows the range.
    """

    def __init__(self, value: float, kind: Kind, within: Within, *, unit: Unit | None = None, typed: str = "",
                 whole: str = "", listed: bool = False, field: str = "", note: str = "", words: str = "",
                 why: str = "", do: str = "") -> None:
        from wetpath.edge.units import express, find_unit

        self._parts: dict[str, Any] = {"value": value, "kind": kind, "within": within, "field": field,
                                       "note": note, "words": words, "why": why, "do": do}
        self._listed = listed or bool(whole)
        shown = unit or find_unit("1" if kind == RATIO else kind.metric, kind)
        told = express(value, kind, shown, digits=5, space=" ").replace("\u2212", "-")
        words = words or (kind.too_low if within.too_low(value, kind) else kind.too_high)
        if self._listed:
            words = f"holds {typed or told}, which {words}"
            told = f'"{whole}"' if whole else ""
        elif typed:
            told = f'"{typed}"'
        text = f"{words}; allowed: {within.told(kind, shown)}" + (f" {note}" if note else "")
        super().__init__(text, field=field, value=told, why=why, do=do)

    def retold(self, typed: str) -> OutOfRange:
        """Return the same error in the unit of ``typed``, the text of the field as it stands in the file."""
        from wetpath.edge.units import unit_of

        unit = unit_of(typed, self._parts["kind"])
        if self._listed:
            return OutOfRange(**self._parts, unit=unit, whole=typed)
        return OutOfRange(**self._parts, unit=unit, typed=typed)


def number_text(number: float, decimals: int | None, significant: int = 3, *, minus: str = "\u2212") -> str:
    """Write a number with fixed decimals, or with significant digits and no useless zeros at its end.

    >>> number_text(4.1, 2), number_text(0.012345, None), number_text(1234567.0, None)
    ('4.10', '0.0123', '1230000')
    """
    if decimals is not None:
        text = f"{number:.{decimals}f}"
    else:
        text = f"{number:.{significant}g}"
        if "e" in text:
            mantissa, exponent = text.split("e")
            if -6 <= int(exponent) < 9:
                text = f"{float(text):.{max(0, significant - 1 - int(exponent))}f}"
                if "." in text:
                    text = text.rstrip("0").rstrip(".")
            else:
                text = f"{mantissa}e{int(exponent)}"
    if float(text) == 0:
        text = text.removeprefix("-")
    return text.replace("-", minus, 1) if text.startswith("-") else text


def _si(bound: float | str | None, kind: Kind) -> float | None:
    if isinstance(bound, str):
        from wetpath.edge.units import parse

        return parse(bound, kind)
    return bound
