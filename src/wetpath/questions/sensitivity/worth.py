"""What a change of each input is worth in one operating case: slopes of the margins, and the case solved anew."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.errors import InputError
from wetpath.physics.heat.annulus_heat_transfer import LAMINAR_SLOT_NUSSELT
from wetpath.questions.sensitivity.derivative import Derivative, extrapolated_derivative, step_lengths
from wetpath.questions.sensitivity.evaluate import (
    NPSH_MARGIN,
    QUANTITIES,
    VAPOUR_MARGINS,
    Evaluated,
    Place,
    evaluate,
)
from wetpath.questions.sensitivity.sample import sample_of
from wetpath.questions.sensitivity.variable import Variable, variables_of
from wetpath.rating.check import Check
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.rate import Rating
from wetpath.words import told

Array = NDArray[np.float64]

#: A step that moves a margin by more than this share beside its slope is told as bent.
BENT_SHARE = 0.1


@dataclass(frozen=True, eq=False)
class Effect:
    """What one input does to every quantity; SI, one element per quantity of `QUANTITIES`."""

    variable: Variable
    slope: Array           # per SI unit of the input, at the place that governs now
    slope_error: Array     # estimate
    change: Array          # by the change that the variable states, solved anew, worst place wherever it is then
    derivative: Derivative

    @property
    def linear(self) -> Array:
        """What the slope alone says of that change."""
        return self.slope * self.variable.worth

    @property
    def bent(self) -> NDArray[np.bool_]:
        """Where the change solved anew is not what the slope says: another place governs, or the curve is bent."""
        scale = np.maximum(np.abs(self.change), np.abs(self.linear))
        return np.asarray(np.abs(self.change - self.linear) > BENT_SHARE * scale)


@dataclass(frozen=True, eq=False)
class Worth:
    """Worth of all inputs in one operating case, the one that moves the governing margin most first."""

    case: int
    case_name: str
    governing: int                 # index in `QUANTITIES`
    limits: Array                  # NaN where none is asked
    now: Array                     # the quantities as they are
    place: Place
    where: tuple[str, ...]
    effects: tuple[Effect, ...]
    warnings: tuple[str, ...]


def check_of(rating: Rating, quantity: int) -> Check | None:
    """The check a quantity is judged by; None where it is only told."""
    return next((one for one in rating.checks if one.name == QUANTITIES[quantity].name), None)


def governing_margin(rating: Rating, case: int) -> int:
    """Index of the vapour margin that is nearest to its limit in a case; NPSH where no vapour pressure is known."""
    shares = {}
    for quantity in VAPOUR_MARGINS:
        found = check_of(rating, quantity)
        if found is not None and found.applies[case] and not np.isnan(found.share[case]):
            shares[quantity] = float(found.share[case])
    return min(shares, key=lambda quantity: shares[quantity]) if shares else NPSH_MARGIN


def governing_case(rating: Rating) -> int:
    """The case whose vapour margins are nearest to their limits, of those with a liquid solution if there are any."""
    least = np.array([min((float(one.share[case]) for quantity in VAPOUR_MARGINS
                           if (one := check_of(rating, quantity)) is not None and not np.isnan(one.share[case])),
                          default=np.inf) for case in range(len(rating.case_names))])
    solved = np.array([outcome != Outcome.NO_SOLUTION for outcome in rating.outcomes])
    return int(np.argmin(np.where(solved, least, np.inf) if solved.any() else least))


def model_of_case(rating: Rating, case: int) -> tuple[PumpModel, Inputs]:
    """The pump with the liquid of a case, and the conditions of that case alone."""
    situation = rating.situation
    return situation.models[int(situation.model_of[case])], rating.inputs.chosen(np.array([case]))


def worth_of(rating: Rating, case: int | str | None = None) -> Worth:
    """Find what a change of every input is worth in one case, by default the one nearest to its limits.

    Raises
    ------
    InputError
        The case has no liquid solution: there is nothing to differentiate.

    Notes
    -----
    Slopes hold the place of each margin where it is worst now; the change is solved anew, and takes the worst place.
    """
    number = governing_case(rating) if case is None else rating.case_number(case)
    model, inputs = model_of_case(rating, number)
    variables = variables_of(model.pump, inputs)
    solved, lengths = _solved_around(model, inputs, variables)
    if not solved.closed[0]:
        raise InputError("has no liquid solution from which a change could be told", field="case",
                         value=f'"{rating.case_names[number]}"', do="see the rating for what is missing first")
    place = solved.place
    at_place, worst = solved.at(place), solved.worst
    effects = []
    for index, (variable, steps) in enumerate(zip(variables, lengths, strict=True)):
        first = 1 + index * (2 * steps.size + 1)
        above, below = at_place[first:first + steps.size], at_place[first + steps.size:first + 2 * steps.size]
        derivative = extrapolated_derivative(steps, above, below)
        effects.append(Effect(variable, derivative.value, derivative.error,
                              worst[first + 2 * steps.size] - worst[0], derivative))
    governing = governing_margin(rating, number)
    effects.sort(key=lambda one: -abs(np.nan_to_num(one.change[governing], nan=np.inf)))
    return Worth(number, rating.case_names[number], governing,
                 _limits(rating, number), worst[0], place,
                 _places(rating, place, solved), tuple(effects),
                 (*unsolved_warnings(rating), *film_warnings(model, inputs, solved)))


def _limits(rating: Rating, case: int) -> Array:
    checks = [check_of(rating, quantity) for quantity in range(len(QUANTITIES))]
    return np.array([np.nan if one is None else one.limit[case] for one in checks])


def unsolved_warnings(rating: Rating) -> tuple[str, ...]:
    """Which cases have no liquid solution, and so no slopes."""
    names = [name for name, outcome in zip(rating.case_names, rating.outcomes, strict=True)
             if outcome == Outcome.NO_SOLUTION]
    return (told("no liquid solution as rated, nothing to follow from there: {cases}", cases=", ".join(names)),
            ) if names else ()


def film_warnings(model: PumpModel, inputs: Inputs, solved: Evaluated) -> tuple[str, ...]:
    """Whether wall heat transfer is laminar, where its factor acts with another power than it is meant to."""
    liquid = model.liquid.state(solved.wall_liquid[0], solved.wall_pressure[0])
    nusselt = solved.film[0] * 2 * model.pump.rotor_gap / liquid.conductivity
    if (nusselt > 1.001 * LAMINAR_SLOT_NUSSELT).all():
        return ()
    return ("wall heat transfer is laminar in part of the annulus: there its factor acts with the power 1.5, and its "
            "effect is overstated",)


def _solved_around(model: PumpModel, inputs: Inputs, variables: tuple[Variable, ...]) -> tuple[Evaluated, list[Array]]:
    """One batch: the case itself, then for each variable its steps up, its steps down, and the change of the worth."""
    lengths = [step_lengths(variable.step) for variable in variables]
    sample = sample_of(model.machine, inputs, 1 + sum(2 * steps.size + 1 for steps in lengths))
    first = 1
    for variable, steps in zip(variables, lengths, strict=True):
        change = np.zeros(sample.count)
        last = first + 2 * steps.size + 1
        change[first:last] = np.concatenate((steps, -steps, [variable.worth]))
        variable.move(sample, change)
        first = last
    return evaluate(model, sample), lengths


def _places(rating: Rating, place: Place, solved: Evaluated) -> tuple[str, ...]:
    cells = solved.wall_margin.shape[1]
    pressure, temperature = rating.situation.titles(np.array([place.pressure, place.temperature]))
    wall = told("shell wall, {cell:.0f} % along the annulus", cell=100 * (place.cell + 0.5) / cells)
    return pressure, temperature, wall, "", "", ""
