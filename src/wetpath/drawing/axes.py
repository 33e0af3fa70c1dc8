"""A plain pair of axes: round steps, hair grid, names at the ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetpath.drawing.figures import Figures
from wetpath.drawing.svg import line, text
from wetpath.edge.quantities import Kind
from wetpath.words import spoken

#: Nearer to the corner than this a number of the lower axis would meet one of the left axis [drawing units].
CORNER = 16.0


def in_unit(name: str, kind: Kind, figures: Figures) -> str:
    """What an axis shows, with its unit."""
    return f"{spoken(name)}, {figures.unit(kind)}"


@dataclass(frozen=True)
class Axes:
    """Maps values to places on the paper; y grows upwards."""

    left: float
    top: float
    width: float
    height: float
    x_range: tuple[float, float]
    y_range: tuple[float, float]

    def x(self, value: float) -> float:
        """Place of a value along the paper."""
        low, high = self.x_range
        return self.left + (value - low) / (high - low) * self.width

    def y(self, value: float) -> float:
        """Place of a value down the paper."""
        low, high = self.y_range
        return self.top + self.height - (value - low) / (high - low) * self.height

    def grid(self, x_name: str, y_name: str) -> str:
        """Grid, axes and names."""
        drawn = []
        bottom, right = self.top + self.height, self.left + self.width
        for value, words in steps(*self.x_range, most=7):
            drawn.append(line(self.x(value), self.top, self.x(value), bottom, stroke="var(--hair)", stroke_width=0.6))
            at_corner = self.x(value) - self.left < CORNER
            drawn.append(text(self.x(value), bottom + 15, words, class_="soft",
                              text_anchor="start" if at_corner else "middle"))
        for value, words in steps(*self.y_range, most=6):
            drawn.append(line(self.left, self.y(value), right, self.y(value), stroke="var(--hair)", stroke_width=0.6))
            drawn.append(text(self.left - 7, self.y(value) + 4, words, class_="soft", text_anchor="end"))
        drawn.append(line(self.left, bottom, right, bottom, stroke="var(--ink)", stroke_width=0.8))
        drawn.append(line(self.left, self.top, self.left, bottom, stroke="var(--ink)", stroke_width=0.8))
        drawn.append(text(right, bottom + 31, x_name, class_="soft", text_anchor="end"))
        drawn.append(text(self.left - 30, self.top - 9, y_name, class_="soft"))
        return "".join(drawn)


def steps(low: float, high: float, *, most: int) -> list[tuple[float, str]]:
    """Round values inside a range, at most so many, with their words.

    >>> [words for _, words in steps(0.0, 1.0, most=6)]
    ['0.0', '0.2', '0.4', '0.6', '0.8', '1.0']
    """
    rough = (high - low) / max(most - 1, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1, 2, 2.5, 5, 10) if power * factor >= rough * (1 - 1e-9))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9) + (1 if abs(step / power - 2.5) < 1e-9 else 0))
    first = math.ceil(low / step - 1e-9)
    found = []
    while first * step <= high + 1e-9 * step:
        found.append((first * step, f"{first * step:.{decimals}f}".replace("-", "−")))
        first += 1
    return found
