"""Mechanisms, findings and words as the program knows them, each with the tag of where it comes from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import exp, log
from typing import Any

from wetpath.errors import DataError, UnknownName

#: The mechanism that stands for all that is not listed.
SOMETHING_ELSE = "something_else"
#: Where every word of the catalogue comes from.
CATALOGUE_TAG, USER_TAG = "common practice, no source", "the user's own"


@dataclass(frozen=True)
class Band:
    """A probability in words, with its limits."""

    word: str
    low: float
    high: float

    @property
    def middle(self) -> float:
        """Its number: the middle of the band in log odds."""
        return 1 / (1 + exp(-(_log_odds(self.low) + _log_odds(self.high)) / 2))


@dataclass(frozen=True)
class Mechanism:
    """One way in which a pump fails."""

    name: str
    title: str
    how: str
    remedies: tuple[str, ...]


@dataclass(frozen=True)
class Finding:
    """Something to be looked for; ``likelihoods``: how likely it is seen when a mechanism was at work."""

    name: str
    title: str
    part: str
    group: str                       # findings of one trace, which count once
    otherwise: str                   # word for all mechanisms that are not named
    likelihoods: Mapping[str, str]
    tag: str = CATALOGUE_TAG

    def word(self, mechanism: str) -> str:
        """How likely it is seen when that mechanism was at work."""
        return self.likelihoods.get(mechanism, self.otherwise)


@cache
def bands() -> dict[str, Band]:
    """Every word of likelihood by itself."""
    return {word: Band(word, low, high) for word, (low, high) in _table("scales")["likelihood"]["words"].items()}


def band(word: str) -> Band:
    """One word of likelihood; raise `UnknownName` with the nearest."""
    try:
        return bands()[word]
    except KeyError:
        raise UnknownName("word of likelihood", word, bands(), do=f"known: {', '.join(bands())}") from None


def support(ratio: float) -> str:
    """How strongly a likelihood ratio of 1 or more supports one mechanism against another, in words.

    >>> support(1.5), support(10.0), support(999.0)
    ('no support', 'moderate support', 'moderately strong support')
    """
    return [word for word, least in _table("scales")["support"]["words"].items() if ratio >= least or least == 1.0][-1]


def physics_word(which: str) -> str:
    """Word that a test of the physics counts with: allowed_with, allowed_otherwise, power_fits, ..."""
    return str(_table("scales")["physics"][which])


def passed_otherwise(test: str) -> str:
    """Word for how likely a test of the physics is passed when its mechanism was not at work."""
    return str(_table("scales")["physics"]["otherwise"].get(test, physics_word("allowed_otherwise")))


@cache
def mechanisms() -> dict[str, Mechanism]:
    """Every mechanism by name, the one that stands for all others last."""
    found = {name: Mechanism(name, row["title"], row["how"], tuple(row["remedies"]))
             for name, row in _table("mechanisms").items()}
    if list(found)[-1] != SOMETHING_ELSE:
        raise DataError(f"The last mechanism of the catalogue has to be {SOMETHING_ELSE}.")
    return found


@cache
def findings() -> dict[str, Finding]:
    """Every finding by name, in the order of the checklist."""
    found = {}
    for name, row in _table("findings").items():
        words = {*row["seen_with"].values(), row["otherwise"]}
        if words - set(bands()) or set(row["seen_with"]) - set(mechanisms()):
            raise DataError(f"The finding {name} of the catalogue names a word or a mechanism that is not there.")
        found[name] = Finding(name, row["title"], row["part"], row["group"], row["otherwise"], row["seen_with"])
    return found


def _log_odds(share: float) -> float:
    return log(share / (1 - share))


@cache
def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(files("wetpath").joinpath("data", "investigation", f"{name}.toml").read_text("utf-8"))
