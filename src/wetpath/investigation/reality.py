"""The failed pump in its operating case, rated again under other conditions: what the tests of the physics ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.errors import InputError
from wetpath.investigation.evidence import Recorded
from wetpath.liquids.liquid import Liquid
from wetpath.machine import branches as listed
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating, rate

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Reality:
    """A rated pump, the number of the case it failed in, and what was recorded."""

    rating: Rating
    case: int
    recorded: Recorded

    @property
    def liquid(self) -> Liquid:
        """The liquid of the case."""
        situation = self.rating.situation
        return situation.liquids[situation.model_of[self.case]]

    @property
    def flow(self) -> float:
        """Flow of the case [m3/s]."""
        return float(self.rating.inputs.flow[self.case])

    @property
    def temperature(self) -> float:
        """Suction temperature of the case [K]."""
        return float(self.rating.inputs.temperature[self.case])

    @property
    def pressure(self) -> float:
        """Suction pressure of the case [Pa]."""
        return float(self.rating.inputs.pressure[self.case])

    @cached_property
    def vapour_pressure(self) -> float:
        """Of the liquid at the suction temperature [Pa]; NaN: not known."""
        return float(self.liquid.vapour_pressure(self.temperature))

    @property
    def shaft_power(self) -> float:
        """Power at the motor shaft in the case [W]."""
        return float(self.rating.losses.shaft[self.case])

    @property
    def already_lost(self) -> bool:
        """Whether the liquid is lost in the case as rated."""
        return bool(lost(self.rating)[self.case])

    def at(self, array: Array) -> float:
        """The value of an array of the rating in the case."""
        return float(array[self.case])

    def scalar(self, number: int) -> float:
        """A scalar of the solve in the case."""
        return float(self.rating.situation.scalars[self.case, number])

    def varied(self, *, flow: Sequence[float] | None = None, temperature: Sequence[float] | None = None,
               pressure: Sequence[float] | None = None, pump: PumpFile | None = None) -> Rating:
        """The case rated anew at several flows, suction temperatures and suction pressures, or with another pump."""
        given = self.rating.enquiry.cases[self.case].model_dump()
        count = max((len(one) for one in (flow, temperature, pressure) if one is not None), default=1)
        cases = [{**given, "name": f"{number}", "role": "other", "head": None, "vessel": None,
                  "above_vapour_pressure": None, "flow": flow[number] if flow else self.flow,
                  "temperature": temperature[number] if temperature else self.temperature,
                  "suction_pressure": pressure[number] if pressure else self.pressure} for number in range(count)]
        situation = self.rating.situation
        enquiry = Enquiry.model_validate({**self.rating.enquiry.model_dump(), "cases": cases})
        others = {other.name: liquid
                  for other, liquid in zip(enquiry.other_liquids, situation.liquids[1:], strict=True)}
        return rate(pump or self.rating.pump, enquiry, situation.liquid, situation.practice, others=others)

    def with_blocked(self, share: float) -> Rating | None:
        """The case rated with a share of the area of the narrowed holes blocked; None where there are none."""
        place = self.narrowed
        if place is None:
            return None
        field, _ = place
        data = self.rating.pump.model_dump()
        data["bush_holder"][field] *= sqrt(1 - share)
        try:
            return self.varied(pump=PumpFile.model_validate(data))
        except (InputError, ValueError):
            return None

    @cached_property
    def narrowed(self) -> tuple[str, str] | None:
        """Field and name of the holes that plugging is tried on: the feed, else the return."""
        for kind, field, name in ((listed.FeedHoles, "feed_diameter", "feed holes"),
                                  (listed.ReturnHoles, "return_diameter", "return holes")):
            if any(isinstance(entry, kind) for entry in self.rating.pump.branches):
                return field, name
        return None


def lost(rating: Rating) -> NDArray[np.bool_]:
    """In which cases the liquid is lost at a station."""
    outcome = rating.situation.solution.outcome
    return np.asarray((outcome == Outcome.FLASHING) | (outcome == Outcome.NO_SOLUTION))


def boils_at_wall(rating: Rating) -> NDArray[np.bool_]:
    """In which cases the shell wall boils its liquid, or worse."""
    outcome = rating.situation.solution.outcome
    return np.asarray((outcome != Outcome.LIQUID) & (outcome != Outcome.UNKNOWN))


def margin(rating: Rating, case: int = 0) -> float:
    """Pressure above vapour pressure at the worst station [Pa]."""
    return float(rating.situation.scalars[case, solve.PRESSURE_MARGIN])
