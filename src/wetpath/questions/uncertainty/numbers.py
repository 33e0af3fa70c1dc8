"""How far any number of a case is unsure: the case solved at many points of its inputs, every number read from them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import published
from wetpath.questions.sensitivity.evaluate import Evaluated, evaluate
from wetpath.questions.sensitivity.sample import sample_of
from wetpath.questions.sensitivity.variable import Variable, variables_of
from wetpath.questions.sensitivity.worth import model_of_case
from wetpath.questions.uncertainty.indices import PointStream
from wetpath.questions.uncertainty.spread import spreads_of
from wetpath.rating.rate import Rating

Array = NDArray[np.float64]

#: Points, a power of two; causes that are told; the least share worth telling.
POINTS, MOST_CAUSES, LEAST_SHARE = 512, 3, 0.02
#: Ends of a range: 95 % of the points lie between them.
ENDS = (0.025, 0.975)


@dataclass(frozen=True)
class NumberRange:
    """Range of one number and its causes; ``explained``: share of its variance that straight lines explain."""

    low: float
    high: float
    causes: tuple[tuple[str, float], ...]
    explained: float
    without_solution: int
    points: int


@dataclass(frozen=True, eq=False)
class SampledCase:
    """One case at many points of its inputs."""

    found: Evaluated
    variables: tuple[Variable, ...]
    moved: Array               # (points, inputs) changes of the inputs

    def range_of(self, values: Array) -> NumberRange | None:
        """Range of a number from its values at the points; None where none is known."""
        closed = self.found.closed & np.isfinite(values)
        if closed.sum() < values.size // 4:
            return None
        chosen = values[closed]
        low, high = (float(np.quantile(chosen, end)) for end in ENDS)
        shares, explained = straight_shares(self.moved[closed], chosen)
        order = np.argsort(-shares)[:MOST_CAUSES]
        causes = tuple((self.variables[one].title, float(shares[one])) for one in order.tolist()
                       if shares[one] >= LEAST_SHARE)
        return NumberRange(low, high, causes, explained, int((~closed).sum()), values.size)


def sample_case(rating: Rating, case: int, *, points: int = POINTS, seed: int = 1) -> SampledCase:
    """Solve one case at many points of its inputs, each moved within its spread.

    Parameters
    ----------
    rating : Rating
    case : int
    points : int
        A power of two.
    seed : int
        The same seed gives the same points.
    """
    model, inputs = model_of_case(rating, case)
    variables = tuple(variables_of(model.pump, inputs))
    spreads = spreads_of(variables, model.pump, None, rating.practice.spreads)
    cube, _ = PointStream(len(variables), seed).rows(0, points)
    sample = sample_of(model.machine, inputs, points)
    moved = np.empty((points, len(variables)))
    for column, (variable, spread) in enumerate(zip(variables, spreads, strict=True)):
        moved[:, column] = spread.changes(cube[:, column], variable.nominal)
        variable.move(sample, moved[:, column])
    return SampledCase(evaluate(model, sample), variables, moved)


@published("saltelli-2008", status="recalled")
def straight_shares(inputs: Array, values: Array) -> tuple[Array, float]:
    r"""Shares of the variance of a result by squared standardised regression coefficients.

    :math:`\beta_i^2` of :math:`(y-\bar y)/s_y = \sum_i\beta_i(x_i-\bar x_i)/s_i + \epsilon`.

    Parameters
    ----------
    inputs : array (points, inputs)
    values : array (points,)

    Returns
    -------
    array (inputs,) [-], and the coefficient of determination [-]
        An input that is not moved has no share.

    Notes
    -----
    Right as far as straight lines explain the result, which the second value tells; inputs are independent.

    References
    ----------
    .. [1] Saltelli et al.: Global sensitivity analysis, the primer (2008). Recalled.

    Examples
    --------
    >>> x = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    >>> shares, explained = straight_shares(x, x @ [3.0, 4.0])
    >>> shares.round(2).tolist(), round(explained, 6)
    ([0.36, 0.64], 1.0)
    """
    spread, own = inputs.std(axis=0), values.std()
    shares = np.zeros(inputs.shape[1])
    acting = np.flatnonzero(spread > 0)
    if own <= 1e-12 * max(abs(float(values.mean())), 1e-300) or not acting.size:
        return shares, 1.0
    columns = (inputs[:, acting] - inputs[:, acting].mean(axis=0)) / spread[acting]
    wanted = (values - values.mean()) / own
    found = np.linalg.lstsq(columns, wanted, rcond=None)[0]
    shares[acting] = found**2
    return shares, float(1 - ((wanted - columns @ found) ** 2).mean())
