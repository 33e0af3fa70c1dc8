"""Plain bearings in the liquid and rolling bearings of the drive shaft: load, film, wear, shock, attack, life."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetpath.edge.practice import Limit
from wetpath.edge.quantities import FORCE, LIFE, LOAD_TIMES_SPEED, NUMBER, RATIO, STRESS, TEMPERATURE_DIFFERENCE
from wetpath.machine.bearing_materials import bearing_pairs
from wetpath.machine.branches import OutsideTap
from wetpath.rating.check import Array, Check, check
from wetpath.rating.situation import Situation
from wetpath.rating.thrust_state import allowable_load
from wetpath.words import joined, told

Flags = NDArray[np.bool_]


def specific_load(situation: Situation) -> Check:
    """Specific load of the journal bearings in rated and normal cases."""
    return _specific_load(situation, situation.practice["journal_specific_load"], "rated and normal cases",
                          situation.demands.in_preferred)


def specific_load_worst(situation: Situation) -> Check:
    """Specific load of the journal bearings in all other cases."""
    return _specific_load(situation, situation.practice["journal_specific_load_worst"], "other cases",
                          ~situation.demands.in_preferred)


def _specific_load(situation: Situation, limit: Limit, cases: str, applies: Flags) -> Check:
    actual, allowed, where = _worst(situation, situation.bearings.specific_load, _specific_loads(situation, limit))
    return check(limit.name, told("specific load of the journal bearings, {cases}", cases=cases), STRESS, actual,
                 allowed,
                 sense="at most", by_choice=True, applies=applies, where=where, source=limit.source,
                 status=limit.status, meaning=limit.meaning, remedy=limit.remedy)


def specific_load_left(situation: Situation) -> Array:
    """What is left to the specific load allowed in cases that are neither rated nor normal, of the nearest bearing."""
    loads, allowed = situation.bearings.specific_load, _specific_loads(
        situation, situation.practice["journal_specific_load_worst"])
    worst = np.argmax(loads / allowed, axis=1)
    return allowed[worst] - loads[np.arange(worst.size), worst]


def _specific_loads(situation: Situation, limit: Limit) -> Array:
    """Specific load that practice and pair allow each bearing."""
    own = [bearing_pairs()[bearing.material].specific_load for bearing in situation.bearings.bearings]
    return np.minimum(own, limit.value)


def _worst(situation: Situation, values: Array, limits: Array) -> tuple[Array, Array, tuple[str, ...]]:
    """Value, limit and name of the bearing nearest to its limit from below, in every case."""
    worst = np.argmax(values / limits, axis=1)
    names = situation.bearings.names
    return values[np.arange(worst.size), worst], limits[worst], tuple(names[number] for number in worst)


def film(situation: Situation) -> Check:
    """Least film of the journal bearings over their roughness."""
    state = situation.bearings
    worst = state.film_ratio.argmin(axis=1)
    return check("film_ratio", "film of the journal bearings over roughness", NUMBER,
                 state.film_ratio[np.arange(worst.size), worst], situation.practice["film_ratio"], by_choice=True,
                 where=tuple(state.names[number] for number in worst))


def film_left(situation: Situation) -> Array:
    """What is left of the least film over roughness to that asked for."""
    return situation.bearings.film_ratio.min(axis=1) - situation.practice["film_ratio"].value


def load_times_speed(situation: Situation) -> Check:
    """Specific load times sliding speed of the journal bearings against what the pair bears."""
    pairs = [bearing_pairs()[bearing.material] for bearing in situation.bearings.bearings]
    actual, allowed, where = _worst(situation, situation.bearings.load_times_speed,
                                    np.array([pair.load_times_speed for pair in pairs]))
    origin = pairs[0].origins["load_times_speed"]
    return check("journal_load_times_speed", "load times speed of the journal bearings", LOAD_TIMES_SPEED, actual,
                 allowed, sense="at most", by_choice=True, where=where, source=origin.source, status=origin.status,
                 meaning="heat of the pair while the film is not full: at starts, in boiling liquid, in dry running",
                 remedy="run nearer to best-efficiency flow, larger bearings, or another pair")


def temperature_shock(situation: Situation) -> Check:
    """Hot bearings against cold liquid that is let in: cleaning and flush cases, and supplies from outside."""
    state, entering, demands = situation.bearings, situation.solved.inputs.temperature, situation.demands
    sudden = np.zeros(situation.count, bool) if demands.flushes is None else demands.flushes
    supplies = [tap.temperature for tap in situation.pump.taps if isinstance(tap, OutsideTap)]
    coldest = min([*supplies, *entering[sudden]], default=np.nan)
    pairs = [bearing_pairs()[bearing.material] for bearing in state.bearings]
    hottest = np.maximum(state.temperature, entering[:, None])
    actual, allowed, where = _worst(situation, hottest - coldest, np.array([pair.temperature_shock for pair in pairs]))
    origin = pairs[0].origins["temperature_shock"]
    return check("bearing_temperature_shock", "bearings above cold liquid that is let in", TEMPERATURE_DIFFERENCE,
                 actual, allowed, sense="at most", applies=~sudden & ~np.isnan(coldest), where=where,
                 source=origin.source, status=origin.status,
                 meaning="cold liquid let onto hot ceramics cracks them; after dry running they are hotter than this",
                 remedy="change over slowly, cool down before the cold liquid is let in, or a pair that bears more")


def attack(situation: Situation) -> Check:
    """Share of the bearing pairs that the liquid of the case attacks; asked only where an attack is known."""
    pump = situation.pump
    materials = (*(one.material for one in pump.journal_bearings), *(one.material for one in pump.thrust_bearings))
    shares, words = zip(*(_attacked(materials, liquid.cas_number) for liquid in situation.liquids), strict=True)
    share = np.array(shares)
    return check("bearing_attack", "share of the bearing pairs the liquid attacks", RATIO,
                 share[situation.model_of], 0.0, sense="at most", scale=1.0, applies=(share > 0)[situation.model_of],
                 where=tuple(words[model] for model in situation.model_of), source="bearing-pair-limits",
                 status="common practice", meaning="the liquid is known to attack the material; others may too",
                 remedy="another bearing material; ask its maker")


@lru_cache(maxsize=512)
def _attacked(materials: tuple[str, ...], cas_number: str | None) -> tuple[float, str]:
    """Share of the bearing pairs that a liquid attacks, and which of them, in words."""
    pairs = [bearing_pairs()[name] for name in materials]
    found = [pair.attack_of(cas_number) for pair in pairs]
    words = {told("{pair}: {liquid} {why}", pair=pair.name, liquid=one.liquid, why=one.why)
             for pair, one in zip(pairs, found, strict=True) if one is not None}
    return float(np.mean([one is not None for one in found])), joined("; ", sorted(words)) or "bearings"


def axial_thrust(situation: Situation) -> Check:
    """Axial thrust with a new rear ring against what the thrust face bears."""
    return _thrust(situation, "axial_thrust", "axial thrust", situation.thrust.new.total, situation.thrust.stated)


def axial_thrust_worn(situation: Situation) -> Check:
    """The same with a worn rear ring."""
    state = situation.thrust
    return _thrust(situation, "axial_thrust_worn", "axial thrust with a worn rear ring", state.worn.total,
                   state.stated and state.ring_counts)


def axial_thrust_left(situation: Situation) -> Array:
    """What is left to what the thrust face bears; inf where it is not checked."""
    pump, thrust = situation.pump, situation.new_thrust.total
    if pump.impeller.balance == "not stated" or not pump.thrust_bearings:
        return np.full(situation.count, np.inf)
    allowed = allowable_load(pump.thrust_bearings, thrust, situation.practice["thrust_specific_load"].value)
    return np.asarray(allowed - np.abs(thrust))


def _thrust(situation: Situation, name: str, title: str, thrust: Array, applies: bool) -> Check:
    state, limit = situation.thrust, situation.practice["thrust_specific_load"]
    allowed = state.allowable(thrust, limit.value)
    own = all(bearing.allowable_load is not None for bearing in state.bearings)
    directions = ["away from the suction" if value < 0 else "towards the suction" for value in thrust]
    return check(name, title, FORCE, np.abs(thrust), allowed, sense="at most",
                 scale=np.where(allowed > 0, allowed, 1.0), by_choice=True, applies=applies and bool(state.bearings),
                 where=tuple(told("{place}, {direction}", place=place, direction=direction)
                             for place, direction in zip(state.where(thrust), directions, strict=True)),
                 source="pump-file" if own else limit.source, status="given" if own else limit.status,
                 meaning=limit.meaning, remedy=limit.remedy)


def external_life_rated(situation: Situation) -> Check:
    """Rating life of the external bearings in the rated case."""
    return _life(situation, "rolling_bearing_life_rated", "rated case", situation.demands.rated)


def external_life_worst(situation: Situation) -> Check:
    """Rating life of the external bearings in every case."""
    return _life(situation, "rolling_bearing_life_worst", "every case", np.ones(situation.count, bool))


def _life(situation: Situation, name: str, cases: str, applies: Flags) -> Check:
    title, state = told("rating life of the external bearings, {cases}", cases=cases), situation.external_bearings
    if state is None:
        nothing = np.full(situation.count, np.nan)
        return check(name, title, LIFE, nothing, situation.practice[name],
                     applies=False, where="external bearings")
    return check(name, title, LIFE, state.least_life, situation.practice[name],
                 by_choice=True, applies=applies, where=state.where)
