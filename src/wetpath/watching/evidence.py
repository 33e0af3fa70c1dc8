"""Which cause explains best how signals have changed: rival hypotheses weighed by their likelihood."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from wetpath.physics.published import compiled, published
from wetpath.watching.hypotheses import CAUSES, Library
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES
from wetpath.watching.samples import Signal
from wetpath.watching.surrogate import PRESSURE, TEMPERATURE

Array = NDArray[np.float64]

#: How far this pump may be off the model in the size of a change: flow, head, power, warmth of shell and return over
#: the suction; one standard deviation, shares. Common practice, no source.
OFF = np.array([0.05, 0.0, 0.0, 0.0, 0.05, 0.07, 0.15, 0.15])
#: Part of an instrument's error that may wander from one hour to the next without a cause. Common practice, no source.
WANDERS = 0.15
#: Standard deviations, in errors of the instrument, of an instrument that has failed, and of signals that nothing known
#: explains.
FAILED, UNKNOWN = 40.0, 40.0
#: How likely something is before signals are looked at, over a cause of the list: an instrument that creeps within the
#: hour, or a slow cause that comes within seconds; something that nothing known explains. Common practice, no source.
CREEPS, UNHEARD = 0.1, 0.01
#: A change is sharp when this share of it comes within seconds, and counts when it is this many deviations.
SHARP, COUNTS = 0.6, 5.0
#: A cause is named alone when it is this many times as likely as the next.
TOLD_APART = 10.0
NORMAL, UNEXPLAINED = "normal", "unexplained"


@dataclass(frozen=True)
class Suspect:
    """One explanation: its probability among all, and how large it is.

    ``amount``: of an instrument what it shows too much, over its error; of plugging the share of the feed area that
    would be gone; NaN of others.
    """

    name: str
    title: str
    probability: float
    amount: float
    gain: float                 # of log likelihood over a pump that runs as it did
    instrument: bool
    operating: bool             # a change of the operating point, no fault in itself
    apart: str = ""             # what would tell apart the causes that this name covers


@dataclass(frozen=True, eq=False)
class Usual:
    """How signals were before, and how much they change without a cause; SI."""

    signals: Array              # (8,) as they were
    slopes: Array               # (8, 4) of the signals over the operating point
    wander: Array               # (4,) standard deviation of the operating point
    loose: Array                # (4,) the same when nothing holds it
    noise: Array                # (8,) of the mean that is looked at
    instruments: Array          # (8,) errors of the instruments


@dataclass(frozen=True, eq=False)
class Seen:
    """What is looked at: a mean of each signal, NaN where there is none, and how sharply it came."""

    signals: Array              # (8,)
    sharp: Array                # (8,) largest change within seconds over the whole change


def covariance(usual: Usual, wander: Array) -> Array:
    """Covariance of the signals of a healthy pump, (8, 8)."""
    moved = usual.slopes * wander
    warm = np.zeros(STATES)
    warm[TEMPERATURE] = 1.0
    own = moved.copy()
    own[6] -= wander * warm
    own[7] -= wander * warm
    own[4, PRESSURE] -= wander[PRESSURE]
    off = OFF * np.sqrt((own**2).sum(axis=1)) * (np.arange(SIGNALS) >= STATES)
    return np.asarray(moved @ moved.T + np.diag(usual.noise**2 + (WANDERS * usual.instruments) ** 2 + off**2))


def expected(library: Library, signals: Array) -> tuple[Array, Array]:
    """Changes of the signals that the courses ask for, and their standard deviations by the model; (points, 8) both."""
    size = library.points.copy()
    size[:, [0, 2, 5]] *= signals[[0, 2, 5]]
    size[:, 4] *= signals[4] - signals[3]
    off = OFF * np.abs(size)
    size[:, 4] += size[:, 3]
    size[:, 6:8] += size[:, 1:2]
    return size, off


@published("narasimhan-jordache-2000", status="recalled")
def weigh(library: Library, usual: Usual, seen: Seen) -> tuple[Suspect, ...]:
    r"""Explanations of a change, the likeliest first, with their probabilities.

    The change :math:`z` of the signals is normal around what a hypothesis asks for, with the covariance :math:`V` of
    noise, wandering instruments, the wandering operating point, and the share by which the model may be off. A cause
    asks for the points of its courses, all as likely; summed over them
    :math:`\ln p = -\tfrac12 (z-c)^TV^{-1}(z-c) - \tfrac12\ln|V|`. An instrument asks for anything along its own signal,
    which widens :math:`V` there: so a hypothesis that fits everything pays for what it might have fitted as well.

    Parameters
    ----------
    library : Library
    usual : Usual
    seen : Seen

    Returns
    -------
    tuple of Suspect

    Notes
    -----
    One explanation at a time. The model may be off by `OFF` of each change, independently.

    References
    ----------
    .. [1] Narasimhan, Jordache: Data reconciliation and gross error detection (2000), chapter 7. Recalled.
    """
    there = np.isfinite(seen.signals) & np.isfinite(usual.signals)
    if not there.any():
        return ()
    change = (seen.signals - usual.signals)[there]
    healthy, loose = covariance(usual, usual.wander), covariance(usual, usual.loose)

    def normal(spread: Array) -> float:
        inside = spread[np.ix_(there, there)]
        return float(-0.5 * (change @ np.linalg.solve(inside, change) + np.linalg.slogdet(inside)[1]))

    base = normal(healthy)
    counts = np.abs(np.nan_to_num(seen.signals - usual.signals)) > COUNTS * np.sqrt(np.diag(healthy))
    sharp = counts & (seen.sharp > SHARP)
    found: list[tuple[str, str, float, float, bool, bool, str]] = [
        (NORMAL, "running as before", base, np.nan, False, True, "")]
    points, off = expected(library, np.nan_to_num(usual.signals))
    fits = _fits(np.ascontiguousarray(points[:, there]), off[:, there] ** 2, library.follows, change,
                 healthy[np.ix_(there, there)])
    for place, name in enumerate(library.names):
        chosen = np.flatnonzero(library.cause == place)
        cause = CAUSES[name]
        sized = chosen[np.isfinite(library.amount[chosen])]
        amount = float(library.amount[sized[int(np.argmax(fits[sized]))]]) if sized.size else np.nan
        unlikely = float(np.log(CREEPS)) if cause.slow and sharp.any() else 0.0
        found.append((name, cause.title, float(logsumexp(fits[chosen]) - np.log(chosen.size)) + unlikely, amount, False,
                      cause.operating, cause.apart))
    for place in np.flatnonzero(there).tolist():
        wide = np.zeros((SIGNALS, SIGNALS))
        wide[place, place] = (FAILED * usual.instruments[place]) ** 2
        spread = healthy + wide
        if place < STATES:
            own = usual.slopes[:, place] * usual.loose[place]
            spread = spread + np.outer(own, own)
        creeps = 0.0 if sharp[place] else float(np.log(CREEPS))
        signal = ORDER[place]
        found.append((str(signal), f"instrument: {_called(signal)}", normal(spread) + creeps,
                      float((seen.signals[place] - usual.signals[place]) / usual.instruments[place]), True, False, ""))
    far = loose + np.diag((UNKNOWN * usual.instruments) ** 2)
    found.append((UNEXPLAINED, "nothing known explains it", normal(far) + float(np.log(UNHEARD)), np.nan, False, False,
                  ""))
    total = logsumexp([one[2] for one in found])
    return tuple(Suspect(name, title, float(np.exp(fit - total)), amount, fit - base, instrument, operating, apart)
                 for name, title, fit, amount, instrument, operating, apart in sorted(found, key=lambda one: -one[2]))


def _called(signal: Signal) -> str:
    return str(signal).replace("_", " ")


@compiled
def _fits(points: Any, off: Any, follows: Any, change: Any, healthy: Any) -> Any:
    """Log likelihood of each point, or of the best place between it and the one before."""
    count, size = points.shape
    found = np.empty(count)
    for point in range(count):
        root = healthy.copy()
        for one in range(size):
            root[one, one] += off[point, one]
        for one in range(size):                                    # Cholesky
            for other in range(one + 1):
                total = root[one, other]
                for each in range(other):
                    total -= root[one, each] * root[other, each]
                root[one, other] = np.sqrt(total) if one == other else total / root[other, other]
        logarithm, square, along, step = 0.0, 0.0, 0.0, 0.0
        left, way = np.empty(size), np.empty(size)
        for one in range(size):
            here, there = change[one] - points[point, one], 0.0
            if follows[point]:
                there = points[point - 1, one] - points[point, one]
            for each in range(one):
                here -= root[one, each] * left[each]
                there -= root[one, each] * way[each]
            left[one], way[one] = here / root[one, one], there / root[one, one]
            logarithm += np.log(root[one, one])
            square += left[one] ** 2
            along += left[one] * way[one]
            step += way[one] ** 2
        if step > 0.0:
            share = min(max(along / step, 0.0), 1.0)
            square += share * (share * step - 2.0 * along)
        found[point] = -0.5 * square - logarithm
    return found


def told_apart(found: tuple[Suspect, ...]) -> bool:
    """Whether the first explanation is far likelier than the next."""
    return bool(found) and (len(found) == 1 or found[0].probability >= TOLD_APART * found[1].probability)
