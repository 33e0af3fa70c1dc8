"""What makes signals leave the model: an instrument that is off, or something in the pump; by likelihood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.published import published
from wetpath.watching.reconcile import ORDER, SIGNALS, STATES, Errors
from wetpath.watching.surrogate import FEED, POWER, PRESSURE, RETURN, RISE, SHELL, TEMPERATURE, Surrogate, columns_at

Array = NDArray[np.float64]

#: Change of the feed area by which the signature of plugging is found, as a share.
PLUGGED = 0.1
#: A cause or an instrument is named only when it is this many times as likely as the next.
TOLD_APART = 10.0


@dataclass(frozen=True)
class Suspect:
    """One explanation: what it is, how large, with its standard deviation, and the gain of log likelihood it brings."""

    name: str
    title: str
    amount: float
    deviation: float
    gain: float
    instrument: bool


@dataclass(frozen=True, eq=False)
class Signatures:
    """How signals answer to the unknowns and to causes, over their errors."""

    jacobian: Array                       # (8, 4)
    causes: dict[str, tuple[str, Array]]  # title and change of the signals for one unit of the cause


def signatures_of(surrogate: Surrogate, errors: Errors, feed: float = 1.0, states: Array | None = None) -> Signatures:
    """Signatures at the usual operating point, or at another."""
    here = errors.usual if states is None else states
    low, high = surrogate.low, surrogate.high

    def signals(at: Array, area: float) -> Array:
        told = columns_at(surrogate.at_feed(area), low, high, np.clip(at, low[:STATES], high[:STATES])[None, :])[0]
        return np.array([*at, at[PRESSURE] + told[RISE], told[POWER], at[TEMPERATURE] + told[SHELL],
                         at[TEMPERATURE] + told[RETURN]])

    base = signals(here, feed)
    jacobian = np.empty((SIGNALS, STATES))
    for one in range(STATES):
        step = 1e-3 * (high[one] - low[one]) * (-1 if here[one] > 0.5 * (low[one] + high[one]) else 1)
        moved = here.copy()
        moved[one] += step
        jacobian[:, one] = (signals(moved, feed) - base) / step / errors.signals
    less = max(feed - PLUGGED, float(low[FEED]))
    plugging = (signals(here, less) - base) / (feed - less) if feed > less else np.zeros(SIGNALS)
    head, power = np.zeros(SIGNALS), np.zeros(SIGNALS)
    head[4], power[5] = -(base[4] - base[3]), base[5]
    denser = np.zeros(SIGNALS)
    denser[4], denser[5] = base[4] - base[3], base[5]     # rise and power go with the density
    told = {"feed_plugging": ("feed or return passage plugging", plugging), "head_loss": ("head falling: wear", head),
            "power_gain": ("power rising: rubbing, or a thicker liquid", power),
            "gas_entrained": ("gas drawn in with the liquid", -denser), "wrong_liquid": ("a denser liquid", denser)}
    return Signatures(jacobian, {name: (title, change / errors.signals) for name, (title, change) in told.items()})


@published("narasimhan-jordache-2000", status="recalled")
def suspects(signatures: Signatures, residuals: Array, deviations: Array) -> tuple[Suspect, ...]:
    r"""Explanations of residuals, the likeliest first, by the generalised likelihood ratio.

    Of a bias along :math:`f` the gain of log likelihood is :math:`(f^TV^{-1}r)^2/(2f^TV^{-1}f)`, with what the unknowns
    can take up projected out of :math:`f` and :math:`r`.

    Parameters
    ----------
    signatures : Signatures
    residuals : array (8,) [-]
        Over the errors of the signals; NaN: not measured.
    deviations : array (8,) [-]
        Standard deviations of these residuals.

    Returns
    -------
    tuple of Suspect

    Notes
    -----
    One explanation at a time; two at once are told as the nearest single one. Signals beyond the unknowns have to be
    there: with none to spare nothing can be told apart.

    References
    ----------
    .. [1] Narasimhan, Jordache: Data reconciliation and gross error detection (2000), chapter 7. Recalled.
    """
    measured = np.isfinite(residuals)
    weight = 1.0 / deviations[measured]
    jacobian = signatures.jacobian[measured] * weight[:, None]
    base = np.linalg.qr(jacobian)[0] if jacobian.shape[0] > STATES else np.eye(jacobian.shape[0])
    wanted = residuals[measured] * weight
    wanted = wanted - base @ (base.T @ wanted)
    found = []
    directions = [(str(signal), f"instrument: {signal.replace('_', ' ')}", np.eye(SIGNALS)[number], True)
                  for number, signal in enumerate(ORDER) if measured[number]]
    directions += [(name, title, change, False) for name, (title, change) in signatures.causes.items()]
    for name, title, change, instrument in directions:
        along = change[measured] * weight
        along = along - base @ (base.T @ along)
        strength = float(along @ along)
        if strength < 1e-6 * float((change[measured] * weight) @ (change[measured] * weight) + 1e-300):
            continue                                       # the unknowns take all of it up: it cannot be seen
        amount = float(along @ wanted) / strength
        if not instrument and amount < 0:
            continue                                       # passages do not open, heads do not grow
        found.append(Suspect(name, title, amount, strength**-0.5, 0.5 * amount**2 * strength, instrument))
    return tuple(sorted(found, key=lambda one: -one.gain))


def told_apart(found: tuple[Suspect, ...]) -> bool:
    """Whether the first explanation is far likelier than the next."""
    return len(found) == 1 or (len(found) > 1 and np.exp(min(found[0].gain - found[1].gain, 50.0)) >= TOLD_APART)


def likeliest(found: tuple[Suspect, ...], moved: tuple[str, ...]) -> tuple[Suspect, ...]:
    """Explanations with ties broken by what else moved.

    An instrument that is off moves its own signal alone. Where several have moved, an instrument that is only as
    likely as a cause gives way to it; where one alone has moved, causes give way to its instrument.
    """
    near = [one for one in found if one.gain > found[0].gain - np.log(TOLD_APART)]
    if len(moved) == 1 and any(one.name == moved[0] for one in near):
        kept = [one for one in near if one.name == moved[0]]
    elif len(moved) > 1 and any(not one.instrument for one in near):
        kept = [one for one in near if not one.instrument]
    else:
        return found
    return (*kept, *(one for one in found if one not in near))
