"""Every word of a report stands in its catalogues, so that another language can be added."""

from __future__ import annotations

import pickle
import re
import string
import sys
import tomllib
from collections.abc import Iterator
from html import unescape
from importlib.resources import files
from pathlib import Path

import pytest

from wetpath.drawing.figures import Figures
from wetpath.faces.report import content
from wetpath.faces.report.content import Material, report_of
from wetpath.faces.report.coupling_sheet import coupling_study_of
from wetpath.faces.report.parts import Picture, Report, Sheet, Table, Words
from wetpath.faces.report.protection_sheet import plan_of
from wetpath.faces.report.texts import Texts, messages
from wetpath.faces.report.uncertainty_sheet import uncertainty_study_of
from wetpath.questions.remedies.study import remedies_of
from wetpath.questions.window.study import Asked, Search, study_window
from wetpath.rating.rate import Rating
from wetpath.services.demo import enquiry_path
from wetpath.services.rating import load_service
from wetpath.services.recording import record_of
from wetpath.words import Told, joined, said, told

sys.path.insert(0, str(Path(__file__).parents[3] / "docs"))
from generate_messages import CATALOGUE, catalogue

DATE = "2026-05-04"
#: Keys of files whose values are chosen from words of the program, which have to be translated.
ENTRIES = ("kind", "role", "service", "end", "volute", "start", "cooling", "balance", "at", "lubrication", "trips")
DEMOS = ("butane_reflux", "hot_water", "ammonia", "acrylic_ester")
_MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
#: What stands in every language as it is: units, symbols and names of standards' own.
UNITS = {"bar", "a", "psi", "kPa", "MPa", "mm", "m", "m³", "h", "kg", "m²", "K", "C", "F", "W", "kW", "N", "Nm", "T",
         "rpm", "s", "mPa", "Pa", "J", "kJ", "Hz", "gpm", "ft", "hp", "in", "lb", "million"}


def marked(template: str) -> str:
    """Mark the words of a template, its fields left alone."""
    found = ""
    for words, field, spec, _ in string.Formatter().parse(template):
        found += f"⟦{words.replace('{', '{{').replace('}', '}}')}⟧" if words else ""
        if field is not None:
            found += f"{{{field}:{spec}}}" if spec else f"{{{field}}}"
    return found


WORDS = tomllib.loads((files("wetpath") / "data" / "report" / "texts_en.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def pseudo() -> Texts:
    return Texts({key: marked(one) for key, one in WORDS.items()}, {one: marked(one) for one in messages()})


def texts_of(sheet: Sheet) -> Iterator[str]:
    """Every text of a sheet."""
    yield sheet.title
    for part in sheet.parts:
        yield part.title
        if isinstance(part, Table):
            yield part.note
            yield from (name for name, _ in part.columns)
            yield from (cell.text for row in part.rows for cell in row)
        elif isinstance(part, Words):
            yield from part.lines
        elif isinstance(part, Picture):
            yield part.description
            for words in re.findall(r"<(?:text|title|desc)\b[^>]*>([^<]*)<", part.svg):
                yield unescape(words)


def strings_of(value: object) -> Iterator[str]:
    """Strings that a file gives as values, its keys and what has a field of its own kind left out."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, one in value.items():
            if key not in ENTRIES:
                yield from strings_of(one)
    elif isinstance(value, list):
        for one in value:
            yield from strings_of(one)


def names_of(rating: Rating) -> set[str]:
    """Words given by the user, and names: of files, liquids, materials, sources."""
    record = record_of(rating)
    given = [text for one in record.inputs for text in strings_of(tomllib.loads(one.content or ""))]
    given += [one.text for one in record.sources]
    given += [f"{one.name} {prop.text}" for one in record.liquids for prop in one.properties]
    given += [record.title, record.pump, record.practice.name, record.program_version, "wetpath SHA toml"]
    given += [case.liquid for case in record.cases]
    return set(re.findall(r"[^\W\d_]+", " ".join(given)))


def unmarked(report: Report, names: set[str]) -> dict[str, list[str]]:
    """Texts by sheet of which words are left that are not marked."""
    found: dict[str, list[str]] = {}
    for sheet in report.sheets:
        for text in texts_of(sheet):
            left = re.sub(r"\b[0-9a-f]{12,}\b", " ", _MARKED.sub(" ", text))         # hashes are no words
            if any(word not in names and word[:1].lower() + word[1:] not in names and word not in UNITS
                   for word in re.findall(r"[^\W\d_]{2,}", left)):
                found.setdefault(sheet.key, []).append(text)
    return found


@pytest.mark.parametrize("name", DEMOS)
def test_every_word_of_a_report_is_in_a_catalogue(name: str, pseudo: Texts, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "texts", lambda _: pseudo)
    rating = load_service(enquiry_path(name)).rate()
    report = report_of(Material(rating, record_of(rating)), Figures.of(False), date=DATE)
    found = unmarked(report, names_of(rating))
    assert not found, "\n".join(f"{key}: {text}" for key, texts in found.items() for text in texts)


def test_every_word_of_what_was_asked_beside_the_rating_is_in_a_catalogue(pseudo: Texts,
                                                                           monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "texts", lambda _: pseudo)
    rating = load_service(enquiry_path("butane_reflux")).rate()
    record = record_of(rating)
    window = study_window(rating, Asked(grid=(8, 6), search=Search.NOTHING))
    report = report_of(Material(rating, record, remedies_of(rating), window, coupling=coupling_study_of(rating, record),
                                uncertainty=uncertainty_study_of(rating, 128), protection=plan_of(rating)),
                       Figures.of(False), date=DATE)
    assert {"coupling", "window", "protection", "uncertainty"} <= {sheet.key for sheet in report.sheets}
    found = unmarked(report, names_of(rating))
    assert not found, "\n".join(f"{key}: {text}" for key, texts in found.items() for text in texts)


def test_words_that_are_in_no_catalogue_are_found(pseudo: Texts, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(content, "texts", lambda _: Texts({key: marked(one) for key, one in WORDS.items()}, {
        one: marked(one) for one in messages() if one != "vapour margin"}))
    rating = load_service(enquiry_path("butane_reflux")).rate()
    report = report_of(Material(rating, record_of(rating)), Figures.of(False), date=DATE)
    assert "vapour margin" in unmarked(report, names_of(rating))["checks"]


def test_words_are_said_with_their_values_and_survive_being_kept() -> None:
    words = told("{part}, {share:.0f} %", share=52.4,
                 part=joined(" and ", ["shell", told("{which} ring", which="inner")]))
    assert words == "shell and inner ring, 52 %"
    table = {"{part}, {share:.0f} %": "{share:.1f} % von {part}", "shell": "Spalttopf", "{which} ring": "Ring {which}"}
    assert said(words, lambda one: table.get(one, one)) == "52.4 % von Spalttopf and Ring inner"
    assert said(pickle.loads(pickle.dumps(words)), lambda one: table.get(one, one)).startswith("52.4")


def test_records_keep_how_their_words_were_put_together(pseudo: Texts) -> None:
    record = record_of(load_service(enquiry_path("butane_reflux")).rate())
    check = next(one for one in record.checks if one.name == "inner_magnets")
    assert isinstance(check.title, Told)
    assert pseudo.words(check.title) == "⟦temperature of the ⟧⟦inner⟧⟦ magnets⟧"
    assert record.model_validate_json(record.model_dump_json()).checks == record.checks


def test_the_catalogue_of_messages_is_up_to_date() -> None:
    assert CATALOGUE.read_text(encoding="utf-8") == catalogue(), "run docs/generate_messages.py"
