"""What the candidates cost over the years, beside a sealed pump of the same wet end that is never ranked."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import numpy as np
from nicegui import app, ui

from wetpath.drawing.figures import Figures
from wetpath.drawing.svg import document, element
from wetpath.edge import quantities as q
from wetpath.edge.ranges import number_text
from wetpath.errors import WetpathError
from wetpath.faces.web.html import button, cell, row, table
from wetpath.questions.lifecycle.scope import LifeCycleScope
from wetpath.questions.lifecycle.study import HAZARD_NOTES, Costs, LifeCycle, compare, sealed_shaft_power
from wetpath.questions.selection.study import Offer, Selection
from wetpath.services.lifecycle import assumed_text, scope_of_text

if TYPE_CHECKING:
    from wetpath.faces.web.which_view import WhichView

#: Parts of a bar: name, the costs in it, colour, and the distance of its stripes, by which paper in grey tells them.
PARTS = (("buy", ("purchase",), "var(--ink)", 0), ("energy", ("energy",), "var(--ample)", 0),
         ("service", ("maintenance", "repairs", "downtime"), "var(--holds)", 0),
         ("seal support", ("support", "emissions"), "var(--tight)", 4))
#: Length of the longest bar, and height of every one [px].
BAR, TALL = 150.0, 14.0
THOUSAND = 1000.0


class CostPanel:
    """The figures of the comparison, and what comes out of them for the offers shown."""

    def __init__(self, page: WhichView) -> None:
        self.page = page
        self._place = f"costs {page.session.user.id}"
        self.text = str(app.storage.user.get(self._place, ""))
        try:
            self.scope = scope_of_text(self.text)
        except WetpathError:                 # kept by an earlier version of the program
            self.text, self.scope = "", scope_of_text()
        self._of: tuple[Selection, LifeCycleScope, tuple[LifeCycle, ...]] | None = None

    def costs(self, selection: Selection) -> tuple[LifeCycle, ...]:
        """The comparison of every offer with the sealed pump."""
        if self._of is None or self._of[0] is not selection or self._of[1] is not self.scope:
            self._of = selection, self.scope, tuple(compare(one.rating, self.scope) for one in selection.offers)
        return self._of[2]

    def show(self) -> None:
        """Show the figures in the side sheet, with the field for one's own."""
        self.page.open_drawer(_figures_html(self.scope, self.page.session.figures))
        with self.page.drawer_fields:
            ui.html('<label for="own-costs">Your own figures, as a life-cycle file</label>', sanitize=False)
            entry = ui.element("textarea").props('id="own-costs" rows="22" spellcheck="false" class="c"')
            entry._props["^value"] = self.text or assumed_text()
            entry.on("change", lambda event: self.take(str(event.args)), js_handler="(e) => emit(e.target.value)")
            self.fault = ui.label("").classes("fault").props('role="alert"')
            self.fault.set_visibility(False)
            ui.html("<p class='soft'>They are read when the field is left, and kept for you in this browser.</p>",
                    sanitize=False)

    def take(self, text: str) -> None:
        """Take the user's own figures; what is wrong with them is told under the field."""
        try:
            self.scope = scope_of_text(text)
            if self.page.selection is not None:
                self.costs(self.page.selection)
        except WetpathError as error:
            self.scope = scope_of_text(self.text)
            self.fault.set_text(str(error))
            self.fault.set_visibility(True)
            return
        self.text = text
        app.storage.user[self._place] = text
        self.page.show_again()
        self.show()

    def drop(self) -> None:
        """Go back to the figures assumed."""
        self.text, self.scope = "", scope_of_text()
        app.storage.user.pop(self._place, None)
        self.page.show_again()
        self.show()

    @property
    def unit(self) -> str:
        """What costs are told in."""
        return f"k{self.scope.economy.currency}"

    def heading(self) -> str:
        """What the bars show, as the head of their column."""
        return f"{self.scope.economy.years} years, {self.unit}"

    def legend(self) -> str:
        """What the parts of a bar are, and where the figures come from."""
        parts = " ".join(f"<span class='kept'>{_swatch(colour, stripes)} {name}</span>"
                         for name, _, colour, stripes in PARTS)
        assumed = "" if self.text else f"{self.scope.note} "
        return (f"<p class='c soft costs'>{escape(self.heading())}: {parts}. {escape(assumed)}"
                f"{button('Figures', 'do', 'costs:show', label='figures of the costs')}</p>")

    def bar(self, costs: Costs, largest: float, name: str) -> str:
        """One stacked bar with its total; its parts are told to readers that do not see it."""
        drawn, x, told = [], 0.0, []
        for part, fields, colour, stripes in PARTS:
            value = sum(getattr(costs, field) for field in fields)
            if value <= 0:
                continue
            wide = value / largest * BAR
            drawn.append(element("rect", x=x, y=2, width=max(wide - 0.8, 0.3), height=TALL, fill=colour))
            drawn.extend(element("path", d=f"M{x + at:.1f} 2v{TALL:g}", stroke="var(--paper)", stroke_width=1)
                         for at in np.arange(2.0, wide, stripes or 1e9) if stripes)
            told.append(f"{part} {thousands(value)}")
            x += wide
        words = f"{name}: {', '.join(told)}, together {thousands(costs.total)} {self.unit}"
        picture = document("".join(drawn), width=BAR, height=TALL + 4, style=f"width:{BAR:g}px", aria_hidden="true")
        return (f'<span class="bar-of-costs" title="{escape(words)}">{picture}<b>{thousands(costs.total)}</b></span>'
                f'<span class="live">{escape(words)}</span>')

    def sealed_row(self, selection: Selection, figures: Figures) -> str:
        """The last row: a sealed pump of the wet end of the first candidate, which is not rated and never ranked."""
        first, found = selection.offers[0], self.costs(selection)
        power = float(np.mean(sealed_shaft_power(first.rating, self.scope)[counted(first)]))
        hydraulic = float(np.mean(first.rating.losses.hydraulic[counted(first)]))
        leak = "not estimated" if self.scope.emissions is None else f"{number_text(found[0].emitted, 0, 3)} kg a year"
        largest = self.largest(selection)
        return row((
            cell("S", bold=True), cell("Sealed pump, wet end of 1", bold=True),
            cell(figures.text(first.candidate.diameter, q.LENGTH), number=True),
            cell(figures.text(first.candidate.speed, q.ROTATIONAL_SPEED), number=True), cell("none, a seal"),
            cell("", number=True), cell("not rated", soft=True), cell("no circulation to lose", soft=True),
            cell("", number=True), cell("", number=True), cell(figures.text(hydraulic / power, q.RATIO), number=True),
            cell(figures.text(power, q.POWER), number=True),
            cell(self.bar(found[0].sealed, largest, "sealed pump"), raw=True), cell(leak, soft=True),
            cell("never ranked", soft=True)), classes="sealed")

    def largest(self, selection: Selection) -> float:
        """The longest bar."""
        return max(max(one.seal_less.total, one.sealed.total) for one in self.costs(selection)) or 1.0

    def sentence(self, selection: Selection, chosen: int) -> str:
        """What the chosen candidate costs beside the sealed pump."""
        saved = self.costs(selection)[chosen].advantage
        more = "less" if saved >= 0 else "more"
        return (f"{chosen + 1} costs {thousands(abs(saved))} {self.unit} {more} over {self.scope.economy.years} years "
                f"than S{'' if self.text else ', with assumed prices'}.")


