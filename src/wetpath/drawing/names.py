"""Names beside points and lines of a figure, placed so that none hides another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from wetpath.drawing.svg import element, line, text
from wetpath.words import spoken

Box = tuple[float, float, float, float]
Point = tuple[float, float]
#: Widest a character is in a name of 12.5 units, in semibold and in the soft 11.5 [drawing units].
BOLD_WIDE, SOFT_WIDE = 6.5, 5.7
#: Height above and below the base line of a name [drawing units].
UP, DOWN = 11.0, 4.0
#: How far from its point a name is tried; from the third on a thin line leads to it [drawing units].
REACHES, LED = (8.0, 13.0, 22.0, 34.0, 48.0, 66.0), 22.0
#: What a hidden square unit, a unit of line crossed, a unit beyond the frame and a unit of way cost.
HIDDEN, CROSSED, BEYOND, WAY = 10.0, 0.7, 60.0, 0.35
#: Distance at which a line is looked at [drawing units].
STEP = 3.0


@dataclass(frozen=True)
class Place:
    """Where a name may stand: its base line, and the way to what it names."""

    x: float
    y: float
    anchor: str
    way: float = 0.0


class Names:
    """The names of one figure, in the order of their weight: a later one makes way for those before."""

    def __init__(self, frame: Box, larger: float = 1.0) -> None:
        self.frame, self.larger = frame, larger
        self.taken: list[Box] = []
        self._crossed: list[np.ndarray] = [np.empty((2, 0))]

    def clear(self, box: Box) -> None:
        """Keep a box free of names."""
        self.taken.append(box)

    def mind(self, points: Sequence[Point]) -> None:
        """A line that names had better not cross."""
        if len(points) > 1:
            corners = np.array(points)
            way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
            at = np.arange(0.0, way[-1] + STEP, STEP)
            self._crossed.append(np.stack([np.interp(at, way, corners[:, 0]), np.interp(at, way, corners[:, 1])]))

    def beside(self, x: float, y: float, words: str) -> str:
        """A name beside a point."""
        words = spoken(words)
        found = self._best(self._around(x, y), (words,), BOLD_WIDE)
        box = self._box(found, (words,), BOLD_WIDE)
        foot = min(max(x, box[0]), box[2]), min(max(y, box[1] + 3), box[3] - 2)
        away = math.dist(foot, (x, y))
        start = 5.5 / away if away else 0.0
        led = line(x + start * (foot[0] - x), y + start * (foot[1] - y), *foot, stroke="var(--soft)",
                   stroke_width=0.6) if found.way >= LED else ""
        return led + self._set(found, (words,), BOLD_WIDE, ("bold",))

    def along(self, places: Iterable[Place], lines: Sequence[str], classes: Sequence[str]) -> str:
        """One or two lines of text at the best of some places."""
        lines = [spoken(one) for one in lines]
        wide = BOLD_WIDE if "bold" in classes[0] else SOFT_WIDE + 0.3 * (not classes[0])
        return self._set(self._best(list(places), lines, wide), lines, wide, classes)

    def fits(self, place: Place, lines: Sequence[str]) -> bool:
        """Whether text can stand somewhere without hiding a name and inside the frame."""
        box = np.array([self._box(place, [spoken(one) for one in lines], SOFT_WIDE)])
        return not self._hidden(box)[0] and not self._beyond(box)[0]

    def _set(self, found: Place, lines: Sequence[str], wide: float, classes: Sequence[str]) -> str:
        self.taken.append(self._box(found, lines, wide))
        return "".join(text(found.x, found.y + 14 * number, words, text_anchor=found.anchor,
                            class_=f"{classes[min(number, len(classes) - 1)]} over".strip())
                       for number, words in enumerate(lines))

    @staticmethod
    def _around(x: float, y: float) -> list[Place]:
        places = []
        for reach in REACHES:
            for turn in range(0, 360, 30 if reach > REACHES[1] else 45):
                right, down = math.cos(math.radians(turn)), math.sin(math.radians(turn))
                anchor = "start" if right > 0.3 else "end" if right < -0.3 else "middle"
                across = 0.0 if anchor == "middle" else reach * right
                base = y + reach * down + (UP if down > 0.8 else -DOWN if down < -0.8 else DOWN)
                places.append(Place(x + across, base, anchor, reach))
        return places

    def _best(self, places: list[Place], lines: Sequence[str], wide: float) -> Place:
        """The place that costs least; the way alone costs as much as it is long, so the near are tried first."""
        best, least = places[0], math.inf
        for _, some in groupby(sorted(places, key=lambda place: place.way), key=lambda place: place.way // 8.0):
            tried = list(some)
            if WAY * tried[0].way >= least:
                break
            costs = self._costs(tried, lines, wide)
            if (low := float(costs.min())) < least:
                best, least = tried[int(np.argmin(costs))], low
        return best

    def _costs(self, places: list[Place], lines: Sequence[str], wide: float) -> np.ndarray:
        boxes = np.array([self._box(place, lines, wide) for place in places])
        left, top, right, bottom = boxes.T[:, :, None]
        x, y = np.concatenate(self._crossed, axis=1)
        crossed = ((x > left) & (x < right) & (y > top) & (y < bottom)).sum(axis=1)
        way = np.array([place.way for place in places])
        return np.asarray(HIDDEN * self._hidden(boxes) + CROSSED * STEP * crossed + BEYOND * self._beyond(boxes)
                          + WAY * way)

    def _box(self, place: Place, lines: Sequence[str], wide: float) -> Box:
        width = self.larger * wide * max(map(len, lines))
        left = place.x - {"start": 0.0, "middle": width / 2, "end": width}[place.anchor]
        return left, place.y - self.larger * UP, left + width, place.y + DOWN + 14 * (len(lines) - 1)

    def _hidden(self, boxes: np.ndarray) -> np.ndarray:
        """How much of names and marks that stand already each box hides."""
        if not self.taken:
            return np.zeros(len(boxes))
        low, high, there = boxes[:, None, :2], boxes[:, None, 2:], np.array(self.taken)
        shared: np.ndarray = np.clip(np.minimum(high, there[:, 2:]) - np.maximum(low, there[:, :2]), 0.0, None)
        return np.asarray(shared.prod(axis=2).sum(axis=1))

    def _beyond(self, boxes: np.ndarray) -> np.ndarray:
        """How far each box reaches out of the frame."""
        low, high = np.array(self.frame[:2]), np.array(self.frame[2:])
        return np.asarray(np.clip(low - boxes[:, :2], 0.0, None).sum(axis=1)
                          + np.clip(boxes[:, 2:] - high, 0.0, None).sum(axis=1))


def spot(*inside: str, name: str) -> str:
    """A station of a figure with its mark and its name."""
    return element("g", "".join(inside), class_="station", data_station=name)
