"""The enquiry as a sentence: every underlined value is a field, in the order it is read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import escape

from wetpath.edge import quantities as q
from wetpath.edge.quantities import Kind
from wetpath.faces.web.fault import fault_html
from wetpath.faces.web.session import Session

_BARE = re.compile(r"[+\-−]?\d+([.,]\d+)?")


@dataclass(frozen=True)
class Word:
    """One field of the sentence: where its value stands in the papers, and how it is shown."""

    path: str
    name: str
    shown: str
    unit: str = ""                   # taken by a bare number
    choices: tuple[str, ...] = ()
    before: str = ""                 # a sign that stays with the value


def words_of(session: Session) -> list[str | Word]:
    """The sentence as text and fields, for the case looked at."""
    rating, figures, number = session.desk.rated.rating, session.figures, session.case + 1
    enquiry = rating.enquiry
    case = enquiry.cases[number - 1]
    inputs = rating.inputs

    def value(path: str, name: str, si: float | None, kind: Kind, before: str = "") -> Word:
        return Word(path, name, figures.text(si, kind) if si is not None else "____", figures.unit(kind),
                    before=before)

    at = f"enquiry:cases[{number}]"
    liquid = session.record.cases[session.case].liquid
    sentence: list[str | Word] = [
        f"Case {case.name}: pump" if len(enquiry.cases) > 1 else "Pump",
        Word("enquiry:liquid.substance", "liquid", str(session.desk.papers.value("enquiry:liquid.substance") or liquid))
        if not case.liquid and session.desk.papers.value("enquiry:liquid.substance") else liquid,
        "at", value(f"{at}.flow", "flow", case.flow, q.VOLUME_FLOW)]
    if case.head is not None:
        sentence += ["against", value(f"{at}.head", "head", case.head, q.HEAD)]
    sentence += [", liquid", value(f"{at}.temperature", "liquid temperature", case.temperature, q.TEMPERATURE)]
    if case.above_vapour_pressure is not None:
        sentence += [", suction", value(f"{at}.above_vapour_pressure", "suction pressure above vapour pressure",
                                        case.above_vapour_pressure, q.PRESSURE_DIFFERENCE), "above vapour pressure"]
    elif case.suction_pressure is not None:
        sentence += [", suction",
                     value(f"{at}.suction_pressure", "suction pressure", case.suction_pressure, q.PRESSURE)]
    else:
        sentence += [f", suction {figures.text(float(inputs.pressure[session.case]), q.PRESSURE)} from its vessel"]
    site = enquiry.site
    sentence += [", site", value("enquiry:site.air_lowest", "lowest air temperature", site.air_lowest, q.TEMPERATURE),
                 "to", value("enquiry:site.air_highest", "highest air temperature", site.air_highest, q.TEMPERATURE),
                 ",", Word("enquiry:site.frequency", "frequency of the supply", str(site.frequency),
                           choices=("50", "60")), "Hz, temperature class",
                 Word("enquiry:site.temperature_class", "temperature class", site.temperature_class,
                      choices=("none", "T1", "T2", "T3", "T4", "T5", "T6")), ", with"]
    pump = rating.pump
    return [*sentence, Word("pump", "pump", pump.name),
            value("pump:impeller.diameter", "impeller diameter", pump.impeller.diameter, q.LENGTH, "Ø"), ", shell",
            Word("pump:containment_shell.material", "shell material", pump.containment_shell.material),
            value("pump:containment_shell.wall", "shell wall", pump.containment_shell.wall, q.LENGTH)]


def sentence_html(session: Session) -> str:
    """The sentence; the script of the page tells a changed field with its path and what was typed."""
    return "".join(_word_html(session, word) for word in words_of(session))


def _word_html(session: Session, word: str | Word) -> str:
    if isinstance(word, str):
        tight = ' class="tight"' if word.startswith(",") else ""
        return f"<span{tight}>{escape(word)}</span>"
    if word.path == "pump":
        return ('<button type="button" title="choose another pump" class="part" data-do="pumps">'
                f"<span>{escape(word.shown)}</span></button>")
    field = _field_html(session, word)
    return f'<span class="joined"><span>{escape(word.before)}</span>{field}</span>' if word.before else field


def _field_html(session: Session, word: Word) -> str:
    fault = session.faults.get(word.path)
    shown = session.typed.get(word.path, word.shown)
    named = f'aria-label="{escape(word.name)}" data-path="{escape(word.path)}"'
    locked = f' title="{escape(session.locked)}"' if session.locked else ""
    if word.choices:
        choices = "".join(f'<option value="{escape(choice)}"{" selected" if choice == word.shown else ""}>'
                          f"{escape(choice)}</option>" for choice in word.choices)
        entry = f"<select {named}{locked and ' disabled' + locked}>{choices}</select>"
    else:
        entry = (f'<input type="text" autocomplete="off" spellcheck="false" value="{escape(shown)}" {named}'
                 f' style="--w:{max(len(shown) + 1, 2)}ch"{locked and " readonly" + locked}'
                 f'{" aria-invalid=true" if fault else ""}>')
    told = ""
    if fault:
        told = f'<div class="fault" role="alert">{fault_html(word.path, fault)}</div>'
    elif shown != word.shown and not word.choices:      # kept from before; the figures are those of the value rated
        told = ('<div class="fault pending">Typed and not taken; the figures stand on '
                f"{escape(word.shown)}. Enter takes it.</div>")
    return f'<span class="field{" faulty" if fault else ""}">{entry}{told}</span>'


def with_unit(typed: str, unit: str) -> str:
    """A bare number takes the unit shown in the field.

    >>> with_unit("60", "m³/h"), with_unit("60 gpm", "m³/h"), with_unit("4.9", "bar a")
    ('60 m³/h', '60 gpm', '4.9 bar a')
    """
    plain = typed.strip().replace("−", "-")
    return f"{plain} {unit}" if unit and _BARE.fullmatch(plain) else plain
