"""What one page works on: the enquiry on the desk, the case and station looked at, the units."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field

from wetpath.drawing.figures import Figures
from wetpath.drawing.section import SHOWN, Shown
from wetpath.faces.web.fault import Fault
from wetpath.faces.web.shelf import Opened, Shelf
from wetpath.questions.uncertainty.numbers import NumberRange, SampledCase, sample_case
from wetpath.services.desk import Desk, Rated
from wetpath.services.projects import User
from wetpath.services.provenance_range import range_of_number
from wetpath.services.record import CaseRecord, Record


def locked(user: User) -> str:
    """Why a user cannot change anything; empty when the role allows it."""
    return "" if user.may("engineer") else f"Your role is {user.role}. An engineer can change and save values."


@dataclass
class Session:
    """One page of one user."""

    shelf: Shelf
    who: Callable[[], User]                                  # with the role of this moment
    opened: Opened
    view: str
    account: str = ""                                        # what the bar at the top tells of it
    case: int = 0
    station: str = ""
    upset: str = ""                                          # looked at in what protects it
    above: str = ""                                         # suction above vapour pressure as typed, in how far
    shown: Shown = "margin"
    us: bool = False
    pinned: Record | None = None                             # kept for comparison
    faults: dict[str, Fault] = field(default_factory=dict)     # by the path of the field
    _sampled: tuple[Rated, int, SampledCase] | None = None

    @property
    def user(self) -> User:
        """Who works on the page, with the role of this moment."""
        return self.who()

    @property
    def locked(self) -> str:
        """Why nothing can be changed; empty when it can."""
        return locked(self.user)

    @property
    def key(self) -> str:
        """The key of the enquiry in addresses."""
        return self.opened.key

    @property
    def seat(self) -> tuple[int, str]:
        """Who works on which enquiry."""
        return self.user.id, self.key

    @property
    def title(self) -> str:
        """What the enquiry is called."""
        return self.desk.rated.rating.enquiry.title

    @property
    def desk(self) -> Desk:
        """The papers in work."""
        return self.opened.desk

    @property
    def typed(self) -> dict[str, str]:
        """What is typed and not accepted, by the path of the field."""
        return self.opened.typed

    @property
    def turn(self) -> asyncio.Lock:
        """Held while the papers in work are changed: each change is made on top of the last."""
        return self.opened.turn

    @property
    def figures(self) -> Figures:
        """The units numbers are written in."""
        return Figures.of(self.us)

    def range_of(self, key: str) -> NumberRange | None:
        """Between which values the number with this key lies; None where it cannot be told."""
        rated, number = self.desk.shown, key.partition("/")[0]
        if not number.isdigit() or int(number) >= len(rated.record.cases):
            return None
        case = int(number)
        if self._sampled is None or self._sampled[0] is not rated or self._sampled[1] != case:
            self._sampled = rated, case, sample_case(rated.rating, case)
        return range_of_number(rated.rating, self._sampled[2], key)

    @property
    def record(self) -> Record:
        """The record the views show."""
        return self.desk.shown.record

    @property
    def beside(self) -> Record | None:
        """The record that differences are told against: the pinned one, or the present one while a change is tried."""
        if self.pinned is not None:
            return None if self.pinned is self.record else self.pinned
        return self.desk.rated.record if self.desk.tried else None

    @property
    def case_beside(self) -> CaseRecord | None:
        """The case looked at in the record beside; None where it has none of this name."""
        if self.beside is None:
            return None
        return next((one for one in self.beside.cases if one.name == self.case_record.name), None)

    @property
    def case_record(self) -> CaseRecord:
        """The case looked at."""
        return self.record.cases[min(self.case, len(self.record.cases) - 1)]

    def look_at_governing(self) -> None:
        """Look at the case that governs."""
        names = [case.name for case in self.record.cases]
        self.case = names.index(self.record.verdict.case) if self.record.verdict.case in names else 0

    def step_case(self, by: int) -> None:
        """Go to the next case, or the one before."""
        self.case = (self.case + by) % len(self.record.cases)

    def step_station(self, by: int) -> None:
        """Go along the stations in flow order."""
        names = [one.name for one in self.case_record.trace]
        at = names.index(self.station) if self.station in names else (-1 if by > 0 else 0)
        self.station = names[(at + by) % len(names)]

    def show(self, shown: str) -> None:
        """Choose what the drawing shows."""
        self.shown = next((one for one in SHOWN if one == shown), self.shown)
