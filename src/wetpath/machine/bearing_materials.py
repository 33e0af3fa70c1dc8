"""The table of bearing pairs: what each bears, and which liquids attack it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from wetpath.edge.quantities import LOAD_TIMES_SPEED, STRESS, TEMPERATURE_DIFFERENCE, Kind
from wetpath.edge.tables import Origin
from wetpath.edge.units import parse

_KINDS: dict[str, Kind] = {"specific_load": STRESS, "load_times_speed": LOAD_TIMES_SPEED,
                           "temperature_shock": TEMPERATURE_DIFFERENCE}


@dataclass(frozen=True)
class Attack:
    """One liquid that attacks a pair."""

    cas_number: str
    liquid: str
    why: str
    origin: Origin


@dataclass(frozen=True)
class BearingPair:
    """One row of the table; SI units."""

    name: str
    text: str
    specific_load: float         # [Pa]
    load_times_speed: float      # [Pa m/s]
    temperature_shock: float     # [K]
    attacks: tuple[Attack, ...]
    origins: dict[str, Origin]

    def attack_of(self, cas_number: str | None) -> Attack | None:
        """What a liquid does to the pair; None when nothing is known of it."""
        return next((attack for attack in self.attacks if attack.cas_number == cas_number), None)


@cache
def bearing_pairs() -> dict[str, BearingPair]:
    """Return every pair by its name in the pump file."""
    table = tomllib.loads(
        files("wetpath").joinpath("data", "bearing_materials.toml").read_text(encoding="utf-8"))
    return {name: _pair(name, row) for name, row in table.items()}


def _pair(name: str, row: dict[str, Any]) -> BearingPair:
    values = {field: parse(row[field]["value"], kind) for field, kind in _KINDS.items()}
    origins = {field: Origin(row[field]["source"], row[field]["status"]) for field in _KINDS}
    attacks = tuple(Attack(one["cas"], one["liquid"], one["why"], Origin(one["source"], one["status"]))
                    for one in row["attack"])
    return BearingPair(name=name, text=row["text"], attacks=attacks, origins=origins, **values)
