"""What the signals of a running pump say as findings of an investigation, so that it begins with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wetpath.services.fleet import PumpState, movements
from wetpath.services.projects import documents, projects
from wetpath.store.opening import Store

#: From which movement in 30 days on something counts as moved, and below which as steady: share of flow, suction
#: pressure and power, K of the shell. Common practice, no source.
MOVED, STEADY, WARMER = 0.05, 0.02, 3.0


@dataclass(frozen=True)
class SignalEvidence:
    """Findings by name, "seen" or "not there", powers in words, and a title."""

    title: str
    states: Mapping[str, str]
    powers: Mapping[str, str]


def evidence_of(state: PumpState) -> SignalEvidence:
    """What the signals of the last 30 days say; a signal that is not measured says nothing."""
    moved = {name: (then, now) for name, then, now in movements(state)}
    share = {name: now / then - 1 for name, (then, now) in moved.items() if then > 0}
    states: dict[str, str] = {}
    flow, suction, power = (share.get(name) for name in ("flow", "suction_pressure", "motor_power"))
    shell = moved.get("shell_temperature")
    warmer = None if shell is None else shell[1] - shell[0]
    if suction is not None and suction < -MOVED and (flow is None or abs(flow) < STEADY):
        states["suction_first"] = "seen"
    if flow is not None and flow < -MOVED and suction is not None and abs(suction) < STEADY:
        states["flow_first"] = "seen"
    if power is not None and (power > MOVED or abs(power) < STEADY):
        states["power_crept_up"] = "seen" if power > MOVED else "not there"
    if warmer is not None and flow is not None and abs(flow) < STEADY:
        if warmer > WARMER:
            states["shell_crept"] = "seen"
            if suction is not None and abs(suction) < STEADY:
                states["shell_first"] = "seen"
        elif warmer < 1.0:
            states["shell_crept"] = "not there"
    powers = {}
    if "motor_power" in moved and "seen" in (states.get("power_crept_up"), states.get("flow_first")):
        powers = {name: f"{value / 1e3:.2f} kW"
                  for name, value in zip(("power_before", "power_after"), moved["motor_power"], strict=True)}
    at = f", signals to {state.at:%d %B %Y %H:%M} UTC" if state.at else ""
    return SignalEvidence(f"{state.pump.tag}, running{at}", states, powers)


def enquiry_of(store: Store, state: PumpState) -> tuple[str, str] | None:
    """Project and path of the enquiry that a pump is watched with; None where no project holds it as it is."""
    wanted = None if state.watch is None else state.watch.about.get("enquiry_sha256")
    for project in projects(store):
        for one in documents(store, project.name, kind="enquiry"):
            if one.sha256 == wanted:
                return project.name, one.path
    return None
