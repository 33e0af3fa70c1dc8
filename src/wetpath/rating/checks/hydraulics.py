"""Head, NPSH and the flow limits of the pump."""

import numpy as np

from wetpath.edge.quantities import HEAD, RATIO, VOLUME_FLOW
from wetpath.physics.pump.npsh import npsh_needed_chemical, npsh_needed_hydrocarbon
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation

#: Scale of the head margin as a share of the head asked for: what a works test may differ by. Common practice.
HEAD_SCALE = 0.05
#: Scale of the distance to the ends of the preferred region, in flow over best-efficiency flow.
REGION_SCALE = 0.25


def head(situation: Situation) -> Check:
    """Head of the pump against the head the service asks for."""
    return check("head", "head", HEAD, situation.solved.point.head, situation.demands.head, sense="at least",
                 by_choice=True, scale=HEAD_SCALE * situation.demands.head, applies=~np.isnan(situation.demands.head),
                 where="discharge flange", source="enquiry", status="given",
                 meaning="head the service asks for at this flow",
                 remedy="a larger impeller, more speed, another frame")


def npsh(situation: Situation) -> Check:
    """NPSH available against NPSH3 with the margin of the service."""
    practice, point = situation.practice, situation.solved.point
    required = point.npsh_required
    preferred = ((point.flow_share >= practice["preferred_flow_lowest"].value)
                 & (point.flow_share <= practice["preferred_flow_highest"].value))
    if situation.demands.service == "hydrocarbon":
        limit = practice["npsh_margin_head_hydrocarbon"]
        needed = npsh_needed_hydrocarbon(required, practice["npsh_margin_ratio"].value, limit.value)
    else:
        limit = practice["npsh_margin_head_chemical"]
        needed = npsh_needed_chemical(
            required, point.suction_specific_speed, preferred, practice["npsh_margin_ratio"].value, limit.value,
            practice["npsh_margin_ratio_outside_preferred"].value, practice["npsh_margin_head_outside_preferred"].value,
            practice["npsh_suction_specific_speed_break"].value)
    return check("npsh", "NPSH available", HEAD, situation.npsh_available, needed, sense="at least",
                 where="impeller eye", source=limit.source, status=limit.status, meaning=limit.meaning,
                 remedy=limit.remedy)


def lowest_flow(situation: Situation) -> Check:
    """Flow against the least flow the maker allows, at the speed of the case."""
    return _maker_flow(situation, "lowest_flow", "least flow allowed", "at least",
                       "a minimum-flow line to the vessel, or a smaller pump")


def highest_flow(situation: Situation) -> Check:
    """Flow against the largest flow the maker allows, at the speed of the case."""
    return _maker_flow(situation, "highest_flow", "largest flow allowed", "at most",
                       "an orifice or control valve that holds the flow, or a larger pump")


def _maker_flow(situation: Situation, field: str, title: str, sense: str, remedy: str) -> Check:
    value = getattr(situation.pump.impeller, field)
    faster = situation.solved.inputs.speed / situation.pump.impeller.tested.speed
    return check(field, title, VOLUME_FLOW, situation.solved.inputs.flow, np.nan if value is None else value * faster,
                 sense="at least" if sense == "at least" else "at most", applies=value is not None,
                 by_choice=True, where="suction flange", source="pump-file", status="given",
                 meaning="end of the allowable operating region stated by the maker, carried to this speed",
                 remedy=remedy)


def preferred_lowest(situation: Situation) -> Check:
    """Flow share of rated and normal cases against the lower end of the preferred region."""
    return check("preferred_lowest", "flow over best-efficiency flow, lower end", RATIO,
                 situation.solved.point.flow_share, situation.practice["preferred_flow_lowest"],
                 applies=situation.demands.in_preferred, by_choice=True, scale=REGION_SCALE, where="impeller")


def preferred_highest(situation: Situation) -> Check:
    """Flow share of rated and normal cases against the upper end of the preferred region."""
    return check("preferred_highest", "flow over best-efficiency flow, upper end", RATIO,
                 situation.solved.point.flow_share, situation.practice["preferred_flow_highest"],
                 applies=situation.demands.in_preferred, by_choice=True, scale=REGION_SCALE, where="impeller")
