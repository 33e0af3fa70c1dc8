"""Every upset against every instrument: when each acts, and what is in hand before damage."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import LimitError
from wetpath.physics.instruments.sensor import acts_at, first_order, voted_error
from wetpath.questions.parts import Result, Runner, Work, run_here, slices
from wetpath.questions.protection.set_points import Setting
from wetpath.questions.protection.signals import reading_lag
from wetpath.rating.rate import Rating
from wetpath.upsets import KINDS, Timeline, Upset, drawn, simulate
from wetpath.upsets.knots import Factors
from wetpath.upsets.simulation import ROUGHER
from wetpath.words import told

Array = NDArray[np.float64]

#: Probability with which a group of sensors is no later than counted.
LATE = 0.975
#: What a trip needs to stop the driver, and the driver to lose most of its speed [s]. Common practice, no source.
STOPPING = 2.0
#: Shares of the copies at the ends of a band.
BAND = (0.05, 0.5, 0.95)
#: Copies followed in one part.
AT_ONCE = 8
#: A driver turns when its speed is above this share of its highest.
TURNING = 0.5
#: Stands for "far from the set point" while an instrument may not act.
UNARMED = -1e30
#: Events at which liquid is lost, with where, and those at which damage begins.
LOST = {"liquid lost behind": "behind the impeller", "rear empty": "behind the impeller",
        "priming lost": "in the impeller"}
DAMAGE = ("bearings dry", "shell limit", "magnet limit")


@dataclass(frozen=True, eq=False)
class Reading:
    """What one instrument does in one upset."""

    setting: Setting
    passes: float             # reading passes the set point, no error [s]
    acts: float               # with delay and a late error [s]
    in_hand: float            # damage less that [s]; infinite without damage; negative: too late
    in_hand_low: float        # 5 and 95 % of the copies
    in_hand_high: float
    acts_in: float            # share of the copies in which it acts

    @property
    def seen(self) -> bool:
        """Whether it acts in the nominal copy."""
        return bool(np.isfinite(self.acts))

    @property
    def in_time(self) -> bool:
        """Whether the driver is stopped before damage, in nearly all copies that come to harm."""
        return self.acts_in > 0 and self.in_hand_low > STOPPING

    @property
    def words(self) -> str:
        """Seen, too late or not seen; without a set point: no resolution here."""
        if not self.setting.usable:
            return self.setting.reason
        if not self.acts_in:
            return "not seen"
        return "seen" if self.in_time else "too late" if self.seen else "not seen"


@dataclass(frozen=True)
class Times:
    """Time of something over the copies [s]: nominal, 5 and 95 %; infinite where it does not happen."""

    nominal: float
    low: float
    high: float

    @property
    def happens(self) -> bool:
        """Whether it happens in the nominal copy."""
        return bool(np.isfinite(self.nominal))


@dataclass(frozen=True, eq=False)
class Cause:
    """One upset, or several together, with what it does and who sees it."""

    upsets: tuple[Upset, ...]
    line: Timeline
    begins: float
    lost: Times
    lost_where: str
    damage: Times
    damage_name: str
    damage_text: str
    readings: tuple[Reading, ...]
    failed: int               # copies that the solver could not follow; they are in no band
    shell_loss_share: float   # loss of the shell out of step over that in step, here; NaN: the rings stay in step
    damage_if_loss_stays: float     # damage if the shell takes as much out of step as in step [s]; NaN: as before

    @property
    def warnings(self) -> tuple[str, ...]:
        """Limits crossed, both losses out of step, and copies left out."""
        found = list(self.line.warnings)
        if np.isfinite(self.shell_loss_share):
            here, held = (f"damage {time - self.begins:.0f} s after the cause" if np.isfinite(time) else "no damage"
                          for time in (self.damage.nominal, self.damage_if_loss_stays))
            found.append(f"{self.kind}: out of step the shell takes {self.shell_loss_share:.0%} of its loss in step "
                         f"here ({here}); with as much as in step, as some practice holds, {held}")
        if self.failed:
            copies = "copies of the model" if self.failed > 1 else "copy of the model"
            found.append(f"{self.failed} {copies} with drawn numbers could not be followed through {self.kind} and "
                         f"{'are' if self.failed > 1 else 'is'} in no band")
        return tuple(found)

    @property
    def kind(self) -> str:
        """Its name in the catalogue; of several together, all their names."""
        return " with ".join(one.kind for one in self.upsets)

    @property
    def title(self) -> str:
        """What it is called."""
        return ", ".join(KINDS[one.kind].title for one in self.upsets)

    @property
    def at_start(self) -> bool:
        """Whether it is there when the driver starts."""
        return not all(KINDS[one.kind].filled and KINDS[one.kind].coupled for one in self.upsets)

    @property
    def harms(self) -> bool:
        """Whether liquid is lost or damage begins in the time looked at, in some copy."""
        return bool(np.isfinite(min(self.lost.low, self.damage.low)))

    @cached_property
    def seen_in_time(self) -> tuple[Reading, ...]:
        """Instruments that act before damage, the earliest first."""
        return tuple(sorted((one for one in self.readings if one.in_time),
                            key=lambda one: (one.acts, -one.in_hand_low)))

    @property
    def first(self) -> Reading | None:
        """The instrument that acts first, in time or not."""
        return min((one for one in self.readings if one.seen), key=lambda one: one.acts, default=None)


def copies_of_model(copies: int, seed: int = 1) -> list[Factors]:
    """The nominal model, then copies with its uncertain numbers drawn (scrambled Sobol points)."""
    return [Factors(), *drawn(copies, seed)]


@dataclass(frozen=True, eq=False)
class Following:
    """What every copy of the model is followed through, and what is read along it."""

    rating: Rating
    upsets: tuple[Upset, ...]
    settings: tuple[Setting, ...]
    case: int
    band: int
    duration: float

    def line(self, factors: Factors, *, rougher: float = ROUGHER) -> Timeline:
        """The course of one copy."""
        return simulate(self.rating, self.upsets, case=self.case, duration=self.duration, factors=factors,
                        rougher=rougher)

    def times(self, line: Timeline) -> Array:
        """When liquid is lost, when damage begins, and when each instrument passes and acts, (2 + 2 settings) [s]."""
        read_at = [read(self.rating, line, setting, self.case, self.band) for setting in self.settings]
        return np.array([min(line.when(name) for name in LOST), damage_of(self.rating, line)[0],
                         *(passes for passes, _ in read_at), *(acts for _, acts in read_at)])


def copies_followed(shared: Following, factors: Sequence[Factors]) -> Result:
    """Follow copies; ``times`` as of `Following.times`, a row for every copy that the solver could follow."""
    rows = []
    for one in factors:
        with suppress(LimitError):
            rows.append(shared.times(shared.line(one)))
    return {"times": np.array(rows).reshape(len(rows), 2 + 2 * len(shared.settings))}


def cause_of(rating: Rating, upsets: Sequence[Upset], settings: Sequence[Setting], *, case: int, band: int,
             duration: float, factors: Sequence[Factors], runner: Runner = run_here) -> Cause:
    """Follow upsets together in every copy of the model, and read the instruments along each.

    Parameters
    ----------
    rating : Rating
    upsets : sequence of Upset
    settings : sequence of Setting
    case : int
    band : int
        Band of the shell with the thermometer.
    duration : float [s]
    factors : sequence of Factors
        The first is the nominal model.
    runner : callable
        Does the parts.

    Raises
    ------
    LimitError
        When the nominal model cannot be followed.
    """
    shared = Following(rating, tuple(upsets), tuple(settings), case, band, duration)
    line = shared.line(factors[0], rougher=1.0)
    first, copies = shared.times(line), factors[1:]
    parts = slices(len(copies), AT_ONCE)
    name = " with ".join(one.kind for one in upsets)
    followed = runner(Work(f"copies through {name}", copies_followed, shared, [copies[part] for part in parts],
                           [part.stop - part.start for part in parts]))
    times = np.concatenate([first[None, :], *(part["times"] for part in followed if part is not None)])
    lost, damage = times[:, 0], times[:, 1]
    passes, acts = first[2:2 + len(settings)], times[:, 2 + len(settings):]
    spread = np.array([[_less(damages, gone, one) for one in row] for damages, gone, row in zip(
        damage, lost, acts, strict=True)]).reshape(acts.shape)
    readings = tuple(
        Reading(setting, float(passes[place]), float(acts[0, place]), float(spread[0, place]),
                _quantile(spread[:, place], BAND[0]), _quantile(spread[:, place], BAND[2]),
                float(np.isfinite(acts[:, place]).mean())) for place, setting in enumerate(settings))
    where = next((LOST[event.name] for event in line.events if event.name in LOST), "")
    _, damage_name, damage_text = damage_of(rating, line)
    return Cause(tuple(upsets), line, line.when("cause"), _times(lost.tolist()), where, _times(damage.tolist()),
                 damage_name, damage_text, readings, len(factors) - len(times),
                 *_loss_that_stays(rating, line, upsets, case, duration, factors[0]))


def _loss_that_stays(rating: Rating, line: Timeline, upsets: Sequence[Upset], case: int, duration: float,
                     factors: Factors) -> tuple[float, float]:
    """Loss of the shell out of step over that in step, and when damage begins if it were the same [s]."""
    if not np.isfinite(line.when("out of step")) or line.slip_loss_share <= 0:
        return np.nan, np.nan
    asked = np.prod([one.number("factor") for one in upsets if "factor" in KINDS[one.kind].parameters])
    share = float(asked) * factors.slip * line.slip_loss_share
    try:
        held = simulate(rating, upsets, case=case, duration=duration,
                        factors=replace(factors, slip=factors.slip / share))
    except LimitError:
        return share, np.nan
    return share, damage_of(rating, held)[0]


def damage_of(rating: Rating, line: Timeline) -> tuple[float, str, str]:
    """First time at which damage begins or the temperature class of the area is passed, and what it is."""
    names = [*DAMAGE]
    if rating.enquiry.site.temperature_class != "none":
        names.append(told("temperature class {temperature_class}",
                          temperature_class=rating.enquiry.site.temperature_class))
    first = min((event for event in line.events if event.name in names), key=lambda one: one.time, default=None)
    return (np.inf, "", "") if first is None else (first.time, first.name, first.text)


def read(rating: Rating, line: Timeline, setting: Setting, case: int, band: int) -> tuple[float, float]:
    """When the reading of an instrument passes its set point, and when it acts, late by its error [s]."""
    instrument = setting.instrument
    if not setting.usable:
        return np.inf, np.inf
    values = reading_of(rating, line, setting, case, band)
    if np.isnan(values).any():
        return np.inf, np.inf
    late = float(voted_error(setting.error, instrument.wanted, instrument.fitted, LATE))
    over = np.where(armed(line, instrument.by_pass), instrument.sign * (values - setting.set_point), UNARMED)
    return acts_at(line.time, over, 0.0), acts_at(line.time, over - late, instrument.delay)


def reading_of(rating: Rating, line: Timeline, setting: Setting, case: int, band: int) -> Array:
    """Reading of an instrument along an upset, behind its lag and within its range, without error."""
    situation, signal = rating.situation, setting.instrument.signal
    true = signal.along(line, situation.liquids[situation.model_of[case]], band)
    rated = float(np.abs(situation.solution.states.flow[case, rating.pump.network.annulus]))
    lag = reading_lag(signal, setting.instrument.time_constant, line, rated)
    return np.minimum(first_order(line.time, true, lag), signal.end_of(setting.span))


def armed(line: Timeline, by_pass: float) -> NDArray[np.bool_]:
    """Where an instrument may act: with a by-pass only while the driver turns, and after the start."""
    if by_pass <= 0:
        return np.ones(line.time.size, bool)
    turning = line.outer_speed > TURNING * line.outer_speed.max()
    started = np.where(turning & ~np.r_[False, turning[:-1]], line.time, -np.inf)
    if line.inner_speed[0] > TURNING * line.outer_speed.max() and line.casing_liquid_share[0] > 0.5:
        started[0] = -np.inf      # it ran before
    since = np.maximum.accumulate(started)
    return np.asarray(turning & (line.time - since >= by_pass))


def _less(damage: float, lost: float, acts: float) -> float:
    """Time in hand: endless where nothing comes to harm, none where harm is not seen."""
    if np.isinf(damage):
        return np.inf if np.isinf(lost) or np.isfinite(acts) else -np.inf
    return damage - acts


def _times(values: Sequence[float]) -> Times:
    array = np.array(values)
    return Times(float(array[0]), _quantile(array, BAND[0]), _quantile(array, BAND[2]))


def _quantile(values: Array, share: float) -> float:
    ordered = np.sort(values)
    return float(ordered[min(int(share * ordered.size), ordered.size - 1)])
