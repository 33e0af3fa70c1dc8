"""Weighing of evidence: prior where nothing is known, monotone, free of order, groups once, a bound on the unproven."""

import itertools

import numpy as np
import pytest
from scipy.stats import entropy

from wetpath.investigation.catalogue import SOMETHING_ELSE, bands, findings, mechanisms, support
from wetpath.investigation.next_look import next_looks
from wetpath.investigation.weighing import HIGHEST_UNPROVEN, Item, expected_information, posterior, weigh

NAMES = tuple(mechanisms())
EVEN = np.ones(len(NAMES))


def seen(name: str, **more: object) -> Item:
    return Item.of(findings()[name], seen=True, **more)


def share(weighed, name: str) -> float:
    return float(weighed.uncapped[NAMES.index(name)])


def test_posterior_by_hand(against) -> None:
    # 0.5 x 0.8 x 0.9 = 0.36, 0.3 x 0.2 x 0.9 = 0.054, 0.2 x 0.2 x 0.1 = 0.004; sum 0.418
    found = posterior(np.array([0.5, 0.3, 0.2]), np.log([[0.8, 0.2, 0.2], [0.9, 0.9, 0.1]]))
    for ours, expected in zip(found, (0.36 / 0.418, 0.054 / 0.418, 0.004 / 0.418), strict=True):
        against("bayes-theorem", "derived", "share of a hypothesis", ours, expected, rel=1e-12)


def test_posterior_against_counting_of_worlds(against) -> None:
    """Of a million drawn worlds those with the evidence, counted; three standard errors of the count."""
    random = np.random.default_rng(3)
    holds = random.choice(3, size=1_000_000, p=[0.5, 0.3, 0.2])
    first = random.random(holds.size) < np.array([0.7, 0.4, 0.1])[holds]
    second = random.random(holds.size) < np.array([0.2, 0.6, 0.5])[holds]
    with_evidence = holds[first & ~second]
    counted = np.bincount(with_evidence) / with_evidence.size
    found = posterior(np.array([5.0, 3.0, 2.0]), np.log([[0.7, 0.4, 0.1], [0.8, 0.4, 0.5]]))
    for ours, expected in zip(found, counted, strict=True):
        room = 3 * np.sqrt(expected * (1 - expected) / with_evidence.size)
        against("bayes-theorem", "computed", "share by counting", ours, expected, abs=room)


def test_information_against_scipy(against) -> None:
    for q, first, second in ((0.3, 0.9, 0.2), (0.5, 0.4, 0.7), (0.97, 0.05, 0.6)):
        joint = np.array([[q * first, q * (1 - first)], [(1 - q) * second, (1 - q) * (1 - second)]])
        mutual = entropy(joint.sum(0), base=2) + entropy(joint.sum(1), base=2) - entropy(joint.ravel(), base=2)
        against("lindley-1956", "computed", "expected information", expected_information(q, first, second), mutual,
                abs=1e-12, unit="bit")


def test_ignorance_gives_the_prior() -> None:
    prior = np.arange(1.0, len(NAMES) + 1)
    assert weigh(NAMES, prior, []).shares == pytest.approx(prior / prior.sum())
    nothing = Item("nothing", "", "nothing", {}, "likely", seen=True)
    assert weigh(NAMES, prior, [nothing]).shares == pytest.approx(prior / prior.sum())
    assert weigh(NAMES, prior, [seen("magnets_weak", weight=0.0)]).shares == pytest.approx(prior / prior.sum())


def test_order_changes_nothing() -> None:
    items = [seen("bearings_crazed"), seen("shell_crept"), Item.of(findings()["suction_first"], seen=False),
             seen("sleeves_tinted")]
    first = weigh(NAMES, EVEN, items)
    for other in itertools.permutations(items):
        again = weigh(NAMES, EVEN, other)
        assert (again.shares == first.shares).all()
        assert (again.ranges == first.ranges).all()


@pytest.mark.parametrize("name", list(findings()))
def test_what_a_finding_is_likely_with_gains_by_it(name: str) -> None:
    finding = findings()[name]
    best = max(NAMES, key=lambda one: bands()[finding.word(one)].middle)
    before = share(weigh(NAMES, EVEN, []), best)
    with_it, without_it = (share(weigh(NAMES, EVEN, [Item.of(finding, seen=state)]), best) for state in (True, False))
    assert without_it < before < with_it


