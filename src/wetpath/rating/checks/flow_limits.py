"""The flow against the minimum continuous flow and the largest flow, each with what governs it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.quantities import VOLUME_FLOW
from wetpath.edge.units import express
from wetpath.rating.check import Check, check
from wetpath.rating.situation import Situation
from wetpath.words import told

SOURCE, STATUS = "flow-limits", "derived"


def minimum_flow(situation: Situation) -> Check:
    """Flow against the largest of the lower limits."""
    limits = situation.flow_limits
    return check("minimum_continuous_flow", "minimum continuous flow", VOLUME_FLOW, limits.flow, limits.minimum,
                 sense="at least", applies=limits.minimum > 0, by_choice=True, follows=True,
                 where=tuple(told("suction flange, set by {name}{why}", name=name,
                                  why=_why(situation, name, "lowest")) if name else ""
                             for name in limits.minimum_by),
                 source=SOURCE, status=STATUS,
                 meaning="least flow at which every demand that depends on flow holds, with this liquid, temperature "
                         "and suction",
                 remedy="a by-pass back to the vessel, never to the suction pipe, or what the governing limit asks for")


def maximum_flow(situation: Situation) -> Check:
    """Flow against the least of the upper limits."""
    limits = situation.flow_limits
    return check("maximum_flow", "maximum flow", VOLUME_FLOW, limits.flow, limits.maximum, sense="at most",
                 applies=np.isfinite(limits.maximum), by_choice=True, follows=True,
                 where=tuple(told("suction flange, set by {name}{why}", name=name,
                                  why=_why(situation, name, "highest"))
                             for name in limits.maximum_by), source=SOURCE, status=STATUS,
                 meaning="largest flow at which every demand that depends on flow holds, with this liquid, temperature "
                         "and suction",
                 remedy="an orifice or control valve that holds the flow, a larger pump, or what the governing limit "
                        "asks for")


def _why(situation: Situation, governing: str, end: str) -> str:
    """The maker's reason, in brackets, where the maker's limit governs."""
    reason = getattr(situation.pump.impeller, f"{end}_flow_reason") if governing == "maker" else ""
    return f" ({reason})" if reason else ""


def flow_findings(situation: Situation, names: Sequence[str]) -> list[str]:
    """By-pass needed, demands that hold at no flow, and what cannot be told, in words; ``names`` are the cases'."""
    limits = situation.flow_limits

    def cases(which: NDArray[np.bool_]) -> str:
        found = ", ".join(f'"{name}"' for name, chosen in zip(names, which, strict=True) if chosen)
        return told("cases {cases}" if np.count_nonzero(which) > 1 else "case {cases}", cases=found)

    found = []
    needed = limits.by_pass
    for case in np.flatnonzero(needed > 0).tolist():
        found.append(told('flow of case "{case}" is below the minimum continuous flow, set by {minimum_by}{why}: a '
                          'by-pass of {needed} is needed, back to the vessel and not to the suction pipe, where it '
                          'would warm the liquid', case=names[case], minimum_by=limits.minimum_by[case],
                          why=_why(situation, limits.minimum_by[case], "lowest"),
                          needed=express(needed[case], VOLUME_FLOW)))
    nowhere = np.array([one.holds_nowhere for one in limits.limits])
    unknown = np.isnan([one.lowest for one in limits.limits]) & ~nowhere
    for number in np.flatnonzero((nowhere | unknown).any(axis=1)).tolist():
        one = limits.limits[number]
        if nowhere[number].any():
            found.append(told("in {cases} {name} sets a limit that no flow of this pump meets: {otherwise}",
                              cases=cases(nowhere[number]), name=one.name, otherwise=one.otherwise))
        if one.counts and unknown[number].any():
            found.append(told("in {cases} the flow that {name} asks for cannot be told; minimum and maximum flow are "
                              "those of the other limits", cases=cases(unknown[number]), name=one.name))
    return found
