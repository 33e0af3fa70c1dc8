"""The parts of *Can it run?*: verdict, margin rule, section drawing, trace, operating cases, checks."""

from __future__ import annotations

from html import escape

from wetpath.drawing.margin_rule import margin_rule
from wetpath.drawing.section import SHOWN, section_drawing
from wetpath.drawing.trace import trace_drawing
from wetpath.edge import quantities as q
from wetpath.faces.web.explain import number_button
from wetpath.faces.web.html import button, cell, row, table, told
from wetpath.faces.web.session import Session
from wetpath.services.provenance import key_of
from wetpath.services.record import CaseRecord, StationRecord
from wetpath.services.standing import Standing

SIGNS = {"Runs": "●", "Runs, tight": "◆", "Not as offered": "▼", "Cannot run": "▼", "Cannot tell yet": "?"}


def verdict_html(session: Session, remedy: str = "") -> str:
    """The answer, then why."""
    verdict = session.record.verdict
    sentence = escape(verdict.sentence[:1].upper() + verdict.sentence[1:])
    tried = '<p class="soft">Tried, not kept. K keeps it, Esc drops it.</p>' if session.desk.tried else ""
    check = next(one for one in session.record.checks if one.name == verdict.check)
    why = "" if verdict.holds else f'<p class="soft">What gains margin: {escape(check.remedy)}.</p>'
    more = f'<p class="soft">{escape(remedy)}</p>' if remedy else ""
    classes = "short" if not verdict.holds and verdict.headline != "Cannot tell yet" else ""
    return (f'<h1><span class="{classes}" aria-hidden="true">{SIGNS.get(verdict.headline, "")}</span> '
            f'{escape(verdict.headline)}</h1><p>{sentence}.</p>{why}{tried}{more}')


def rule_html(session: Session) -> str:
    """The margin rule under its name."""
    return "<h2>Every check, worst operating case of each</h2>" + margin_rule(session.record)


def drawing_html(session: Session) -> str:
    """The section drawing of the case looked at, with the switch of what it shows."""
    switch = "".join(
        f'<button type="button" data-do="show:{one}" aria-pressed="{"true" if session.shown == one else "false"}">'
        f"{one}</button>" for one in SHOWN)
    drawing = section_drawing(session.record, session.case_record, session.figures, shown=session.shown)
    return (f'{drawing}<div class="switch" role="group" aria-label="what the drawing shows" style="top:150px">{switch}'
            f"</div><div class='live'>{_stations_table(session)}</div>")


def trace_html(session: Session) -> str:
    """The trace of the case looked at."""
    case = session.case_record
    return (f"<h2>Trace of case {escape(case.name)} against the vapour curve</h2>"
            + trace_drawing(session.record, case, session.figures))


def cases_html(session: Session) -> str:
    """One line for each operating case; the one looked at is marked."""
    figures, record = session.figures, session.record
    columns = [("case", False), (figures.unit(q.VOLUME_FLOW), True), (figures.unit(q.HEAD), True),
               (figures.unit(q.TEMPERATURE), True), (figures.unit(q.PRESSURE), True), ("NPSHA / R", True),
               (f"margin, {figures.unit(q.PRESSURE_DIFFERENCE)}", True), ("at", True), ("wall, K", True)]
    rows = []
    for number, case in enumerate(record.cases):
        point, worst = case.operating_point, worst_station(case)
        wall = case.wall.margin_k
        level = min((cell_.standing for cell_ in case.annulus), key=list(Standing).index, default=Standing.UNKNOWN)
        npsh = " / ".join((_number(number, "npsha", figures.number(point.npsh_available_m, q.HEAD), "NPSH available"),
                           _number(number, "npshr", figures.number(point.npsh_required_m, q.HEAD), "NPSH3")))
        margin = figures.number(worst.margin_pa, q.PRESSURE_DIFFERENCE, sign=True) if worst else "–"
        rows.append(row((
            cell(case.name, bold=True), cell(figures.number(point.flow_m3_per_s, q.VOLUME_FLOW), number=True),
            cell(_number(number, "head", figures.number(point.head_m, q.HEAD), "head"), number=True, raw=True),
            cell(figures.number(point.temperature_k, q.TEMPERATURE), number=True),
            cell(figures.number(point.suction_pressure_pa, q.PRESSURE), number=True), cell(npsh, number=True, raw=True),
            cell(_sign(worst.standing, _number(number, "margin", margin, "margin", worst.name)) if worst else "–",
                 number=True, raw=True, bold=True),
            cell(worst.name if worst else "", number=True),
            cell(_sign(level, _number(number, "wall-margin", figures.number(wall, q.TEMPERATURE_DIFFERENCE, sign=True),
                                      "margin of the wall")), number=True, raw=True)),
            classes="on" if number == session.case else "", case=str(number)))
    more = button("+ case", "do", "copy-case", label="copy this case")
    return f"<h2>Operating cases {more}</h2>" + table(columns, rows, caption="Operating cases")


def _number(case: int, quantity: str, shown: str, name: str, place: str = "") -> str:
    return number_button(shown, key_of(case, quantity, place), name)


def _sign(standing: Standing, inside: str) -> str:
    """Sign of a standing before a number that is HTML."""
    words = f"{standing.sign} {inside}"
    return f'<span class="short">{words}</span>' if standing is Standing.SHORT else words


def worst_station(case: CaseRecord) -> StationRecord | None:
    """The station that stands worst."""
    order = list(Standing)
    known = [one for one in case.trace if one.margin_pa is not None]
    return min(known, key=lambda one: (order.index(one.standing), one.margin_pa or 0.0), default=None)


def checks_html(session: Session) -> str:
    """Every check at its worst case, by subject."""
    from wetpath.drawing.checks import check_values

    rows, subject = [], ""
    for check in session.record.checks:
        if check.subject != subject:
            subject = check.subject
            rows.append(f'<tr><th colspan="6" scope="rowgroup">{escape(subject[:1].upper() + subject[1:])}</th></tr>')
        worst = next(one for one in check.cases if one.case == check.worst_case)
        actual, limit, margin = check_values(check, worst, session.figures)
        signs = "".join(one.standing.sign for one in check.cases)
        rows.append(row((cell(check.title), cell(actual, number=True), cell(limit, number=True),
                         cell(told(worst.standing, margin), number=True, raw=True, bold=True), cell(check.worst_case),
                         cell(signs, bold=True)), check=check.name))
    return "<h2>Checks</h2>" + table(
        [("check", False), ("actual", True), ("limit", True), ("margin", True), ("worst case", False),
         ("cases", False)], rows, caption="Checks at their worst case")


def notes_html(session: Session) -> str:
    """Warnings and cautions."""
    parts = []
    record = session.record
    for name, lines in (("Warnings and limits crossed", record.warnings), ("Cautions", record.cautions)):
        if lines:
            parts.append(f"<h2>{name}</h2>" + "".join(f"<p>{escape(one)}</p>" for one in lines))
    return "".join(parts)


def _stations_table(session: Session) -> str:
    """The drawing as a table, for those who do not see it."""
    figures, case = session.figures, session.case_record
    rows = [row((cell(one.name), cell(one.title), cell(figures.text(one.pressure_pa, q.PRESSURE)),
                 cell(figures.text(one.temperature_k, q.TEMPERATURE)),
                 cell(figures.text(one.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)), cell(one.standing.value)))
            for one in case.trace]
    return table([("station", False), ("name", False), ("pressure", False), ("temperature", False), ("margin", False),
                  ("stands", False)], rows, caption=f"Stations of case {case.name}")
