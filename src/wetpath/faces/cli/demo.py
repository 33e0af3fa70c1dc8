"""``wetpath demo``: invented pumps and enquiries that come with the program."""

from __future__ import annotations

from wetpath.faces.cli.rating import announce, show_rating
from wetpath.services import demo


def show_demo(name: str | None, *, pump: str | None, case: str | None, all_cases: bool, full: bool, json: bool,
              us: bool) -> int:
    """Rate a demo enquiry with the pump it names, or another demo pump."""
    enquiry = demo.enquiry_path(name or demo.FIRST_ENQUIRY)
    chosen = demo.pump_path(pump) if pump else None
    if chosen is None and not demo.demo_enquiry(enquiry.stem).pump_file:
        chosen = demo.pump_path()
    return show_rating(enquiry, pump=chosen, practice=None, case=case, all_cases=all_cases, full=full, json=json,
                       us=us)


def list_demo(*, us: bool) -> int:
    """List every demo enquiry with the headline of its verdict and what governs."""
    from wetpath.drawing.figures import Figures
    from wetpath.faces.cli.paper import Column, Paper, signed
    from wetpath.faces.cli.rating_page import STANDING_OF
    from wetpath.services.rating import load_service

    figures, paper = Figures.of(us), Paper()
    rows = []
    for name in demo.demo_enquiries():
        path = demo.enquiry_path(name)
        pump = None if demo.demo_enquiry(name).pump_file else demo.pump_path()
        service = load_service(path, pump=pump, announce=announce)
        rating = service.rate(announce=announce)
        verdict = rating.verdict
        margin = figures.text(verdict.margin, verdict.check.difference_kind, sign=True)
        rows.append((name, rating.enquiry.title, signed(STANDING_OF[verdict.headline], verdict.headline),
                     f"{verdict.check.title}, {margin}"))
    paper.table([Column("name", wraps=True, least=14), Column("enquiry", wraps=True, least=14), Column("verdict"),
                 Column("governs, margin", wraps=True, least=14)], rows)
    paper.gap()
    paper.say("All of it is invented. Rate one with: wetpath demo NAME")
    return 0
