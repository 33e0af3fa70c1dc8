"""The kinds of documents the store keeps, and the check that a text is one of them."""

from __future__ import annotations

import hashlib
import re
from typing import Any

from wetpath.edge.files import Document, loads_any
from wetpath.edge.practice import PracticeFile
from wetpath.edge.toml_text import toml_tables
from wetpath.errors import FileProblems, InputError, Problem, with_article
from wetpath.liquids.liquid_file import LiquidFile
from wetpath.machine.pump_file import PumpFile
from wetpath.rating.enquiry import Enquiry
from wetpath.store.tables import NAME_LENGTH

KINDS: dict[str, type[Document]] = {
    model.document_kind: model for model in (Enquiry, PumpFile, LiquidFile, PracticeFile)}
_RESERVED = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?$")    # no file names under Windows


def read_document(content: str, path: str = "") -> Document:
    """Read a text as a document of a kind that is kept; raise `FileProblems` with all that is wrong."""
    document = loads_any(plain(content), file=path)
    if document.document_kind not in KINDS:
        raise FileProblems([Problem(f"is {with_article(document.document_name)}, which is not kept in projects",
                                    file=path, do=f"kept are: {', '.join(KINDS)}")])
    return document


def tables_of(content: str) -> dict[str, Any]:
    """The tables and values of a TOML text as they are typed."""
    return toml_tables(plain(content))


def meaning_of(content: str) -> dict[str, Any] | None:
    """The same with every value in canonical spelling and defaults filled in; None for a text that is not valid."""
    try:
        return read_document(content).model_dump(mode="json")
    except InputError:
        return None


def plain(content: str) -> str:
    """A text as the reader of files takes it: without byte order mark, lines ended by one character."""
    return content.removeprefix("\ufeff").replace("\r\n", "\n")


def sha256_of(content: str | bytes) -> str:
    """SHA-256 of a text in UTF-8, or of bytes."""
    return hashlib.sha256(content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content).hexdigest()


def checked_path(path: str) -> str:
    """Return the path of a document in its project; refuse one that could lead out of a folder."""
    steps = path.split("/")
    wrong = [step for step in steps
             if step in ("", ".", "..") or step != step.strip() or step.endswith(".") or _RESERVED.match(step)
             or re.search(r'[\\:*?"<>|\x00-\x1f\x7f]', step)]
    if wrong or not path.endswith(".toml") or len(path) > NAME_LENGTH:
        raise InputError("is not the path of a document", field="path", value=f'"{path}"',
                         do='write folders and a name parted by /, like "pumps/medium.toml", '
                            f"up to {NAME_LENGTH} characters")
    return path
