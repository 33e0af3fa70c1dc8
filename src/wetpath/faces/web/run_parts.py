"""The parts of *Can it run?*: verdict, margin rule, section drawing, trace, operating cases, checks."""

from __future__ import annotations

import re
from html import escape, unescape

from wetpath.drawing.checks import check_values, kind_named
from wetpath.drawing.margin_rule import margin_rule
from wetpath.drawing.section import SHOWN, section_drawing
from wetpath.drawing.trace import trace_drawing
from wetpath.drawing.validity import in_brackets, why_not_valid
from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.faces.web.explain import number_button
from wetpath.faces.web.html import as_table, brackets_html, button, cell, row, table, was
from wetpath.faces.web.session import Session
from wetpath.services.provenance import key_of
from wetpath.services.record import CaseRecord, CheckCaseRecord, CheckRecord, Record, StationRecord
from wetpath.services.standing import Standing

_TAGS = re.compile(r"<[^>]+>")
SIGNS = {"Runs": "●", "Runs, tight": "◆", "Not as offered": "▼", "Cannot run": "▼", "Cannot tell yet": "?"}


#: Where the actual value of a check is explained as a number of its own: quantity, and whether it is at a station.
EXPLAINED = {"vapour_margin_pressure": ("margin", True), "wall_margin_temperature": ("wall-margin", False),
             "npsh": ("npsha", False), "head": ("head", False), "coupling_margin_running": ("pull-out", False),
             "nameplate": ("shaft", False)}


def verdict_html(session: Session, remedy: str = "") -> str:
    """The answer, then why; every number in it tells where it comes from."""
    record, verdict = session.record, session.record.verdict
    tried = '<p class="soft">Tried, not kept. K keeps it, Esc drops it.</p>' if session.desk.tried else ""
    check = next(one for one in record.checks if one.name == verdict.check)
    gains = escape(session.figures.in_words(check.remedy))
    why = "" if verdict.holds else f'<p class="soft">What gains margin: {gains}.</p>'
    more = f'<p class="soft">{escape(remedy)}</p>' if remedy else ""
    classes = "short" if not verdict.holds and verdict.headline != "Cannot tell yet" else ""
    pinned = session.pinned
    kept = "" if pinned is None or pinned is record else (
        f'<p class="soft">Pinned: {escape(pinned.verdict.headline)}. {escape(plain_sentence(session, pinned))}.</p>')
    return (f'<h1><span class="{classes}" aria-hidden="true">{SIGNS.get(verdict.headline, "")}</span> '
            f"{escape(verdict.headline)}</h1><p>{_sentence(session, record, check)}.</p>{why}{tried}{kept}{more}")


def _worst(check: CheckRecord, case: str) -> CheckCaseRecord:
    return next(one for one in check.cases if one.case == case)


def plain_sentence(session: Session, record: Record) -> str:
    """What governs a rating, in the units chosen."""
    check = next(one for one in record.checks if one.name == record.verdict.check)
    return unescape(_TAGS.sub("", _sentence(session, record, check)))


def _sentence(session: Session, record: Record, check: CheckRecord) -> str:
    """What governs, as the verdict says it, in the units chosen."""
    one = _worst(check, record.verdict.case)
    place = "; ".join(filter(None, (one.where, f'case "{one.case}"')))
    title = escape(check.title[:1].upper() + check.title[1:])
    if one.actual is None or one.limit is None or one.margin is None:
        return f"{title} cannot be told ({escape(place)})"
    kind, figures = kind_named(check.quantity), session.figures
    amount = figures.text(abs(one.margin), kind_named(check.margin_quantity))
    verb = "is short by" if one.margin < 0 else "governs with"
    spare = "" if one.margin < 0 else " to spare"
    asked = "asked" if check.sense == "at least" else "allowed"
    return (f"{title} {verb} {_check_number(check, amount, f'margin of {check.title}', strong=True)}{spare} "
            f"({escape(place)}): <span class='kept'>"
            f"{actual_button(session, record, check, one, figures.text(one.actual, kind))},</span> "
            f"{limit_button(check, figures.text(one.limit, kind))} {asked}")


