"""``wetpath remedies``: changes that gain margin, each rated anew, those that make every check hold first."""

from __future__ import annotations

import math
import sys
from pathlib import Path

from rich.text import Text

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.faces.cli.paper import Column, Paper, signed
from wetpath.faces.cli.rating import announce
from wetpath.questions.remedies.study import Remedies
from wetpath.questions.remedies.trial import Trial, Worse
from wetpath.rating.verdict import TIGHT_SHARE, Headline, judge
from wetpath.services import remedies as service
from wetpath.services.cautions import cautions_of
from wetpath.services.standing import Standing, standing, standing_of

#: Side effects that break nothing are told of at most so many checks that are then tight.
MOST_SIDE_EFFECTS = 2
HEADLINES = {Headline.RUNS: Standing.HOLDS, Headline.TIGHT: Standing.TIGHT, Headline.UNKNOWN: Standing.UNKNOWN}


def show_remedies(enquiry: Path, *, pump: Path | None, practice: Path | None, json: bool, us: bool) -> int:
    """Write the remedies; 0 when every check holds as offered or with one of them, else 1."""
    remedies, files = service.remedies_of_files(enquiry, pump=pump, practice=practice, announce=announce)
    if json:
        sys.stdout.write(service.record_of_remedies(remedies, files).model_dump_json(indent=2) + "\n")
    else:
        RemediesPage(remedies, Paper(), Figures.of(us)).write()
    return 0 if remedies.solved else 1


class RemediesPage:
    """Writes the remedies on paper."""

    def __init__(self, remedies: Remedies, paper: Paper, figures: Figures) -> None:
        self.remedies, self.paper, self.figures = remedies, paper, figures

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        if not self.remedies.needed:
            self.paper.say("Nothing to remedy: every check holds with ample margin.")
            return
        kept = [trial for trial in self.remedies.trials if not trial.broken]
        self._table("What makes it hold" if not self.remedies.rating.holds else "What makes it tight no more",
                    [trial for trial in kept if trial.makes_it_hold])
        self._table("What gains margin, not enough", [trial for trial in kept if not trial.makes_it_hold])
        self._table("What breaks another check", [trial for trial in self.remedies.trials if trial.broken])
        self._rest()
        self.paper.heading("Cautions")
        self.paper.items(["A remedy changes the machine or the plant: pump maker and plant owner have to agree to it, "
                          "and corrosion, fit and cost are not judged here.",
                          *cautions_of(self.remedies.rating, self.figures.units)])

    def _answer(self) -> None:
        rating = self.remedies.rating
        verdict = judge(rating.checks, rating.case_names, rating.situation.solution.outcome, self.figures.units)
        self.paper.headline(str(verdict), HEADLINES.get(verdict.headline, Standing.SHORT))
        if not self.remedies.needed:
            return
        solving = [trial for trial in self.remedies.trials if trial.makes_it_hold and not trial.broken]
        many = len(solving) > 1
        told = (f"make{'' if many else 's'} every check hold" if not rating.holds
                else f"make{'' if many else 's'} it tight no more")
        first = f"Nearest at hand: {solving[0].remedy.title(self.figures.units)}." if solving else ""
        self.paper.say(f"{len(solving) or 'None'} of the remedies below {told}. {first}".rstrip())
        self.paper.say(f"Gain and margin are of {self.remedies.governing.title}, where it is then worst; "
                       f"{self.remedies.rated} changes rated anew, none extrapolated.")

    def _table(self, title: str, trials: list[Trial]) -> None:
        if not trials:
            return
        self.paper.heading(title)
        columns = [Column("change", wraps=True, least=28), Column("gain", number=True),
                   Column("margin then", number=True), Column("cost or side effect", wraps=True, least=24)]
        self.paper.table(columns, [self._row(trial) for trial in trials])

    def _row(self, trial: Trial) -> tuple[str | Text, ...]:
        kind, figures = self.remedies.governing.difference_kind, self.figures
        if trial.not_asked:
            return trial.remedy.title(figures.units), NOTHING, "not asked", self._effects(trial)
        return (trial.remedy.title(figures.units), figures.text(trial.gain, kind, sign=True),
                signed(self._standing(trial), figures.text(trial.margin, kind, sign=True)), self._effects(trial))

    def _standing(self, trial: Trial) -> Standing:
        name = self.remedies.governing.name
        check = next(one for one in trial.rating.checks if one.name == name)
        return standing_of(check, check.worst_case) if not math.isnan(trial.share) else standing(trial.share)

    def _effects(self, trial: Trial) -> str:
        remedy = trial.remedy
        words = [remedy.practicality.words, remedy.cost]
        words += [f"breaks {self._loss(one)}" for one in trial.broken]
        tight = [one for one in trial.worse if not one.broken and one.share < TIGHT_SHARE]
        words += [f"costs {self._loss(one)}" for one in tight[:MOST_SIDE_EFFECTS]]
        verdict = trial.rating.verdict
        if verdict.check.name not in {self.remedies.governing.name, *(one.check.name for one in trial.worse)}:
            words.append(f"{verdict.check.title} then governs")
        return "; ".join(filter(None, words))

    def _loss(self, one: Worse) -> str:
        if math.isnan(one.margin):
            return f"{one.check.title} (cannot be told)"
        return f"{one.check.title} (margin {self.figures.text(one.margin, one.check.difference_kind, sign=True)})"

    def _rest(self) -> None:
        units = self.figures.units
        if self.remedies.without_gain:
            self.paper.heading("Tried without gain")
            self.paper.say("; ".join(trial.remedy.title(units) for trial in self.remedies.without_gain) + ".")
        reasons: dict[str, list[str]] = {}
        for one in self.remedies.not_offered:
            reasons.setdefault(one.why, []).append(one.title(units))
        if reasons:
            self.paper.heading("Not offered")
            self.paper.items([f"{'; '.join(titles)}: {why.rstrip('.')}." for why, titles in reasons.items()])
