"""Numbers for people: SI values in the units of a set, without or with the unit."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import (
    HEAD,
    LENGTH,
    LIFE,
    MASS_FLOW,
    NUMBER,
    POWER,
    PRESSURE,
    PRESSURE_DIFFERENCE,
    STRESS,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME_FLOW,
    Kind,
    Unit,
)
from wetpath.edge.ranges import number_text
from wetpath.edge.units import METRIC, US, UnitSet, find_unit

#: What stands where there is no number.
NOTHING = "–"
MILLION = 1e6
#: Units as sentences have them, longer ones first, and of what they are.
_KINDS_IN_WORDS = {"bar a": PRESSURE, "bar": PRESSURE_DIFFERENCE, "°C": TEMPERATURE, "K": TEMPERATURE_DIFFERENCE,
                   "m³/h": VOLUME_FLOW, "kg/h": MASS_FLOW, "mm": LENGTH, "m": HEAD, "kW": POWER, "MPa": STRESS}
_NUMBER = re.compile(r"[−-]?\d+(?:\.\d+)?")
_MEASURED = re.compile(rf"(?<![\w.])(?P<numbers>{_NUMBER.pattern}(?:(?: to | and | or |, ){_NUMBER.pattern})*)[ \u2009]"
                       rf"(?P<unit>{'|'.join(_KINDS_IN_WORDS)})(?![\w³/·²])")


@dataclass(frozen=True)
class Figures:
    """Writes numbers in one set of units."""

    units: UnitSet

    @classmethod
    def of(cls, us: bool) -> Figures:
        """Metric or US units."""
        return cls(US if us else METRIC)

    def number(self, value: float | None, kind: Kind, *, unit: str = "", digits: int | None = None,
               decimals: int | None = None, sign: bool = False) -> str:
        """Write a number without its unit; ``sign`` writes the plus of a difference."""
        if value is None or math.isnan(value):
            return NOTHING
        chosen = find_unit(unit, kind) if unit else self.units.unit(kind)
        fixed = decimals if decimals is not None else None if digits or kind == LIFE else _decimals(chosen)
        shown = (value - chosen.offset) / chosen.factor
        if kind == LIFE and abs(shown) >= MILLION and not digits and decimals is None:
            text = f"{number_text(shown / MILLION, None)} million"      # many years are not known to the hour
            return f"+{text}" if sign and value > 0 else text
        if kind == NUMBER and fixed is None and not digits:
            fixed = 0 if abs(shown) >= 100 else 1 if abs(shown) >= 10 else 2
        text = number_text(shown, fixed, digits or 3)
        return f"+{text}" if sign and value > 0 else text

    def column(self, values: Iterable[float], kind: Kind, *, unit: str = "",
               decimals: int | None = None) -> list[str]:
        """Write numbers that stand beside each other with the same decimals: those of the unit, or three digits."""
        values = list(values)
        chosen = find_unit(unit, kind) if unit else self.units.unit(kind)
        decimals = _decimals(chosen) if decimals is None else decimals
        if kind == LIFE:
            return [self.number(value, kind, unit=unit) for value in values]
        if decimals is None:
            largest = max((abs(value - chosen.offset) / chosen.factor for value in values if not math.isnan(value)),
                          default=0.0)
            decimals = 0 if largest >= 100 else 1 if largest >= 10 else 2 if largest >= 1 else 3
        return [self.number(value, kind, unit=unit, decimals=decimals) for value in values]

    def significant(self, value: float, kind: Kind) -> str:
        """Write a number with the decimals of its unit, but never with fewer than three digits that tell something."""
        unit = self.units.unit(kind)
        if math.isnan(value):
            return NOTHING
        shown = abs((value - unit.offset) / unit.factor)
        if shown < 1e-4 and kind != TEMPERATURE:
            return self.number(value, kind, digits=3)
        least = 0 if shown == 0 or kind == TEMPERATURE else max(0, 2 - math.floor(math.log10(shown)))
        return self.number(value, kind, decimals=max(least, _decimals(unit) or 0))

    def unit(self, kind: Kind, unit: str = "") -> str:
        """Printed unit; of a pressure with the a of absolute."""
        chosen = find_unit(unit, kind) if unit else self.units.unit(kind)
        return chosen.printed + (" a" if kind == PRESSURE else "")

    def text(self, value: float | None, kind: Kind, *, sign: bool = False) -> str:
        """Write a number with its unit."""
        number = self.number(value, kind, sign=sign)
        return number if number == NOTHING else f"{number}\u2009{self.unit(kind)}".rstrip()

    def in_words(self, sentence: str) -> str:
        """A sentence whose numbers are in metric units, with them in the units of this set.

        >>> Figures.of(True).in_words("shell at 100.0 °C, 5 to 10 K above; 6.10 bar a, 0.5 bar less; ISO 9906")
        'shell at 212.0\u2009°F, 9.0 to 18.0\u2009°F above; 88.5\u2009psi a, 7.3\u2009psi less; ISO 9906'
        >>> Figures.of(False).in_words("5.5 K")
        '5.5 K'
        """
        return sentence if self.units == METRIC else _MEASURED.sub(self._measured, sentence)

    def sentences(self, texts: Iterable[str]) -> list[str]:
        """Texts of a list as sentences in the units of this set.

        >>> Figures.of(False).sentences(["a limit is crossed", "Another."])
        ['A limit is crossed.', 'Another.']
        """
        return [f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in map(self.in_words, texts)]

    def _measured(self, found: re.Match[str]) -> str:
        kind = _KINDS_IN_WORDS[found["unit"]]
        metric, chosen = METRIC.unit(kind), self.units.unit(kind)
        if chosen == metric:
            return found[0]

        def other(number: re.Match[str]) -> str:
            plain = float(number[0].replace("−", "-").replace("\u2009", ""))
            return self.number(plain * metric.factor + metric.offset, kind)

        return f"{_NUMBER.sub(other, found['numbers'])}\u2009{self.unit(kind)}"

    def row(self, name: str, values: NDArray[np.float64], kind: Kind, *, unit: str = "",
            decimals: int | None = None) -> tuple[str, list[str]]:
        """One quantity of all cases, its unit behind its name."""
        told = self.unit(kind, unit)
        return f"{name}, {told}" if told else name, self.column(values.tolist(), kind, unit=unit, decimals=decimals)


def _decimals(unit: Unit) -> int | None:
    """Decimals usual for a unit; percent is told whole."""
    return 0 if unit.name == "%" else unit.decimals