def actual_button(session: Session, record: Record, check: CheckRecord, one: CheckCaseRecord, shown: str) -> str:
    """The actual value of a check: explained as a number where it is one, else by the check."""
    if check.name in EXPLAINED and record is session.record and one.actual is not None:
        quantity, at_station = EXPLAINED[check.name]
        number = [case.name for case in record.cases].index(one.case)
        worst = worst_station(record.cases[number])
        if not at_station or worst is not None:
            place = worst.name if at_station and worst else ""
            return number_button(shown, key_of(number, quantity, place), check.title)
    return _check_number(check, shown, f"{check.title}, actual")


def limit_button(check: CheckRecord, shown: str) -> str:
    """The limit of a check: shows and changes the practice."""
    return (f'<button type="button" class="num" data-limit="{escape(check.name)}" aria-label="'
            f'{escape(f"limit of {check.title}, {shown}, show the practice")}">{escape(shown)}</button>')


def _check_number(check: CheckRecord, shown: str, name: str, *, strong: bool = False) -> str:
    inside = f"<b>{escape(shown)}</b>" if strong else escape(shown)
    return (f'<button type="button" class="num" data-check="{escape(check.name)}" aria-label="'
            f'{escape(f"{name}, {shown}, explain")}">{inside}</button>')


def rule_html(session: Session) -> str:
    """The margin rule under its name."""
    return "<h2>Every check, worst operating case of each</h2>" + margin_rule(session.record, beside=session.beside)


def drawing_html(session: Session) -> str:
    """The section drawing of the case looked at, with the switch of what it shows."""
    switch = "".join(
        f'<button type="button" data-do="show:{one}" aria-pressed="{"true" if session.shown == one else "false"}">'
        f"{one}</button>" for one in SHOWN)
    drawing = section_drawing(session.record, session.case_record, session.figures, shown=session.shown,
                              beside=session.case_beside)
    return (f'{drawing}<div class="switch" role="group" aria-label="what the drawing shows" style="top:150px">{switch}'
            "</div>")


def trace_html(session: Session) -> str:
    """The trace of the case looked at."""
    case = session.case_record
    return (f"<h2>Trace of case {escape(case.name)} against the vapour curve</h2>"
            + trace_drawing(session.record, case, session.figures, beside=session.case_beside)
            + as_table(_stations_table(session)))


