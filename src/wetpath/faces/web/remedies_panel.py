"""What gains margin: every change rated again; one can be tried beside the present rating, and kept."""

from __future__ import annotations

import threading
from collections.abc import Callable
from html import escape

from nicegui import background_tasks, run, ui

from wetpath.drawing.checks import kind_named
from wetpath.errors import WetpathError
from wetpath.faces.web.html import button, cell, row, table
from wetpath.faces.web.session import Session
from wetpath.questions.remedies.study import Remedies, remedies_of
from wetpath.services.desk import Papers

#: Remedies shown.
SHOWN = 5
#: Studies kept, so that going back and forth costs nothing.
KEPT = 64
_found: dict[Papers, Remedies] = {}


class _Stopped(Exception):
    """The user has stopped the search."""


class RemediesPanel:
    """The table of remedies of the papers in work."""

    def __init__(self, session: Session, progress: Callable[[int, int, str], None],
                 shown_anew: Callable[[], None]) -> None:
        self.session, self.progress, self.shown_anew = session, progress, shown_anew
        self.part = ui.html("", sanitize=False)
        self.answer = ""
        self.found: Remedies | None = None
        self._for: Papers | None = None
        self._stop = threading.Event()
        self._done = (0, 0)
        self._timer = ui.timer(0.3, self._tell, active=False)

    def start(self) -> None:
        """Look for remedies of the papers in work, unless they are known."""
        papers = self.session.desk.papers
        if papers == self._for:
            return
        self.stop()
        self._for, self._stop, self.found, self.answer = papers, threading.Event(), None, ""
        if papers in _found:
            self._show(_found[papers])
        else:
            self.part.set_content("<h2>What gains margin</h2><p class='soft'>rating what could be changed ...</p>")
            background_tasks.create(self._search(papers, self._stop), name="remedies")

    def stop(self) -> None:
        """Stop the search; what is on the page stays."""
        self._stop.set()

    def attempt(self, number: int) -> None:
        """Show the rating with one remedy beside the papers in work."""
        if self.found and number < len(self.found.trials):
            self.session.desk.attempt(self.found.trials[number].rating)
            self.shown_anew()

    async def _search(self, papers: Papers, stop: threading.Event) -> None:
        rating = self.session.desk.rated.rating

        def told(done: int, total: int) -> None:
            self._done = done, total
            if stop.is_set():
                raise _Stopped

        self._timer.activate()
        try:
            found = await run.io_bound(remedies_of, rating, told)
        except _Stopped:
            if self._for == papers:
                self.part.set_content("<h2>What gains margin</h2><p class='soft'>Stopped.</p>")
            return
        except WetpathError as error:
            self.part.set_content(f"<h2>What gains margin</h2><p class='soft'>{escape(str(error))}</p>")
            return
        finally:
            self._timer.deactivate()
            self._done = 0, 0
            self.progress(0, 1, "")
        while len(_found) >= KEPT:
            _found.pop(next(iter(_found)))
        _found[papers] = found
        if self._for == papers:
            self._show(found)
            self.shown_anew()

    def _tell(self) -> None:
        done, total = self._done
        if total:
            self.progress(done, total, f"rated {done} of about {total} changes, Esc stops")

    def _show(self, found: Remedies) -> None:
        self.found = found
        figures = self.session.figures
        kind = kind_named(found.rating.verdict.check.difference_kind.name)
        rows = []
        for number, trial in enumerate(found.trials[:SHOWN]):
            gain = figures.text(trial.gain, kind, sign=True)
            reached = "holds" if trial.makes_it_hold else trial.rating.verdict.headline
            broken = [one.check.title for one in trial.worse if one.broken]
            cost = f"breaks {broken[0]}" if broken else trial.remedy.cost
            rows.append(row((cell(trial.remedy.title()), cell(gain, number=True, bold=True),
                             cell(f"→ {reached}"), cell(cost, soft=True),
                             cell(button(f"Try {number + 1}", "do", f"try:{number}"), raw=True))))
        best = next((trial for trial in found.trials if trial.makes_it_hold), None)
        if found.rating.holds or best is None:
            self.answer = ""
        else:
            self.answer = f"Makes it hold: {best.remedy.title()}."
        empty = "<p class='soft'>Every check holds with room to spare.</p>" if found.rating.holds else (
            "<p class='soft'>No change that was tried helps.</p>")
        self.part.set_content("<h2>What gains margin</h2>" + (table(
            [("change", False), ("gain", True), ("then", False), ("cost or side effect", False), ("", False)], rows,
            caption="What gains margin") if rows else empty))
