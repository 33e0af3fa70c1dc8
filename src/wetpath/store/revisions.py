"""Projects and their documents: every save is a revision, nothing is overwritten or deleted."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime

from sqlalchemy import Select, delete, func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from wetpath.errors import FileProblems, InputError, Problem
from wetpath.store.accounts import User, now, require
from wetpath.store.differences import FieldChange, told
from wetpath.store.documents import checked_path, read_document, sha256_of
from wetpath.store.drafts import keep_in
from wetpath.store.errors import NotKnown
from wetpath.store.merging import Merge, merge
from wetpath.store.opening import Store
from wetpath.store.tables import NAME_LENGTH, DocumentRow, DraftRow, ProjectRow, RetirementRow, RevisionRow, UserRow

LONGEST_CONTENT = 20_000_000      # characters


@dataclass(frozen=True)
class Project:
    """A project."""

    id: int
    name: str
    author: str
    created: datetime


@dataclass(frozen=True)
class Revision:
    """One content of a document."""

    id: int
    project: str
    path: str
    kind: str
    number: int
    parent: int | None
    author: str
    at: datetime
    reason: str
    content: str
    sha256: str
    changes: tuple[FieldChange, ...]


@dataclass(frozen=True)
class DocumentEntry:
    """A document as lists show it, with its newest revision."""

    path: str
    kind: str
    number: int
    author: str
    at: datetime
    reason: str
    sha256: str
    retired: bool


@dataclass(frozen=True)
class Saved:
    """A save that was made; ``new`` is false when the content was the newest already."""

    revision: Revision
    new: bool = True


@dataclass(frozen=True)
class Conflict:
    """A save that was not made, since somebody saved in between; mine is kept as a draft of its author.

    To go on, save ``merge.content``, or another text, based on ``theirs.number``.
    """

    base: Revision | None
    mine: str
    theirs: Revision
    merge: Merge


def create_project(store: Store, user: User, name: str) -> Project:
    """Begin a project."""
    require(user, "engineer", "begin a project")
    plain = " ".join(name.split())
    if not plain or len(plain) > NAME_LENGTH or not plain.isprintable():
        raise InputError("is not a name of a project", field="project", value=f'"{name}"',
                         do=f"give 1 to {NAME_LENGTH} characters")
    row = ProjectRow(name=plain, author_id=user.id, created=now())
    try:
        with store.writing() as session:
            session.add(row)
            session.flush()
    except IntegrityError:
        raise InputError("is there already", field="project", value=f'"{plain}"', do="choose another name") from None
    return Project(row.id, plain, user.name, row.created)


def projects(store: Store) -> tuple[Project, ...]:
    """All projects by name."""
    with store.reading() as session:
        rows = session.execute(select(ProjectRow, UserRow.name).join(UserRow, UserRow.id == ProjectRow.author_id)
                               .order_by(ProjectRow.name))
        return tuple(Project(row.id, row.name, author, row.created) for row, author in rows)


def documents(store: Store, project: str, *, kind: str | None = None,
              with_retired: bool = False) -> tuple[DocumentEntry, ...]:
    """The documents of a project by path, each with its newest revision."""
    with store.reading() as session:
        newest = (select(RevisionRow.document_id, func.max(RevisionRow.number).label("number"))
                  .group_by(RevisionRow.document_id).subquery())
        wanted = (select(DocumentRow, RevisionRow.number, RevisionRow.at, RevisionRow.reason, RevisionRow.sha256,
                         UserRow.name)
                  .join(newest, newest.c.document_id == DocumentRow.id)
                  .join(RevisionRow, (RevisionRow.document_id == DocumentRow.id)
                        & (RevisionRow.number == newest.c.number))
                  .join(UserRow, UserRow.id == RevisionRow.author_id)
                  .where(DocumentRow.project_id == project_row(session, project).id).order_by(DocumentRow.path))
        if kind is not None:
            wanted = wanted.where(DocumentRow.kind == kind)
        out = _retired_documents(session)
        return tuple(DocumentEntry(row.path, row.kind, number, author, at, reason, sha256, row.id in out)
                     for row, number, at, reason, sha256, author in session.execute(wanted)
                     if with_retired or row.id not in out)


def history(store: Store, project: str, path: str) -> tuple[Revision, ...]:
    """All revisions of a document, the newest first."""
    with store.reading() as session:
        document = document_row(session, project, path)
        rows = session.execute(_with_author().where(RevisionRow.document_id == document.id)
                               .order_by(RevisionRow.number.desc()))
        return tuple(_revision(project, document, *row) for row in rows)


def revision(store: Store, project: str, path: str, number: int | None = None) -> Revision:
    """One revision of a document; without a number the newest."""
    with store.reading() as session:
        return _found(session, project, document_row(session, project, path), number)


def save(store: Store, user: User, project: str, path: str, content: str, *, based_on: int | None,
         reason: str = "") -> Saved | Conflict:
    """Save a content as the next revision of a document; a new path makes a new document.

    Parameters
    ----------
    project, path : str
        Where; the path as "enquiries/reflux.toml".
    content : str
        TOML text of one of the kinds that are kept.
    based_on : int or None
        Number of the revision the content was made from; None for a new document.
    reason : str
        Why, in the words of the user.

    Returns
    -------
    Saved or Conflict
        A conflict when ``based_on`` is not the newest revision, unless the newest has the same content. A save
        drops the draft of the same user and document.

    Raises
    ------
    FileProblems
        The content is not a valid document.
    """
    require(user, "engineer", f"save {path}")
    checked_path(path)
    kind = _kind_of(content, path)
    try:
        return _save(store, user, project, path, content, kind, based_on, reason)
    except IntegrityError:      # somebody made the same document in the same moment; now it is there
        return _save(store, user, project, path, content, kind, based_on, reason)


def restore(store: Store, user: User, project: str, path: str, number: int, *, based_on: int,
            reason: str = "") -> Saved | Conflict:
    """Make the content of a former revision the newest one again, as a new revision."""
    former = revision(store, project, path, number)
    return save(store, user, project, path, former.content, based_on=based_on,
                reason=reason or f"back to revision {number}")


def undo(store: Store, user: User, project: str, path: str, *, based_on: int, reason: str = "") -> Saved | Conflict:
    """Take the revision back that is seen as the newest: save the content of its parent as a new revision."""
    seen = revision(store, project, path, based_on)
    if seen.parent is None:
        raise InputError("is the first revision; there is nothing before it", field=path, value=str(based_on))
    return restore(store, user, project, path, seen.parent, based_on=based_on, reason=reason or f"undo of {based_on}")


def retire(store: Store, user: User, project: str, path: str, *, reason: str = "", back: bool = False) -> None:
    """Take a document out of use, or put it back; its revisions stay."""
    require(user, "engineer", f"retire {path}")
    with store.writing() as session:
        document = document_row(session, project, path, lock=True)
        if (document.id in _retired_documents(session)) == back:
            session.add(RetirementRow(document_id=document.id, retired=not back, author_id=user.id, at=now(),
                                      reason=reason))


def project_row(session: Session, name: str) -> ProjectRow:
    """The row of a project inside a transaction."""
    row = session.scalar(select(ProjectRow).where(ProjectRow.name == name))
    if row is None:
        raise NotKnown("is not a project here", field="project", value=f'"{name}"')
    return row


def document_row(session: Session, project: str, path: str, *, lock: bool = False) -> DocumentRow:
    """The row of a document inside a transaction; locked, other saves of it wait."""
    row = _document(session, project_row(session, project).id, path, lock)
    if row is None:
        raise NotKnown(f"is not a document of {project}", field="path", value=f'"{path}"')
    return row


def _save(store: Store, user: User, project: str, path: str, content: str, kind: str, based_on: int | None,
          reason: str) -> Saved | Conflict:
    with store.writing() as session:
        holder = project_row(session, project)
        document = _document(session, holder.id, path, lock=True)
        newest = None
        if document is None:
            if based_on is not None:
                raise NotKnown(f"is not a document of {project}", field="path", value=f'"{path}"')
            document = DocumentRow(project_id=holder.id, kind=kind, path=path)
            session.add(document)
            session.flush()
        else:
            if document.id in _retired_documents(session):
                raise InputError("is retired", field="path", value=f'"{path}"', do="put it back first")
            newest = _found(session, project, document, None)
            base = _found(session, project, document, based_on) if based_on is not None else None
            if document.kind != kind:
                raise FileProblems([Problem(f"is of the kind {kind}; {path} is of the kind {document.kind}", file=path,
                                            do="save it under another path")])
            if newest.content == content:
                _drop_draft(session, user, holder.id, path)
                return Saved(newest, new=False)
            if newest.number != based_on:
                keep_in(session, user, holder.id, path, content, based_on)
                return Conflict(base, content, newest, merge(base.content if base else "", content, newest.content))
        row = RevisionRow(
            document_id=document.id, number=newest.number + 1 if newest else 1,
            parent=newest.number if newest else None, author_id=user.id, at=now(), reason=reason, content=content,
            sha256=sha256_of(content),
            changes=[asdict(change) for change in told(newest.content if newest else None, content)])
        session.add(row)
        _drop_draft(session, user, holder.id, path)
        session.flush()
        return Saved(_revision(project, document, row, user.name))


def _kind_of(content: str, path: str) -> str:
    if len(content) > LONGEST_CONTENT:
        raise FileProblems([Problem(f"is {len(content) / 1e6:.0f} million characters long; allowed: up to "
                                    f"{LONGEST_CONTENT / 1e6:.0f} million", file=path)])
    try:
        content.encode("utf-8")
    except UnicodeEncodeError:
        raise FileProblems([Problem("is not text that UTF-8 can hold", file=path)]) from None
    return read_document(content, path).document_kind


def _document(session: Session, project_id: int, path: str, lock: bool) -> DocumentRow | None:
    wanted = select(DocumentRow).where(DocumentRow.project_id == project_id, DocumentRow.path == path)
    return session.scalar(wanted.with_for_update() if lock else wanted)


def _drop_draft(session: Session, user: User, project_id: int, path: str) -> None:
    session.execute(delete(DraftRow).where(DraftRow.user_id == user.id, DraftRow.project_id == project_id,
                                           DraftRow.path == path))


def _with_author() -> Select[RevisionRow, str]:
    return select(RevisionRow, UserRow.name).join(UserRow, UserRow.id == RevisionRow.author_id)


def _found(session: Session, project: str, document: DocumentRow, number: int | None) -> Revision:
    wanted = _with_author().where(RevisionRow.document_id == document.id)
    if number is None:
        wanted = wanted.order_by(RevisionRow.number.desc()).limit(1)
    else:
        wanted = wanted.where(RevisionRow.number == number)
    found = session.execute(wanted).first()
    if found is None:
        raise NotKnown(f"is not a revision of {document.path}", field="revision", value=str(number))
    return _revision(project, document, *found)


def _retired_documents(session: Session) -> set[int]:
    last = select(func.max(RetirementRow.id)).group_by(RetirementRow.document_id)
    return set(session.scalars(select(RetirementRow.document_id)
                               .where(RetirementRow.id.in_(last), RetirementRow.retired.is_(True))))


def _revision(project: str, document: DocumentRow, row: RevisionRow, author: str) -> Revision:
    return Revision(row.id, project, document.path, document.kind, row.number, row.parent, author, row.at, row.reason,
                    row.content, row.sha256, tuple(FieldChange(**change) for change in row.changes))