def counted(offer: Offer) -> np.ndarray:
    """The cases whose mean power is told: rated and normal ones, else all."""
    roles = [case.role in ("rated", "normal") for case in offer.rating.enquiry.cases]
    return np.array(roles if any(roles) else [True] * len(roles))


def efficiency(offer: Offer) -> float:
    """Power to the liquid over that at the shaft, over the same cases as the mean power."""
    losses, cases = offer.rating.losses, counted(offer)
    return float(np.mean(losses.hydraulic[cases]) / np.mean(losses.shaft[cases]))


def thousands(value: float) -> str:
    """An amount in thousands, to one decimal."""
    return number_text(value / THOUSAND, 1, 3)


def _swatch(colour: str, stripes: int) -> str:
    drawn = element("rect", width=12, height=9, fill=colour) + "".join(
        element("path", d=f"M{at} 0v9", stroke="var(--paper)", stroke_width=1) for at in range(2, 12, stripes or 99)
        if stripes)
    return document(drawn, width=12, height=9, style="width:12px;display:inline-block", aria_hidden="true")


def _figures_html(scope: LifeCycleScope, figures: Figures) -> str:
    economy, seconds = scope.economy, figures
    rows = [("price of one kWh", f"{number_text(economy.energy_price, 3, 2)} {economy.currency}"),
            ("its growth in a year", seconds.text(economy.energy_growth, q.RATIO)),
            ("interest", seconds.text(economy.interest, q.RATIO)), ("years", str(economy.years)),
            ("running time in a year", f"{economy.hours / 3600:.0f} h"),
            ("one hour of standstill", f"{number_text(economy.downtime_cost, 0, 3)} {economy.currency}")]
    both = [(name, getattr(scope.seal_less, field), getattr(scope.sealed, field)) for name, field in (
        ("purchase, installed", "purchase"), ("planned maintenance of a year", "maintenance"),
        ("one repair", "repair_cost"))]
    lives = [one.time_between_repairs for one in (scope.seal_less, scope.sealed)]
    told = [row((cell(name), cell(words, number=True))) for name, words in rows]
    owned = [row((cell(name), *(cell(number_text(value, 0, 3), number=True) for value in values)))
             for name, *values in both]
    owned.append(row((cell("running time between repairs"), *(
        cell("not given" if one is None else f"{one / 3600:.0f} h", number=True) for one in lives))))
    owned.append(row((cell("power of the seal and its support"), cell(""),
                      cell(seconds.text(scope.sealed.seal_power + scope.sealed.support_power, q.POWER), number=True))))
    owned.append(row((cell("support of the seal, a year"), cell(""),
                      cell(number_text(scope.sealed.support_cost, 0, 3), number=True))))
    sources = "".join(f"<p class='soft'>{name}: {escape(one.figures_from)}</p>"
                      for name, one in (("Seal-less", scope.seal_less), ("Sealed", scope.sealed)))
    money = "".join(f"<p class='soft'>{escape(one)}</p>" for one in HAZARD_NOTES)
    emission = ("<p class='soft'>Emissions of the seal are not estimated: no [emissions].</p>"
                if scope.emissions is None else "")
    return (f"<h2>{escape(scope.name)}</h2><p>{escape(scope.note)}</p>"
            + table([("", False), ("", True)], told, caption="Prices and times")
            + table([("", False), ("seal-less", True), ("sealed", True)], owned, caption="What each pump costs to own")
            + sources + emission + f"<h2>What money does not tell</h2>{money}"
            + f"<p>{button('Use the assumed figures', 'do', 'costs:drop')}</p>")
