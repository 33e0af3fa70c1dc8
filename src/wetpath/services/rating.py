"""Rate a pump for an enquiry, both read from files with everything they refer to."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from wetpath.edge.files import Document, dump_document, load_document
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
    """All that a rating needs, read and checked: enquiry, pump, liquid, practice, and the files they came from."""

    enquiry: Enquiry
    pump: PumpFile
    liquid: Liquid
    practice: Practice
    files: tuple[FileOrigin, ...] = ()
    enquiry_file: str = ""

    def rate(self, *, announce: Announce = silent) -> Rating:
        """Rate; what is wrong with an operating case is told at its line of the enquiry."""
        announce_compiling(announce)
        try:
            return rate(self.pump, self.enquiry, self.liquid, self.practice)
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


def load_service(enquiry: FilePath, *, pump: FilePath | None = None, practice: FilePath | None = None,
                 announce: Announce = silent) -> Service:
    """Read an enquiry with the pump, the liquid and the practice it names, or those given in their place."""
    file = os.fspath(enquiry)
    asked = load_document(file, Enquiry)
    files = [_origin("enquiry", file)]
    found: list[Problem] = []

    def read(role: str, given: FilePath | None, model: type[DocumentModel]) -> tuple[DocumentModel | None, str]:
        """Read what is given, or what the enquiry names, and keep its problems until all files are read."""
        field = f"{role}_file"
        named = getattr(asked, field)
        place = ""
        if given is None and not named:
            return None, place
        try:
            place = os.fspath(given) if given is not None else beside(file, named, field)
            document = load_document(place, model)
        except FileProblems as problems:
            found.extend(problems.problems)
            return None, place
        files.append(_origin(role, place))
        return document, place

    machine, _ = read("pump", pump, PumpFile)
    own_practice, _ = read("practice", practice, PracticeFile)
    liquid_document, liquid_file = read("liquid", None, LiquidFile)
    if pump is None and not asked.pump_file:
        found.append(problem_at(Problem(
            "is missing", do='name a pump: --pump FILE, or pump_file = "FILE" in the enquiry'), file, "pump_file"))
    if found or machine is None:
        raise FileProblems(found)
    entry = liquid_document.liquid if liquid_document else asked.liquid
    assert entry is not None     # the enquiry has checked that it has a liquid, or names a file with one
    try:
        liquid = prepared(entry.specification(), announce)
    except InputError as error:
        raise placed(error, liquid_file or file, NAMES_IN_FILES) from None
    whole = asked.model_copy(update={"liquid": entry, "liquid_file": ""})
    return Service(whole, machine, liquid, own_practice.practice() if own_practice else default_practice(),
                   tuple(files), file)


def beside(file: FilePath, named: str, field: str) -> str:
    """Path of a file that another file names, looked for beside it; refused at the field that names it."""
    path = Path(file).parent / named
    if path.is_file():
        return str(path)
    try:
        load_document(path, Document)
    except FileProblems as problems:
        told = problems.problem
        problem = Problem(f"names a file that {told.text}", do=told.do)
        raise FileProblems([problem_at(problem, file, field)]) from None
    raise AssertionError(f"{path} could be read though it is not a file")


def text_hash(document: Document) -> str:
    """SHA-256 of a document as the program writes it, for documents that came from no file."""
    return hashlib.sha256(dump_document(document).encode()).hexdigest()


def _origin(role: str, file: str) -> FileOrigin:
    return FileOrigin(role, Path(file).name, hashlib.sha256(Path(file).read_bytes()).hexdigest())
