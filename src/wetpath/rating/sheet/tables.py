"""The tables of the data sheet: curves at site conditions, and the pressure-temperature profile of the circulation."""

from __future__ import annotations

import numpy as np

from wetpath.circulation import solve
from wetpath.circulation.outcome import Outcome
from wetpath.rating.flow_limits import at_flows
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import CurveTable, Profile, ProfileStation, known

#: Flows of a curve besides shut-off, from this share of the flow of best efficiency to the end of the curve.
POINTS, FIRST_SHARE = 12, 0.1


def curves(rating: Rating) -> tuple[CurveTable, ...]:
    """The pump over flow at the conditions of every case; solved in one batch, some 50 us a point."""
    situation = rating.situation
    end = rating.flow_limits.scanned_to
    first = FIRST_SHARE * rating.point.best_flow
    flow = first[:, None] + np.linspace(0.0, 1.0, POINTS) * (end - first)[:, None]
    case = np.repeat(np.arange(situation.count), POINTS)
    over = at_flows(situation, case, flow.ravel())
    head, npsh, power, efficiency, margin = (values.reshape(flow.shape) for values in (
        over.solved.point.head, over.solved.point.npsh_required, over.losses.shaft, over.losses.efficiency,
        np.where(over.solution.outcome == Outcome.NO_SOLUTION, np.nan, over.scalars[:, solve.PRESSURE_MARGIN])))
    return tuple(CurveTable(
        case=name, flow_m3_per_s=(0.0, *map(float, flow[at])),
        head_m=(float(rating.point.shut_off_head[at]), *map(float, head[at])),
        shaft_power_w=(None, *map(known, power[at])), efficiency=(0.0, *map(known, efficiency[at])),
        npsh_required_m=(None, *map(known, npsh[at])), least_margin_pa=(None, *map(known, margin[at])))
        for at, name in enumerate(rating.case_names))


def profiles(rating: Rating) -> tuple[Profile, ...]:
    """Stations of every case in flow order."""
    return tuple(Profile(case=name, outcome=rating.outcomes[case].words, stations=tuple(
        ProfileStation(
            name=one.name, title=one.title, pressure_pa=one.pressure, temperature_k=one.temperature,
            vapour_pressure_pa=known(one.vapour_pressure), margin_pa=known(one.pressure_margin),
            margin_m=known(one.head_margin), margin_k=known(one.temperature_margin),
            wall_temperature_k=known(one.wall_temperature), flow_kg_per_s=one.flow)
        for one in rating.trace(case))) for case, name in enumerate(rating.case_names))
