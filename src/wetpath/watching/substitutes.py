"""What plants measure in place of what the watch wants: motor current for its power, vessel level for suction pressure.

Only a signal that a plant does not have at all is told by another one, with the larger error that goes with it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation import solve
from wetpath.physics.constants import STANDARD_GRAVITY
from wetpath.physics.electrical.motor_current import NO_LOAD_CURRENT, current_of_load, load_of_current
from wetpath.physics.electrical.motor_loss import motor_loss
from wetpath.rating.rate import Rating
from wetpath.rating.suction_state import pressure_at_flow
from wetpath.watching.samples import Samples, Signal

Array = NDArray[np.float64]

#: Band of the current without load around the usual one, and error of an ammeter, over the rated current. Common
#: practice, no source.
NO_LOAD_BAND, CURRENT_ERROR = 0.1, 0.015
#: A motor that takes less than this share of its rated current is off.
STANDS = 0.1
#: Error of a level [m], and how far the pressure in a vessel may lie from that of its case. Common practice, no source.
LEVEL_ERROR, VESSEL_PRESSURE = 0.05, 0.03


@dataclass(frozen=True)
class Substitute:
    """One signal told by another: in words, error of the other's instrument, and of the law between the two."""

    signal: Signal
    words: str
    instrument: float            # standard deviations, SI of the signal told
    law: float


@dataclass(frozen=True, eq=False)
class Substitutes:
    """Which signals of a pump in a case are told by others."""

    rating: Rating | None = None
    case: int = 0
    rated_current: float = np.nan        # [A]; NaN: the motor power is measured, or not told
    by_level: bool = False               # suction pressure by the level in the vessel
    zero: float = 0.0                    # of that level above the shaft [m]
    unused: tuple[str, ...] = ()         # what could tell a signal, and why it does not

    @property
    def told(self) -> tuple[Substitute, ...]:
        """Each of them, with its errors at the load of the case."""
        return (*([self._power()] if np.isfinite(self.rated_current) else []),
                *([self._suction()] if self.by_level else []))

    @property
    def words(self) -> tuple[str, ...]:
        """What is told by what, and what could be and is not."""
        return (*(one.words for one in self.told), *self.unused)

    def of(self, samples: Samples) -> Samples:
        """Samples with the signals told by others among them; NaN where the other has no value."""
        more = {}
        if np.isfinite(self.rated_current) and Signal.MOTOR_CURRENT in samples.values:
            more[Signal.MOTOR_POWER] = self._electric(samples.values[Signal.MOTOR_CURRENT] / self.rated_current)
        if self.by_level and Signal.LEVEL in samples.values:
            flow = samples.values.get(Signal.FLOW, np.full(samples.count, np.nan))
            more[Signal.SUCTION_PRESSURE] = self.pressure(samples.values[Signal.LEVEL] + self.zero, flow)
        return Samples(samples.time, {**samples.values, **more}) if more else samples

    def _electric(self, share: Array, no_load_current: float = NO_LOAD_CURRENT) -> Array:
        assert self.rating is not None
        rated, efficiency = self.rating.pump.driver.rated_power, self.rating.situation.driver.efficiency
        shaft = rated * load_of_current(share, no_load_current)
        return np.where(share < STANDS, 0.0, shaft + motor_loss(shaft, rated, efficiency))

    def _power(self) -> Substitute:
        assert self.rating is not None
        load = self.rating.situation.losses.shaft[self.case] / self.rating.pump.driver.rated_power
        share = current_of_load(load)
        told, *off = (float(self._electric(share + more, NO_LOAD_CURRENT + band)) for more, band in (
            (0, 0), (CURRENT_ERROR, 0), (-CURRENT_ERROR, 0), (0, NO_LOAD_BAND), (0, -NO_LOAD_BAND)))
        instrument, law = abs(off[0] - off[1]) / 2, abs(off[2] - off[3]) / 2
        return Substitute(Signal.MOTOR_POWER, "the motor power is told by its current, to "
                          f"{np.hypot(instrument, law) / told:.0%}", instrument, law)

    def pressure(self, level: Array, flow: Array) -> Array:
        """Absolute pressure at the suction flange [Pa] by level above the shaft and flow; NaN: that of the case."""
        assert self.rating is not None
        situation = self.rating.situation
        vessels = situation.demands.vessels
        assert vessels is not None
        known = np.where(np.isfinite(flow), np.maximum(flow, 0.0), self.rating.inputs.flow[self.case])
        at_flow = pressure_at_flow(situation, np.full(level.size, self.case), known)
        return np.asarray(at_flow + self._weight() * (level - vessels.level[self.case]))

    def _weight(self) -> float:
        assert self.rating is not None
        return float(self.rating.situation.scalars[self.case, solve.DENSITY_IN]) * STANDARD_GRAVITY

    def _suction(self) -> Substitute:
        assert self.rating is not None
        pressure = float(self.rating.inputs.pressure[self.case])
        law = VESSEL_PRESSURE * pressure
        return Substitute(Signal.SUCTION_PRESSURE, "the suction pressure is told by the level, with the vessel at the "
                          f"pressure of its case, to {VESSEL_PRESSURE:.0%} of it", LEVEL_ERROR * self._weight(), law)


NONE = Substitutes()


def substitutes_of(rating: Rating, case: int, measured: Collection[Signal], *, rated_current: float = np.nan,
                   zero: float = 0.0) -> Substitutes:
    """Which signals have to be told by others, and can be.

    Parameters
    ----------
    rating : Rating
    case : int
        Operating case the pump runs in.
    measured : collection of Signal
        What the plant has.
    rated_current : float
        Of the motor, from its name plate [A]; NaN when it is not known.
    zero : float
        Height above the shaft from which the level counts [m].
    """
    vessels = rating.situation.demands.vessels
    no_power = Signal.MOTOR_POWER not in measured and Signal.MOTOR_CURRENT in measured
    no_suction = Signal.SUCTION_PRESSURE not in measured and Signal.LEVEL in measured
    drawn = vessels is not None and bool(vessels.given[case])
    unused = tuple(words for words, holds in (
        ("the motor current is not used: give rated_current at its tag in the mapping file",
         no_power and not np.isfinite(rated_current)),
        ("the level is not used: the case gives no vessel", no_suction and not drawn)) if holds)
    return Substitutes(rating, case, rated_current if no_power else np.nan, no_suction and drawn, zero, unused)
