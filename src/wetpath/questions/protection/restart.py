"""When the pump may be started again after a trip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wetpath.circulation import solve
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.rating.rate import Rating

#: The shell may be warmer than the liquid by this before cold liquid meets it [K]. Common practice, no source.
SHELL_OVER_LIQUID = 20.0
#: Longest rest that is waited for after a dry run so that ceramics cool evenly [s]. Common practice, no source.
REST = 1800.0


@dataclass(frozen=True)
class Restart:
    """Conditions for a start, SI."""

    shell_at_most: float          # outside of the shell [K]; NaN: not known
    shell_over_suction: float     # [K]
    suction_at_least: float       # pressure at the flange above vapour pressure [Pa]; NaN: not known
    rest: float                   # after dry running [s]


def restart_of(rating: Rating, case: int) -> Restart:
    """Shell below boiling at the suction pressure and near the liquid; the suction as NPSH3 asks for.

    With the pump at rest the pressure behind the impeller is that at the suction: liquid that meets a shell above its
    boiling temperature there boils before it is pumped. A shell no warmer than the liquid is always allowed.
    """
    situation, inputs = rating.situation, rating.inputs
    liquid = situation.liquids[situation.model_of[case]]
    temperature = float(inputs.temperature[case])
    margin = rating.practice["vapour_margin_temperature"].value
    boiling = float(liquid.saturation_temperature(float(inputs.pressure[case])))
    near = temperature + SHELL_OVER_LIQUID
    allowed = near if np.isnan(boiling) else max(min(boiling - margin, near), temperature)
    density = float(situation.scalars[case, solve.DENSITY_IN])
    velocity = float(inputs.flow[case]) / (np.pi * rating.pump.casing.suction_bore**2 / 4)
    least = density * (STANDARD_GRAVITY * float(rating.point.npsh_required[case]) - velocity**2 / 2)
    return Restart(allowed, SHELL_OVER_LIQUID, max(least, 0.0) if liquid.has_vapour_pressure else float("nan"), REST)
