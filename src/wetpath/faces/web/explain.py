"""The side sheet: what a station, a check or a part is, with its numbers, source and limits."""

from __future__ import annotations

from html import escape

from wetpath.drawing.checks import check_values
from wetpath.drawing.validity import in_brackets, why_not_valid
from wetpath.edge import quantities as q
from wetpath.errors import UnknownName
from wetpath.faces.web.html import brackets_html, cell, row, table, told
from wetpath.faces.web.session import Session
from wetpath.questions.uncertainty.numbers import NumberRange
from wetpath.services.provenance import Explanation, explained, key_of

#: Below this share of the variance explained by straight lines the shares of the causes are called rough.
STRAIGHT = 0.8


def station_html(session: Session, name: str) -> str:
    """One station of the case looked at: its state, and how its margin comes about."""
    case, figures = session.case_record, session.figures
    if name == "W":
        return _wall_html(session)
    station = next((one for one in case.trace if one.name == name), None)
    if station is None:
        return "<p>Not a station of this pump.</p>"
    pressure = figures.text(station.pressure_pa, q.PRESSURE)
    vapour = figures.text(station.vapour_pressure_pa, q.PRESSURE)
    margin = figures.text(station.margin_pa, q.PRESSURE_DIFFERENCE, sign=True)
    entries = [("pressure", pressure), ("temperature", figures.text(station.temperature_k, q.TEMPERATURE)),
               ("vapour pressure", vapour), ("margin", margin),
               ("as head", figures.text(station.margin_m, q.HEAD, sign=True)),
               ("to boiling", figures.text(station.margin_k, q.TEMPERATURE_DIFFERENCE, sign=True)),
               ("flow", figures.text(station.flow_kg_per_s, q.MASS_FLOW)),
               ("stands", f"{station.standing.sign} {station.standing.value}")]
    why = why_not_valid(session.record, case, figures, station.temperature_k)
    entries = [(title, value if title == "stands" else in_brackets(value, why)) for title, value in entries]
    at = session.record.cases.index(case)
    keys = {one: key_of(at, quantity, name) for one, quantity in (
        ("pressure", "pressure"), ("temperature", "temperature"), ("vapour pressure", "vapour"), ("margin", "margin"))}
    into = [branch for branch in case.branches
            if (branch.end if branch.flow_kg_per_s >= 0 else branch.start) == name]
    rows = [row((cell(branch.name), cell(branch.start if branch.flow_kg_per_s >= 0 else branch.end, number=True),
                 cell(number_button(figures.text(abs(branch.flow_kg_per_s), q.MASS_FLOW),
                                    key_of(at, "flow", branch.name), f"flow through {branch.name}"),
                      number=True, raw=True),
                 cell(f"{figures.number(branch.heat_w, q.POWER, unit='W', decimals=0)} W", number=True)))
            for branch in into]
    fed = table([("passage", False), ("from", True), ("flow", True), ("heat taken up", True)], rows) if rows else (
        "<p>Fed from the main flow through the pump.</p>")
    liquid = next(one for one in session.record.liquids if one.name == case.liquid)
    sources = "".join(f"<p>{escape(one.name)}: {escape(one.text)} <span class='soft'>({escape(one.status)})</span></p>"
                      for one in liquid.properties if one.name in ("vapour pressure", "vapour_pressure", "density"))
    return (f"<h2>Station {escape(station.name)}, {escape(station.title)}</h2><p class='soft'>Case {escape(case.name)}"
            f"</p>{_list(entries, keys)}{brackets_html([why])}<h2>How the margin comes about</h2>"
            "<div class='formula'>margin = p − p<sub>v</sub>(T)"
            f"<br>= {escape(pressure)} − {escape(vapour)}<br>= <b>{escape(margin)}</b></div>"
            f"<h2>The liquid comes through</h2>{fed}<h2>Sources</h2>{sources}"
            f"<p class='soft'>Table of {escape(liquid.name)} from "
            f"{escape(figures.text(liquid.lowest_temperature_k, q.TEMPERATURE))} to "
            f"{escape(figures.text(liquid.highest_temperature_k, q.TEMPERATURE))}.</p>")


def _wall_html(session: Session) -> str:
    case, figures = session.case_record, session.figures
    rows = [row((cell(f"{100 * one.along:.0f} %", number=True),
                 cell(figures.number(one.temperature_k, q.TEMPERATURE), number=True),
                 cell(figures.number(one.wall_temperature_k, q.TEMPERATURE), number=True),
                 cell(told(one.standing, figures.number(one.wall_margin_k, q.TEMPERATURE_DIFFERENCE, sign=True)),
                      number=True, raw=True),
                 cell(figures.number(one.heat_to_liquid_w, q.POWER, unit="W", decimals=0), number=True)))
            for one in case.annulus]
    unit = figures.unit(q.TEMPERATURE)
    return (f"<h2>Shell wall under the magnets</h2><p class='soft'>Case {escape(case.name)}, in flow order</p>"
            "<div class='formula'>margin = T<sub>v</sub>(p) − T<sub>wall</sub></div>"
            + table([("along", True), (f"liquid, {unit}", True), (f"wall, {unit}", True),
                     (f"margin, {figures.unit(q.TEMPERATURE_DIFFERENCE)}", True),
                     ("heat, W", True)], rows))


