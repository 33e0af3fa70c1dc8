"""What the addresses of projects take and tell."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any, Literal

from fastapi import Path as InAddress
from fastapi import Query
from pydantic import BaseModel, ConfigDict, Field

from wetpath.faces.api.messages import FileText, ProblemTold, Refused
from wetpath.services.projects import Conflict, DocumentEntry, FieldChange, KeptRating, Project, Revision

#: Largest number of a row, and longest path or name [characters].
LARGEST_NUMBER, LONGEST_NAME = 2**31 - 1, 200
#: Longest reason [characters].
LONGEST_REASON = 2000

_PATH = r"^[^\x00-\x1f\x7f]+\.toml$"
DocumentPath = Annotated[str, Field(min_length=6, max_length=LONGEST_NAME, pattern=_PATH,
                                    description="path in the project", examples=["enquiries/reflux.toml"])]
PathAsked = Annotated[str, Query(min_length=6, max_length=LONGEST_NAME, pattern=_PATH,
                                 description="path of a document in the project", examples=["enquiries/reflux.toml"])]
ProjectNumber = Annotated[int, InAddress(ge=1, le=LARGEST_NUMBER, description="number of a project")]
Number = Annotated[int, Query(ge=1, le=LARGEST_NUMBER, description="number of a revision")]
Reason = Annotated[str, Field(max_length=LONGEST_REASON, description="why, in your words")]
Kind = Literal["enquiry", "pump", "liquid", "practice"]


class _Taken(BaseModel):
    model_config = ConfigDict(extra="forbid")


class ProjectAsked(_Taken):
    """A project to begin."""

    name: str = Field(min_length=1, max_length=LONGEST_NAME)


class SaveAsked(_Taken):
    """A content to save as the next revision."""

    content: FileText
    based_on: int | None = Field(
        default=None, ge=1, le=LARGEST_NUMBER,
        description="number of the revision the content was made from; null for a new document")
    reason: Reason = ""


class UseAsked(_Taken):
    """Whether a document is in use."""

    in_use: bool
    reason: Reason = ""


class RatingAsked(_Taken):
    """An enquiry of the project to rate, with all it names, and to keep the rating of."""

    enquiry: DocumentPath
    pump: DocumentPath | None = Field(default=None, description="a pump of the project in place of the one the "
                                                                "enquiry names")


class ProjectTold(BaseModel):
    """A project."""

    number: int
    name: str
    author: str
    created: datetime

    @classmethod
    def of(cls, project: Project) -> ProjectTold:
        """Tell a project."""
        return cls(number=project.id, name=project.name, author=project.author, created=project.created)


class DocumentTold(BaseModel):
    """A document with its newest revision, without the content."""

    path: str
    kind: Kind
    revision: int
    author: str
    at: datetime
    reason: str
    sha256: str
    in_use: bool

    @classmethod
    def of(cls, entry: DocumentEntry) -> DocumentTold:
        """Tell a document."""
        return cls.model_validate({
            "path": entry.path, "kind": entry.kind, "revision": entry.number, "author": entry.author, "at": entry.at,
            "reason": entry.reason, "sha256": entry.sha256, "in_use": not entry.retired})


class ProjectWithDocuments(ProjectTold):
    """A project with its documents."""

    documents: tuple[DocumentTold, ...]


class ChangeTold(BaseModel):
    """One field that differs; the field is empty where the sentence in `after` speaks of the whole document."""

    field: str
    before: str
    after: str

    @classmethod
    def of(cls, change: FieldChange) -> ChangeTold:
        """Tell a change."""
        return cls(field=change.field, before=change.before, after=change.after)


class RevisionTold(BaseModel):
    """A revision of a document, without the content."""

    path: str
    kind: Kind
    number: int
    parent: int | None
    author: str
    at: datetime
    reason: str
    sha256: str
    changes: tuple[ChangeTold, ...] = Field(description="what differs from the parent")

    @classmethod
    def of(cls, revision: Revision) -> RevisionTold:
        """Tell a revision."""
        return cls.model_validate(_of_revision(revision))


class RevisionWithContent(RevisionTold):
    """A revision of a document."""

    content: str

    @classmethod
    def of(cls, revision: Revision) -> RevisionWithContent:
        """Tell a revision with its content."""
        return cls.model_validate({**_of_revision(revision), "content": revision.content})


class SavedTold(BaseModel):
    """What a save did; ``new`` is false where the content was the newest already."""

    new: bool
    revision: RevisionTold


class ClashTold(BaseModel):
    """A field that both sides changed."""

    field: str
    base: str
    mine: str
    theirs: str


class MergeTold(BaseModel):
    """An offer: theirs, with what only you changed put into it. Nothing is saved."""

    content: str
    mine: tuple[str, ...] = Field(description="changes of yours that are in it")
    theirs: tuple[str, ...] = Field(description="their changes since the revision you started from")
    clashes: tuple[ClashTold, ...] = Field(description="fields both sides changed; the offer holds theirs")
    problem: str = Field(description="what is wrong with the offer as a whole; empty: nothing")


class Conflicting(Refused):
    """Somebody saved in between. Save the offer, or another text, based on the revision in `theirs`."""

    path: str
    based_on: int | None
    theirs: RevisionTold
    merge: MergeTold

    @classmethod
    def of(cls, conflict: Conflict) -> Conflicting:
        """Tell a conflict."""
        theirs, merge = conflict.theirs, conflict.merge
        based_on = conflict.base.number if conflict.base else None
        text = f"is not the newest revision; that is {theirs.number}, saved by {theirs.author}"
        return cls(
            type="urn:wetpath:conflict", title="Somebody saved in between; nothing was overwritten.", status=409,
            problems=(ProblemTold(field="based_on", value="null" if based_on is None else str(based_on), text=text,
                                  why="", file=theirs.path, line=None,
                                  do=f"look at the differences, then save based on {theirs.number}"),),
            path=theirs.path, based_on=based_on, theirs=RevisionTold.of(theirs),
            merge=MergeTold(content=merge.content, mine=merge.mine, theirs=merge.theirs, problem=merge.problem,
                            clashes=tuple(ClashTold.model_validate(vars(one)) for one in merge.clashes)))


class ImportedTold(BaseModel):
    """What an import did, by paths; `left_out` gives the reason for each file that is no document."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    unchanged: tuple[str, ...]
    left_out: Mapping[str, str]
    conflicts: tuple[Conflicting, ...] = Field(description="documents that somebody saved meanwhile; not changed")


