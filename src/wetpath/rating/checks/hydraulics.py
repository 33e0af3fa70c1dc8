"""Head, NPSH and the flow limits of the pump."""

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import HEAD, RATIO, VOLUME_FLOW
from wetpath.rating.check import Check, check
from wetpath.rating.operating_point import operating_point
from wetpath.rating.situation import Situation
from wetpath.rating.suction_state import npsh_needed
from wetpath.words import told

Array = NDArray[np.float64]

#: Scale of the head margin as a share of the head asked for: what a works test may differ by. Common practice.
HEAD_SCALE = 0.05
#: Scale of the distance to the ends of the preferred region, in flow over best-efficiency flow.
REGION_SCALE = 0.25

#: Meaning of the flows that the maker allows.
MAKERS_END = "end of the allowable operating region stated by the maker, carried to this speed"


def head(situation: Situation) -> Check:
    """Head of the pump against the head the service asks for."""
    return check("head", "head", HEAD, situation.solved.point.head, situation.demands.head, sense="at least",
                 by_choice=True, scale=HEAD_SCALE * situation.demands.head, applies=~np.isnan(situation.demands.head),
                 where="discharge flange", source="enquiry", status="given",
                 meaning="head the service asks for at this flow",
                 remedy="a larger impeller, more speed, another frame")


def npsh(situation: Situation) -> Check:
    """NPSH available against NPSH3 with the margin of the service."""
    needed, limit = npsh_needed(situation)
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
    value, reason = (getattr(situation.pump.impeller, name) for name in (field, f"{field}_reason"))
    faster = situation.solved.inputs.speed / situation.pump.impeller.tested.speed
    return check(field, title, VOLUME_FLOW, situation.solved.inputs.flow, np.nan if value is None else value * faster,
                 sense="at least" if sense == "at least" else "at most", applies=value is not None,
                 by_choice=True, where="suction flange", source="pump-file", status="given",
                 meaning=told("{meaning}; the maker's reason: {reason}", meaning=MAKERS_END, reason=reason) if reason
                 else MAKERS_END,
                 remedy=remedy)


def preferred_lowest(situation: Situation) -> Check:
    """Flow share of rated and normal cases against the lower end of the preferred region."""
    return _preferred(situation, "preferred_lowest", "flow over best-efficiency flow, lower end",
                      "preferred_flow_lowest")


def preferred_highest(situation: Situation) -> Check:
    """Flow share of rated and normal cases against the upper end of the preferred region."""
    return _preferred(situation, "preferred_highest", "flow over best-efficiency flow, upper end",
                      "preferred_flow_highest")


def _preferred(situation: Situation, name: str, title: str, limit: str) -> Check:
    """One end of the preferred region, which is narrower for a high specific speed."""
    practice, point = situation.practice, situation.solved.point
    high = bool((point.specific_speed >= practice["preferred_region_specific_speed_break"].value).any())
    return _flow_share(situation, name, title, f"{limit}_high_specific_speed" if high else limit,
                       situation.demands.in_preferred)


def rated_lowest(situation: Situation) -> Check:
    """Flow share of rated cases against the lower end of the narrower band for the rated flow."""
    return _flow_share(situation, "rated_lowest", "rated flow over best-efficiency flow, lower end",
                       "rated_flow_lowest", situation.demands.rated)


def rated_highest(situation: Situation) -> Check:
    """Flow share of rated cases against the upper end of the narrower band for the rated flow."""
    return _flow_share(situation, "rated_highest", "rated flow over best-efficiency flow, upper end",
                       "rated_flow_highest", situation.demands.rated)


def _flow_share(situation: Situation, name: str, title: str, limit: str, applies: NDArray[np.bool_]) -> Check:
    return check(name, title, RATIO, situation.solved.point.flow_share, situation.practice[limit], applies=applies,
                 by_choice=True, scale=REGION_SCALE, where="impeller")


def head_growth(situation: Situation) -> Check:
    """Head that the largest impeller of the pattern would add at the flow of rated cases."""
    solved, pump, rated = situation.solved, situation.pump, situation.demands.rated
    growth = np.full(situation.count, np.nan)
    if rated.any():
        largest = operating_point(pump, solved.inputs.flow, solved.inputs.speed, solved.point.kinematic_viscosity,
                                  diameter=pump.impeller.largest_diameter)
        growth = largest.head / solved.point.head - 1
    return check("head_growth", "head that the largest impeller would add", RATIO, growth,
                 situation.practice["head_growth"], by_choice=True, applies=rated, where="impeller")


def head_rise_to_shut_off(situation: Situation) -> Check:
    """Rise of head from rated and normal cases to shut-off, where pumps run in parallel."""
    point = situation.solved.point
    return check("head_rise_to_shut_off", "rise of head to shut-off", RATIO, point.shut_off_head / point.head - 1,
                 situation.practice["head_rise_to_shut_off"], by_choice=True,
                 applies=situation.demands.parallel & situation.demands.in_preferred, where="impeller")
