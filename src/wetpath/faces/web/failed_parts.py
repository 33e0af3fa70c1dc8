"""The parts of *Why did it fail?*: answer, ranking, mechanism against evidence, physics, next look, remedies."""

from __future__ import annotations

from collections import Counter
from html import escape

from wetpath.drawing.figures import Figures
from wetpath.drawing.pins import PLACES, Pin, pinned_drawing
from wetpath.faces.report.investigation_sheet import odds_in_words
from wetpath.faces.web.html import button, cell, row, table, told
from wetpath.investigation.catalogue import SOMETHING_ELSE
from wetpath.investigation.physics_tests import Says
from wetpath.investigation.study import Investigation, Standing, Tells
from wetpath.services import investigate as service
from wetpath.services.standing import Standing as Sign

#: Mechanisms whose columns stand beside each finding, mechanisms listed at once, and looks advised.
COLUMNS, LISTED, LOOKS = 4, 8, 6
SIGNS = {Says.FOR: Sign.HOLDS, Says.AGAINST: Sign.SHORT, Says.NOTHING: Sign.NOT_ASKED}
SAID = {Says.FOR: "allows it", Says.AGAINST: "speaks against it", Says.NOTHING: "says nothing"}
APART = "style='margin-top:10px'"
CELLS = {Tells.EXPLAINS: Sign.HOLDS, Tells.CONTRADICTS: Sign.SHORT, Tells.NOTHING: Sign.NOT_ASKED}


def answer_html(found: Investigation) -> str:
    """The answer in a sentence, what it is of, and how far the evidence by itself carries it."""
    standing = Sign.HOLDS if found.standing is Standing.POINTS else Sign.UNKNOWN
    reality, (first, second) = found.reality, found.ranked[:2]
    words = (f"{found.evidence.title}. {found.rating.pump.name}, {reality.liquid.name}, case "
             f"{found.rating.case_names[reality.case]}.")
    if found.standing is not Standing.NOTHING:
        words += (f" Evidence alone, first against second: {odds_in_words(found.ratio)}, {found.support}."
                  if found.ratio >= 1 else
                  f" Evidence alone favours {second.title} over {first.title}, {odds_in_words(1 / found.ratio)}; the "
                  "weights before the evidence decide.")
    return f"<h1>{standing.sign} {escape(service.sentence_of(found))}</h1><p>{escape(words)}</p>"


def pins_html(found: Investigation) -> str:
    """The findings on the drawing, one pin a part; nothing while nothing is told of a part."""
    known, counts = found.evidence.catalogue(), Counter[tuple[str, str]]()
    for one in found.evidence.findings:
        counts[known[one.id].part, one.state] += 1
    pins = tuple(Pin(part, counts[part, "seen"], counts[part, "not there"]) for part in PLACES
                 if counts[part, "seen"] or counts[part, "not there"])
    if not pins:
        return ""
    return (f"<h2 {APART}>Where it was found</h2>" + pinned_drawing(pins, found.rating.pump.name)
            + "<p class='soft'>A full pin: something was seen; an empty one: looked at, and not there.</p>")


def told_html(found: Investigation) -> str:
    """What is told, as paper shows it in place of the fields."""
    known = found.evidence.catalogue()
    rows = [row((cell(known[one.id].title), cell(one.state),
                 cell("; ".join(filter(None, (one.note, "" if one.weight == 1 else f"weight {one.weight:g}"))),
                      soft=True))) for one in found.evidence.findings]
    return table([("finding", False), ("", False), ("note", False)], rows, caption="What was found",
                 classes="c matrix") if rows else "<p>Nothing is told yet.</p>"


def ranking_html(found: Investigation) -> str:
    """Every mechanism, the most probable first."""
    rows = [_ranked(found, number) for number in range(len(found.ranked))]
    columns = [("mechanism", False), ("share", True), ("range", True), ("physics of this pump", False),
               ("power in the log", False)]
    rest = table(columns, rows[LISTED:], caption="Mechanisms that are less probable")
    return (f"<h2 {APART}>Mechanisms</h2>"
            + table(columns, rows[:LISTED], caption="Mechanisms, the most probable first")
            + f"<details class='numbers'><summary>{len(rows) - LISTED} less probable</summary>{rest}</details>"
              "<p class='soft'>The range is that of the share while every word of likelihood is anywhere in its band."
              "</p>")


def _ranked(found: Investigation, number: int) -> str:
    one = found.ranked[number]
    share, low, high = found.share(one.name)
    test, fits = found.tested(one.name), found.power.fits(one.name)
    physics = "no test" if test is None else told(SIGNS[test.says], SAID[test.says])
    power = {True: told(Sign.HOLDS, "fits"), False: told(Sign.SHORT, "does not fit"), None: ""}[fits]
    return row((cell(one.title, bold=number < 2), cell(service.percent(share), number=True, bold=True),
                cell(" to ".join(dict.fromkeys(map(service.percent, (low, high)))), number=True),
                cell(physics, raw=True), cell(power, raw=True)))


