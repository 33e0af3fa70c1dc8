"""How sure the verdict is: range of the governing vapour margin and share of the sampled conditions, when asked for."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.faces.web.html import button
from wetpath.faces.web.job import Job, Place, Show
from wetpath.faces.web.session import Session
from wetpath.questions.sensitivity.evaluate import QUANTITIES
from wetpath.questions.uncertainty.study import Uncertainty, uncertainty_of
from wetpath.services.desk import Papers

#: Points of a study: enough for a share within about 3 %, in the time somebody waits at a page.
POINTS = 1024
#: Causes that are named.
CAUSES = 3
#: Studies kept, so that going back and forth costs nothing.
KEPT = 32
_found: dict[Papers, Uncertainty] = {}


class SurePanel:
    """The line of the verdict that tells how sure it is."""

    def __init__(self, session: Session, show: Show, place: Place, answered: Callable[[], None]) -> None:
        self.session, self.answered = session, answered
        self.job: Job[Uncertainty] = Job(show, "conditions sampled", place=place)
        self.told = ""
        self._for: Papers | None = None

    def html(self) -> str:
        """The line, or the button that asks for it; nothing while a change is tried."""
        session = self.session
        papers = session.desk.papers
        if session.desk.tried:
            return ""
        if papers in _found:
            return f'<p class="soft">{sure_words(_found[papers], session.record.verdict.case, session.figures)}</p>'
        if self._for == papers:
            return f'<p class="soft">{escape(self.told or "Sampling the conditions ...")}</p>'
        return f'<p>{button("How sure?", "do", "sure", label="how sure is this verdict")}</p>'

    def start(self) -> None:
        """Sample the conditions of the papers in work."""
        papers, rating = self.session.desk.papers, self.session.desk.rated.rating
        if papers in _found:
            return
        self._for, self.told = papers, ""

        def found(study: Uncertainty) -> None:
            while len(_found) >= KEPT:
                _found.pop(next(iter(_found)))
            _found[papers] = study
            self.answered()

        def failed(words: str) -> None:
            self.told = words
            self.answered()

        self.job.start(lambda told, stopped: uncertainty_of(rating, samples=POINTS, progress=told, cancelled=stopped),
                       found, failed, key=papers)
        self.answered()

    def stop(self) -> None:
        """Stop the sampling."""
        self.job.stop()


def sure_words(study: Uncertainty, case: str, figures: Figures) -> str:
    """Range at 95 %, share of conditions that hold, and what the doubt comes from, as HTML."""
    one = next((each for each in study.cases if each.name == case), study.cases[study.case])
    quantity = QUANTITIES[one.governing]
    low, high = (figures.text(value, quantity.kind, sign=True) for value in (one.low, one.high))
    if one.low == -float("inf"):
        low = "no liquid solution"
    parts = [f"{quantity.title[:1].upper()}{quantity.title[1:]}, range at 95 %: {low} to {high} (case \"{one.name}\")."]
    if one.probabilities:
        together = one.probabilities[-1]
        parts.append(f"Every vapour demand holds in {share_text(together.share, figures)} of {together.count} sampled "
                     "conditions.")
    if case == study.cases[study.case].name and study.causes:
        named = ", ".join(f"{each.variable.title} {figures.text(min(max(each.total, 0.0), 1.0), q.RATIO)}"
                          for each in study.causes[:CAUSES])
        parts.append(f"Largest causes: {named}.")
    return escape(" ".join(parts))


def share_text(share: float, figures: Figures) -> str:
    """A share in whole percent; all and none are told only where it is all or none.

    >>> share_text(0.999, Figures.of(False)), share_text(1.0, Figures.of(False))
    ('more than 99\u2009%', '100\u2009%')
    """
    if 0.995 <= share < 1:
        return f"more than {figures.text(0.99, q.RATIO)}"
    if 0 < share < 0.005:
        return f"less than {figures.text(0.01, q.RATIO)}"
    return figures.text(share, q.RATIO)
