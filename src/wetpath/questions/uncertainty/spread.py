"""Spreads: between which changes an input may lie, how likely each is, and where that is known from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from wetpath.edge.spreads import Shape, SpreadRow, change_of, default_spreads
from wetpath.errors import InputError, UnknownName
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.sensitivity.variable import Variable

Array = NDArray[np.float64]

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


def shell_loss_spread(pump: PumpFile) -> str:
    """Row of the table for the shell loss: one measured on the pump has a row of its own."""
    return "measured_shell_loss" if pump.measured is not None and pump.measured.shell_loss else "shell_loss_factor"


def spread_name(variable: Variable, pump: PumpFile) -> str:
    """Row of the table that holds for a variable of this pump: what was measured on it has a row of its own."""
    if variable.name == "shell_loss_factor":
        return shell_loss_spread(pump)
    if variable.name == "resistivity_factor" and pump.containment_shell.resistivity:
        return "certified_resistivity"
    return variable.spread_name


def default_spread(variable: Variable, pump: PumpFile, rows: Mapping[str, SpreadRow] | None = None) -> Spread:
    """The spread of the practice, ``rows``, or without it the one that comes with the program."""
    row = (default_spreads() if rows is None else rows)[spread_name(variable, pump)]
    low, high = row.changes(variable.nominal)
    found = Spread(row.name, low, high, row.shape, row.source, row.status, row.meaning)
    if not low < high and (low, high) != (0.0, 0.0):
        raise InputError("is not below high", field=f"spreads.{row.name}.low", value=f'"{row.low}"',
                         do="low is the lower of the two changes")
    if row.status == "given":
        _leaves_some(found, variable, f"spreads.{row.name}")
    return found


def spreads_of(variables: Sequence[Variable], pump: PumpFile, given: Mapping[str, str] | None = None,
               rows: Mapping[str, SpreadRow] | None = None) -> tuple[Spread, ...]:
    """Spreads of variables: those given as texts like ``"-0.1 bar to 0.1 bar"``, else those of the practice.

    A given spread is even between its ends; ``"0"`` takes the input as exactly known.
    """
    own = dict(given or {})
    for name in own:
        if name not in {variable.name for variable in variables}:
            known = [variable.name for variable in variables]
            raise UnknownName("input", name, known, field="--spread", do=f"take one of {', '.join(known)}")
    found = []
    for variable in variables:
        spread = (given_spread(own[variable.name], variable) if variable.name in own
                  else default_spread(variable, pump, rows))
        if spread.shape == "log-normal":
            _leaves_some(spread, variable, f"--spread {variable.name}")
        found.append(spread)
    return tuple(found)


def _leaves_some(spread: Spread, variable: Variable, field: str) -> None:
    if min(spread.low, spread.high) <= -variable.nominal:
        raise InputError(f"would make {variable.title} zero or negative", field=field,
                         do="give a lowest change that leaves some of it")


def given_spread(text: str, variable: Variable) -> Spread:
    """Read a spread as a user types it: two changes with ``to`` between them, or one for both ways, or 0."""
    field = f"--spread {variable.name}"
    parts = [part.strip() for part in text.split(" to ")]
    if parts == ["0"]:
        return Spread(variable.name, 0.0, 0.0, "even", "given", "given", "exactly known")
    try:
        if len(parts) == 1:
            high = change_of(parts[0].removeprefix("+/-").removeprefix("±").strip(), variable.kind, variable.nominal)
            low = -high
        elif len(parts) == 2:
            low, high = (change_of(part, variable.kind, variable.nominal) for part in parts)
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
