"""``wetpath worth``: what a change of each input buys, the one that moves the governing margin most first."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from wetpath.drawing.figures import NOTHING, Figures
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.questions.sensitivity.variable import Variable
from wetpath.questions.sensitivity.worth import Effect, Worth, check_of
from wetpath.rating.rate import Rating
from wetpath.services import sensitivity as service
from wetpath.services.cautions import cautions_of
from wetpath.services.standing import Standing, standing_of

#: Inputs that move the governing margin by less than this share of the strongest are left out of the short table.
LEAST_SHARE = 0.01
#: Effects below this share of the strongest of their column are not printed.
NEGLIGIBLE = 0.002
NO_SOLUTION = "no liquid solution any more"
GROUPS = {"case": "operating case", "pump": "pump", "model": "model and data"}


def show_worth(enquiry: Path, *, pump: Path | None, practice: Path | None, case: str | None, full: bool, json: bool,
               us: bool) -> int:
    """Write what changes are worth in one case."""
    rating, worth, files = service.worth_of_files(enquiry, pump=pump, practice=practice, case=case, announce=announce)
    if json:
        sys.stdout.write(service.record_of_worth(rating, worth, files).model_dump_json(indent=2) + "\n")
    else:
        WorthPage(rating, worth, Paper(), Figures.of(us), full).write()
    return 0


def change_text(value: float, variable: Variable, figures: Figures) -> str:
    """A change of an input with its unit and its sign; that of a factor in percent, that of another ratio plain."""
    unit = "" if variable.kind != q.RATIO else "%" if variable.is_factor else "1"
    number = figures.number(value, variable.kind, unit=unit, digits=2, sign=True)
    return f"{number}\u2009{figures.unit(variable.kind, unit)}".rstrip()


class WorthPage:
    """Writes one study on paper."""

    def __init__(self, rating: Rating, worth: Worth, paper: Paper, figures: Figures, full: bool) -> None:
        self.rating, self.worth, self.paper, self.figures, self.full = rating, worth, paper, figures, full

    def write(self) -> None:
        """Write the whole page."""
        self._answer()
        effects = [one for one in self.worth.effects if self.full or self._counts(one)]
        for group, title in GROUPS.items():
            chosen = [one for one in effects if one.variable.group == group]
            if chosen:
                self.paper.heading(f"Changes of the {title}")
                self._table(chosen)
        self.paper.gap()
        self.paper.say("Each change is solved anew, alone, all else staying; each margin is taken where it is then "
                       "worst. ~ : not in proportion, half the change does not do half of it. · : next to nothing. "
                       f"{NOTHING} : {NO_SOLUTION}.")
        left_out = len(self.worth.effects) - len(effects)
        if left_out:
            self.paper.say(f"{left_out} inputs that hardly move the governing margin are left out; --full shows them.")
        words = self.figures.sentences(self.worth.warnings)
        if words:
            self.paper.heading("Warnings and limits crossed")
            self.paper.items(words)
        self.paper.heading("Cautions")
        self.paper.items(cautions_of(self.rating, self.figures.units))

    def _counts(self, one: Effect) -> bool:
        """Whether an input moves the governing margin enough."""
        governing = self.worth.governing
        changes = np.abs([each.change[governing] for each in self.worth.effects])
        own = abs(float(one.change[governing]))
        return bool(np.isnan(own) or own >= LEAST_SHARE * np.nanmax(changes))

    def _answer(self) -> None:
        worth, figures, governing = self.worth, self.figures, self.worth.governing
        quantity, limit = QUANTITIES[governing], float(worth.limits[governing])
        now = float(worth.now[governing])
        judged = check_of(self.rating, governing)
        standing = Standing.UNKNOWN if judged is None else standing_of(judged, worth.case)
        asked = "" if np.isnan(limit) else f", asked {figures.text(limit, quantity.kind)}"
        self.paper.headline(f"{worth.case_name}: {quantity.title} {figures.text(now, quantity.kind)}{asked}", standing)
        if worth.where[governing]:
            self.paper.say(f"At {worth.where[governing]}.")
        helps = [one for one in worth.effects if one.variable.group != "model"][:3]
        told = []
        for one in helps:
            change = float(one.change[governing])
            effect = (NO_SOLUTION if np.isnan(change)
                      else f"{self._effect(change, quantity.kind)}\u2009{figures.unit(quantity.kind)}")
            told.append(f"{one.variable.title} {change_text(one.variable.worth, one.variable, figures)}: {effect}")
        self.paper.say(f"Moves it most: {'; '.join(told)}.")

    def _table(self, effects: list[Effect]) -> None:
        strongest = np.nanmax(np.abs([one.change for one in self.worth.effects]), axis=0)
        rows = []
        for one in effects:
            cells = [self._cell(one, number, float(strongest[number])) for number in range(len(QUANTITIES))]
            rows.append((one.variable.title, change_text(one.variable.worth, one.variable, self.figures), *cells))
        columns = [Column("", wraps=True, least=18), Column("change", number=True)]
        columns += [Column(f"{one.short}\n{self._unit(one.kind)}", number=True) for one in QUANTITIES]
        self.paper.table(columns, rows, foot=False)

    def _cell(self, one: Effect, quantity: int, strongest: float) -> str:
        change = float(one.change[quantity])
        if np.isnan(change):
            return NOTHING
        if abs(change) <= NEGLIGIBLE * strongest:
            return "·"
        return f"{'~' if one.bent[quantity] else ''}{self._effect(change, QUANTITIES[quantity].kind)}"

    def _effect(self, change: float, kind: Kind) -> str:
        return self.figures.number(change, kind, unit="1" if kind == q.RATIO else "", digits=2, sign=True)

    def _unit(self, kind: Kind) -> str:
        return "1" if kind == q.RATIO else self.figures.unit(kind)
