"""Rate a pump for an enquiry, both read from files with everything they refer to."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from wetpath.edge.files import Document, load_document
from wetpath.edge.practice import Practice, PracticeFile, default_practice
from wetpath.errors import FileProblems, InputError, Problem
from wetpath.liquids.liquid import Liquid
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.rating.rate import Rating, rate
from wetpath.services.liquids import NAMES_IN_FILES, prepared
from wetpath.services.places import placed, problem_at
from wetpath.services.progress import Announce, announce_compiling, silent

FilePath = str | os.PathLike[str]
DocumentModel = TypeVar("DocumentModel", bound=Document)


@dataclass(frozen=True)
class FileOrigin:
    """A file that took part: what for, its name, and the SHA-256 of its bytes."""

    role: str
    name: str
    sha256: str


@dataclass(frozen=True)
class Service:
    """All that a rating needs, read and checked: enquiry, pump, liquids, practice, and the files they came from."""

    enquiry: Enquiry
    pump: PumpFile
    liquid: Liquid
    practice: Practice
    others: Mapping[str, Liquid] = field(default_factory=dict)      # by the names the cases call them
    files: tuple[FileOrigin, ...] = ()
    enquiry_file: str = ""

    def rate(self, *, announce: Announce = silent) -> Rating:
        """Rate; what is wrong with an operating case is told at its line of the enquiry."""
        announce_compiling(announce)
        try:
            return rate(self.pump, self.enquiry, self.liquid, self.practice, others=self.others)
        except InputError as error:
            if not self.enquiry_file:
                raise
            raise placed(error, self.enquiry_file) from None


def rate_files(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
               announce: Announce = silent) -> Rating:
    """Read an enquiry with all it refers to, and rate.

    Parameters
    ----------
    enquiry : path
        An enquiry file. Files it names are looked for beside it.
    pump, practice : path, optional
        In place of those the enquiry names.
    announce : callable, optional
        Told in words what takes long.

    Raises
    ------
    FileProblems
        With everything that is wrong with the files, at file, line and field.
    """
    return load_service(enquiry, pump=pump, practice=practice, announce=announce).rate(announce=announce)


def load_service(enquiry: FilePath | Enquiry, *, pump: FilePath | PumpFile | None = None,
                 practice: FilePath | Practice | None = None, liquid: Liquid | None = None,
                 announce: Announce = silent) -> Service:
    """Read an enquiry with the pump, the liquid and the practice it names, or those given in their place."""
    reader = _Reader(enquiry)
    asked = reader.enquiry
    machine = pump if isinstance(pump, PumpFile) else reader.read("pump", pump, PumpFile)
    own = practice if isinstance(practice, Practice) else reader.read("practice", practice, PracticeFile)
    document = None if liquid is not None else reader.read("liquid", None, LiquidFile)
    if machine is None and pump is None and not asked.pump_file:
        reader.found.append(reader.problem(Problem(
            "is missing", field="pump_file", do='name a pump: --pump FILE, or pump_file = "FILE" in the enquiry')))
    if reader.found or machine is None:
        raise FileProblems(reader.found)
    entry = document.liquid if document else asked.liquid
    if liquid is None:
        assert entry is not None     # the enquiry has checked that it has a liquid, or names a file with one
        try:
            liquid = prepared(entry.specification(), announce)
        except InputError as error:
            holder = reader.places.get("liquid", reader.file)
            raise placed(error, holder, NAMES_IN_FILES) if holder else error from None
    if entry is not None:
        asked = asked.model_copy(update={"liquid": entry, "liquid_file": ""})
    limits = own.practice() if isinstance(own, PracticeFile) else own or default_practice()
    return Service(asked, machine, liquid, limits, _other_liquids(reader, announce), tuple(reader.origins), reader.file)


def _other_liquids(reader: _Reader, announce: Announce) -> dict[str, Liquid]:
    """Load the other liquids of an enquiry, by the names its cases call them."""
    found = {}
    for number, other in enumerate(reader.enquiry.other_liquids, start=1):
        try:
            found[other.name] = prepared(other.liquid.specification(), announce)
        except InputError as error:
            at = f"other_liquids[{number}]."
            error.problem = error.problem.at(field=at + error.problem.field)
            names = {at + ours: at + theirs for ours, theirs in NAMES_IN_FILES.items()}
            raise placed(error, reader.file, names) if reader.file else error from None
    return found


class _Reader:
    """Reads what an enquiry names and keeps all problems until every file is read."""

    def __init__(self, enquiry: FilePath | Enquiry) -> None:
        self.file = "" if isinstance(enquiry, Enquiry) else os.fspath(enquiry)
        self.enquiry = enquiry if isinstance(enquiry, Enquiry) else load_document(self.file, Enquiry)
        self.origins = [] if isinstance(enquiry, Enquiry) else [_origin("enquiry", self.file)]
        self.places: dict[str, str] = {}
        self.found: list[Problem] = []

    def read(self, role: str, given: FilePath | None, model: type[DocumentModel]) -> DocumentModel | None:
        """Read a file that is given, or that the enquiry names; None when neither, or when it cannot be read."""
        field = f"{role}_file"
        named = getattr(self.enquiry, field)
        if given is None and not named:
            return None
        try:
            place = os.fspath(given) if given is not None else self._beside(named, field)
            document = load_document(place, model)
        except FileProblems as problems:
            self.found.extend(problems.problems)
            return None
        self.places[role] = place
        self.origins.append(_origin(role, place))
        return document

    def problem(self, problem: Problem) -> Problem:
        """The problem at its place in the enquiry, if that came from a file."""
        return problem_at(problem, self.file, problem.field) if self.file else problem

    def _beside(self, named: str, field: str) -> str:
        if self.file:
            return beside(self.file, named, field)
        raise FileProblems([Problem("names a file, and a loaded enquiry has no place beside which to look for it",
                                    field=field, value=f'"{named}"', do="give it to the rating beside the enquiry")])


def beside(file: FilePath, named: str, field: str) -> str:
    """Path of a file that another file names, looked for beside it; refused at the field that names it."""
    path = Path(file).parent / named
    if path.is_file():
        return os.path.normpath(path)
    try:
        load_document(path, Document)
    except FileProblems as problems:
        told = problems.problem
        problem = Problem(f"names a file that {told.text}", do=told.do)
        raise FileProblems([problem_at(problem, file, field)]) from None
    raise AssertionError(f"{path} could be read though it is not a file")


def liquid_of(rating: Rating, case: int) -> Liquid:
    """The liquid that a case pumps."""
    situation = rating.situation
    return situation.liquids[situation.model_of[case]]


def _origin(role: str, file: str) -> FileOrigin:
    return FileOrigin(role, Path(file).name, hashlib.sha256(Path(file).read_bytes()).hexdigest())