class OriginTold(BaseModel):
    """A document that took part in a rating."""

    path: str
    revision: int
    sha256: str


class RatingTold(BaseModel):
    """A rating that is kept, without its record."""

    number: int
    enquiry: str
    author: str
    at: datetime
    sha256: str
    made_from: Mapping[str, OriginTold] = Field(description="by role: enquiry, pump, liquid, practice")

    @classmethod
    def of(cls, rating: KeptRating) -> RatingTold:
        """Tell a rating."""
        return cls.model_validate(_of_rating(rating))


class RatingWithRecord(RatingTold):
    """A rating that is kept."""

    record: dict[str, Any] = Field(description="the record as it was kept, of the format it names")

    @classmethod
    def with_record(cls, rating: KeptRating, record: dict[str, Any]) -> RatingWithRecord:
        """Tell a rating with its record."""
        return cls.model_validate({**_of_rating(rating), "record": record})


def _of_revision(revision: Revision) -> dict[str, Any]:
    return {"path": revision.path, "kind": revision.kind, "number": revision.number, "parent": revision.parent,
            "author": revision.author, "at": revision.at, "reason": revision.reason, "sha256": revision.sha256,
            "changes": tuple(map(ChangeTold.of, revision.changes))}


def _of_rating(rating: KeptRating) -> dict[str, Any]:
    origins = {role: OriginTold(path=one.path, revision=one.number, sha256=one.sha256)
               for role, one in rating.made_from.items()}
    return {"number": rating.id, "enquiry": rating.enquiry, "author": rating.author, "at": rating.at,
            "sha256": rating.sha256, "made_from": origins}