def cases_html(session: Session) -> str:
    """One line for each operating case; the one looked at is marked."""
    figures, record = session.figures, session.record
    columns = [("case", False), (figures.unit(q.VOLUME_FLOW), True), (figures.unit(q.HEAD), True),
               (figures.unit(q.TEMPERATURE), True), (figures.unit(q.PRESSURE), True), ("NPSHA / R", True),
               (f"margin, {figures.unit(q.PRESSURE_DIFFERENCE)}", True), ("at", True),
               (f"wall, {figures.unit(q.TEMPERATURE_DIFFERENCE)}", True)]
    rows, reasons = [], []
    for number, case in enumerate(record.cases):
        why = why_not_valid(record, case, figures)
        reasons.append(f"case {case.name}: {why}" if why else "")
        point, worst = case.operating_point, worst_station(case)
        wall = case.wall.margin_k
        level = min((cell_.standing for cell_ in case.annulus), key=list(Standing).index, default=Standing.UNKNOWN)
        before = None if session.beside is None else next(
            (one for one in session.beside.cases if one.name == case.name), None)
        old_worst = worst_station(before) if before else None

        def was_of(now: float | None, old: float | None, kind: Kind) -> str:
            return was(now, old, kind, figures)

        old = before.operating_point if before else None
        head = in_brackets(figures.number(point.head_m, q.HEAD), why)
        npsh = " / ".join((_number(number, "npsha", figures.number(point.npsh_available_m, q.HEAD), "NPSH available"),
                           _number(number, "npshr", figures.number(point.npsh_required_m, q.HEAD), "NPSH3")))
        margin = in_brackets(figures.number(worst.margin_pa if worst else None, q.PRESSURE_DIFFERENCE, sign=True), why)
        rows.append(row((
            cell(case.name, bold=True), cell(figures.number(point.flow_m3_per_s, q.VOLUME_FLOW), number=True),
            cell(_number(number, "head", head, "head")
                 + was_of(point.head_m, old.head_m if old else None, q.HEAD), number=True, raw=True),
            cell(figures.number(point.temperature_k, q.TEMPERATURE), number=True),
            cell(figures.number(point.suction_pressure_pa, q.PRESSURE), number=True), cell(npsh, number=True, raw=True),
            cell(_sign(worst.standing, _number(number, "margin", margin, "margin", worst.name))
                 + was_of(worst.margin_pa, old_worst.margin_pa if old_worst else None, q.PRESSURE_DIFFERENCE)
                 if worst else "–",
                 number=True, raw=True, bold=True),
            cell(worst.name if worst else "", number=True),
            cell(_sign(level, _number(number, "wall-margin", in_brackets(
                figures.number(wall, q.TEMPERATURE_DIFFERENCE, sign=True), why), "margin of the wall"))
                 + was_of(wall, before.wall.margin_k if before else None, q.TEMPERATURE_DIFFERENCE), number=True,
                 raw=True)),
            classes="on" if number == session.case else "", case=str(number)))
    more = button("+ case", "do", "copy-case", label="copy this case", why_not=session.locked)
    return f"<h2>Operating cases {more}</h2>" + table(columns, rows, caption="Operating cases") + (
        brackets_html(reasons))


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
    rows, subject = [], ""
    figures, names = session.figures, [case.name.split()[0] for case in session.record.cases]
    old = {check.name: check for check in session.beside.checks} if session.beside else {}
    for check in session.record.checks:
        if check.subject != subject:
            subject = check.subject
            rows.append(f'<tr><th colspan="6" scope="rowgroup">{escape(subject[:1].upper() + subject[1:])}</th></tr>')
        worst = _worst(check, check.worst_case)
        actual, limit, margin = check_values(check, worst, figures)
        before = old.get(check.name)
        change = was(worst.margin, _worst(before, before.worst_case).margin if before else None,
                     kind_named(check.margin_quantity), figures)
        signs = "".join(one.standing.sign for one in check.cases)
        shown = _check_number(check, margin, f"margin of {check.title}")
        rows.append(row((
            cell(check.title),
            cell(actual_button(session, session.record, check, worst, actual), number=True, raw=True),
            cell(limit_button(check, limit), number=True, raw=True),
            cell(_sign(worst.standing, shown) + change, number=True, raw=True, bold=True), cell(check.worst_case),
            cell(signs, bold=True)), check=check.name))
    signs_of = " ".join(names) if max(map(len, names)) == 1 else "cases"
    return "<h2>Checks</h2>" + table(
        [("check", False), ("actual", True), ("limit", True), ("margin", True), ("worst case", False),
         (signs_of, False)], rows, caption="Checks at their worst case")


def notes_html(session: Session) -> str:
    """Warnings and cautions."""
    parts = []
    record = session.record
    for name, lines in (("Warnings and limits crossed", [session.figures.in_words(one) for one in record.warnings]),
                        ("Cautions", [session.figures.in_words(one) for one in record.cautions])):
        if lines:
            parts.append(f"<h2>{name}</h2>" + "".join(f"<p>{escape(one[:1].upper() + one[1:])}</p>" for one in lines))
    return "".join(parts)


def _stations_table(session: Session) -> str:
    """The drawing as a table, for those who do not see it."""
    figures, case, record = session.figures, session.case_record, session.record
    rows, reasons = [], []
    for one in case.trace:
        why = why_not_valid(record, case, figures, one.temperature_k)
        reasons.append(why)
        values = (figures.number(one.temperature_k, q.TEMPERATURE), figures.number(one.pressure_pa, q.PRESSURE),
                  figures.number(one.vapour_pressure_pa, q.PRESSURE),
                  figures.number(one.margin_pa, q.PRESSURE_DIFFERENCE, sign=True))
        rows.append(row((cell(one.name, bold=True), cell(one.title),
                         *(cell(in_brackets(value, why), number=True) for value in values),
                         cell(f"{one.standing.sign} {one.standing.value}"))))
    return table([("", False), ("station", False), (figures.unit(q.TEMPERATURE), True),
                  (figures.unit(q.PRESSURE), True),
                  (f"vapour, {figures.unit(q.PRESSURE)}", True),
                  (f"margin, {figures.unit(q.PRESSURE_DIFFERENCE)}", True), ("stands", False)], rows,
                 caption=f"Stations of case {case.name}") + brackets_html(reasons)
