"""The comparison: energy, maintenance, downtime, support and emissions as present values, and what would turn it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from scipy.optimize import brentq

from wetpath.errors import InputError
from wetpath.physics.economics.emission_factors import (
    AVERAGE_FACTORS,
    CORRELATIONS,
    emitted_mass,
    rate_from_screening,
)
from wetpath.physics.economics.present_value import present_value
from wetpath.questions.lifecycle.scope import LifeCycleScope, Owned
from wetpath.rating.rate import Rating

JOULES_PER_KWH = 3.6e6
HOUR = 3600.0
#: Change of an input in the tornado, to either side.
SWING = 0.25
#: Ends between which a break-even value is looked for, as multiples of the given one, or hours.
SEARCH = (1e-3, 1e3)
LIFE_SEARCH = (50 * HOUR, 500_000 * HOUR)


@dataclass(frozen=True)
class Costs:
    """Present values of one pump [money]."""

    purchase: float
    energy: float
    maintenance: float
    repairs: float
    downtime: float
    support: float
    emissions: float

    @property
    def total(self) -> float:
        """All of it."""
        return sum(vars(self).values())


@dataclass(frozen=True)
class Swing:
    """An input of the tornado: the difference of the totals with it a quarter lower and a quarter higher."""

    name: str
    lower: float
    higher: float

    @property
    def width(self) -> float:
        """How much the difference moves."""
        return abs(self.higher - self.lower)


@dataclass(frozen=True)
class BreakEven:
    """The value of one input at which both pumps cost the same; None where none in reach does."""

    name: str
    unit: str
    given: float | None
    value: float | None
    meaning: str


@dataclass(frozen=True)
class LifeCycle:
    """A comparison; energies in J a year, masses in kg a year."""

    rating: Rating
    scope: LifeCycleScope
    seal_less: Costs
    sealed: Costs
    energy_seal_less: float
    energy_sealed: float
    emitted: float
    break_evens: tuple[BreakEven, ...]
    tornado: tuple[Swing, ...]
    warnings: tuple[str, ...]

    @property
    def advantage(self) -> float:
        """What the seal-less pump saves over the years [money]; negative: it costs more."""
        return self.sealed.total - self.seal_less.total


def compare(rating: Rating, scope: LifeCycleScope) -> LifeCycle:
    """Compare the rated seal-less pump with a sealed one of the same wet end.

    Notes
    -----
    The sealed pump is the same casing and impeller without coupling, shell loss, annulus and internal circulation:
    its shaft power is that to the liquid, the loss of impeller and casing, the rolling bearings, and the seal's own
    power as given. Payments are due at the end of each year. Averages of emission hold for populations, not for one
    pump; a seal-less pump counts as emitting nothing until it fails.
    """
    seconds = _hours(rating, scope)
    losses = rating.losses
    known = float(rating.situation.driver.efficiency)
    efficiency = known if np.isfinite(known) else 1.0
    own = float(np.sum(losses.shaft / efficiency * seconds))
    plain = sealed_shaft_power(rating, scope)
    running = float(seconds.sum())
    other = float(np.sum(plain / efficiency * seconds)) + (
        scope.sealed.support_power + scope.sealed.flush_evaporation) * running
    emitted = _emitted(scope, running)

    def both(chosen: LifeCycleScope) -> tuple[Costs, Costs]:
        share = chosen.economy.hours / scope.economy.hours
        extra = (chosen.sealed.seal_power - scope.sealed.seal_power + chosen.sealed.support_power
                 - scope.sealed.support_power) * running
        return (_costs(chosen, chosen.seal_less, own * share, 0.0, 0.0),
                _costs(chosen, chosen.sealed, (other + extra) * share, chosen.sealed.support_cost, emitted * share))

    seal_less, sealed = both(scope)
    return LifeCycle(rating, scope, seal_less, sealed, own, other, emitted, _break_evens(scope, both),
                     _tornado(scope, both), _warnings(rating, scope))


def sealed_shaft_power(rating: Rating, scope: LifeCycleScope) -> Any:
    """Shaft power in each case of the sealed pump of the same wet end [W]: no coupling and shell, the seal's own."""
    losses = rating.losses
    return losses.hydraulic + losses.wet_end + losses.dry_side + scope.sealed.seal_power


def _hours(rating: Rating, scope: LifeCycleScope) -> Any:
    """Seconds of a year in each case."""
    names, total = rating.case_names, scope.economy.hours
    seconds = np.zeros(len(names))
    if not scope.case_hours:
        roles = [case.role for case in rating.enquiry.cases]
        chosen = next((roles.index(role) for role in ("rated", "normal") if role in roles), 0)
        seconds[chosen] = total
        return seconds
    for name, time in scope.case_hours.items():
        if name not in names:
            raise InputError(f"is not a case of this enquiry; it has {', '.join(names)}", field="case_hours",
                             value=f'"{name}"')
        seconds[names.index(name)] = time
    if abs(seconds.sum() - total) > 1e-6 * total:
        raise InputError(f"add up to {seconds.sum() / HOUR:.0f} h; economy.hours says {total / HOUR:.0f} h",
                         field="case_hours", do="make both agree")
    return seconds


def _emitted(scope: LifeCycleScope, seconds: float) -> float:
    """Mass in a year [kg]."""
    asked = scope.emissions
    if asked is None:
        return 0.0
    rate = AVERAGE_FACTORS[asked.industry, asked.service].rate
    if asked.screening_value is not None:
        line = CORRELATIONS.get((asked.industry, asked.service)) or CORRELATIONS["refinery", "all"]
        rate = float(rate_from_screening(asked.screening_value, line))
    return float(emitted_mass(rate, seconds, asked.organic_fraction))


