"""How sure the vapour margins of a rating are: probabilities, ranges, and which input is worth measuring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest

from wetpath.errors import InputError, Stopped
from wetpath.physics.published import published
from wetpath.questions.parts import Cancelled, Progress, Result, Runner, Work, run_here, slices
from wetpath.questions.sensitivity.evaluate import VAPOUR_MARGINS, evaluate
from wetpath.questions.sensitivity.sample import sample_of
from wetpath.questions.sensitivity.variable import Variable, variables_of
from wetpath.questions.sensitivity.worth import (
    check_of,
    film_warnings,
    governing_case,
    governing_margin,
    model_of_case,
    unsolved_warnings,
)
from wetpath.questions.uncertainty.indices import CONFIDENCE, Indices, exchanged, indices_of, sobol_points
from wetpath.questions.uncertainty.spread import Spread, spreads_of
from wetpath.rating.check import Check
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]

#: Points of a study, and the fewest and most that are taken.
SAMPLES, FEWEST, MOST = 4096, 128, 1 << 20
#: Points at most from which the indices are found, of each of the two sets.
INDEX_POINTS = 512
#: Points that are solved at once.
CHUNK = 1024
#: An input whose total index reaches this is worth measuring.
WORTH_MEASURING = 0.1


@dataclass(frozen=True)
class Probability:
    """How often a demand holds among the points, with an interval of 95 % confidence."""

    name: str
    title: str
    limit: float                 # NaN for all demands together
    holds: int
    count: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Share of the points in which it holds."""
        return self.holds / self.count


@dataclass(frozen=True, eq=False)
class CaseUncertainty:
    """One operating case; ranges are quantiles over the points, minus infinity where there is no liquid solution."""

    name: str
    governing: int               # index in `QUANTITIES`
    now: float
    limit: float
    low: float                   # 2.5 % of the points lie below
    median: float
    high: float                  # 2.5 % lie above
    probabilities: tuple[Probability, ...]
    closed: int                  # points with a liquid solution
    count: int
    values: Array                # (points, quantities)


@dataclass(frozen=True)
class Cause:
    """One input, its spread, and its share in the doubt of the governing margin."""

    variable: Variable
    spread: Spread
    first: float
    first_interval: tuple[float, float]
    total: float
    total_interval: tuple[float, float]

    @property
    def left_when_known(self) -> float:
        """Width of the range, as a share of what it is, that is left on average when this input is known exactly."""
        return float(np.sqrt(max(0.0, 1.0 - min(max(self.first, 0.0), 1.0))))

    @property
    def worth_measuring(self) -> bool:
        """Whether it causes enough of the doubt."""
        return self.total >= WORTH_MEASURING


@dataclass(frozen=True, eq=False)
class Uncertainty:
    """The study: every case, and the causes in one of them, largest total index first."""

    cases: tuple[CaseUncertainty, ...]
    case: int                    # the case of the causes
    causes: tuple[Cause, ...]
    samples: int
    seed: int
    index_points: int
    warnings: tuple[str, ...]


@published("wilson-1927", status="recalled")
def probability_interval(holds: int, count: int) -> tuple[float, float]:
    """Interval of 95 % confidence of a probability that held in some of ``count`` trials, by Wilson's score.

    Parameters
    ----------
    holds, count : int

    Returns
    -------
    tuple of float [-]

    Notes
    -----
    For independent trials; evenly spread points estimate a probability at least about as well.

    References
    ----------
    .. [1] Wilson, J. Am. Stat. Assoc. 22 (1927) 209. Recalled.

    Examples
    --------
    >>> [round(x, 4) for x in probability_interval(10, 10)]
    [0.7225, 1.0]
    """
    interval = binomtest(holds, count).proportion_ci(confidence_level=CONFIDENCE, method="wilson")
    return float(interval.low), float(interval.high)


