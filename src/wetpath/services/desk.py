"""The enquiry on the desk: its papers as texts, values changed one by one, rated again after each."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import AoT

from wetpath.edge.files import dump_document, load_document, loads_document
from wetpath.edge.practice import PracticeFile
from wetpath.errors import FileProblems, InputError, Problem
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.liquids.specification import LiquidSpecification
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating
from wetpath.services.liquids import prepared
from wetpath.services.progress import Announce, silent
from wetpath.services.rating import Service, load_service
from wetpath.services.record import Record
from wetpath.services.recording import record_of

#: Steps that can be undone.
UNDO_DEPTH = 100
#: Pumps kept as they were read.
PUMPS = 32
_STEP = re.compile(r"([A-Za-z_][A-Za-z0-9_]*)|\[(\d+)\]")


@dataclass(frozen=True)
class Papers:
    """The texts of one rating: each a file of its kind that names no other file."""

    enquiry: str
    pump: str = ""
    practice: str = ""

    def with_value(self, path: str, value: object) -> Papers:
        """Return the papers with one value set; comments and order of the text stay.

        Parameters
        ----------
        path : str
            "enquiry:cases[1].flow", "pump:containment_shell.wall"; entries of lists are counted from 1.
        value : object
            What a TOML value can be: text, number, truth. None takes the entry out.
        """
        kind, _, inside = path.partition(":")
        document = tomlkit.parse(getattr(self, kind))
        _set(document, inside, value)
        return replace(self, **{kind: tomlkit.dumps(document)})

    def value(self, path: str) -> Any:
        """Return the value at a path as it was typed; None where none is."""
        kind, _, inside = path.partition(":")
        holder: Any = tomllib.loads(getattr(self, kind))
        for step in _steps(inside):
            try:
                holder = holder[step]
            except (KeyError, IndexError, TypeError):
                return None
        return holder

    def with_case_copied(self, number: int, name: str) -> Papers:
        """Return the papers with an operating case (counted from 1) copied to the end under a new name."""
        document: Any = tomlkit.parse(self.enquiry)
        copied = tomlkit.table()
        for key, value in document["cases"][number - 1].unwrap().items():
            copied[key] = name if key == "name" else value
        document["cases"].append(copied)
        return replace(self, enquiry=tomlkit.dumps(document))

    def without_case(self, number: int) -> Papers:
        """Return the papers without an operating case (counted from 1)."""
        document: Any = tomlkit.parse(self.enquiry)
        del document["cases"][number - 1]
        return replace(self, enquiry=tomlkit.dumps(document))


def papers_of_file(enquiry: Path, pump: Path | None = None) -> Papers:
    """Read an enquiry with all it names into papers that name no file."""
    asked = load_document(enquiry, Enquiry)
    document: Any = tomlkit.parse(enquiry.read_text(encoding="utf-8"))
    for key in ("pump_file", "practice_file", "liquid_file"):
        document.pop(key, None)
    if asked.liquid_file:
        entry = tomlkit.parse((enquiry.parent / asked.liquid_file).read_text(encoding="utf-8"))
        load_document(enquiry.parent / asked.liquid_file, LiquidFile)
        document["liquid"] = entry["liquid"]
        document = _cases_last(document)
    pump_path = pump or (enquiry.parent / asked.pump_file if asked.pump_file else None)
    practice = enquiry.parent / asked.practice_file if asked.practice_file else None
    return Papers(tomlkit.dumps(document), pump_path.read_text(encoding="utf-8") if pump_path else "",
                  practice.read_text(encoding="utf-8") if practice else "")


def papers_of_rating(rating: Rating, practice: str = "") -> Papers:
    """Write the papers of a rating anew, as after a remedy."""
    enquiry = rating.enquiry.model_copy(update={"pump_file": "", "practice_file": "", "liquid_file": ""})
    return Papers(dump_document(enquiry), dump_document(rating.pump), practice)


@dataclass(frozen=True)
class Rated:
    """Papers, the rating they give, and its record."""

    papers: Papers
    rating: Rating
    record: Record


def service_of_papers(papers: Papers, announce: Announce = silent) -> Service:
    """Read the papers with the liquids they name.

    Raises
    ------
    FileProblems
        With all that is wrong, each at its field.
    """
    enquiry = loads_document(papers.enquiry, Enquiry, file="enquiry")
    for name in ("pump_file", "liquid_file", "practice_file"):
        if getattr(enquiry, name):
            raise FileProblems([Problem("names a file, and there is none here", field=name, file="enquiry",
                                        value=f'"{getattr(enquiry, name)}"', do="put what it holds in its place")])
    if not papers.pump:
        raise FileProblems([Problem("is missing", field="pump", do="choose a pump")])
    pump = _pump(papers.pump)
    practice = loads_document(papers.practice, PracticeFile, file="practice").practice() if papers.practice else None
    assert enquiry.liquid is not None        # an enquiry has its liquid in itself or in a file
    try:
        liquid = _liquid(enquiry.liquid.specification())
        return load_service(enquiry, pump=pump, practice=practice, liquid=liquid, announce=announce)
    except FileProblems:
        raise
    except InputError as error:
        raise FileProblems([error.problem]) from None


@lru_cache(PUMPS)
def _pump(text: str) -> PumpFile:
    """The pump of a text: the same for the same text, so that what follows from it alone is worked out once."""
    return loads_document(text, PumpFile, file="pump")


def rate_papers(papers: Papers, announce: Announce = silent) -> Rated:
    """Rate what the papers say; raise `FileProblems` with all that is wrong, each at its field."""
    service = service_of_papers(papers, announce)
    try:
        rating = service.rate(announce=announce)
    except FileProblems:
        raise
    except InputError as error:
        raise FileProblems([error.problem]) from None
    return Rated(papers, rating, record_of(rating))


@dataclass
class Desk:
    """The papers in work, with the way back."""

    rated: Rated
    saved: Papers
    before: list[Papers] = field(default_factory=list)
    tried: Rated | None = None

    @property
    def papers(self) -> Papers:
        """The papers in work."""
        return self.rated.papers

    @property
    def shown(self) -> Rated:
        """What the views show: the tried change, or the papers in work."""
        return self.tried or self.rated

    @property
    def changed(self) -> bool:
        """Whether anything differs from what was saved last."""
        return self.papers != self.saved

    def take(self, papers: Papers, announce: Announce = silent) -> Record:
        """Rate changed papers and put them on the desk; faulty ones are refused and nothing changes."""
        rated = rate_papers(papers, announce)
        self.before = [*self.before, self.papers][-UNDO_DEPTH:]
        self.rated, self.tried = rated, None
        return rated.record

    def undo(self) -> bool:
        """Go one change back; False when there is none."""
        if not self.before:
            return False
        self.rated, self.tried = rate_papers(self.before.pop()), None
        return True

    def attempt(self, rating: Rating) -> Rated:
        """Show a rating beside the papers in work, without keeping it."""
        self.tried = Rated(papers_of_rating(rating, self.papers.practice), rating, record_of(rating))
        return self.tried

    def keep(self) -> bool:
        """Put what was tried on the desk; False when nothing was."""
        if self.tried is None:
            return False
        self.before = [*self.before, self.papers][-UNDO_DEPTH:]
        self.rated, self.tried = self.tried, None
        return True


def _cases_last(document: Any) -> Any:
    """Put lists of tables behind the single tables, so that they do not swallow each other."""
    ordered = tomlkit.document()
    for key, value in document.items():
        if not isinstance(value, AoT):
            ordered.append(key, value)
    for key, value in document.items():
        if isinstance(value, AoT):
            ordered.append(key, value)
    return ordered


@lru_cache(maxsize=64)
def _liquid(specification: LiquidSpecification) -> Liquid:
    """Liquids once loaded are kept: an enquiry is rated many times with the same one."""
    return prepared(specification)


def _steps(inside: str) -> Iterable[str | int]:
    for name, number in _STEP.findall(inside):
        yield int(number) - 1 if number else name


def _set(document: Any, inside: str, value: object) -> None:
    *way, last = _steps(inside)
    holder = document
    for step in way:
        if isinstance(step, str) and step not in holder:
            holder[step] = tomlkit.table()
        holder = holder[step]
    if value is None:
        if last in holder:
            del holder[last]
    else:
        holder[last] = value
