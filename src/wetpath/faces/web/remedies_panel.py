"""What gains margin: every change rated again; one can be tried beside the present rating, and kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html import escape

from nicegui import ui

from wetpath.drawing.checks import kind_named
from wetpath.faces.web.front import crowd
from wetpath.faces.web.html import button, cell, row, table
from wetpath.faces.web.job import UNASKED, Job, Show
from wetpath.faces.web.session import Session
from wetpath.questions.remedies.study import Remedies, remedies_of
from wetpath.services.desk import Papers

#: Remedies shown.
SHOWN = 5
#: Studies kept, so that going back and forth costs nothing; of each only what is shown, for every rating in it is
#: thousands of objects that the collector of unused ones goes through while nobody is answered.
KEPT = 32
#: Remedies are looked for once no value was changed for so long [s], and for so much longer with everyone who changes
#: values meanwhile: of most values changed by a crowd nobody would see the remedies.
PAUSE, EACH = 0.6, 0.5
_found: dict[Papers, Remedies] = {}
_TITLE = "<h2>What gains margin</h2>"


class RemediesPanel:
    """The table of remedies of the papers in work."""

    def __init__(self, session: Session, show: Show, shown_anew: Callable[[], None],
                 answered: Callable[[], None]) -> None:
        self.session, self.shown_anew, self.answered = session, shown_anew, answered
        self.part = ui.html("", sanitize=False)
        self.job: Job[Remedies] = Job(show, "changes rated", threads=UNASKED)
        self.answer = ""
        self.found: Remedies | None = None
        self._for: Papers | None = None
        self._us = session.us

    def start(self) -> None:
        """Look for remedies of the papers in work, unless they are known."""
        papers = self.session.desk.papers
        if papers == self._for:
            if self._us != self.session.us and self.found is not None:
                self._take(papers, self.found)
            return
        self.job.stop()
        self._for, self.found, self.answer = papers, None, ""
        if papers in _found:
            self._take(papers, _found[papers])
            return
        self.part.set_content(f"{_TITLE}<p class='soft'>rating what could be changed ...</p>")
        rating = self.session.desk.rated.rating
        self.job.start(lambda told, _: remedies_of(rating, told), lambda found: self._keep(papers, found),
                       lambda words: self._failed(papers, words), after=PAUSE + EACH * max(crowd() - 1, 0))

    def stop(self) -> None:
        """Stop the search."""
        self.job.stop()

    def titles(self) -> tuple[str, ...]:
        """The changes that can be tried, in words."""
        words = self.session.figures.in_words
        return tuple(words(trial.remedy.title()) for trial in self.found.trials[:SHOWN]) if self.found else ()

    def attempt(self, number: int) -> None:
        """Show the rating with one remedy beside the papers in work."""
        if self.found and number < len(self.found.trials):
            self.session.desk.attempt(self.found.trials[number].rating)
            self.shown_anew()

    def _failed(self, papers: Papers, words: str) -> None:
        if self._for != papers or self.found is not None:
            return                       # something newer is shown
        self.part.set_content(f"{_TITLE}<p class='soft'>{escape(words)}</p>")

    def _keep(self, papers: Papers, found: Remedies) -> None:
        while len(_found) >= KEPT:
            _found.pop(next(iter(_found)))
        holding = [one for one in found.trials[SHOWN:] if one.makes_it_hold]
        _found[papers] = shown = replace(found, trials=(*found.trials[:SHOWN], *holding[:1]), without_gain=())
        if self._for == papers:
            self._take(papers, shown)
            self.answered()

    def _take(self, papers: Papers, found: Remedies) -> None:
        self.found, self._us = found, self.session.us
        figures = self.session.figures
        kind = kind_named(found.rating.verdict.check.difference_kind.name)
        rows = []
        for number, trial in enumerate(found.trials[:SHOWN]):
            gain = figures.text(trial.gain, kind, sign=True)
            reached = "holds" if trial.makes_it_hold else trial.rating.verdict.headline
            broken = [one.check.title for one in trial.worse if one.broken]
            cost = f"breaks {broken[0]}" if broken else figures.in_words(trial.remedy.cost)
            change = figures.in_words(trial.remedy.title())
            rows.append(row((cell(f'{escape(change[:1].upper() + change[1:])}<span class="soft">{escape(cost)}</span>',
                                  raw=True), cell(gain, number=True, bold=True),
                             cell(f"→\u00a0{reached}"),
                             cell(button(f"Try {number + 1}", "do", f"try:{number}"), raw=True))))
        best = next((trial for trial in found.trials if trial.makes_it_hold), None)
        self.answer = "" if found.rating.holds or best is None else (
            f"Makes it hold: {figures.in_words(best.remedy.title())}.")
        empty = "<p class='soft'>Every check holds with room to spare.</p>" if found.rating.holds else (
            "<p class='soft'>No change that was tried helps.</p>")
        self.part.set_content(_TITLE + (table(
            [("change, cost or side effect", False), ("gain", True), ("then", False), ("", False)], rows,
            caption="What gains margin") if rows else empty))