def matrix_html(found: Investigation) -> str:
    """What each item of evidence says of the leading mechanisms."""
    weighed, notes = found.weighed, service.notes_of(found)
    if not weighed.items:
        return ""
    leading = [one for one in found.ranked if one.name != SOMETHING_ELSE][:COLUMNS]
    rows = []
    for number, item in enumerate(weighed.items):
        ratios, cells = weighed.tells(number), []
        for one in leading:
            tells = found.cell(number, one.name)
            words = f"{ratios[weighed.mechanisms.index(one.name)]:.2g}"
            shown = told(CELLS[tells], words) + f'<span class="live"> {escape(tells)}</span>'
            cells.append(cell(shown if weighed.counted[number] else f"({shown})", raw=True, number=True))
        physics = item.name.startswith("physics: ")
        note = "" if physics else notes.get(item.name, ("", ""))[0]
        state = ("passed" if item.seen else "not passed") if physics else "seen" if item.seen else "not there"
        rows.append(row((cell(f"{item.title}{f'; {note}' if note else ''}"), cell(state),
                         cell(f"{item.weight:g}", number=True), *cells)))
    columns = [("evidence", False), ("", False), ("weight", True), *((one.title, True) for one in leading)]
    return (f"<h2 {APART}>Evidence against mechanism</h2>" + table(
        columns, rows, caption="What each item of evidence says of each mechanism", classes="c matrix")
            + "<p class='soft'>● explains, ▼ contradicts, · says nothing, with the likelihood ratio to the mean of all "
              "mechanisms. In brackets: counted in another finding of its trace.</p>")


def physics_html(found: Investigation, figures: Figures) -> str:
    """Tests of the physics with their numbers."""
    known = {one.name: one.title for one in found.ranked}
    rows = [row((cell(told(SIGNS[one.says], known[one.mechanism]), raw=True),
                 cell(_begun(f"{one.question} {_begun(one.sentence(figures.units))}.")))) for one in found.tests]
    return (f"<h2 {APART}>Tests of the physics</h2><p class='soft'>What this pump allows, computed in this case.</p>"
            + table([("mechanism", False), ("result", False)], rows, caption="Results of the tests of the physics",
                    classes="c matrix"))


def next_html(found: Investigation) -> str:
    """The buttons, what would decide between the first two, and what helps against them."""
    first, second = found.ranked[:2]
    rows = [row((cell(f"{one.finding.title} ({one.finding.part})"), cell(f"{one.information:.2f} bit", number=True),
                 cell(odds_in_words(one.if_seen), number=True),
                 cell(odds_in_words(one.if_not_there), number=True))) for one in found.looks[:LOOKS]]
    columns = [("look for", False), ("tells", True), ("if seen", True), ("if not there", True)]
    shown = (f"<p class='soft'>{escape(_begun(first.title))} against {escape(second.title)}; "
             "odds then, first against second.</p>" + table(
                 columns, rows, caption="What to look at next", classes="c matrix")) if rows else (
        "<p>Nothing that is left to look at tells them apart.</p>")
    remedies = "".join(
        f"<h2 {APART}>If it was {escape(one.title)}</h2><p>{escape(one.how)}</p>"
        + table([("remedy", False)], [row((cell(remedy),)) for remedy in one.remedies],
                caption=f"Remedies, {one.title}", classes="c matrix")
        for one in (first, second) if one.remedies)
    buttons = (f"<p>{button('PDF', 'do', 'failed:pdf', classes='btn first')} "
               f"{button('Evidence file', 'do', 'failed:toml')}</p>")
    return f"{buttons}<h2 {APART}>What would decide between the first two</h2>{shown}{remedies}"


def cautions_html(found: Investigation, figures: Figures) -> str:
    """Cautions, limits, warnings."""
    cautions = "".join(f"<p>{escape(figures.in_words(one))}</p>" for one in service.cautions_of_investigation(found))
    limits = "".join(f"<p class='soft'>{escape(one)}</p>" for one in service.limits_of_investigation())
    warnings = "".join(f"<p class='soft'>{escape(figures.in_words(one))}</p>" for one in found.rating.warnings)
    return (f"<h2 {APART}>Cautions</h2>{cautions}"
            f"<h2 {APART}>Limits of this investigation</h2>{limits}"
            + (f"<h2 {APART}>Warnings of the rating</h2>{warnings}" if warnings else ""))


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]
