"""Remedies outside the pump: more suction pressure, a colder liquid."""

from __future__ import annotations

from math import ceil

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.edge.quantities import HEAD, PRESSURE_DIFFERENCE, TEMPERATURE_DIFFERENCE
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.questions.remedies.remedy import Change, Data, NotOffered, Practicality, Remedy
from wetpath.rating.rate import Rating
from wetpath.words import told

#: Rises of suction pressure [Pa] and coolings [K] that are tried besides those that are missing.
PRESSURES, COOLINGS = (0.2e5, 0.5e5, 1e5, 2e5), (2.0, 5.0, 10.0, 20.0)
#: What is missing is rounded up to these.
PRESSURE_STEP, TEMPERATURE_STEP = 1e3, 0.1
#: More than this [Pa], [K] is no remedy but another plant. Common practice, no source.
MOST_PRESSURE, MOST_COOLING = 5e5, 30.0


def site(rating: Rating) -> list[Remedy | NotOffered]:
    """All remedies outside the pump."""
    return [*_pressures(rating), *_coolings(rating)]


def _missing(values: NDArray[np.float64], step: float, most: float) -> tuple[float, ...]:
    """The largest of what the cases miss, rounded up; nothing where none misses any or nothing up to most would do."""
    largest = float(np.max(values))
    return (ceil(round(largest / step, 6)) * step,) if 0 < largest <= most else ()


def _pressures(rating: Rating) -> list[Remedy | NotOffered]:
    density = float(np.min(rating.situation.scalars[:, solve.DENSITY_IN]))
    vessels = all(case.vessel is not None for case in rating.enquiry.cases)
    text = told("vessel {level} higher, or its liquid: {pressure} more, every case" if vessels else
                "suction pressure {pressure} higher ({level} of level), every case", pressure="{0}", level="{1}")
    rises = sorted({*PRESSURES, *_missing(rating.missing.pressure_to_practice, PRESSURE_STEP, MOST_PRESSURE)})
    return [Remedy("suction pressure", text,
                   ((rise, PRESSURE_DIFFERENCE), (rise / density / STANDARD_GRAVITY, HEAD)), Practicality.SITE_WORK,
                   "vessel, level or line; casing and shell see it too",
                   enquiry=_raised(rise, rise / density / STANDARD_GRAVITY)) for rise in rises]


def _raised(rise: float, level: float) -> Change:
    def change(data: Data) -> None:
        for case in data["cases"]:
            if case["vessel"] is not None:
                case["vessel"]["level"] += level
            else:
                given = "suction_pressure" if case["suction_pressure"] is not None else "above_vapour_pressure"
                case[given] += rise

    return change


def _coolings(rating: Rating) -> list[Remedy | NotOffered]:
    lowest = max(liquid.temperature_range[0] for liquid in rating.situation.liquids)
    room = float(rating.inputs.temperature.max()) - lowest
    drops = sorted({*COOLINGS, *_missing(rating.missing.cooling_to_practice, TEMPERATURE_STEP, MOST_COOLING)})
    pressures = [float(pressure) for pressure in rating.inputs.pressure]
    return [Remedy("colder liquid", told(
        "liquid {difference} colder at the same suction pressure, every case", difference="{0}"),
                   ((drop, TEMPERATURE_DIFFERENCE),), Practicality.SITE_WORK, "needs a cooler before the pump",
                   enquiry=_cooled(drop, lowest, pressures)) for drop in drops if drop < room]


def _cooled(drop: float, lowest: float, pressures: list[float]) -> Change:
    """Colder cases, at the pressures they have at the flange; a vessel is then told by that pressure."""
    def change(data: Data) -> None:
        for case, pressure in zip(data["cases"], pressures, strict=True):
            case["temperature"] = min(case["temperature"], max(case["temperature"] - drop, lowest))
            case["suction_pressure"] = case["suction_pressure"] or pressure
            case["above_vapour_pressure"] = case["vessel"] = None

    return change
