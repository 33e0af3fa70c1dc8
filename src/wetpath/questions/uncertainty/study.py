"""How sure the vapour margins of a rating are: probabilities, ranges, and which input is worth measuring."""

from __future__ import annotations

import weakref
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest

from wetpath.edge.spreads import SpreadRow
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
from wetpath.questions.uncertainty.indices import CONFIDENCE, Indices, PointStream, indices_of
from wetpath.questions.uncertainty.spread import Spread, spreads_of
from wetpath.rating.check import Check
from wetpath.rating.pump_model import Inputs, PumpModel
from wetpath.rating.rate import Rating
from wetpath.words import told

Array = NDArray[np.float64]

#: Points of a study, and the fewest and most that are taken.
SAMPLES, FEWEST, MOST = 4096, 128, 1 << 20
#: Points at most from which the indices are found, of each of the two sets.
INDEX_POINTS = 512
#: Points that are solved at once; a power of two.
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
    margins: Array               # (points,) governing margin, NaN without liquid solution; all that is kept of a point


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
    spreads = spreads_of(names, model.pump, given, rating.practice.spreads)
    base = min(half, INDEX_POINTS)
    shared = Shared(tuple(asked_case(rating, number) for number in range(len(rating.case_names))), dict(given or {}),
                    rating.practice.spreads, seed)
    sums, crossed = _solved(shared, chosen, half, base, len(names), progress, cancelled, runner)
    cases = tuple(_case(rating, number, shared.cases[number], parts) for number, parts in enumerate(sums))
    causes, warnings = _causes(rating, chosen, cases[chosen], half, crossed, tuple(zip(names, spreads, strict=True)),
                               seed)
    return Uncertainty(cases, chosen, causes, 2 * half, seed, base, warnings)


@dataclass(frozen=True, eq=False)
class AskedCase:
    """One operating case: its model and conditions, the governing margin, and the demands on the vapour margins."""

    model: PumpModel
    inputs: Inputs
    governing: int               # index in `QUANTITIES`
    quantities: tuple[int, ...]  # of the demands
    limits: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Shared:
    """What every part of a study needs: the cases, the spreads given and those of the practice, and the seed."""

    cases: tuple[AskedCase, ...]
    given: Mapping[str, str]
    rows: Mapping[str, SpreadRow]
    seed: int


@dataclass(frozen=True)
class Part:
    """Rows of the two sets of points in one case; or those of the first with one input taken from the second."""

    case: int
    first: int
    count: int
    exchanged: int | None = None


class _Ready:
    """What the parts of a study have in common, made once in each process: the inputs of a case, and the points."""

    def __init__(self, shared: Shared) -> None:
        self._shared = weakref.proxy(shared)
        self._moves: dict[int, tuple[tuple[Variable, Spread], ...]] = {}
        self._streams: dict[int, PointStream] = {}

    def moves(self, case: int) -> tuple[tuple[Variable, Spread], ...]:
        """Inputs of a case with their spreads."""
        if case not in self._moves:
            asked = self._shared.cases[case]
            variables = variables_of(asked.model.pump, asked.inputs)
            self._moves[case] = tuple(zip(variables, spreads_of(
                variables, asked.model.pump, self._shared.given, self._shared.rows), strict=True))
        return self._moves[case]

    def points(self, part: Part) -> Array:
        """Points of a part in the unit cube."""
        inputs = len(self.moves(part.case))
        if inputs not in self._streams:
            self._streams[inputs] = PointStream(inputs, self._shared.seed)
        first, second = self._streams[inputs].rows(part.first, part.count)
        if part.exchanged is None:
            return np.concatenate((first, second))
        points = first.copy()
        points[:, part.exchanged] = second[:, part.exchanged]
        return points


_READY: weakref.WeakKeyDictionary[Shared, _Ready] = weakref.WeakKeyDictionary()


def asked_case(rating: Rating, case: int) -> AskedCase:
    """What a study asks of one case of a rating."""
    model, inputs = model_of_case(rating, case)
    demands = _demands(rating, case)
    return AskedCase(model, inputs, governing_margin(rating, case), tuple(quantity for quantity, _ in demands),
                     tuple(float(check.limit[case]) for _, check in demands))


def _demands(rating: Rating, case: int) -> list[tuple[int, Check]]:
    found = ((quantity, check_of(rating, quantity)) for quantity in VAPOUR_MARGINS)
    return [(quantity, check) for quantity, check in found
            if check is not None and check.applies[case] and not np.isnan(check.actual[case])]


