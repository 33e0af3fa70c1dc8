"""Lines on which a check of a window ceases to hold, and their names laid along them."""

from __future__ import annotations

from dataclasses import dataclass

import contourpy
import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from wetpath.questions.window.window_map import WindowMap
from wetpath.words import spoken

Array = NDArray[np.float64]

#: Bounds shorter than this, in diagonals of the panel, are not named.
LEAST_NAMED = 0.02
#: Places along a line at which its name is tried.
TRIED = np.linspace(0.08, 0.92, 15)


@dataclass(frozen=True, eq=False)
class Lines:
    """Where one check ceases to hold, in the units shown: parts that bound the region, and parts beyond it."""

    number: int
    title: str
    bounding: tuple[Array, ...]
    beyond: tuple[Array, ...]


def bounding_lines(chart: WindowMap, flow: Array, temperature: Array) -> list[Lines]:
    """Lines of every check that bounds the region in which all hold; the largest excluded part has number 1.

    A line bounds where every other check holds at one of the two points of the grid between which it runs.
    """
    share = chart.points.share.reshape(-1, *chart.shape)
    others_hold = np.where(np.isnan(share), True, share >= 0)
    order = [index for index, _ in chart.excluded_by()]
    order += [index for index in range(len(share)) if index not in order and (share[index] < 0).any()]
    found: list[Lines] = []
    for index in order:
        lines = contourpy.contour_generator(flow, temperature, share[index].T).lines(0.0)
        rest = np.delete(others_hold, index, axis=0).all(axis=0) & chart.rated
        bounding: list[Array] = []
        beyond: list[Array] = []
        for line in map(np.asarray, lines):
            (left, right), (below, above) = _between(flow, line[:, 0]), _between(temperature, line[:, 1])
            on = rest[left, below] | rest[right, above]
            for first, last in _runs(on):
                # both kinds share the vertex between them, so that no gap shows
                (bounding if on[first] else beyond).append(line[max(first - (not on[first]), 0):last + 1])
        if bounding:
            found.append(Lines(len(found) + 1, chart.points.titles[index], tuple(bounding), tuple(beyond)))
    return found


def on_the_line(axes: Axes, lines: list[Lines], taken: list[Array], colour: str) -> None:
    """Write the number and name of every bound along its longest part, off what is taken [boxes in pixels]."""
    frame = np.asarray(axes.get_window_extent().extents)
    per_point = axes.figure.dpi / 72
    for one in lines:
        words = f"{one.number}  {spoken(one.title)}"
        width, height = 4.6 * len(words) * per_point, 12 * per_point
        best: tuple[float, Array, float] | None = None
        for part in one.bounding:
            pixels = axes.transData.transform(part)
            steps = np.hypot(*np.diff(pixels, axis=0).T)
            length = np.concatenate([[0.0], np.cumsum(steps)])
            if length[-1] < LEAST_NAMED * np.hypot(*(frame[2:] - frame[:2])):
                continue
            for share in TRIED:
                at = np.array([np.interp(share * length[-1], length, pixels[:, axis]) for axis in (0, 1)])
                reach = 0.5 * min(width, length[-1])
                ends = np.array([[np.interp(np.clip(share * length[-1] + side * reach, 0, length[-1]), length,
                                            pixels[:, axis]) for axis in (0, 1)] for side in (-1, 1)])
                across, up = ends[1] - ends[0]
                angle = float(np.degrees(np.arctan2(up, across)))
                angle = (angle + 90) % 180 - 90 if abs(abs(angle) - 90) > 1e-6 else 90.0
                box = _box(at, width, height, angle)
                outside = np.maximum(frame[:2] - box[:2], 0).sum() + np.maximum(box[2:] - frame[2:], 0).sum()
                hidden = sum(_overlap(box, other) for other in taken)
                cost = 50 * outside + hidden + 0.5 * max(width - length[-1], 0.0) + 20 * abs(share - 0.5)
                if best is None or cost < best[0]:
                    best = cost, at, angle
        if best is None:
            continue
        _, at, angle = best
        # a name longer than its line is pushed back into the panel
        box = _box(at, width, height, angle)
        at = at + np.maximum(frame[:2] + 3 - box[:2], 0) - np.maximum(box[2:] - frame[2:] + 3, 0)
        taken.append(_box(at, width, height, angle))
        place = axes.transData.inverted().transform(at)
        axes.annotate(words, (float(place[0]), float(place[1])), color=colour, fontsize=8.5, ha="center",
                      va="center", rotation=angle, rotation_mode="anchor", fontweight="semibold", zorder=7,
                      bbox={"boxstyle": "square,pad=0.15", "facecolor": "#fdf3ee", "edgecolor": "none"})


def _between(axis: Array, values: Array) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Indices of the points of an even axis on both sides of values; the same one where a value lies on it."""
    place = np.clip((values - axis[0]) / (axis[1] - axis[0]), 0, axis.size - 1)
    return np.floor(place + 1e-6).astype(np.int64), np.ceil(place - 1e-6).astype(np.int64)


def _runs(marks: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of every run of equal marks."""
    changes = np.flatnonzero(np.diff(marks)) + 1
    starts = np.concatenate([[0], changes])
    return list(zip(starts.tolist(), np.concatenate([changes, [marks.size]]).tolist(), strict=True))


def _box(at: Array, width: float, height: float, angle: float) -> Array:
    """Box around words turned by an angle: left, bottom, right, top."""
    turn = np.radians(angle)
    half = 0.5 * np.array([width * abs(np.cos(turn)) + height * abs(np.sin(turn)),
                           width * abs(np.sin(turn)) + height * abs(np.cos(turn))])
    return np.concatenate([at - half, at + half])


def _overlap(one: Array, other: Array) -> float:
    """Area that two boxes share."""
    size = np.minimum(one[2:], other[2:]) - np.maximum(one[:2], other[:2])
    return float(np.prod(np.maximum(size, 0.0)))
