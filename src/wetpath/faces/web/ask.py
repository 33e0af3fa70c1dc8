"""The ask line: type a value, a view, a station, a case, a part, a check or a change; the best answer first."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from nicegui import ui

from wetpath.faces.web.frame import QUESTIONS
from wetpath.faces.web.part_editor import PARTS
from wetpath.faces.web.sentence import Word, with_unit, words_of

if TYPE_CHECKING:
    from wetpath.faces.web.enquiry_page import EnquiryPage

#: Answers shown.
MOST = 8
_VALUE = re.compile(r"(?P<name>[^\d+\-−]*?)\s*(?P<value>[+\-−]?\d.*)", re.DOTALL)


@dataclass(frozen=True)
class Answer:
    """One line of the list: what it does in words, of which kind it is, and the event that does it."""

    words: str
    kind: str
    what: str
    value: str


def answers(page: EnquiryPage, typed: str) -> list[Answer]:
    """What may be meant, the nearest first."""
    asked = typed.strip().lower()
    if not asked:
        return []
    found = [*_values(page, typed.strip())]
    ranked = []
    for number, one in enumerate(_things(page)):
        if (rank := _rank(asked, one)) is not None:
            ranked.append((rank, number, one))
    exact = [one for rank, _, one in sorted(ranked, key=lambda entry: entry[:2]) if rank == 0]
    rest = [one for rank, _, one in sorted(ranked, key=lambda entry: entry[:2]) if rank > 0]
    return [*exact, *found, *rest][:MOST]


def _values(page: EnquiryPage, typed: str) -> Iterable[Answer]:
    """Values of the sentence whose name begins as typed."""
    parted = _VALUE.fullmatch(typed)
    if parted is None:
        return
    name, value = parted["name"].strip().lower(), parted["value"].strip()
    for word in words_of(page.session):
        if isinstance(word, Word) and name and not word.choices and word.unit and _begins(name, word.name):
            told = with_unit(value, word.unit)
            yield Answer(f"{word.name} {told}", f"now {word.shown}", "set", f"{word.path}\n{told}")


def _things(page: EnquiryPage) -> Iterable[Answer]:
    """Everything that has a name on this enquiry."""
    session = page.session
    for question in QUESTIONS:
        yield Answer(question.words, "view", "go", f"/e/{session.key}/{question.name}")
    yield Answer("How it works", "view", "go", f"/e/{session.key}/how")
    yield Answer("Projects", "page", "go", "/projects")
    for station in session.case_record.trace:
        yield Answer(f"{station.name} {station.title}", "station", "station", station.name)
    yield Answer("W shell wall", "station", "station", "W")
    for number, case in enumerate(session.record.cases):
        yield Answer(case.name, "case", "case", str(number))
    for part, (title, _) in PARTS.items():
        yield Answer(title, "part", "part", part)
    for check in session.record.checks:
        yield Answer(check.title, "check", "check", check.name)
    for number, change in enumerate(page.changes()):
        yield Answer(change, "try this change", "do", f"try:{number}")
    for words, kind, does in page.more_answers():
        yield Answer(words, kind, "do", does)


def _rank(asked: str, one: Answer) -> int | None:
    name = one.words.lower()
    first = name.split()[0]
    if asked in (name, first) and (one.kind in ("station", "case") or asked == name):
        return 0
    if name.startswith(asked):
        return 1
    if _begins(asked, name):
        return 2
    return 3 if one.kind == "station" and asked == f"station {first}" else None


def _begins(asked: str, name: str) -> bool:
    """Whether every word asked begins a word of the name."""
    words = re.findall(r"\w+", name.lower())
    return all(any(word.startswith(part) for word in words) for part in re.findall(r"\w+", asked))


class AskLine:
    """The line that opens over the page."""

    def __init__(self, page: EnquiryPage) -> None:
        self.page = page
        self.typed = ""
        self.box = ui.element("div").classes("ask").props('role="dialog" aria-label="ask line"')
        with self.box:
            self.entry = ui.element("input").props(
                'id="ask" type="text" autocomplete="off" spellcheck="false" aria-label="type a value, view, station, '
                'case, part, check or change" placeholder="flow 60 · how far · 9 · shell · npsh"')
            self.entry.on("input", lambda event: self._write(str(event.args)), js_handler="(e) => emit(e.target.value)")
            self.entry.on("keydown.enter", self._first, js_handler="(e) => emit(e.target.value)")
            self.found = ui.html("", sanitize=False).props('aria-live="polite"')
        self.box.set_visibility(False)

    @property
    def visible(self) -> bool:
        """Whether the line is open."""
        return bool(self.box.visible)

    def open(self) -> None:
        """Open the line, empty."""
        self._write("")
        self.box.set_visibility(True)
        self.page.live.client.run_javascript(
            "setTimeout(() => { const ask = document.getElementById('ask'); ask.value = ''; ask.focus(); }, 30)")

    def close(self) -> None:
        """Close the line."""
        self.box.set_visibility(False)

    def take(self, number: int) -> Answer | None:
        """The answer chosen from the list."""
        found = answers(self.page, self.typed)
        self.close()
        return found[number] if number < len(found) else None

    def _write(self, typed: str) -> None:
        self.typed = typed
        rows = "".join(f'<li><button type="button" data-do="ask:{number}"><span>{escape(one.words)}</span>'
                       f'<span class="soft">{escape(one.kind)}</span></button></li>'
                       for number, one in enumerate(answers(self.page, typed)))
        nothing = "<p class='soft'>Nothing of that name here.</p>" if typed.strip() else ""
        self.found.set_content(f"<ol>{rows}</ol>" if rows else nothing)

    async def _first(self, event: object) -> None:
        self.typed = str(getattr(event, "args", ""))
        await self.page.answer(0)
