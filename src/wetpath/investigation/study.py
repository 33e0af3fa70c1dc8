"""One investigation: evidence and tests of the physics put together, and what may be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import UnknownName
from wetpath.investigation.catalogue import (
    SOMETHING_ELSE,
    Finding,
    Mechanism,
    mechanisms,
    passed_otherwise,
    physics_word,
    support,
)
from wetpath.investigation.evidence import EVEN, EvidenceFile, FindingEntry
from wetpath.investigation.next_look import Look, next_looks
from wetpath.investigation.physics_tests import PhysicsTest, Says, all_tests
from wetpath.investigation.power_test import PowerTest, power_test
from wetpath.investigation.reality import Reality
from wetpath.investigation.weighing import TELLS, Item, Weighed, weigh
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]

#: The first is named alone when its low end is above the high end of the second, it has more than this, and the
#: evidence by itself, without the prior, favours it by at least a likelihood ratio that is called moderate support.
NAMED_ALONE, MODERATE = 0.5, 10.0
#: Name under which the weight of the power recorded is told.
POWER = "power_recorded"
LIMITS = (
    "Mechanisms are taken to exclude each other. Where one led to another, the share goes to both: put the events in "
    "order and take the first.",
    "Findings of different groups are taken as independent of each other once the mechanism is given. Findings that "
    "come from one trace are in one group, of which the most telling counts.",
    "Words of likelihood are common practice without a source, or the user's own. Ranges are those of the words alone, "
    "each anywhere in its band; an error of judgement can be larger.",
    "Before the evidence all mechanisms weigh the same unless the file says otherwise; no failure rates are used.",
    "A test of the physics tells what this pump allows, steady and as rated, not what happened.")


class Standing(StrEnum):
    """How far it is decided."""

    POINTS = "points to one"
    UNPROVEN = "points to one, without a test of the physics passed"
    OPEN = "open between two"
    NOTHING = "says nothing yet"
    ELSE = "none of the list explains it"


class Tells(StrEnum):
    """What an item says of a mechanism."""

    EXPLAINS = "explains"
    CONTRADICTS = "contradicts"
    NOTHING = "says nothing"


@dataclass(frozen=True, eq=False)
class Investigation:
    """Everything one investigation found."""

    evidence: EvidenceFile
    reality: Reality
    weighed: Weighed
    tests: tuple[PhysicsTest, ...]
    power: PowerTest
    looks: tuple[Look, ...]

    @property
    def rating(self) -> Rating:
        """The rating of the pump the tests stand on."""
        return self.reality.rating

    @property
    def ranked(self) -> tuple[Mechanism, ...]:
        """Mechanisms, the most probable first."""
        known = mechanisms()
        return tuple(known[self.weighed.mechanisms[one]] for one in self.weighed.order)

    def share(self, mechanism: str) -> tuple[float, float, float]:
        """Share of a mechanism and the ends of its range."""
        one = self.weighed.mechanisms.index(mechanism)
        low, high = self.weighed.ranges[:, one]
        return float(self.weighed.shares[one]), float(low), float(high)

    def tested(self, mechanism: str) -> PhysicsTest | None:
        """The test of the physics of a mechanism; None where there is none."""
        return next((one for one in self.tests if one.mechanism == mechanism), None)

    @property
    def ratio(self) -> float:
        """Likelihood ratio of all evidence for the first mechanism against the second, the prior left out."""
        first, second = self.weighed.order[:2]
        return float(np.exp(self.weighed.log_likelihood.sum(axis=0)[first]
                            - self.weighed.log_likelihood.sum(axis=0)[second]))

    @property
    def support(self) -> str:
        """The same in words; of the ratio for the second where that is what the evidence favours."""
        return support(max(self.ratio, 1 / self.ratio))

    @property
    def standing(self) -> Standing:
        """How far it is decided; one mechanism is named alone only with a range apart and physics that allows it."""
        looked = any(entry.state in ("seen", "not there") for entry in self.evidence.findings)
        if not looked and self.power.recorded is None:
            return Standing.NOTHING
        first, second = self.ranked[:2]
        if first.name == SOMETHING_ELSE:
            return Standing.ELSE
        share, low, _ = self.share(first.name)
        if share <= NAMED_ALONE or low <= self.share(second.name)[2] or self.ratio < MODERATE:
            return Standing.OPEN
        test = self.tested(first.name)
        return Standing.POINTS if test is not None and _passed(test, self.evidence) else Standing.UNPROVEN

    def cell(self, item: int, mechanism: str) -> Tells:
        """What an item of evidence says of a mechanism."""
        ratio = float(self.weighed.tells(item)[self.weighed.mechanisms.index(mechanism)])
        if ratio >= TELLS:
            return Tells.EXPLAINS
        return Tells.CONTRADICTS if ratio <= 1 / TELLS else Tells.NOTHING


def investigate(evidence: EvidenceFile, rating: Rating) -> Investigation:
    """Weigh the mechanisms by the evidence and by what the rated pump allows."""
    case = rating.case_number(evidence.case) if evidence.case else rating.verdict.case
    reality = Reality(rating, case, evidence.recorded)
    tests, power = all_tests(reality), power_test(reality)
    known = evidence.catalogue()
    names = tuple(mechanisms())
    prior = np.array([evidence.priors.get(name, EVEN) for name in names])
    items = [_item(entry, known[entry.id]) for entry in evidence.findings if entry.state in ("seen", "not there")]
    _weights_are_known(evidence, tests)
    items += [one for test in tests if (one := physics_item(test, evidence.weight(test.name))) is not None]
    measured = power.item(evidence.weight(POWER))
    if measured is not None:
        items.append(measured)
    proven = np.array([any(_passed(one, evidence) for one in tests if one.mechanism == name) for name in names])
    weighed = weigh(names, prior, items, proven)
    closed = {entry.id for entry in evidence.findings if entry.state != "not looked at"}
    open_ones = [finding for name, finding in known.items() if name not in closed]
    return Investigation(evidence, reality, weighed, tests, power, next_looks(weighed, open_ones))


def _item(entry: FindingEntry, finding: Finding) -> Item:
    return Item.of(finding, seen=entry.state == "seen", weight=entry.weight, own=entry.likelihoods)


def _passed(test: PhysicsTest, evidence: EvidenceFile) -> bool:
    """Whether a test allows its mechanism, and is trusted at all."""
    return test.says is Says.FOR and evidence.weight(test.name) > 0.0


def _weights_are_known(evidence: EvidenceFile, tests: Sequence[PhysicsTest]) -> None:
    known = (*(one.name for one in tests), POWER)
    for name in evidence.weights:
        if name not in known:
            raise UnknownName("test of the physics", name, known, field="weights", do=f"known: {', '.join(known)}")


def physics_item(test: PhysicsTest, weight: float = 1.0) -> Item | None:
    """A test as an item of evidence on its mechanism; None where it says nothing."""
    if test.says is Says.NOTHING:
        return None
    return Item(f"physics: {test.name}", test.question, f"physics: {test.name}",
                {test.mechanism: physics_word("allowed_with")}, passed_otherwise(test.name),
                seen=test.says is Says.FOR, weight=weight)
