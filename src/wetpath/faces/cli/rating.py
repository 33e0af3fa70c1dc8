"""``wetpath rate``: rate from files and show the rating as text or as a record."""

from __future__ import annotations

import sys
from pathlib import Path

from wetpath.drawing.figures import Figures
from wetpath.errors import InputError
from wetpath.rating.rate import Rating
from wetpath.services.rating import FileOrigin, load_service


def show_rating(enquiry: Path, *, pump: Path | None, practice: Path | None, case: str | None, all_cases: bool,
                full: bool, json: bool, us: bool) -> int:
    """Rate, write the result, and return the exit code: 0 when every check holds in every case, else 1."""
    service = load_service(enquiry, pump=pump, practice=practice, announce=announce)
    cases = _cases(tuple(one.name for one in service.enquiry.cases), case, all_cases)
    rating = service.rate(announce=announce)
    if json:
        from wetpath.services.recording import record_of

        sys.stdout.write(record_of(rating, service.files).model_dump_json(indent=2) + "\n")
    else:
        write_rating(rating, service.files, Figures.of(us), cases, full)
    return 0 if rating.holds else 1


def write_rating(rating: Rating, files: tuple[FileOrigin, ...], figures: Figures, cases: tuple[int, ...],
                 full: bool = False) -> None:
    """Write a rating on standard output, with the traces of some cases, or of the governing one."""
    from wetpath.faces.cli.paper import Paper
    from wetpath.faces.cli.rating_page import RatingPage

    RatingPage(rating, files, figures, Paper(), cases, full).write()


def announce(words: str) -> None:
    """Tell the user what takes long, beside the output."""
    print(f"{words} ...", file=sys.stderr, flush=True)


def _cases(names: tuple[str, ...], asked: str | None, all_of_them: bool) -> tuple[int, ...]:
    """Numbers of the cases whose trace is asked for, by name or its beginning; empty stands for the governing one."""
    if all_of_them:
        return tuple(range(len(names)))
    if asked is None:
        return ()
    if asked in names:
        return (names.index(asked),)
    near = [number for number, name in enumerate(names) if name.casefold().startswith(asked.casefold())]
    if len(near) == 1:
        return (near[0],)
    raise InputError(f"is not a case of this enquiry; its cases: {', '.join(names)}", field="--case",
                     value=f'"{asked}"')
