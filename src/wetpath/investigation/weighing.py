"""Bayes' theorem over rival mechanisms: items of evidence in, shares with their ranges out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetpath.investigation.catalogue import SOMETHING_ELSE, Finding, band
from wetpath.physics.published import published

Array = NDArray[np.float64]
#: Numbers for words of likelihood, the word for all mechanisms not named first.
Numbers = Callable[[Sequence[str]], list[Array]]

#: Draws of the weights, their seed, and the shares of the draws between which a range is told.
DRAWS, SEED, RANGE = 4000, 20240611, (5.0, 95.0)
#: No mechanism is given more than this without a test of the physics that it has passed.
HIGHEST_UNPROVEN = 0.95
#: From this likelihood ratio against the mean of all mechanisms an item explains, below its inverse it contradicts.
TELLS = 2.0


@dataclass(frozen=True)
class Item:
    """One piece of evidence: a word of likelihood for each mechanism, and whether it was seen.

    ``seen`` false: it was looked for and is not there, which is as likely as one less the word. ``weight`` is the power
    its likelihoods are raised to. Mechanisms not in ``words`` have the word ``otherwise``.
    """

    name: str
    title: str
    group: str
    words: Mapping[str, str]
    otherwise: str
    seen: bool
    weight: float = 1.0

    @classmethod
    def of(cls, finding: Finding, *, seen: bool, weight: float = 1.0, own: Mapping[str, str] | None = None) -> Item:
        """A finding with its state, the user's own words over those of the catalogue."""
        return cls(finding.name, finding.title, finding.group, {**finding.likelihoods, **(own or {})},
                   finding.otherwise, seen, weight)


@published("bayes-theorem", status="exact")
def posterior(prior: Array, log_likelihood: Array) -> Array:
    r"""Shares of rival hypotheses, :math:`P(M_i|E) = p_i\prod_k L_{ki}/\sum_j p_j\prod_k L_{kj}`.

    Parameters
    ----------
    prior : array (hypotheses,) [-], > 0
        Weights before the evidence, to any scale.
    log_likelihood : array (..., items, hypotheses) [-]
        Natural logarithms of the likelihoods of what was found.

    Returns
    -------
    array (..., hypotheses) [-], sums to 1.

    Notes
    -----
    The hypotheses exclude each other and one of them holds; items are independent given each of them.

    References
    ----------
    .. [1] Bayes' theorem; exact.

    Examples
    --------
    >>> posterior(np.array([1.0, 1.0]), np.log([[0.8, 0.2]])).round(3).tolist()
    [0.8, 0.2]
    """
    logs = np.log(prior / prior.sum()) + log_likelihood.sum(axis=-2)
    shares = np.exp(logs - logs.max(axis=-1, keepdims=True))
    return np.asarray(shares / shares.sum(axis=-1, keepdims=True))


@published("lindley-1956", status="recalled")
def expected_information(share: float, seen_first: float, seen_second: float) -> float:
    r"""Information a look is expected to give on which of two hypotheses holds [bit].

    :math:`H(q) - \sum_s P(s)H(q_s)`, H the entropy of two outcomes.

    Parameters
    ----------
    share : float [-]
        Of the first of the two, q.
    seen_first, seen_second : float [-]
        How likely it is seen when the first, the second holds.

    Returns
    -------
    float [bit], from 0 to 1.

    References
    ----------
    .. [1] Lindley, Ann. Math. Statist. 27 (1956) 986. Recalled.

    Examples
    --------
    >>> expected_information(0.5, 1.0, 0.0), expected_information(0.3, 0.4, 0.4)
    (1.0, 0.0)
    """
    left = _entropy(share)
    for first, second in ((seen_first, seen_second), (1 - seen_first, 1 - seen_second)):
        chance = share * first + (1 - share) * second
        if chance > 0:
            left -= chance * _entropy(share * first / chance)
    return max(left, 0.0)


def _entropy(share: float) -> float:
    parts = np.array([share, 1 - share])
    parts = parts[parts > 0]
    return float(-(parts * np.log2(parts)).sum()) + 0.0