def _solved(shared: Shared, chosen: int, half: int, base: int, inputs: int, progress: Progress | None,
            cancelled: Cancelled | None, runner: Runner) -> tuple[list[list[Result]], Array]:
    """Sums over the points of each case, part by part, and the governing margin at the exchanged points."""
    together = slices(half, max(1, CHUNK // 2))
    parts = [Part(case, rows.start, rows.stop - rows.start) for case in range(len(shared.cases)) for rows in together]
    plain = len(parts)
    parts += [Part(chosen, rows.start, rows.stop - rows.start, column) for column in range(inputs)
              for rows in slices(base, CHUNK)]
    work = Work("points of the uncertainty", solve_part, shared, parts,
                [part.count * (2 if part.exchanged is None else 1) for part in parts])
    done = [result for result in runner(work, progress, cancelled) if result is not None]
    if len(done) < len(parts):
        raise Stopped(f"Stopped after {len(done)} of {len(parts)} parts; of some of the points nothing can be told.")
    sums = [done[first:first + len(together)] for first in range(0, plain, len(together))]
    return sums, np.concatenate([result["margins"] for result in done[plain:]]).reshape(inputs, base)


def solve_part(shared: Shared, part: Part) -> Result:
    """The governing margin at the points of a part, and in how many of them each demand, and all, hold."""
    asked = shared.cases[part.case]
    if shared not in _READY:
        _READY[shared] = _Ready(shared)
    ready = _READY[shared]
    points = ready.points(part)
    sample = sample_of(asked.model.machine, asked.inputs, len(points))
    for column, (variable, spread) in enumerate(ready.moves(part.case)):
        variable.move(sample, spread.changes(points[:, column], variable.nominal))
    found = evaluate(asked.model, sample)
    worst = found.worst
    holds = worst[:, list(asked.quantities)] >= np.array(asked.limits)
    return {"margins": worst[:, asked.governing], "closed": np.array(found.closed.sum()), "holds": holds.sum(axis=0),
            "all": np.array(holds.all(axis=1).sum())}


def _case(rating: Rating, case: int, asked: AskedCase, parts: Sequence[Result]) -> CaseUncertainty:
    halves = [np.split(part["margins"], 2) for part in parts]
    margins = np.concatenate([first for first, _ in halves] + [second for _, second in halves])
    low, median, high = _quantiles(margins)
    now = evaluate(asked.model, sample_of(asked.model.machine, asked.inputs, 1)).worst[0, asked.governing]
    check = check_of(rating, asked.governing)
    return CaseUncertainty(
        rating.case_names[case], asked.governing, float(now), float(check.limit[case]) if check else np.nan, low,
        median, high, _probabilities(rating, case, parts, margins.size), sum(int(part["closed"]) for part in parts),
        margins.size, margins)


def _quantiles(values: Array) -> tuple[float, float, float]:
    """2.5 %, 50 % and 97.5 % of the points, each a point that was solved; those without solution are worst."""
    ordered = np.sort(np.where(np.isnan(values), -np.inf, values))
    tail = (1 - CONFIDENCE) / 2
    low, median, high = (float(np.quantile(ordered, share, method="inverted_cdf"))
                         for share in (tail, 0.5, 1 - tail))
    return low, median, high


def _probabilities(rating: Rating, case: int, parts: Sequence[Result], count: int) -> tuple[Probability, ...]:
    demands = _demands(rating, case)
    if not demands:
        return ()
    holds = np.sum([part["holds"] for part in parts], axis=0)
    found = [_probability(check.name, check.title, float(check.limit[case]), int(own), count)
             for (_, check), own in zip(demands, holds, strict=True)]
    return (*found, _probability("all", "all of them together", np.nan, sum(int(part["all"]) for part in parts), count))


def _probability(name: str, title: str, limit: float, holds: int, count: int) -> Probability:
    return Probability(name, title, limit, holds, count, *probability_interval(holds, count))


def _causes(rating: Rating, case: int, own: CaseUncertainty, half: int, crossed: Array,
            inputs_of: Sequence[tuple[Variable, Spread]], seed: int) -> tuple[tuple[Cause, ...], tuple[str, ...]]:
    model, inputs = model_of_case(rating, case)
    base = crossed.shape[1]
    results = [own.margins[:base], own.margins[half:half + base], crossed.ravel()]
    as_rated = evaluate(model, sample_of(model.machine, inputs, 1))
    warnings = [*unsolved_warnings(rating), *film_warnings(model, inputs, as_rated)]
    together = np.concatenate(results)
    lost = int(np.isnan(together).sum())
    if lost == together.size:
        return (), (*warnings, "no point has a liquid solution: causes cannot be told apart")
    if lost:
        warnings.append(told("{lost} of {size} points have no liquid solution; for the causes they count as the "
                             "worst point that has one", lost=lost, size=together.size))
    filled = [np.where(np.isnan(some), np.nanmin(together), some) for some in results]
    indices = indices_of(filled[0], filled[1], filled[2].reshape(crossed.shape), seed)
    causes = [_cause(number, variable, spread, indices)
              for number, (variable, spread) in enumerate(inputs_of)]
    return tuple(sorted(causes, key=lambda one: -one.total)), tuple(warnings)


def _cause(number: int, variable: Variable, spread: Spread, indices: Indices) -> Cause:
    first, total = indices.first_interval[number], indices.total_interval[number]
    return Cause(variable, spread, float(indices.first[number]), (float(first[0]), float(first[1])),
                 float(indices.total[number]), (float(total[0]), float(total[1])))