def uncertainty_of(rating: Rating, *, samples: int = SAMPLES, seed: int = 1, case: int | str | None = None,
                   given: Mapping[str, str] | None = None, progress: Progress | None = None,
                   cancelled: Cancelled | None = None, runner: Runner = run_here) -> Uncertainty:
    """Solve every operating case at many points of its inputs, and tell what they say of the vapour margins.

    Parameters
    ----------
    rating : Rating
    samples : int
        Points per case; raised to the next power of two.
    seed : int
        The same seed gives the same points, and so the same answer to the last digit.
    case : int or str, optional
        The case whose causes are found; the one nearest to its limits without it.
    given : mapping, optional
        Spreads in place of the defaults, by the name of the input; see `spreads_of`.
    progress, cancelled : callable, optional
        Told how many points are solved, of how many; asked between parts whether to stop.
    runner : Runner
        Does the parts; who does them does not change a digit.

    Raises
    ------
    Stopped
        When it was stopped: of some of the points nothing can be told.

    Notes
    -----
    Inputs are independent of each other. A point that does not close at once counts as without liquid solution.
    """
    if not FEWEST <= samples <= MOST:
        raise InputError(f"is out of range; allowed: {FEWEST} to {MOST}", field="--samples", value=str(samples))
    half = 1 << (samples - 1).bit_length() - 1
    chosen = governing_case(rating) if case is None else rating.case_number(case)
    model, inputs = model_of_case(rating, chosen)
    names = variables_of(model.pump, inputs)
    if not model.liquid.has_vapour_pressure:
        raise InputError(f"of {model.liquid.name} is not known: there is no margin to follow", field="vapour pressure",
                         do="give the liquid a vapour pressure")
    points = sobol_points(len(names), half, seed)
    base = min(half, INDEX_POINTS)
    together = np.concatenate(points)
    crossed = exchanged(points[0][:base], points[1][:base]).reshape(-1, len(names))
    *values, of_crossed = _solved(rating, [*((case, together) for case in range(len(rating.case_names))),
                                           (chosen, crossed)], given, progress, cancelled, runner)
    cases = tuple(_case(rating, number, *found) for number, found in enumerate(values))
    causes, warnings = _causes(rating, chosen, cases[chosen], half, of_crossed[0], base, given, seed)
    return Uncertainty(cases, chosen, causes, 2 * half, seed, base, warnings)


@dataclass(frozen=True, eq=False)
class Shared:
    """What every part of a study needs: model and conditions of each case, and the spreads given."""

    cases: tuple[tuple[PumpModel, Inputs], ...]
    given: Mapping[str, str]


def _solved(rating: Rating, sets: Sequence[tuple[int, Array]], given: Mapping[str, str] | None,
            progress: Progress | None, cancelled: Cancelled | None, runner: Runner
            ) -> list[tuple[Array, NDArray[np.bool_]]]:
    """The quantities at each set of points of a case, and which of them closed."""
    shared = Shared(tuple(model_of_case(rating, case) for case in range(len(rating.case_names))), dict(given or {}))
    cut = [(case, points, chunk) for case, points in sets for chunk in slices(len(points), CHUNK)]
    work = Work("points of the uncertainty", solve_part, shared, [(case, points[chunk]) for case, points, chunk in cut],
                [chunk.stop - chunk.start for _, _, chunk in cut])
    done = [part for part in runner(work, progress, cancelled) if part is not None]
    if len(done) < len(cut):
        raise Stopped(f"Stopped after {len(done)} of {len(cut)} parts; of some of the points nothing can be told.")
    results, found = iter(done), []
    for _, points in sets:
        parts = list(islice(results, len(slices(len(points), CHUNK))))
        found.append((np.concatenate([part["values"] for part in parts]),
                      np.concatenate([part["closed"] for part in parts])))
    return found


def solve_part(shared: Shared, part: tuple[int, Array]) -> Result:
    """The quantities at points of the unit cube, in one case, and which of them closed."""
    case, points = part
    model, inputs = shared.cases[case]
    variables = variables_of(model.pump, inputs)
    spreads = spreads_of(variables, model.pump, shared.given)
    sample = sample_of(model.machine, inputs, len(points))
    for column, (variable, spread) in enumerate(zip(variables, spreads, strict=True)):
        variable.move(sample, spread.changes(points[:, column], variable.nominal))
    found = evaluate(model, sample)
    return {"values": found.worst, "closed": found.closed}


