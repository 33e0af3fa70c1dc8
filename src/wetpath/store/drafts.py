"""Drafts: unfinished texts of a user, kept until saved or dropped. A draft may be any text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from wetpath.errors import InputError
from wetpath.store.accounts import User, now
from wetpath.store.documents import checked_path
from wetpath.store.errors import NotKnown
from wetpath.store.opening import Store
from wetpath.store.tables import DraftRow, ProjectRow

LONGEST_DRAFT = 20_000_000      # characters


@dataclass(frozen=True)
class Draft:
    """An unfinished text, and the revision it was begun from."""

    project: str
    path: str
    content: str
    based_on: int | None
    at: datetime


def keep_draft(store: Store, user: User, project: str, path: str, content: str, *, based_on: int | None = None) -> None:
    """Keep what a user has typed so far, in place of the draft of the same user and document before."""
    checked_path(path)
    if len(content) > LONGEST_DRAFT:
        raise InputError(f"is {len(content) / 1e6:.0f} million characters long; allowed: up to "
                         f"{LONGEST_DRAFT / 1e6:.0f} million", field="draft")
    with store.writing() as session:
        keep_in(session, user, _project_id(session, project), path, content, based_on)


def keep_in(session: Session, user: User, project_id: int, path: str, content: str, based_on: int | None) -> None:
    """Keep a draft inside a transaction."""
    values = {"content": content.encode("utf-8", "surrogatepass"), "based_on": based_on, "at": now()}
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    session.execute(insert(DraftRow).values(user_id=user.id, project_id=project_id, path=path, **values)
                    .on_conflict_do_update(index_elements=["user_id", "project_id", "path"], set_=values))


def draft(store: Store, user: User, project: str, path: str) -> Draft | None:
    """The draft of a user for a document; None when there is none."""
    return next((found for found in drafts(store, user) if (found.project, found.path) == (project, path)), None)


def drafts(store: Store, user: User) -> tuple[Draft, ...]:
    """All drafts of a user, the newest first."""
    with store.reading() as session:
        rows = session.execute(select(DraftRow, ProjectRow.name).join(ProjectRow, ProjectRow.id == DraftRow.project_id)
                               .where(DraftRow.user_id == user.id).order_by(DraftRow.at.desc(), DraftRow.id.desc()))
        return tuple(Draft(name, row.path, row.content.decode("utf-8", "surrogatepass"), row.based_on, row.at)
                     for row, name in rows)


def drop_draft(store: Store, user: User, project: str, path: str) -> None:
    """Forget a draft."""
    with store.writing() as session:
        session.execute(delete(DraftRow).where(
            DraftRow.user_id == user.id, DraftRow.project_id == _project_id(session, project), DraftRow.path == path))


def _project_id(session: Session, name: str) -> int:
    found = session.scalar(select(ProjectRow.id).where(ProjectRow.name == name))
    if found is None:
        raise NotKnown("is not a project here", field="project", value=f'"{name}"')
    return found
