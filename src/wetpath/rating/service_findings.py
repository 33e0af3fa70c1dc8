"""What a rating has to say about the service besides the checks: where a heavy-duty pump is suggested, thick liquid."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wetpath.circulation import solve
from wetpath.edge.quantities import HEAD, PRESSURE, TEMPERATURE
from wetpath.edge.units import express
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.rating.situation import Situation
from wetpath.words import joined, told


def service_findings(situation: Situation, names: Sequence[str]) -> tuple[str, ...]:
    """Sentences for the warnings of a rating; ``names`` are the cases'."""
    return (*_heavy_duty(situation, names), *_thick(situation, names))


def _heavy_duty(situation: Situation, names: Sequence[str]) -> list[str]:
    """One sentence with every bound of API 685 exceeded, each at its worst case; none within them all."""
    inputs, head = situation.solved.inputs, situation.solved.point.head
    outside = situation.demands.atmosphere
    discharge = inputs.pressure + situation.scalars[:, solve.DENSITY_IN] * STANDARD_GRAVITY * head
    found = []
    for words, kind, values, limit in (
            ("discharge pressure", PRESSURE, discharge, "heavy_duty_discharge_pressure"),
            ("suction pressure", PRESSURE, inputs.pressure, "heavy_duty_suction_pressure"),
            ("liquid temperature", TEMPERATURE, inputs.temperature, "heavy_duty_temperature"),
            ("head", HEAD, head, "heavy_duty_head")):
        bound = situation.practice[limit].value + (outside if kind == PRESSURE else 0.0)
        worst = int(np.argmax(values))
        if values[worst] > bound:
            found.append(told('{what} {value} in case "{case}", bound {bound}', what=words,
                              value=express(values[worst], kind), case=names[worst], bound=express(bound, kind)))
    if not found:
        return []
    return [told("{bounds}: there the standard for heavy-duty pumps is suggested; ask for a pump built to it",
                 bounds=joined("; ", found))]


def _thick(situation: Situation, names: Sequence[str]) -> list[str]:
    limit, inputs = situation.practice["viscosity_highest"], situation.solved.inputs
    viscosity = situation.per_liquid(
        lambda liquid, chosen: liquid.state(inputs.temperature[chosen], inputs.pressure[chosen]).viscosity)
    worst = int(np.argmax(viscosity))
    if not viscosity[worst] > limit.value:
        return []
    return [told('the liquid of case "{case}" has {viscosity}, more than {limit}: {meaning}; {remedy}',
                 case=names[worst], viscosity=express(viscosity[worst], limit.kind), limit=limit.shown(),
                 meaning=limit.meaning, remedy=limit.remedy)]
