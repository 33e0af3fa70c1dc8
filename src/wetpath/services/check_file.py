"""Check a file of any kind, and what it refers to, without rating."""

from __future__ import annotations

import os
from dataclasses import dataclass

from wetpath.edge.files import Document, load_any, load_document
from wetpath.edge.mapping import MappingFile  # noqa: F401  (a kind of file that load_any knows)
from wetpath.edge.practice import PracticeFile
from wetpath.errors import FileProblems, Problem
from wetpath.investigation.evidence import EvidenceFile  # noqa: F401  (a kind of file that load_any knows)
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.machine.pump_file import PumpFile
from wetpath.questions.lifecycle.scope import LifeCycleScope  # noqa: F401  (another)
from wetpath.questions.protection.instruments import InstrumentsFile  # noqa: F401  (and another)
from wetpath.rating.enquiry import Enquiry
from wetpath.services.fleet_file import FleetFile  # noqa: F401  (and one more)
from wetpath.services.rating import beside

#: Fields of a file that name other files, and what those have to be.
REFERENCES: dict[str, type[Document]] = {
    "enquiry_file": Enquiry, "pump_file": PumpFile, "practice_file": PracticeFile, "liquid_file": LiquidFile}


@dataclass(frozen=True)
class CheckedFile:
    """A file in which nothing is wrong: what it is, what it is called, and the files it refers to."""

    file: str
    kind: str
    title: str
    references: tuple[str, ...]


def check_file(file: str | os.PathLike[str]) -> CheckedFile:
    """Read a file as whatever it says it is, with the files it refers to.

    Raises
    ------
    FileProblems
        With everything that is wrong with it and with those files.
    """
    document = load_any(file)
    problems: list[Problem] = []
    references = []
    for field, model in REFERENCES.items():
        named = getattr(document, field, "")
        if named:
            try:
                place = beside(file, named, field)
                load_document(place, model)
                references.append(place)
            except FileProblems as error:
                problems.extend(error.problems)
    if problems:
        raise FileProblems(problems)
    title = getattr(document, "name", "") or getattr(document, "title", "")
    return CheckedFile(os.fspath(file), document.document_name, title, tuple(references))