def _costs(scope: LifeCycleScope, owned: Owned, energy: float, support: float, emitted: float) -> Costs:
    economy = scope.economy

    def worth(yearly: float, growth: float = 0.0) -> float:
        return float(present_value(yearly, economy.interest, economy.years, growth))

    repairs = economy.hours / owned.time_between_repairs if owned.time_between_repairs else 0.0
    return Costs(
        purchase=owned.purchase, energy=worth(energy / JOULES_PER_KWH * economy.energy_price, economy.energy_growth),
        maintenance=worth(owned.maintenance), repairs=worth(repairs * owned.repair_cost),
        downtime=worth(repairs * owned.repair_time / HOUR * economy.downtime_cost), support=worth(support),
        emissions=worth(emitted * economy.emission_price))


Both = Callable[[LifeCycleScope], tuple[Costs, Costs]]


def _difference(both: Both, scope: LifeCycleScope) -> float:
    seal_less, sealed = both(scope)
    return sealed.total - seal_less.total


def _left(both: Both, scope: LifeCycleScope, path: str, logarithm: float) -> float:
    return _difference(both, _with(scope, path, float(np.exp(logarithm))))


def _with(scope: LifeCycleScope, path: str, value: float) -> LifeCycleScope:
    part, field = path.split(".")
    return scope.model_copy(update={part: getattr(scope, part).model_copy(update={field: value})})


def _break_evens(scope: LifeCycleScope, both: Both) -> tuple[BreakEven, ...]:
    asked = (
        ("time between repairs of the sealed pump", "h", "sealed.time_between_repairs", HOUR,
         "if the seal lives longer than this, the sealed pump is cheaper"),
        ("time between repairs of the seal-less pump", "h", "seal_less.time_between_repairs", HOUR,
         "if it lives shorter than this, the seal-less pump is dearer"),
        ("price of one kWh", scope.economy.currency, "economy.energy_price", 1.0,
         "the price at which the coupling's loss makes both cost the same"),
        ("purchase of the seal-less pump", scope.economy.currency, "seal_less.purchase", 1.0,
         "what it may cost at most"))
    found = []
    for name, unit, path, scale, meaning in asked:
        part, field = path.split(".")
        given = getattr(getattr(scope, part), field)
        ends = LIFE_SEARCH if scale == HOUR else (SEARCH[0] * (given or 1.0), SEARCH[1] * (given or 1.0))

        left = partial(_left, both, scope, path)
        first, last = (float(np.log(end)) for end in ends)
        value = None
        if left(first) * left(last) < 0:
            value = float(np.exp(brentq(left, first, last, xtol=1e-10))) / scale
        found.append(BreakEven(name, unit, given / scale if given is not None else None, value, meaning))
    return tuple(found)


def _tornado(scope: LifeCycleScope, both: Both) -> tuple[Swing, ...]:
    asked = (("price of energy", "economy.energy_price"), ("running time", "economy.hours"),
             ("interest", "economy.interest"), ("cost of downtime", "economy.downtime_cost"),
             ("price of emissions", "economy.emission_price"), ("purchase, seal-less", "seal_less.purchase"),
             ("purchase, sealed", "sealed.purchase"), ("time between repairs, seal-less",
                                                       "seal_less.time_between_repairs"),
             ("time between repairs, sealed", "sealed.time_between_repairs"),
             ("repair, seal-less", "seal_less.repair_cost"), ("repair, sealed", "sealed.repair_cost"),
             ("power of the seal", "sealed.seal_power"), ("support of the seal", "sealed.support_cost"))
    found = []
    for name, path in asked:
        part, field = path.split(".")
        given = getattr(getattr(scope, part), field)
        if given:
            lower, higher = (_difference(both, _with(scope, path, given * factor)) for factor in (1 - SWING, 1 + SWING))
            found.append(Swing(name, lower, higher))
    return tuple(sorted(found, key=lambda one: -one.width))


def _warnings(rating: Rating, scope: LifeCycleScope) -> tuple[str, ...]:
    found = []
    if not rating.holds:
        found.append("the seal-less pump does not meet every check as offered: its life is not that of a sound pump")
    if not np.isfinite(rating.situation.driver.efficiency):
        found.append("the efficiency of the motor is not known: energy is that at its shaft")
    for name, owned in (("seal-less", scope.seal_less), ("sealed", scope.sealed)):
        if owned.time_between_repairs is None:
            found.append(f"no time between repairs is given for the {name} pump: its repairs are left out; see the "
                         "break-even value")
    if scope.emissions is None:
        found.append("emissions are not estimated: no [emissions] in the scope")
    elif scope.emissions.screening_value is None:
        found.append("the leak of the sealed pump is an average over a population (recalled factors), not that of "
                     "this pump")
    return tuple(found)


#: What money does not tell.
HAZARD_NOTES = (
    "A seal leaks a little always and fails where it can be seen; a containment shell leaks nothing until it fails, "
    "and then at once: how each failure is seen, contained and survived belongs into the hazard review.",
    "A seal-less pump that runs dry or loses its circulation fails in seconds to minutes; its protection is part of "
    "its price.",
    "Toxic, carcinogenic or flammable liquids: local law may ask for a pump without a shaft seal, or for a dual seal, "
    "whatever it costs.")

