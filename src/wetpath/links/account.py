"""The account of readings: how many were used, and how many not, by tag and reason."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Stands for a whole row of a file.
ROW = "whole row"


class Reason(StrEnum):
    """Why a reading is not used."""

    QUALITY = "bad quality"
    NO_NUMBER = "not a number"
    RANGE = "outside the range of the instrument"
    UNIT = "unit not known"
    NO_TIME = "time cannot be read"
    DUPLICATE = "time stamp seen before"
    BACKWARDS = "clock ran backwards"
    AHEAD = "time stamp in the future"
    TWICE = "local time that comes twice when summer time ends"
    NEVER = "local time that is left out when summer time begins"
    BROKEN = "line with another number of columns"
    LATE = "came too late: later samples are out already"


@dataclass
class Count:
    """How often something was, first and last [UTC seconds; NaN without a time]."""

    number: int = 0
    first: float = float("nan")
    last: float = float("nan")


@dataclass
class Account:
    """Counts of readings of one source; every reading is used or not used for one reason."""

    used: dict[str, int] = field(default_factory=dict)
    not_used: dict[tuple[str, Reason], Count] = field(default_factory=dict)
    converted: dict[tuple[str, str], int] = field(default_factory=dict)     # by tag and other unit
    gaps: int = 0
    longest_gap: float = 0.0
    notes: list[str] = field(default_factory=list)

    def drop(self, tag: str, reason: Reason, times: Array | None = None, number: int | None = None) -> None:
        """Count readings that are not used."""
        many = number if number is not None else 0 if times is None else int(times.size)
        if many == 0:
            return
        count = self.not_used.setdefault((tag, reason), Count())
        count.number += many
        if times is not None and times.size and not np.isnan(times).all():
            count.first = float(np.fmin(count.first, np.nanmin(times)))
            count.last = float(np.fmax(count.last, np.nanmax(times)))

    def use(self, tag: str, number: int) -> None:
        """Count readings that are used."""
        self.used[tag] = self.used.get(tag, 0) + number

    def convert(self, tag: str, unit: str, number: int) -> None:
        """Count readings that came in another unit and are converted."""
        self.converted[tag, unit] = self.converted.get((tag, unit), 0) + number

    def gap(self, seconds: float) -> None:
        """Count a time without any reading."""
        self.gaps += 1
        self.longest_gap = max(self.longest_gap, seconds)

    def note(self, text: str) -> None:
        """Keep a remark once."""
        if text not in self.notes:
            self.notes.append(text)

    def number(self, reason: Reason, tag: str | None = None) -> int:
        """How many readings were not used for a reason, of all tags or one."""
        return sum(count.number for (one, why), count in self.not_used.items()
                   if why is reason and tag in (None, one))

    def lines(self) -> tuple[str, ...]:
        """What a user is told."""
        told = [f"{number} readings of {tag} used" for tag, number in self.used.items()]
        for (tag, reason), count in self.not_used.items():
            when = "" if np.isnan(count.first) else f", {moment(count.first)} to {moment(count.last)}"
            told.append(f"{count.number} readings of {tag} not used: {reason.value}{when}")
        told += [f"{number} readings of {tag} came in {unit} and are converted"
                 for (tag, unit), number in self.converted.items()]
        if self.gaps:
            told.append(f"{self.gaps} gaps without any reading, the longest {self.longest_gap:.0f} s")
        return (*told, *self.notes)


def moment(seconds: float) -> str:
    """A time as people read it.

    >>> moment(0.0)
    '1970-01-01 00:00:00 UTC'
    """
    try:
        return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%d %H:%M:%S UTC")
    except (ValueError, OverflowError, OSError):        # a clock or a format that is wrong by thousands of years
        return f"{seconds:.4g} s since 1970"
