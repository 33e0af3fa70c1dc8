"""Ratings kept with the revisions they were made from, and their issue under a letter."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from wetpath.errors import InputError
from wetpath.store.accounts import User, now, require
from wetpath.store.documents import checked_path, sha256_of
from wetpath.store.errors import DatabaseError, NotKnown
from wetpath.store.opening import Store
from wetpath.store.revisions import document_row
from wetpath.store.tables import (
    NAME_LENGTH,
    DocumentRow,
    IssuedFileRow,
    IssueRow,
    RatingRow,
    RevisionRow,
    UserRow,
)


@dataclass(frozen=True)
class MadeFrom:
    """A document that took part in a rating: its revision and the SHA-256 of its text."""

    path: str
    number: int
    sha256: str


@dataclass(frozen=True)
class KeptRating:
    """The record of a rating of an enquiry, as JSON text, with what it was made from by role."""

    id: int
    enquiry: str
    author: str
    at: datetime
    record: str
    sha256: str
    made_from: Mapping[str, MadeFrom]


@dataclass(frozen=True)
class IssuedFile:
    """A file that went out with an issue."""

    name: str
    content: bytes
    sha256: str


@dataclass(frozen=True)
class Issue:
    """A rating that was sent out; it stays as it is."""

    letter: str
    enquiry: str
    author: str
    at: datetime
    reason: str
    rating: KeptRating
    files: tuple[IssuedFile, ...]


def keep_rating(store: Store, user: User, project: str, enquiry: str, record: str,
                made_from: Mapping[str, tuple[str, int]]) -> KeptRating:
    """Keep the record of a rating.

    Parameters
    ----------
    enquiry : str
        Path of the enquiry.
    record : str
        The record, as JSON text.
    made_from : mapping
        Path and revision number of each document by its role: enquiry, pump, liquid, practice.
    """
    require(user, "engineer", "keep a rating")
    if "enquiry" not in made_from or made_from["enquiry"][0] != enquiry:
        raise InputError("does not name the revision of the enquiry", field="made_from", do=f"name {enquiry}")
    _checked_record(record)
    with store.writing() as session:
        document = document_row(session, project, enquiry)
        origins = {role: _origin(session, project, *named) for role, named in made_from.items()}
        row = RatingRow(document_id=document.id, author_id=user.id, at=now(), record=record, sha256=sha256_of(record),
                        made_from={role: vars(origin) for role, origin in origins.items()})
        session.add(row)
        session.flush()
        return _rating(row, user.name, document.path)


def ratings(store: Store, project: str, enquiry: str) -> tuple[KeptRating, ...]:
    """The ratings of an enquiry, the newest first."""
    with store.reading() as session:
        document = document_row(session, project, enquiry)
        rows = session.execute(_ratings().where(RatingRow.document_id == document.id).order_by(RatingRow.id.desc()))
        return tuple(_rating(*row) for row in rows)


def rating(store: Store, number: int) -> KeptRating:
    """One rating; raise `DatabaseError` when its record is not the one that was kept."""
    with store.reading() as session:
        return _found(session, number)


def issue(store: Store, user: User, project: str, enquiry: str, rating_id: int, *, reason: str = "",
          files: Mapping[str, bytes] | None = None, letter: str = "") -> Issue:
    """Issue a rating under the next letter of its enquiry; an issue stays as it is.

    Parameters
    ----------
    rating_id : int
        Which rating.
    reason : str
        What the issue is for, as "for approval".
    files : mapping of str to bytes, optional
        What goes out with it by name, as the data sheet.
    letter : str, optional
        The letter that stands in the files; when it is not the next one any more, nothing is issued.
    """
    require(user, "approver", "issue a rating")
    for name in files or {}:
        if not name or len(name) > NAME_LENGTH or "/" in name or not name.isprintable():
            raise InputError("is not a name of a file", field="files", value=f'"{name}"', do="give a name, no folders")
    with store.writing() as session:
        document = document_row(session, project, enquiry, lock=True)
        kept = session.get(RatingRow, rating_id)
        if kept is None or kept.document_id != document.id:
            raise NotKnown(f"is not a rating of {enquiry}", field="rating", value=str(rating_id))
        number = (session.scalar(select(func.max(IssueRow.number)).where(IssueRow.document_id == document.id)) or 0) + 1
        if letter and letter != letter_of(number):
            raise InputError("was given to an issue of somebody else in between", field="letter", value=f'"{letter}"',
                             do="look at that issue, then issue again")
        row = IssueRow(document_id=document.id, number=number, rating_id=rating_id, author_id=user.id, at=now(),
                       reason=reason)
        session.add(row)
        session.flush()
        session.add_all(IssuedFileRow(issue_id=row.id, name=name, content=content, sha256=sha256_of(content))
                        for name, content in (files or {}).items())
        session.flush()
        return _issue(session, row, user.name, document.path)


def issues(store: Store, project: str, enquiry: str) -> tuple[Issue, ...]:
    """The issues of an enquiry, the newest first."""
    with store.reading() as session:
        document = document_row(session, project, enquiry)
        rows = session.execute(select(IssueRow, UserRow.name).join(UserRow, UserRow.id == IssueRow.author_id)
                               .where(IssueRow.document_id == document.id).order_by(IssueRow.number.desc()))
        return tuple(_issue(session, row, author, document.path) for row, author in rows.all())


def next_letter(store: Store, project: str, enquiry: str) -> str:
    """The letter that the next issue of an enquiry gets."""
    with store.reading() as session:
        document = document_row(session, project, enquiry)
        return letter_of((session.scalar(select(func.max(IssueRow.number))
                                         .where(IssueRow.document_id == document.id)) or 0) + 1)


def letter_of(number: int) -> str:
    """The letter of an issue.

    >>> letter_of(1), letter_of(26), letter_of(27)
    ('A', 'Z', 'AA')
    """
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _checked_record(record: str) -> None:
    try:
        told: Any = json.loads(record)
    except ValueError:
        told = None
    if not isinstance(told, dict) or not str(told.get("wetpath", "")).startswith("rating/") or "\x00" in record:
        raise InputError("is not the record of a rating", field="record")


def _origin(session: Session, project: str, path: str, number: int) -> MadeFrom:
    document = document_row(session, project, checked_path(path))
    sha256 = session.scalar(select(RevisionRow.sha256).where(RevisionRow.document_id == document.id,
                                                             RevisionRow.number == number))
    if sha256 is None:
        raise NotKnown(f"is not a revision of {path}", field="revision", value=str(number))
    return MadeFrom(path, number, sha256)


def _ratings() -> Select[RatingRow, str, str]:
    return (select(RatingRow, UserRow.name, DocumentRow.path).join(UserRow, UserRow.id == RatingRow.author_id)
            .join(DocumentRow, DocumentRow.id == RatingRow.document_id))


def _found(session: Session, number: int) -> KeptRating:
    found = session.execute(_ratings().where(RatingRow.id == number)).first()
    if found is None:
        raise NotKnown("is not a rating here", field="rating", value=str(number))
    return _rating(*found)


def _rating(row: RatingRow, author: str, enquiry: str) -> KeptRating:
    _whole(f"rating {row.id}", row.record, row.sha256)
    return KeptRating(row.id, enquiry, author, row.at, row.record, row.sha256,
                      {role: MadeFrom(**origin) for role, origin in row.made_from.items()})


def _issue(session: Session, row: IssueRow, author: str, enquiry: str) -> Issue:
    files = session.scalars(select(IssuedFileRow).where(IssuedFileRow.issue_id == row.id).order_by(IssuedFileRow.name))
    letter = letter_of(row.number)
    told = []
    for file in files:
        _whole(f"{file.name} of issue {letter}", file.content, file.sha256)
        told.append(IssuedFile(file.name, file.content, file.sha256))
    return Issue(letter, enquiry, author, row.at, row.reason, _found(session, row.rating_id), tuple(told))


def _whole(what: str, content: str | bytes, sha256: str) -> None:
    if sha256_of(content) != sha256:
        raise DatabaseError(f"{what} is not as it was kept: its SHA-256 differs\n"
                            "  do:  restore the database from a backup")
