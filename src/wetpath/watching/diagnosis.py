"""What has happened to a watched pump: looked at again with every window while it lasts, evidence added up."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from wetpath.watching.baseline import Baseline
from wetpath.watching.evidence import NORMAL, Seen, Suspect, Usual, told_apart, weigh
from wetpath.watching.hypotheses import Library, library_of
from wetpath.watching.reconcile import ORDER, SIGNALS, Errors
from wetpath.watching.surrogate import Surrogate

Array = NDArray[np.float64]

#: For how long a cause is looked at again with every window [s]; the least that one window may say about a cause (log
#: of its probability), so that no window alone decides.
LASTS, WORST = 300.0, -7.0
#: Samples whose means are compared, and between them, for how sharply a signal has moved; deviations that are noise.
TOGETHER, APART, NOISE = 3, 2, 4.0
#: Part of a signal's movement within a window by which its mean may be off the true course. Of a window in which a
#: signal moves by more than this many deviations of its noise, the last samples alone are looked at.
MOVING, MOVES, LATEST = 0.25, 6.0, 5
#: An instrument is suspected when it is off by this many of its own errors.
OFF_BY = 2.0

_libraries: WeakKeyDictionary[Errors, Library] = WeakKeyDictionary()


def library_for(surrogate: Surrogate, errors: Errors) -> Library:
    """Courses of the causes; made once for a quick model and the instruments of its pump."""
    if errors not in _libraries:
        _libraries[errors] = library_of(surrogate, errors.instruments, errors.told)
    return _libraries[errors]


@dataclass(eq=False)
class Diagnosis:
    """One thing that has happened: suspects, the likeliest first, and until when it is looked at again."""

    until: float
    alarms: list[str] = field(default_factory=list)
    suspects: tuple[Suspect, ...] = ()
    changes: Array = field(default_factory=lambda: np.full(SIGNALS, np.nan))     # over the errors of the instruments
    jumps: Array = field(default_factory=lambda: np.zeros(SIGNALS))      # largest within seconds, so far
    _scores: dict[str, float] = field(default_factory=dict)

    def look(self, baseline: Baseline, samples: Array, before: Array) -> None:
        """Add the evidence of some samples (samples, 8), with those ``before`` them and up to their end."""
        usual = _usual(baseline, len(samples))
        with np.errstate(invalid="ignore"):
            single = np.nan_to_num(usual.noise) * np.sqrt(len(samples))
            self.jumps = np.fmax(self.jumps, _jump(before) - NOISE * single * np.sqrt(2.0 / TOGETHER))
        if (np.abs(_moving(samples)) > MOVES * usual.noise).any():
            samples = samples[-LATEST:]
            usual = _usual(baseline, len(samples))
        signals = _mean(samples)
        usual = replace(usual, noise=np.hypot(usual.noise, MOVING * _moving(samples)))
        change = np.abs(signals - usual.signals)
        sharp = np.divide(self.jumps, change, out=np.zeros(SIGNALS), where=change > 0)
        found = weigh(library_for(baseline.surrogate, baseline.errors), usual, Seen(signals, sharp))
        self.changes = (signals - usual.signals) / usual.instruments
        for one in found:
            now = max(float(np.log(one.probability + 1e-300)), WORST)
            self._scores[one.name] = self._scores.get(one.name, 0.0) + now
        top = max(self._scores.values())
        total = sum(np.exp(score - top) for score in self._scores.values())
        self.suspects = tuple(sorted(
            (replace(one, probability=float(np.exp(self._scores[one.name] - top) / total)) for one in found),
            key=lambda one: (-one.probability, -one.gain)))

    @property
    def fault(self) -> bool:
        """Whether the likeliest is a fault: neither a change of the operating point nor a trifle."""
        if not self.suspects:
            return False
        first = self.suspects[0]
        return not first.operating and not (first.instrument and abs(first.amount) < OFF_BY)

    @property
    def title(self) -> str:
        """The likeliest in words, with the next where the two cannot be told apart; empty: as before."""
        return title_of(self.suspects)

    @property
    def evidence(self) -> tuple[str, ...]:
        """Signals that have moved most, and what would tell apart."""
        return evidence_of(self.suspects, self.changes)


def title_of(suspects: tuple[Suspect, ...]) -> str:
    """Suspects in words; empty when the pump runs as before."""
    if not suspects or suspects[0].name == NORMAL:
        return ""
    if told_apart(suspects) or suspects[1].name == NORMAL:
        return suspects[0].title
    return f"{suspects[0].title}, or {suspects[1].title}: these signals cannot tell them apart"


def evidence_of(suspects: tuple[Suspect, ...], changes: Array) -> tuple[str, ...]:
    """The four signals that have moved most, over their errors, and what would tell apart causes of one name."""
    order = [one for one in np.argsort(-np.abs(np.nan_to_num(changes)))[:4] if np.isfinite(changes[one])]
    moved = tuple(f"{ORDER[one].replace('_', ' ')} {changes[one]:+.1f} times its error".replace("-", "\u2212")
                  for one in order if abs(changes[one]) >= 1.0)
    apart = suspects[0].apart if suspects else ""
    return (*moved, f"what would tell apart: {apart}") if apart else moved


def _usual(baseline: Baseline, samples: int) -> Usual:
    """What is expected of a mean of samples."""
    return baseline.usual(np.sqrt(max(baseline.samples / samples, 1.0)))


def rated(baseline: Baseline) -> Usual:
    """What is expected of a pump that is as rated and runs in the case that is watched."""
    errors = baseline.errors
    model = Baseline(baseline.surrogate, errors)
    model.as_rated()
    return replace(model.usual(), noise=errors.signals)


def _mean(samples: Array) -> Array:
    known = np.isfinite(samples)
    number = known.sum(axis=0)
    return np.where(number > 0, np.where(known, samples, 0.0).sum(axis=0) / np.maximum(number, 1), np.nan)


def _moving(samples: Array) -> Array:
    """Mean of the later half less that of the earlier, (8,)."""
    half = len(samples) // 2
    return np.nan_to_num(_mean(samples[half:]) - _mean(samples[:half])) if half else np.zeros(SIGNALS)


def _jump(samples: Array) -> Array:
    """Largest change of each signal between means of a few samples that lie a few samples apart, (8,)."""
    lag = TOGETHER + APART
    if len(samples) < TOGETHER + lag:
        return np.zeros(SIGNALS)
    total = np.cumsum(np.vstack([np.zeros(SIGNALS), np.nan_to_num(samples)]), axis=0)
    total[:, np.isnan(samples).any(axis=0)] = 0.0
    means = (total[TOGETHER:] - total[:-TOGETHER]) / TOGETHER
    return np.asarray(np.abs(means[lag:] - means[:-lag]).max(axis=0))