def _case(rating: Rating, case: int, values: Array, closed: NDArray[np.bool_]) -> CaseUncertainty:
    model, inputs = model_of_case(rating, case)
    governing = governing_margin(rating, case)
    low, median, high = _quantiles(values[:, governing])
    now = evaluate(model, sample_of(model.machine, inputs, 1)).worst[0, governing]
    check = check_of(rating, governing)
    return CaseUncertainty(
        rating.case_names[case], governing, float(now), float(check.limit[case]) if check else np.nan, low, median,
        high, _probabilities(rating, case, values), int(closed.sum()), closed.size, values)


def _quantiles(values: Array) -> tuple[float, float, float]:
    """2.5 %, 50 % and 97.5 % of the points, each a point that was solved; those without solution are worst."""
    ordered = np.sort(np.where(np.isnan(values), -np.inf, values))
    tail = (1 - CONFIDENCE) / 2
    low, median, high = (float(np.quantile(ordered, share, method="inverted_cdf"))
                         for share in (tail, 0.5, 1 - tail))
    return low, median, high


def _probabilities(rating: Rating, case: int, values: Array) -> tuple[Probability, ...]:
    demands: list[tuple[int, Check]] = []
    for quantity in VAPOUR_MARGINS:
        check = check_of(rating, quantity)
        if check is not None and check.applies[case] and not np.isnan(check.actual[case]):
            demands.append((quantity, check))
    found, together = [], np.ones(len(values), bool)
    for quantity, check in demands:
        holds = values[:, quantity] >= check.limit[case]
        together &= holds
        found.append(_probability(check.name, check.title, float(check.limit[case]), holds))
    if demands:
        found.append(_probability("all", "all of them together", np.nan, together))
    return tuple(found)


def _probability(name: str, title: str, limit: float, holds: NDArray[np.bool_]) -> Probability:
    count = int(holds.sum())
    return Probability(name, title, limit, count, holds.size, *probability_interval(count, holds.size))


def _causes(rating: Rating, case: int, own: CaseUncertainty, half: int, crossed: Array, base: int,
            given: Mapping[str, str] | None, seed: int) -> tuple[tuple[Cause, ...], tuple[str, ...]]:
    model, inputs = model_of_case(rating, case)
    variables = variables_of(model.pump, inputs)
    spreads = spreads_of(variables, model.pump, given)
    results = [own.values[:base, own.governing], own.values[half:half + base, own.governing],
               crossed[:, own.governing]]
    as_rated = evaluate(model, sample_of(model.machine, inputs, 1))
    warnings = [*unsolved_warnings(rating), *film_warnings(model, inputs, as_rated)]
    together = np.concatenate(results)
    lost = int(np.isnan(together).sum())
    if lost == together.size:
        return (), (*warnings, "no point has a liquid solution: causes cannot be told apart")
    if lost:
        warnings.append(f"{lost} of {together.size} points have no liquid solution; for the causes they count as the "
                        "worst point that has one")
    filled = [np.where(np.isnan(some), np.nanmin(together), some) for some in results]
    indices = indices_of(filled[0], filled[1], filled[2].reshape(len(variables), base), seed)
    causes = [_cause(number, variable, spread, indices)
              for number, (variable, spread) in enumerate(zip(variables, spreads, strict=True))]
    return tuple(sorted(causes, key=lambda one: -one.total)), tuple(warnings)


def _cause(number: int, variable: Variable, spread: Spread, indices: Indices) -> Cause:
    first, total = indices.first_interval[number], indices.total_interval[number]
    return Cause(variable, spread, float(indices.first[number]), (float(first[0]), float(first[1])),
                 float(indices.total[number]), (float(total[0]), float(total[1])))
