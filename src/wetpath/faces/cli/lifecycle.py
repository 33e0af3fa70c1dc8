"""``wetpath lifecycle``: what a seal-less pump costs over the years against a sealed one with its support system."""

from __future__ import annotations

import sys
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.edge.ranges import number_text
from wetpath.faces.cli.paper import Column, Paper
from wetpath.faces.cli.rating import announce
from wetpath.questions.lifecycle.study import HAZARD_NOTES, LifeCycle
from wetpath.services.lifecycle import lifecycle_of_files, record_of_lifecycle
from wetpath.services.standing import Standing

ROWS = (("purchase", "purchase, installed"), ("energy", "energy"), ("maintenance", "planned maintenance"),
        ("repairs", "repairs"), ("downtime", "downtime"), ("support", "support of the seal"),
        ("emissions", "emissions"), ("total", "total"))


def show_lifecycle(enquiry: Path, scope: Path, *, pump: Path | None, practice: Path | None, json: bool,
                   us: bool) -> int:
    """Compare and write; exit code 0."""
    found = lifecycle_of_files(enquiry, scope, pump=pump, practice=practice, announce=announce)
    if json:
        sys.stdout.write(record_of_lifecycle(found).model_dump_json(indent=2) + "\n")
    else:
        write_lifecycle(found, Paper(), Figures.of(us))
    return 0


def write_lifecycle(found: LifeCycle, paper: Paper, figures: Figures) -> None:
    """Write the comparison as a page."""
    scope, economy = found.scope, found.scope.economy
    saved = found.advantage
    money, years = f"{_money(abs(saved))} {economy.currency}", f"over {economy.years} years"
    words = f"The seal-less pump {f'saves {money}' if saved >= 0 else f'costs {money} more'} {years}"
    paper.headline(words, Standing.HOLDS if saved >= 0 else Standing.TIGHT)
    paper.say(f"{scope.name}. {found.rating.pump.name}; {found.rating.liquid.name}. {scope.note}".strip())
    paper.heading("Present values", f"{economy.currency}, interest {figures.text(economy.interest, q.RATIO)}")
    paper.table([Column(""), Column("seal-less", number=True), Column("sealed", number=True),
                 Column("difference", number=True)],
                [(title, _money(getattr(found.seal_less, name)), _money(getattr(found.sealed, name)),
                  _money(getattr(found.sealed, name) - getattr(found.seal_less, name), sign=True))
                 for name, title in ROWS])
    more = found.energy_seal_less - found.energy_sealed
    paper.say(f"Energy of a year: seal-less {found.energy_seal_less / 3.6e6:.0f} kWh, sealed "
              f"{found.energy_sealed / 3.6e6:.0f} kWh; the difference of {more / 3.6e6:.0f} kWh is mostly the loss in "
              f"the containment shell. Emitted by the sealed pump: {found.emitted:.0f} kg a year.")
    paper.heading("Break-even", "one value changed, the others as given")
    paper.table([Column(""), Column("given", number=True), Column("both cost the same at", number=True),
                 Column("", wraps=True)],
                [(one.name, _with_unit(one.given, one.unit), _with_unit(one.value, one.unit), one.meaning)
                 for one in found.break_evens])
    paper.heading("What moves it most", "saving of the seal-less pump with one input a quarter lower, a quarter higher")
    paper.table([Column(""), Column("lower", number=True), Column("higher", number=True)],
                [(one.name, _money(one.lower, sign=True), _money(one.higher, sign=True)) for one in found.tornado[:8]])
    paper.heading("Where the figures come from")
    paper.items([f"seal-less: {scope.seal_less.figures_from}", f"sealed: {scope.sealed.figures_from}",
                 "emission: EPA-453/R-95-017, average factors and correlations (recalled)",
                 *found.warnings])
    paper.heading("What money does not tell")
    paper.items(list(HAZARD_NOTES))


def _money(value: float, *, sign: bool = False) -> str:
    text = number_text(value, 0, 3)
    return f"+{text}" if sign and value > 0 else text


def _with_unit(value: float | None, unit: str) -> str:
    if value is None:
        return "none in reach"
    return f"{number_text(value, 0 if value >= 100 else 3, 3)} {unit}"