def test_a_stronger_word_gives_a_larger_share() -> None:
    order = sorted(bands(), key=lambda word: bands()[word].middle)
    shares = [share(weigh(NAMES, EVEN, [seen("hot_weather", own={"attack": word})]), "attack") for word in order]
    assert (np.diff(shares) > 0).all()


def test_a_group_counts_once() -> None:
    both = weigh(NAMES, EVEN, [seen("bearings_crazed"), seen("sleeves_tinted")])
    assert both.counted.sum() == 1
    alone = weigh(NAMES, EVEN, [both.items[int(both.counted.argmax())]])
    assert both.shares == pytest.approx(alone.shares)


def test_not_there_does_not_displace_what_was_seen() -> None:
    crept = weigh(NAMES, EVEN, [seen("shell_crept")])
    both = crept.with_item(Item.of(findings()["shell_rose_in_seconds"], seen=False))
    assert both.shares == pytest.approx(crept.shares)


def test_no_share_above_the_bound_without_physics() -> None:
    items = [seen("magnetic_paste"), seen("shell_grooved_inside"), seen("power_crept_up"), seen("shell_crept")]
    place, rest = NAMES.index("magnetic_solids"), NAMES.index(SOMETHING_ELSE)
    free = weigh(NAMES, EVEN, items)
    assert free.uncapped[place] > HIGHEST_UNPROVEN
    assert free.shares[place] == pytest.approx(HIGHEST_UNPROVEN)
    assert free.ranges[1, place] <= HIGHEST_UNPROVEN + 1e-12
    assert free.shares.sum() == pytest.approx(1.0)
    assert free.shares[rest] > free.uncapped[rest]
    proven = np.zeros(len(NAMES), bool)
    proven[place] = True
    assert weigh(NAMES, EVEN, items, proven).shares[place] == pytest.approx(free.uncapped[place])


def test_ranges_hold_the_share_and_are_the_same_again() -> None:
    one, other = (weigh(NAMES, EVEN, [seen("shell_crept"), seen("bearings_crazed")]) for _ in range(2))
    assert (one.ranges[0] <= one.shares).all()
    assert (one.shares <= one.ranges[1]).all()
    assert (one.ranges == other.ranges).all()


def test_next_looks_are_open_and_in_order() -> None:
    weighed = weigh(NAMES, EVEN, [seen("power_fell_at_once"), seen("no_flow_motor_running")])
    looks = next_looks(weighed, tuple(findings().values()))
    gains = [look.information for look in looks]
    assert gains == sorted(gains, reverse=True)
    assert not {look.finding.group for look in looks} & {item.group for item in weighed.items}
    now = weighed.uncapped[weighed.order[0]] / weighed.uncapped[weighed.order[1]]
    assert all(min(look.if_seen, look.if_not_there) < now < max(look.if_seen, look.if_not_there) for look in looks)


def test_words_of_support_at_their_limits(against) -> None:
    # limits of the guideline's scale, recalled
    for word, least in (("weak support", 2), ("moderate support", 10), ("moderately strong support", 100),
                        ("strong support", 1000), ("very strong support", 10_000),
                        ("extremely strong support", 1_000_000)):
        below = next(ratio for ratio in np.geomspace(1, 2e6, 40_001) if support(ratio) == word)
        against("enfsi-2015", "recalled", f"least ratio of {word}", below, least, rel=4e-4)


def test_something_else_is_kept_to_the_bound_too() -> None:
    rest = NAMES.index(SOMETHING_ELSE)
    prior = np.where(np.arange(len(NAMES)) == rest, 1e6, 1.0)
    weighed = weigh(NAMES, prior, [seen("shell_crept", weight=0.1)], np.ones(len(NAMES), bool))
    assert weighed.uncapped[rest] > 0.99
    assert weighed.shares[rest] == pytest.approx(HIGHEST_UNPROVEN)
    assert weighed.shares.sum() == pytest.approx(1.0)
    assert weighed.ranges[1, rest] <= HIGHEST_UNPROVEN + 1e-12
    others = np.arange(len(NAMES)) != rest
    kept = weighed.shares[others] / weighed.uncapped[others]
    assert kept == pytest.approx(np.full(kept.size, kept[0]))
