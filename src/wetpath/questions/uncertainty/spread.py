"""Spreads: between which changes an input may lie, how likely each is, and where that is known from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from wetpath.edge.quantities import RATIO, TEMPERATURE_DIFFERENCE, Kind
from wetpath.edge.units import parse
from wetpath.errors import InputError, UnknownName
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.sensitivity.variable import Variable

Array = NDArray[np.float64]
Shape = Literal["even", "normal", "log-normal"]

#: Share of all values between low and high of a normal or log-normal spread; its quantile is at half the rest.
BETWEEN = 0.95


@dataclass(frozen=True)
class Spread:
    """Changes of one input, SI, and their probabilities."""

    name: str
    low: float
    high: float
    shape: Shape
    source: str
    status: str
    meaning: str

    def changes(self, probability: ArrayLike, nominal: float) -> Array:
        """Change below which the input lies with a probability; ``nominal`` is the value it has in the rating.

        >>> tenth = Spread("x", -0.1, 0.1, "even", "", "", "")
        >>> [round(float(x), 9) for x in tenth.changes([0.0, 0.5, 0.75], 1.0)]
        [-0.1, 0.0, 0.05]
        """
        share = np.asarray(probability, float)
        if self.shape == "even":
            return self.low + (self.high - self.low) * share
        deviates = ndtri(share) / ndtri(0.5 + BETWEEN / 2)
        if self.shape == "normal":
            return 0.5 * (self.low + self.high) + 0.5 * (self.high - self.low) * deviates
        low, high = np.log1p(self.low / nominal), np.log1p(self.high / nominal)
        return nominal * np.expm1(0.5 * (low + high) + 0.5 * (high - low) * deviates)


@cache
def _table() -> Mapping[str, Mapping[str, str]]:
    text = files("wetpath").joinpath("data", "practice", "spreads.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def factor_range(name: str) -> tuple[float, float]:
    """Lowest and highest value of a factor of 1 whose row of the table gives its changes in %."""
    row = _table()[name]
    return 1.0 + parse(row["low"], RATIO), 1.0 + parse(row["high"], RATIO)


def spread_name(variable: Variable, pump: PumpFile) -> str:
    """Row of the table that holds for a variable of this pump: what was measured on it has a row of its own."""
    if variable.name == "shell_loss_factor" and pump.measured is not None and pump.measured.shell_loss:
        return "measured_shell_loss"
    if variable.name == "resistivity_factor" and pump.containment_shell.resistivity:
        return "certified_resistivity"
    return variable.spread_name


def default_spread(variable: Variable, pump: PumpFile) -> Spread:
    """The spread that comes with the program."""
    name = spread_name(variable, pump)
    row = _table()[name]
    low, high = (_change(row[side], variable) for side in ("low", "high"))
    return Spread(name, low, high, cast(Shape, row["shape"]), row["source"], row["status"], row["meaning"])


def spreads_of(variables: Sequence[Variable], pump: PumpFile, given: Mapping[str, str] | None = None
               ) -> tuple[Spread, ...]:
    """Spreads of variables: those given as texts like ``"-0.1 bar to 0.1 bar"``, else the defaults.

    A given spread is even between its ends; ``"0"`` takes the input as exactly known.
    """
    own = dict(given or {})
    for name in own:
        if name not in {variable.name for variable in variables}:
            known = [variable.name for variable in variables]
            raise UnknownName("input", name, known, field="--spread", do=f"take one of {', '.join(known)}")
    found = []
    for variable in variables:
        spread = given_spread(own[variable.name], variable) if variable.name in own else default_spread(variable, pump)
        if spread.shape == "log-normal" and min(spread.low, spread.high) <= -variable.nominal:
            raise InputError("would make it zero or negative", field=f"--spread {variable.name}")
        found.append(spread)
    return tuple(found)


def given_spread(text: str, variable: Variable) -> Spread:
    """Read a spread as a user types it: two changes with ``to`` between them, or one for both ways, or 0."""
    field = f"--spread {variable.name}"
    parts = [part.strip() for part in text.split(" to ")]
    if parts == ["0"]:
        return Spread(variable.name, 0.0, 0.0, "even", "given", "given", "exactly known")
    try:
        if len(parts) == 1:
            high = _change(parts[0].removeprefix("+/-").removeprefix("±").strip(), variable)
            low = -high
        elif len(parts) == 2:
            low, high = (_change(part, variable) for part in parts)
        else:
            raise InputError("is not a spread", value=f'"{text}"')
    except InputError as error:
        told = error.problem
        raise InputError(told.text, field=field, value=told.value, why=told.why, do=told.do or (
            'write for example "3 %", or "-0.1 bar to 0.2 bar", or 0 for exactly known')) from None
    if not low < high:
        raise InputError("does not go from low to high", field=field, value=f'"{text}"',
                         do="the first change is the lower one")
    if variable.nominal + low <= 0:
        raise InputError("would make it zero or negative", field=field, value=f'"{text}"')
    return Spread(variable.name, low, high, "even", "given", "given", "as given")


def _change(text: str, variable: Variable) -> float:
    """A change in SI: a share of the value in %, or a difference with its unit."""
    plain = text.strip()
    if plain.endswith("%"):
        if variable.kind == TEMPERATURE_DIFFERENCE:
            raise InputError("is a share of an absolute temperature", value=f'"{text}"',
                             do='give a difference, for example "2 K"')
        return parse(plain, RATIO) * variable.nominal
    kind: Kind = variable.kind
    return parse(plain, kind)


