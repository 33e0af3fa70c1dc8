"""What to look at next: the findings that are expected to tell most between the two leading mechanisms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetpath.investigation.catalogue import Finding, band
from wetpath.investigation.weighing import Item, Weighed, expected_information

#: A look that gives less than this is not worth telling [bit].
LEAST_INFORMATION = 0.005


@dataclass(frozen=True)
class Look:
    """One finding not looked at yet, between the first and the second mechanism."""

    finding: Finding
    information: float      # expected [bit]; 1 would decide between two even ones for certain
    if_seen: float          # odds of the first to the second then
    if_not_there: float


def next_looks(weighed: Weighed, findings: Sequence[Finding]) -> tuple[Look, ...]:
    """Findings by the information expected between the two leading mechanisms, the most telling first.

    A finding of a group that is told already is left out: it comes from the same trace.
    """
    first, second = weighed.order[:2]
    share = float(weighed.uncapped[first] / (weighed.uncapped[first] + weighed.uncapped[second]))
    told = {item.group for item in weighed.items}
    looks = []
    for finding in findings:
        words = [band(finding.word(weighed.mechanisms[one])).middle for one in (first, second)]
        gain = expected_information(share, *words)
        if finding.group in told or gain < LEAST_INFORMATION:
            continue
        seen, missing = (weighed.with_item(Item.of(finding, seen=state)).uncapped for state in (True, False))
        looks.append(Look(finding, gain, float(seen[first] / seen[second]), float(missing[first] / missing[second])))
    return tuple(sorted(looks, key=lambda one: (-one.information, one.finding.name)))
