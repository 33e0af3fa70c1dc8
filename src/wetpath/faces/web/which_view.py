"""Which pump? Candidates of the catalogue, the best first, why the others fell out, margin against cost."""

from __future__ import annotations

import math
from dataclasses import replace
from html import escape

from nicegui import ui

from wetpath.drawing.axes import Axes
from wetpath.drawing.checks import check_values
from wetpath.drawing.palette import colour
from wetpath.drawing.svg import document, element, line, text
from wetpath.edge import quantities as q
from wetpath.edge.units import convert
from wetpath.faces.web import run_parts
from wetpath.faces.web.enquiry_page import EnquiryPage
from wetpath.faces.web.html import button, cell, row, table, told
from wetpath.faces.web.job import Job
from wetpath.faces.web.practice_fields import limits_behind
from wetpath.faces.web.session import Session
from wetpath.faces.web.which_costs import THOUSAND, CostPanel, efficiency, thousands
from wetpath.questions.selection.study import FellOut, Offer, Selection
from wetpath.rating.verdict import Headline
from wetpath.services.desk import papers_of_rating
from wetpath.services.recording import record_of
from wetpath.services.selection import CAUTIONS, select_for
from wetpath.services.standing import Standing

LEVELS = {Headline.RUNS: Standing.HOLDS, Headline.TIGHT: Standing.TIGHT, Headline.UNKNOWN: Standing.UNKNOWN}
KEPT = 16
_found: dict[str, Selection] = {}


