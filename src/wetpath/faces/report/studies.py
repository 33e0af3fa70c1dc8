"""What a report tells beside the rating: window, remedies, coupling, uncertainty, protection plan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wetpath.faces.report.coupling_sheet import coupling_study_of
from wetpath.faces.report.protection_sheet import plan_of
from wetpath.faces.report.uncertainty_sheet import uncertainty_study_of
from wetpath.questions.coupling_study.study import CouplingStudy
from wetpath.questions.protection.study import Plan
from wetpath.questions.remedies.study import Remedies, remedies_of
from wetpath.questions.uncertainty.study import Uncertainty
from wetpath.questions.window.study import Asked, Search, Window, study_window
from wetpath.rating.rate import Rating
from wetpath.services.recording import record_of

#: Flows and temperatures of the window in a report.
WINDOW = (48, 32)
#: Ratings whose studies are kept: PDF, workbook and issue of one are made one after the other.
KEPT = 4


@dataclass(frozen=True, eq=False)
class Studies:
    """Answers to what is asked beside the rating; None for what was not asked."""

    coupling: CouplingStudy
    remedies: Remedies | None = None
    window: Window | None = None
    uncertainty: Uncertainty | None = None
    protection: Plan | str | None = None


@lru_cache(KEPT)
def coupling_alone(rating: Rating) -> Studies:
    """What a short report tells."""
    return Studies(coupling_study_of(rating, record_of(rating)))


@lru_cache(KEPT)
def studies_of(rating: Rating, samples: int, copies: int) -> Studies:
    """Every study of a rating.

    Parameters
    ----------
    rating : Rating
    samples : int
        Points of the uncertainty for each case; 0 leaves it out.
    copies : int
        Copies of the model behind the protection plan.
    """
    return Studies(coupling_study_of(rating, record_of(rating)), remedies_of(rating),
                   study_window(rating, Asked(grid=WINDOW, search=Search.NOTHING)),
                   uncertainty_study_of(rating, samples) if samples else None, plan_of(rating, copies))
