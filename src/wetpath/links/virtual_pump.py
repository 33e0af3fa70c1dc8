"""A pump that is not there: the readings of its instruments out of the transient model, with lag and noise, seeded."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError
from wetpath.physics.instruments.sensor import first_order
from wetpath.questions.protection.instruments import default_instruments
from wetpath.questions.protection.normal import sample_normal
from wetpath.questions.protection.set_points import Setting, settings_of
from wetpath.questions.protection.signals import reading_lag, warmest_band
from wetpath.questions.protection.study import SAMPLES, case_to_start_from
from wetpath.rating.rate import Rating
from wetpath.upsets import Timeline, Upset, simulate
from wetpath.upsets.knots import Factors
from wetpath.watching.samples import Signal

Array = NDArray[np.float64]

#: An upset is followed for this time; then the pump stays as it is [s].
FOLLOWED, LONGEST = 3600.0, 86400.0
#: Time before an upset that a course begins with, in the rated state [s].
BEFORE = 1.0
#: Samples whose noise is drawn together.
BLOCK = 256
#: Noise of a tachometer, one standard deviation over the reading. Common practice, no source.
SPEED_NOISE = 3e-4
#: Supply that the motor current is told for: volts and power factor at rated power, invented for the virtual plant.
VOLTS, POWER_FACTOR = 400.0, 0.86

#: Instrument of the defaults that stands for each signal, and what it sees.
_SEEN: dict[Signal, tuple[str, Callable[[Timeline, int], Array]]] = {
    Signal.SUCTION_PRESSURE: ("low_suction_pressure", lambda line, _: line.suction_pressure),
    Signal.DISCHARGE_PRESSURE: ("low_discharge_pressure", lambda line, _: line.discharge_pressure),
    Signal.FLOW: ("low_flow", lambda line, _: line.flow),
    Signal.MOTOR_POWER: ("low_power", lambda line, _: line.motor_power),
    Signal.MOTOR_CURRENT: ("low_current", lambda line, _: line.current_share),
    Signal.SUCTION_TEMPERATURE: ("high_suction_temperature", lambda line, _: line.suction_temperature),
    Signal.SHELL_TEMPERATURE: ("shell_temperature", lambda line, band: line.shell_wall[:, band]),
    Signal.LEVEL: ("low_level", lambda line, _: line.vessel_level),
    Signal.RETURN_TEMPERATURE: ("high_return_temperature", lambda line, _: line.return_temperature)}


@dataclass(frozen=True, eq=False)
class _Course:
    """Readings without noise on even steps since a time of the plant; before and behind them they stand still."""

    begins: float
    step: float
    values: Mapping[Signal, Array]
    upsets: tuple[Upset, ...] = ()

    def at(self, signal: Signal, times: Array) -> Array:
        value = self.values[signal]
        return np.asarray(np.interp(times - self.begins, self.step * np.arange(value.size), value))


class VirtualPump:
    """One rated pump in the plant. Times are those of the plant, UTC seconds.

    Parameters
    ----------
    rating : Rating
    case : int, optional
        Operating case it runs in; without it the governing one, or the first that runs without harm.
    seed : int
        Of the noise; the same seed and times give the same readings, however they are asked for.
    step : float [s]
        Time between samples.
    factors : Factors, optional
        Uncertain numbers of the model.
    """

    def __init__(self, rating: Rating, *, case: int | None = None, seed: int = 1, step: float = 1.0,
                 factors: Factors | None = None) -> None:
        self.rating, self.seed, self.step, self.factors = rating, seed, step, factors
        self.case = case_to_start_from(rating, case)
        self._band = warmest_band(rating.situation, self.case)
        settings = settings_of(rating, dict(default_instruments()), sample_normal(rating, SAMPLES), self._band)
        self._settings = {one.instrument.name: one for one in settings}
        driver = rating.pump.driver
        self.rated_current = driver.rated_power / (
            np.sqrt(3.0) * VOLTS * POWER_FACTOR * rating.situation.driver.efficiency)
        self._course = self._followed(0.0, ())

    @property
    def signals(self) -> tuple[Signal, ...]:
        """What its instruments measure."""
        return tuple(self._course.values)

    @property
    def upsets(self) -> tuple[Upset, ...]:
        """Upsets that have begun or will."""
        return self._course.upsets

    def readings(self, first: int, count: int) -> tuple[Array, dict[Signal, Array]]:
        """Times and readings, SI, of samples ``first`` and the next ones; sample number times step is the time."""
        times = np.asarray((first + np.arange(count)) * self.step, float)
        course = self._course
        noise = self._noise(first, count)
        found: dict[Signal, Array] = {}
        for place, signal in enumerate(Signal):
            if signal in course.values:
                deviation = self._deviation(signal, course)
                found[signal] = np.asarray(np.maximum(course.at(signal, times) + deviation * noise[:, place],
                                                      0.0 if signal is not Signal.LEVEL else -np.inf))
        return times, found

    def with_upset(self, upset: Upset, at: float) -> Callable[[], None]:
        """Follow one more upset that begins at a time of the plant; the function returned puts it in place.

        The work takes a second or more and may be done in another thread; putting in place takes no time.
        """
        course = self._course
        begins = course.begins if course.upsets else at - BEFORE
        if at - begins + FOLLOWED > LONGEST:
            raise InputError("begins too long after the upset before", field="upset", value=f'"{upset.kind}"',
                             do="reset the pump first")
        followed = self._followed(begins, (*course.upsets, replace(upset, start=at - begins)))

        def put() -> None:
            self._course = followed

        return put

    def reset(self) -> None:
        """The pump is repaired and runs as rated again, from one sample to the next."""
        self._course = self._followed(0.0, ())

    def _followed(self, begins: float, upsets: Sequence[Upset]) -> _Course:
        duration = max((one.start for one in upsets), default=0.0) + (FOLLOWED if upsets else 10.0)
        line = simulate(self.rating, upsets, case=self.case, duration=duration, factors=self.factors)
        grid = np.arange(0.0, duration, self.step)
        values = {}
        for signal, (name, seen) in _SEEN.items():
            true = seen(line, self._band)
            if not np.isfinite(true).all():
                continue
            instrument = self._settings[name].instrument
            lag = reading_lag(instrument.signal, instrument.time_constant, line, float(line.annulus_flow[0]))
            reading = first_order(line.time, true, lag)
            scale = self.rated_current if signal is Signal.MOTOR_CURRENT else 1.0
            values[signal] = np.interp(grid, line.time, reading) * scale
        values[Signal.SPEED] = np.interp(grid, line.time, line.outer_speed)
        return _Course(begins, self.step, values, tuple(upsets))

    def _deviation(self, signal: Signal, course: _Course) -> float:
        if signal is Signal.SPEED:
            return SPEED_NOISE * float(course.values[signal][0])
        setting: Setting = self._settings[_SEEN[signal][0]]
        noise = setting.instrument.noise_of_span * setting.span
        return float(noise * (self.rated_current if signal is Signal.MOTOR_CURRENT else 1.0))

    def _noise(self, first: int, count: int) -> Array:
        blocks = range(first // BLOCK, (first + count - 1) // BLOCK + 1)
        drawn = [np.random.default_rng([self.seed, block]).standard_normal((BLOCK, len(Signal))) for block in blocks]
        begin = first - blocks.start * BLOCK
        return np.concatenate(drawn)[begin:begin + count]