@dataclass(frozen=True, eq=False)
class Weighed:
    """Mechanisms weighed by items of evidence."""

    mechanisms: tuple[str, ...]
    prior: Array                    # (mechanisms,), sums to 1
    items: tuple[Item, ...]
    counted: NDArray[np.bool_]      # (items,) the most telling of its group
    proven: NDArray[np.bool_]       # (mechanisms,) has passed a test of the physics

    @cached_property
    def log_likelihood(self) -> Array:
        """(items, mechanisms) with the number of each word, weight and group counted in."""
        return self._logs(_middles)

    @cached_property
    def uncapped(self) -> Array:
        """Shares before the bound on what is not proven, (mechanisms,)."""
        return posterior(self.prior, self.log_likelihood)

    @cached_property
    def shares(self) -> Array:
        """Shares of the mechanisms, (mechanisms,); sums to 1."""
        return capped(self.uncapped, self.proven, self.mechanisms)

    @cached_property
    def ranges(self) -> Array:
        """Low and high ends of the shares when every word may be anywhere in its band, (2, mechanisms)."""
        random = np.random.default_rng(SEED)
        draws = self._logs(lambda words: _drawn(words, random))
        shares = capped(posterior(self.prior, draws), self.proven, self.mechanisms)
        low, high = np.percentile(shares, RANGE, axis=0)
        return np.array([np.minimum(low, self.shares), np.maximum(high, self.shares)])

    @cached_property
    def order(self) -> tuple[int, ...]:
        """Mechanisms by share, the largest first; of equal ones as listed."""
        return tuple(sorted(range(len(self.mechanisms)), key=lambda one: (-self.shares[one], one)))

    def tells(self, item: int) -> Array:
        """Likelihood ratio of an item for each mechanism against the mean of all, (mechanisms,); as if it counted."""
        likelihood = np.exp(_item_logs(self.items[item], self.mechanisms, _middles))
        return np.asarray(likelihood / (self.prior * likelihood).sum())

    def with_item(self, item: Item) -> Weighed:
        """The same with one more item."""
        return weigh(self.mechanisms, self.prior, (*self.items, item), self.proven)

    def _logs(self, numbers: Numbers) -> Array:
        rows = [_item_logs(item, self.mechanisms, numbers) * counts
                for item, counts in zip(self.items, self.counted, strict=True)]
        if not rows:
            return np.zeros((0, len(self.mechanisms)))
        return np.stack(np.broadcast_arrays(*rows), axis=-2)


def weigh(mechanisms: Sequence[str], prior: Array, items: Sequence[Item],
          proven: NDArray[np.bool_] | None = None) -> Weighed:
    """Weigh mechanisms by items of evidence; of a group one is counted: seen before not there, then the most telling.

    Items are put in the order of their names first, so that the order in which they are given changes nothing.
    """
    ordered = tuple(sorted(items, key=lambda one: one.name))
    shares = np.asarray(prior, np.float64) / np.sum(prior)
    told = [(item.seen, _spread(item, tuple(mechanisms), shares)) for item in ordered]
    best: dict[str, int] = {}
    for number, item in enumerate(ordered):
        if item.group not in best or told[number] > told[best[item.group]]:
            best[item.group] = number
    counted = np.array([best[item.group] == number for number, item in enumerate(ordered)], bool)
    passed = np.zeros(len(mechanisms), bool) if proven is None else proven
    return Weighed(tuple(mechanisms), shares, ordered, counted, passed)


def capped(shares: Array, proven: NDArray[np.bool_], mechanisms: Sequence[str]) -> Array:
    """Shares with none that is not proven above the bound; what is over it goes to something else.

    Something else, which no test can prove, is kept to the same bound: what is over it goes to all others alike.
    """
    rest = list(mechanisms).index(SOMETHING_ELSE)
    bound = ~proven
    bound[rest] = False
    over = np.where(bound, np.maximum(shares - HIGHEST_UNPROVEN, 0.0), 0.0)
    found = shares - over
    found[..., rest] += over.sum(axis=-1)
    most = np.minimum(found[..., [rest]], HIGHEST_UNPROVEN)
    others = np.delete(found, rest, axis=-1).sum(axis=-1, keepdims=True)
    found = np.where(found[..., [rest]] > most, found * (1 - most) / np.maximum(others, 1e-300), found)
    found[..., [rest]] = most
    return np.asarray(found)


def _item_logs(item: Item, mechanisms: Sequence[str], numbers: Numbers) -> Array:
    """Logarithms of the likelihoods of an item, (..., mechanisms)."""
    named = [one for one in mechanisms if one in item.words]
    otherwise, *own = numbers([item.otherwise, *(item.words[one] for one in named)])
    shares = dict(zip(named, own, strict=True))
    chance = np.stack([shares.get(one, otherwise) for one in mechanisms], axis=-1)
    return np.asarray(item.weight * np.log(chance if item.seen else 1 - chance))


def _spread(item: Item, mechanisms: Sequence[str], prior: Array) -> float:
    """How far an item tells the mechanisms apart: standard deviation of its logarithms over the prior."""
    logs = _item_logs(item, mechanisms, _middles)
    return float(np.sqrt((prior * (logs - (prior * logs).sum()) ** 2).sum()))


def _middles(words: Sequence[str]) -> list[Array]:
    return [np.asarray(band(word).middle) for word in words]


def _drawn(words: Sequence[str], random: np.random.Generator) -> list[Array]:
    """A number anywhere in the band of each word, even in log odds; (DRAWS,) each."""
    found = []
    for word in words:
        one = band(word)
        ends = np.log([one.low / (1 - one.low), one.high / (1 - one.high)])
        found.append(1 / (1 + np.exp(-random.uniform(ends[0], ends[1], DRAWS))))
    return found
