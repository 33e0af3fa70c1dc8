"""The protection plan: set points, cause against instrument, the smallest set, what stays uncovered, restart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetpath.circulation.outcome import Outcome
from wetpath.errors import InputError
from wetpath.questions.parts import Progress, Runner, run_here
from wetpath.questions.protection.cover import Cover, smallest_cover
from wetpath.questions.protection.demands import vessel_outlet
from wetpath.questions.protection.instruments import Instrument, default_instruments
from wetpath.questions.protection.matrix import LOST, STOPPING, Cause, cause_of, copies_of_model, damage_of
from wetpath.questions.protection.normal import sample_normal
from wetpath.questions.protection.restart import Restart, restart_of
from wetpath.questions.protection.set_points import Setting, cases_in_service, settings_of
from wetpath.questions.protection.signals import warmest_band
from wetpath.rating.rate import Rating
from wetpath.upsets import KINDS, Upset, simulate
from wetpath.words import told

Array = NDArray[np.float64]

#: Copies of the model for the bands, samples of normal operation for each case, time looked at [s].
COPIES, SAMPLES, DURATION = 8, 256, 600.0

#: Time over which a case has to stay as rated with nothing wrong [s].
STAYS = 60.0
#: Instruments of the trips that an enquiry may name.
TRIPS = {"low power": "low_power", "high power": "high_power", "low flow": "low_flow", "low level": "low_level",
         "low suction pressure": "low_suction_pressure", "shell temperature": "shell_temperature"}
#: Causes that the model in time does not follow, and what sees them first. Common practice, no source.
NOT_SIMULATED = (
    ("shell breached: corrosion, fatigue, a rolling bearing that failed and lets the outer ring rub",
     "pressure or liquid in the space outside the shell; vibration of the bearing housing before it"),
    ("rolling bearings of the drive shaft worn", "vibration and temperature of the bearing housing"),
    ("ferrous fines on the inner ring", "motor power and shell temperature, slowly"),
    ("axial thrust on one face, thrust bearing worn", "axial position of the rotor"))


@dataclass(frozen=True, eq=False)
class Plan:
    """The protection of one pump in one enquiry, judged on one case."""

    rating: Rating
    case: int
    band: int
    bands: int
    duration: float
    copies: int
    samples: int
    samples_left_out: int
    instruments_name: str
    settings: tuple[Setting, ...]
    causes: tuple[Cause, ...]
    cover: Cover
    longest_delay: Mapping[str, float]     # of trips in the smallest set, so that each cause is still met [s]
    restart: Restart
    missed_by_trips: tuple[str, ...] | None     # causes that the trips of the enquiry miss; None: it names no trips
    warnings: tuple[str, ...]

    @property
    def case_name(self) -> str:
        """Name of the case."""
        return self.rating.case_names[self.case]


def plan_protection(rating: Rating, *, case: int | None = None, upsets: Sequence[Upset] | None = None,
                    instruments: Mapping[str, Instrument] | None = None, instruments_name: str = "",
                    duration: float = DURATION, copies: int = COPIES, samples: int = SAMPLES, seed: int = 1,
                    progress: Progress | None = None, runner: Runner = run_here) -> Plan:
    """Plan the protection.

    Parameters
    ----------
    rating : Rating
    case : int, optional
        Operating case the upsets start from; without it the governing one, if it has a liquid solution.
    upsets : sequence of Upset, optional
        Causes held to be credible; without them every kind of the catalogue that applies to this pump.
    instruments : mapping, optional
        Those fitted; without them all that are known.
    instruments_name : str
    duration : float [s]
        Time looked at in each upset.
    copies : int
        Copies of the model with drawn numbers, for the bands; 0 for none.
    samples : int
        Samples of normal operation for each case.
    seed : int
    progress, runner : callable, optional
        A plan of some of the causes would be taken for one: who wants it stopped lets ``progress`` raise.

    Raises
    ------
    InputError
        For a case without a liquid solution.
    """
    number = case_to_start_from(rating, case)
    band = warmest_band(rating.situation, number)
    normal = sample_normal(rating, samples, seed)
    settings = settings_of(rating, dict(instruments or default_instruments()), normal, band)
    chosen = [at_the_vessel(rating, number, one) for one in (applicable(rating) if upsets is None else upsets)]
    factors = copies_of_model(copies, seed)
    causes = []
    for done, upset in enumerate(chosen):
        causes.append(cause_of(rating, [upset], settings, case=number, band=band, duration=duration, factors=factors,
                               runner=runner))
        if progress is not None:
            progress(done + 1, len(chosen))
    cover = smallest_cover(causes)
    return Plan(rating, number, band, causes[0].line.shell_wall.shape[1] if causes else 0, duration, copies,
                normal.count, normal.left_out, instruments_name, settings, tuple(causes), cover,
                _longest_delays(causes, cover), restart_of(rating, number), _own_trips(rating, causes),
                _warnings(causes, normal.left_out))


def applicable(rating: Rating) -> list[Upset]:
    """Every kind of upset that this pump can have."""
    pump = rating.pump
    able: dict[str, Callable[[], bool]] = {
        "cooler failure": lambda: any(getattr(one, "cooler", None) is not None for one in pump.branches),
        "suction pressure decay": lambda: rating.liquid.has_vapour_pressure,
        "vessel emptied": lambda: any(case.vessel is not None for case in rating.enquiry.cases)}
    return [Upset(kind) for kind in KINDS if able.get(kind, lambda: True)()]


def at_the_vessel(rating: Rating, case: int, upset: Upset) -> Upset:
    """A vessel that runs empty begins at the level of the case; its outlet is where the level trip takes it to be."""
    vessels = rating.situation.demands.vessels
    if upset.kind != "vessel emptied" or "above_outlet" in upset.values or vessels is None or np.isnan(
            vessels.level[case]):
        return upset
    return replace(upset, values={**upset.values, "above_outlet": float(vessels.level[case]) - vessel_outlet(rating)})


def case_to_start_from(rating: Rating, asked: int | None) -> int:
    """The case asked for, or the governing one, or else the first, that runs without harm while nothing is wrong.

    Raises
    ------
    InputError
        When the case asked for, or every case, comes to harm as rated.
    """
    if asked is not None:
        why = _harm_as_rated(rating, asked)
        if why:
            raise InputError(f"cannot be the beginning of an upset: {why}", field="case",
                             value=f'"{rating.case_names[asked]}"', do="take another case, or see wetpath remedies")
        return asked
    served = cases_in_service(rating).tolist()
    order = sorted(served, key=lambda case: (case != rating.verdict.case, case))
    for case in order:
        if not _harm_as_rated(rating, case):
            return case
    why = _harm_as_rated(rating, order[0])
    raise InputError(f"has no case from which an upset can begin: {why}", field="enquiry",
                     value=f'"{rating.enquiry.title}"', do="see wetpath rate and wetpath remedies first")


def _harm_as_rated(rating: Rating, case: int) -> str:
    """What harm a case comes to with nothing wrong; empty where none."""
    if rating.outcomes[case] == Outcome.NO_SOLUTION:
        return "as rated it has no liquid solution"
    line = simulate(rating, [], case=case, duration=STAYS)
    lost = [event.text for event in line.events if event.name in LOST]
    damage = damage_of(rating, line)[2]
    return told("as rated {harm}", harm=lost[0] if lost else damage) if lost or damage else ""


def _longest_delays(causes: Sequence[Cause], cover: Cover) -> dict[str, float]:
    """Longest delay of each trip of the smallest set with which every cause it is needed for is still met."""
    found: dict[str, float] = {}
    for cause in causes:
        if cause.kind not in cover.covered:
            continue
        first = next(one for one in cause.seen_in_time if one.setting.instrument.signal.name in cover.signals)
        instrument = first.setting.instrument
        longest = instrument.delay + first.in_hand_low - STOPPING
        found[instrument.name] = min(found.get(instrument.name, np.inf), longest)
    return found


def _own_trips(rating: Rating, causes: Sequence[Cause]) -> tuple[str, ...] | None:
    trips = [TRIPS[trip] for trip in rating.enquiry.protection.trips if trip in TRIPS]
    if not trips:
        return None
    return tuple(one.kind for one in causes if one.harms and not any(
        reading.setting.instrument.name in trips for reading in one.seen_in_time))


def _warnings(causes: Sequence[Cause], left_out: int) -> tuple[str, ...]:
    found = [warning for cause in causes for warning in cause.warnings]
    if left_out:
        found.append(told("{left_out} samples of normal operation have no liquid solution and are left out: the pump "
                          "runs at its limit", left_out=left_out))
    return tuple(dict.fromkeys(found))