def check_html(session: Session, name: str) -> str:
    """One check: what it means, all cases, the limit and where it comes from."""
    check = next((one for one in session.record.checks if one.name == name), None)
    if check is None:
        return "<p>Not a check of this rating.</p>"
    rows = []
    for one in check.cases:
        actual, limit, margin = check_values(check, one, session.figures)
        if one.asked:
            rows.append(row((cell(one.case, bold=one.case == check.worst_case), cell(actual, number=True),
                             cell(limit, number=True), cell(told(one.standing, margin), number=True, raw=True)),
                            case=str([case.name for case in session.record.cases].index(one.case))))
        else:
            rows.append(row((cell(one.case), cell("not asked", soft=True), cell(""), cell(""))))
    worst = next(one for one in check.cases if one.case == check.worst_case)
    source = next((one.text for one in session.record.sources if one.key == check.source), check.source)
    why = "".join(f"<p class='soft'>Case {escape(one.case)}: {escape(_sentence(one.reason))}</p>"
                  for one in check.cases if one.asked and one.reason)
    where = f"<p>At its worst: {escape(worst.where)}.</p>" if worst.where else ""
    title = check.title[:1].upper() + check.title[1:]
    return (f"<h2>{escape(title)}</h2><p>{escape(_sentence(check.meaning))}</p>{where}"
            + table([("case", False), ("actual", True), ("limit", True), ("margin", True)], rows)
            + f"{why}<h2 style='margin-top:10px'>Where the limit comes from</h2><p>{escape(source)} "
              f"<span class='soft'>({escape(check.status)})</span></p>"
            + (f"<h2>What gains margin</h2><p>{escape(_sentence(check.remedy))}</p>" if check.remedy else ""))


def number_html(session: Session, key: str, found: NumberRange | None = None) -> str:
    """One number: its value, formula in symbols and in numbers, inputs, sources, uncertainty and limits."""
    try:
        told_of = explained(session.record, key)
    except UnknownName:
        return "<p>Not a number of this rating.</p>"
    figures = session.figures
    value = figures.text(told_of.value, told_of.kind)
    symbols = {one.symbol: one.symbol for one in told_of.given}
    lines = [f"{escape(told_of.symbol)} = {escape(_put_in(told_of, symbols))}"]
    if told_of.closed:
        numbers = {one.symbol: figures.text(one.value, one.kind) for one in told_of.given}
        lines.append(f"= {escape(_put_in(told_of, numbers))}")
    lines.append(f"= <b>{escape(value)}</b>")
    rows = [row((cell(one.symbol), cell(one.name),
                 cell(number_button(figures.text(one.value, one.kind), one.key, one.name), number=True, raw=True)))
            for one in told_of.given]
    sources = "".join(f"<p>{escape(one.text)} <span class='soft'>({escape(one.status)})</span></p>"
                      for one in told_of.sources)
    name = told_of.name[:1].upper() + told_of.name[1:]
    return (f"<h2>{escape(name)}</h2><p class='soft'>Case {escape(told_of.case)}</p>"
            f"<div class='formula'>{'<br>'.join(lines)}</div><h3>What goes in</h3>"
            + table([("sign", False), ("name", False), ("value", True)], rows)
            + (f"<h3>Sources</h3>{sources}" if sources else "") + _uncertainty(told_of, found, session)
            + _limits(told_of, session))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _uncertainty(told_of: Explanation, found: NumberRange | None, session: Session) -> str:
    """Between which values the number lies, and its largest causes."""
    if found is None:
        return "<h3>Uncertainty</h3><p>Not told: it is an input, or there is no liquid solution to move around.</p>"
    figures = session.figures
    low, high = figures.text(found.low, told_of.kind), figures.text(found.high, told_of.kind)
    words = [f"95 % of {found.points} sampled conditions lie between {low} and {high}."]
    if found.causes:
        words.append("Largest causes: " + ", ".join(f"{name} {figures.text(min(share, 1.0), q.RATIO)}"
                                                    for name, share in found.causes) + " of the variance.")
        if found.explained < STRAIGHT:
            words.append(f"Straight lines explain only {figures.text(max(found.explained, 0.0), q.RATIO)} of it: the "
                         "shares are rough.")
    if found.without_solution:
        words.append(f"{found.without_solution} conditions have no liquid solution and are left out.")
    return "<h3>Uncertainty</h3>" + "".join(f"<p>{escape(one)}</p>" for one in words) + (
        "<p class='soft'>Spreads of the practice; inputs are taken as independent.</p>")


def _limits(told_of: Explanation, session: Session) -> str:
    """How far a number is valid, with the range of its table in the units chosen."""
    words = [told_of.limits] if told_of.limits else []
    if told_of.table is not None:
        name, low, high = told_of.table
        words.append(f"Table of {name} from {session.figures.text(low, q.TEMPERATURE)} to "
                     f"{session.figures.text(high, q.TEMPERATURE)}.")
    return "<h3>Limits</h3>" + "".join(f"<p>{escape(one)}</p>" for one in words) if words else ""


def number_button(shown: str, key: str, name: str = "") -> str:
    """A number that tells where it comes from when it is pressed; without a key the number alone."""
    if not key:
        return escape(shown)
    label = f' aria-label="{escape(f"{name}, {shown}, explain")}"' if name else ""
    return f'<button type="button" class="num" data-explain="{escape(key)}"{label}>{escape(shown)}</button>'


def _put_in(told_of: Explanation, values: dict[str, str]) -> str:
    words = told_of.formula
    for symbol, value in values.items():
        words = words.replace(f"{{{symbol}}}", value)
    return words


def _list(entries: list[tuple[str, str]], keys: dict[str, str]) -> str:
    return "<dl>" + "".join(f"<dt>{escape(name)}</dt><dd>{number_button(value, keys.get(name, ''), name)}</dd>"
                            for name, value in entries) + "</dl>"