class WhichView(EnquiryPage):
    """The second view of an enquiry."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.chosen = 0
        self.selection: Selection | None = None
        self.costs = CostPanel(self)

    def body(self) -> None:
        """Set the rows of the view."""
        self.job: Job[Selection] = Job(self.progress, "pump files", place=self.place)
        with ui.element("div").classes("row"):
            self.parts["answer"] = self.cell("wide")
        with ui.element("div").classes("row bt main"):
            self.parts["trade"] = self.cell("half")
            self.parts["fell"] = self.cell("half")

    def write(self) -> None:
        """Write what the view shows of the record."""
        papers = self.session.desk.papers
        key = papers.enquiry + papers.practice
        if key in _found:
            self._show(_found[key])
            return
        self.parts["answer"].set_content("<h1>Rating the catalogue ...</h1>")
        rating = self.session.desk.rated.rating

        def found(selection: Selection) -> None:
            while len(_found) >= KEPT:
                _found.pop(next(iter(_found)))
            if not selection.stopped:
                _found[key] = selection
            self._show(selection)

        def failed(words: str) -> None:
            self.parts["answer"].set_content(f"<h1>Not selected</h1><p>{escape(words)}</p>")

        self.job.start(lambda progress, stopped: select_for(rating, progress=progress, cancelled=stopped), found,
                       failed, key=key)

    def stop(self) -> None:
        """Stop what is going on."""
        self.job.stop()

    async def view_do(self, name: str, value: str) -> None:
        """Answer a button."""
        if name == "offer" and self.selection:
            self.chosen = int(value)
            self._show(self.selection)
        elif name == "beside" and self.selection:
            self.open_drawer(_side_by_side(self.selection, self.chosen, int(value), self.session, self.costs))
        elif name == "costs":
            if value == "drop":
                self.costs.drop()
            else:
                self.costs.show()
        elif name == "take" and self.selection:
            offer = self.selection.offers[int(value)]
            offered = papers_of_rating(offer.rating)
            other = {"enquiry": offered.enquiry} if offer.rating.enquiry != self.selection.enquiry else {}
            if await self.take(lambda papers: replace(papers, pump=offered.pump, **other)):
                ui.navigate.to(f"/e/{self.session.key}/run")

    def show_again(self) -> None:
        """Show the selection with other figures of cost."""
        if self.selection is not None:
            self._show(self.selection)

    def _show(self, selection: Selection) -> None:
        self.selection = selection
        self.live.set_text(f"{len(selection.offers)} candidates shown.")
        self.chosen = min(self.chosen, max(len(selection.offers) - 1, 0))
        self.parts["answer"].set_content(_answer(selection, self.chosen, self.session, self.costs))
        self.parts["trade"].set_content(_trade(selection, self.chosen, self.session, self.costs))
        self.parts["fell"].set_content(_fell(selection, self.session))


def _answer(selection: Selection, chosen: int, session: Session, costs: CostPanel) -> str:
    found, figures = selection.screening, session.figures
    counts = (f"{len(found.candidates)} combinations in {len(selection.enquiry.cases)} cases, "
              f"{int(found.passed.sum())} passed the screening, {selection.rated} rated in full, "
              f"{len(selection.offers)} shown.")
    if selection.stopped:
        counts = f"Stopped; {found.left} pump files were not looked at. What is rated is kept. {counts}"
    if not selection.offers:
        return f"<h1>▼ None of the catalogue</h1><p>{escape(counts)}</p>"
    first = selection.offers[0]
    head = f"Take 1: {_frame(first)}, shell {first.candidate.build.pump.containment_shell.material}"
    why = "Holds every check in all cases" if first.rating.holds else "The nearest; no candidate holds every check"
    rows, largest = [], costs.largest(selection)
    for number, (offer, lived) in enumerate(zip(selection.offers, costs.costs(selection), strict=True)):
        level = LEVELS.get(offer.rating.verdict.headline, Standing.SHORT)
        one = offer.candidate
        margin = float(found.vapour_margin[offer.number])
        trade = "best trade" if offer.best_trade else ""
        rows.append(row((
            cell(str(number + 1), bold=True), cell(_frame(offer), bold=True),
            cell(figures.text(one.diameter, q.LENGTH), number=True), cell(figures.text(one.speed, q.ROTATIONAL_SPEED),
                                                                          number=True),
            cell(f"{one.build.pump.containment_shell.material} "
                 f"{figures.text(one.build.pump.containment_shell.wall, q.LENGTH)}"),
            cell(figures.text(one.build.pump.inner_ring.length, q.LENGTH), number=True),
            cell(told(level, str(offer.rating.verdict.headline)), raw=True),
            cell(_ruler(offer.rating, level), raw=True),
            cell(figures.text(margin, q.PRESSURE_DIFFERENCE, sign=True), number=True, bold=True),
            cell(figures.text(float(found.npsh_margin[offer.number]), q.HEAD, sign=True), number=True),
            cell(figures.text(efficiency(offer), q.RATIO), number=True),
            cell(figures.text(float(found.power[offer.number]), q.POWER), number=True),
            cell(costs.bar(lived.seal_less, largest, f"candidate {number + 1}"), raw=True),
            cell("none while sound", soft=True),
            cell((f"<span class='soft'>{trade}</span> " if trade else "")
                 + button("Take", "do", f"take:{number}", label=f"take candidate {number + 1}", why_not=session.locked)
                 + ("" if number == chosen else " " + button(
                     f"Beside {chosen + 1}", "do", f"beside:{number}",
                     label=f"Beside {chosen + 1}: candidate {number + 1}")), raw=True)),
            classes="on" if number == chosen else "", do=f"offer:{number}"))
    rows.append(costs.sealed_row(selection, figures))
    picked = selection.offers[chosen]
    sentence = run_parts.plain_sentence(session, record_of(picked.rating))
    return (f"<h1>{escape(head)}</h1><p>{why}. {escape(counts)}</p>" + table(
        [("", False), ("frame", False), ("impeller", True), ("speed", True), ("shell", False), ("magnets", True),
         ("checks", False), ("governing check", False), ("vapour over demand", True), ("NPSH over demand", True),
         ("efficiency", True), ("mean power", True), (costs.heading(), False), ("leak", False), ("", False)], rows,
        caption="Candidates", classes="c candidates")
        + costs.legend() + f"<p>{chosen + 1}: {escape(sentence[:1].upper() + sentence[1:])}. "
                           f"{escape(costs.sentence(selection, chosen))}</p>")


def _side_by_side(selection: Selection, one: int, other: int, session: Session, costs: CostPanel) -> str:
    """Two candidates, only the lines that differ."""
    figures, found = session.figures, selection.screening
    offers = [selection.offers[number] for number in (one, other)]
    lines: list[tuple[str, list[str]]] = [
        ("frame", [_frame(offer) for offer in offers]),
        ("impeller", [figures.text(offer.candidate.diameter, q.LENGTH) for offer in offers]),
        ("speed", [figures.text(offer.candidate.speed, q.ROTATIONAL_SPEED) for offer in offers]),
        ("shell", [offer.candidate.build.pump.containment_shell.material for offer in offers]),
        ("shell wall", [figures.text(offer.candidate.build.pump.containment_shell.wall, q.LENGTH) for offer in offers]),
        ("magnets", [figures.text(offer.candidate.build.pump.inner_ring.length, q.LENGTH) for offer in offers]),
        ("verdict", [str(offer.rating.verdict.headline) for offer in offers]),
        ("power", [figures.text(float(found.power[offer.number]), q.POWER) for offer in offers]),
        (costs.heading(), [thousands(costs.costs(selection)[number].seal_less.total) for number in (one, other)])]
    checks = [{check.name: check for check in record_of(offer.rating).checks} for offer in offers]
    for name, check in checks[0].items():
        both = [check, checks[1].get(name)]
        if both[1] is not None:
            worst = [next(line for line in each.cases if line.case == each.worst_case) for each in both if each]
            lines.append((f"{check.title}, margin", [
                f"{line.standing.sign} {check_values(check, line, figures)[2]}" for line in worst]))
    rows = [row((cell(name), *(cell(value, number=True) for value in values))) for name, values in lines
            if values[0] != values[1]]
    return f"<h2>Candidates {one + 1} and {other + 1}, where they differ</h2>" + table(
        [("", False), (str(one + 1), True), (str(other + 1), True)], rows, caption="Side by side")


def _frame(offer: Offer) -> str:
    return offer.candidate.build.entry.pump.name.split(",")[0]


def _ruler(rating: object, level: Standing) -> str:
    """Distance from the limit over the limit of the governing check, from −40 to +100 %."""
    verdict = rating.verdict  # type: ignore[attr-defined]
    share = float(verdict.check.share[verdict.case])
    x = 10 + (min(max(share, -0.4), 1.0) + 0.4) / 1.4 * 130
    limit = 10 + 0.4 / 1.4 * 130
    mark = {Standing.SHORT: f"M{x - 5:.1f} 4L{x + 5:.1f} 4L{x:.1f} 15Z",
            Standing.TIGHT: f"M{x:.1f} 3L{x + 6:.1f} 9.5L{x:.1f} 16L{x - 6:.1f} 9.5Z"}.get(level)
    sign = element("path", d=mark, fill=colour(level)) if mark else element("circle", cx=x, cy=9.5, r=5,
                                                                           fill=colour(level))
    return document(line(10, 9.5, 140, 9.5, stroke="var(--hair)", stroke_width=2)
                    + line(limit, 1, limit, 18, stroke="var(--ink)", stroke_width=2) + sign, width=150, height=19,
                    style="width:150px", aria_hidden="true")


def _trade(selection: Selection, chosen: int, session: Session, costs: CostPanel) -> str:
    offers = selection.offers
    if not offers:
        return ""
    found, figures = selection.screening, session.figures
    across = [float(convert(found.vapour_margin[one.number], q.PRESSURE_DIFFERENCE,
                            figures.units.unit(q.PRESSURE_DIFFERENCE).name)) for one in offers]
    lived = costs.costs(selection)
    up, sealed = [one.seal_less.total / THOUSAND for one in lived], lived[0].sealed.total / THOUSAND
    axes = Axes(52, 24, 520, 210, _span(across, 0.0), _span(up))
    drawn = [axes.grid(f"vapour margin over the demand, {figures.unit(q.PRESSURE_DIFFERENCE)}",
                       f"cost over {costs.heading()}")]
    if axes.x_range[0] < 0 < axes.x_range[1]:
        drawn.append(element("rect", x=axes.left, y=axes.top, width=axes.x(0) - axes.left, height=axes.height,
                             fill="var(--mark)", opacity=0.6))
    drawn.append(_sealed_line(axes, sealed))
    placed: list[tuple[float, float]] = []
    for number, (x, y, one) in enumerate(zip(across, up, offers, strict=True)):
        at = _apart(axes.x(x), axes.y(y), placed)
        level = LEVELS.get(one.rating.verdict.headline, Standing.SHORT)
        drawn.append(element("g", line(axes.x(x), axes.y(y), *at, stroke="var(--soft)", stroke_width=0.8)
                             + element("circle", cx=axes.x(x), cy=axes.y(y), r=2, fill="var(--soft)")
                             + element("circle", cx=at[0], cy=at[1], r=10, fill="var(--paper)",
                                          stroke=colour(level), stroke_width=3.4 if number == chosen else 2)
                             + text(at[0], at[1] + 4, str(number + 1), text_anchor="middle", class_="bold"),
                             data_do=f"offer:{number}", role="button", tabindex=0))
    return "<h2>Margin against cost</h2>" + document("".join(drawn), width=600, height=275, class_="wp-trace",
                                                      interactive=True,
                                                      title="Vapour margin against cost of the candidates")


def _sealed_line(axes: Axes, cost: float) -> str:
    """What the sealed pump costs; where that lies off the sheet an arrow says so."""
    words, y = f"S sealed pump {thousands(cost * THOUSAND)}", axes.y(cost)
    if y < axes.top:
        return text(axes.left + 6, axes.top + 12, f"▲ {words}, off the sheet", class_="soft")
    if y > axes.top + axes.height:
        return text(axes.left + 6, axes.top + axes.height - 6, f"▼ {words}, off the sheet", class_="soft")
    return line(axes.left, y, axes.left + axes.width, y, stroke="var(--soft)", stroke_dasharray="5 4") + text(
        axes.left + 6, y - 5 if y > axes.top + 16 else y + 14, words, class_="soft")


def _apart(x: float, y: float, placed: list[tuple[float, float]]) -> tuple[float, float]:
    """The place of a circle: at its point, or the nearest one beside it that hides no other."""
    tried = [(x, y)] + [(x + reach * math.cos(turn), y + reach * math.sin(turn))
                        for reach in (22, 34, 48) for turn in (math.pi, 0.0, 0.5 * math.pi, -0.5 * math.pi)]
    at = next((one for one in tried if all(math.dist(one, other) > 21 for other in placed)), tried[0])
    placed.append(at)
    return at


def _span(values: list[float], also: float | None = None) -> tuple[float, float]:
    inside = [*values, *([] if also is None else [also])]
    low, high = min(inside), max(inside)
    spread = max(high - low, 0.1 * max(abs(high), 0.1))
    return low - 0.1 * spread, high + 0.1 * spread


def _fell(selection: Selection, session: Session) -> str:
    parts = []
    for name, fallen in (("Why the others fell out", selection.fell_out),
                         ("Fell out when rated in full", selection.fell_out_in_full)):
        if fallen:
            parts.append(f"<h2>{name}</h2>" + table(
                [("", True), ("check", False), ("nearest miss", False), ("its limit", False)],
                (row((cell(str(one.count), number=True, bold=True), cell(one.title),
                      cell(_nearest(one, session), soft=True),
                      cell(_relax(one, session), raw=True))) for one in fallen), caption=name))
    cautions = "".join(f"<p class='soft'>{escape(one)}</p>" for one in CAUTIONS)
    return "".join(parts) + f"<h2 style='margin-top:10px'>Cautions</h2>{cautions}"


def _relax(one: FellOut, session: Session) -> str:
    """A button to the limits behind a check, where the practice has some: entering one rates the catalogue again."""
    if not limits_behind(session.record, one.check):
        return ""
    return button("Relax", "limit", one.check, label=f"relax the limit: {one.title}", why_not=session.locked)


def _nearest(one: FellOut, session: Session) -> str:
    figures, near = session.figures, one.nearest
    where = (f"{near.build.entry.pump.name.split(',')[0]} Ø{figures.number(near.diameter, q.LENGTH)}, "
             f"{near.build.pump.containment_shell.material}, {figures.text(near.speed, q.ROTATIONAL_SPEED)}")
    if one.missing != one.missing:
        return f"{where}: no liquid solution, case {one.case_name}"
    missing = f"{figures.significant(one.missing, one.kind)}\u2009{figures.unit(one.kind)}".rstrip()
    return f"{where}: {missing} short, case {one.case_name}"
