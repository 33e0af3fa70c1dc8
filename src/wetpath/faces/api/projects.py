"""The addresses of projects: documents with all their revisions, import and export, ratings that are kept.

The path of a document stands in the query, since it holds slashes, which not every server between passes on in the
address.
"""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, HTTPException, Query, Response
from fastapi import Path as InAddress
from fastapi.responses import JSONResponse

from wetpath.faces.api import project_messages as told
from wetpath.faces.api.account import Account, StoreHere
from wetpath.faces.api.limits import LONGEST_ZIP, PREFIX, ZIP_TYPE, turn
from wetpath.faces.api.messages import REFUSALS, described
from wetpath.faces.api.project_messages import LARGEST_NUMBER, Number, PathAsked, ProjectNumber
from wetpath.services import projects as kept_in
from wetpath.services.project_files import export_zip, files_of_zip, import_files

router = APIRouter(prefix=PREFIX, tags=["projects"], responses={
    **REFUSALS, 403: described("The role does not allow it."),
    404: described("There is no such project, document, revision or rating.")})
CONFLICT: dict[int | str, dict[str, Any]] = {
    409: described("Somebody saved in between; the differences are told, and nothing was overwritten.",
                   told.Conflicting)}


@router.get("/projects")
def list_projects(store: StoreHere, account: Account) -> tuple[told.ProjectTold, ...]:
    """List all projects by name."""
    return tuple(map(told.ProjectTold.of, kept_in.projects(store)))


@router.post("/projects", status_code=201)
def begin_project(asked: told.ProjectAsked, store: StoreHere, account: Account, answer: Response) -> told.ProjectTold:
    """Begin a project."""
    made = told.ProjectTold.of(kept_in.create_project(store, account, asked.name))
    answer.headers["Location"] = f"{PREFIX}/projects/{made.number}"
    return made


@router.get("/projects/{project}")
def read_project(project: ProjectNumber, store: StoreHere, account: Account,
                 all_documents: Annotated[bool, Query(description="with those no longer in use")] = False,
                 kind: told.Kind | None = None) -> told.ProjectWithDocuments:
    """Tell a project with its documents, each with its newest revision."""
    found = kept_in.project_of(store, project)
    entries = kept_in.documents(store, found.name, kind=kind, with_retired=all_documents)
    return told.ProjectWithDocuments(**told.ProjectTold.of(found).model_dump(),
                                     documents=tuple(map(told.DocumentTold.of, entries)))


@router.get("/projects/{project}/export", response_class=Response,
            responses={200: {"description": "A zip of the documents in use, as the files that the command line reads.",
                             "content": {ZIP_TYPE: {"schema": {"type": "string", "format": "binary"}}}}})
def export_project(project: ProjectNumber, store: StoreHere, account: Account) -> Response:
    """Write a project as a zip; the same project gives the same bytes."""
    with turn():
        content = export_zip(store, kept_in.project_of(store, project).name)
    return Response(content, media_type=ZIP_TYPE,
                    headers={"Content-Disposition": f'attachment; filename="project-{project}.zip"'})


@router.post("/projects/{project}/import", responses={415: described("The body is not said to be a zip.")})
def import_into_project(project: ProjectNumber, store: StoreHere, account: Account,
                        content: Annotated[bytes, Body(media_type=ZIP_TYPE, max_length=LONGEST_ZIP)],
                        content_type: Annotated[str, Header(include_in_schema=False)] = "",
                        reason: Annotated[str, Query(max_length=told.LONGEST_REASON)] = "imported",
                        ) -> told.ImportedTold:
    """Save every document of a zip as a revision; documents that are not in it stay as they are.

    All documents are checked first. Where one is wrong, nothing is saved.
    """
    if content_type.partition(";")[0].strip().lower() != ZIP_TYPE:
        raise HTTPException(415, f"The body must be a zip and be called {ZIP_TYPE}.")
    name = kept_in.project_of(store, project).name
    kept_in.require(account, "engineer", "import")
    with turn():
        found = files_of_zip(content)
        done = import_files(store, account, name, found.contents, reason=reason)
    return told.ImportedTold(new=done.new, changed=done.changed, unchanged=done.unchanged, left_out=found.left_out,
                             conflicts=tuple(map(told.Conflicting.of, done.conflicts.values())))


@router.get("/projects/{project}/document")
def read_document(project: ProjectNumber, path: PathAsked, store: StoreHere, account: Account,
                  revision: Number | None = None) -> told.RevisionWithContent:
    """Read a document: its newest revision, or another one."""
    return told.RevisionWithContent.of(
        kept_in.revision(store, kept_in.project_of(store, project).name, path, revision))


@router.put("/projects/{project}/document", response_model=told.SavedTold,
            responses={201: {"description": "A new document.", "model": told.SavedTold}, **CONFLICT})
def save_document(project: ProjectNumber, path: PathAsked, asked: told.SaveAsked, store: StoreHere,
                  account: Account) -> Response:
    """Save an enquiry, pump, liquid or practice as the next revision, or as a new document.

    State the revision you started from. When it is not the newest any more, nothing is saved: the answer tells what
    differs and offers both changes in one text. Yours is kept as your draft.
    """
    outcome = kept_in.save(store, account, kept_in.project_of(store, project).name, path, asked.content,
                           based_on=asked.based_on, reason=asked.reason)
    if isinstance(outcome, kept_in.Conflict):
        return JSONResponse(told.Conflicting.of(outcome).model_dump(mode="json"), 409,
                            media_type="application/problem+json")
    saved = told.SavedTold(new=outcome.new, revision=told.RevisionTold.of(outcome.revision))
    return JSONResponse(saved.model_dump(mode="json"), 201 if outcome.new and outcome.revision.parent is None else 200)


@router.put("/projects/{project}/document/use", status_code=204)
def use_document(project: ProjectNumber, path: PathAsked, asked: told.UseAsked, store: StoreHere,
                 account: Account) -> None:
    """Take a document out of use, or put it back; its revisions stay."""
    kept_in.retire(store, account, kept_in.project_of(store, project).name, path, reason=asked.reason,
                   back=asked.in_use)


@router.get("/projects/{project}/document/revisions")
def list_revisions(project: ProjectNumber, path: PathAsked, store: StoreHere,
                   account: Account) -> tuple[told.RevisionTold, ...]:
    """List all revisions of a document, the newest first, each with what it changed."""
    return tuple(map(told.RevisionTold.of,
                     kept_in.history(store, kept_in.project_of(store, project).name, path)))


@router.get("/projects/{project}/document/differences")
def tell_differences(project: ProjectNumber, path: PathAsked, before: Number, after: Number, store: StoreHere,
                     account: Account) -> tuple[told.ChangeTold, ...]:
    """Tell what differs between two revisions, by fields; the same value spelt in another unit does not."""
    found = kept_in.changes_between(store, kept_in.project_of(store, project).name, path, before, after)
    return tuple(map(told.ChangeTold.of, found))


@router.get("/projects/{project}/ratings")
def list_ratings(project: ProjectNumber, store: StoreHere, account: Account,
                 path: PathAsked) -> tuple[told.RatingTold, ...]:
    """List the ratings of an enquiry that are kept, the newest first."""
    return tuple(map(told.RatingTold.of, kept_in.ratings(store, kept_in.project_of(store, project).name, path)))


@router.post("/projects/{project}/ratings", status_code=201)
def rate_and_keep(project: ProjectNumber, asked: told.RatingAsked, store: StoreHere, account: Account,
                  answer: Response) -> told.RatingWithRecord:
    """Rate the newest revision of an enquiry with all it names, and keep the rating with the revisions it is from."""
    with turn():
        kept = kept_in.rate_and_keep(store, account, kept_in.project_of(store, project).name, asked.enquiry,
                                     pump=asked.pump)
    answer.headers["Location"] = f"{PREFIX}/ratings/{kept.id}"
    return told.RatingWithRecord.with_record(kept, json.loads(kept.record))


@router.get("/ratings/{number}")
def read_rating(number: Annotated[int, InAddress(ge=1, le=LARGEST_NUMBER)], store: StoreHere,
                account: Account) -> told.RatingWithRecord:
    """Read a rating that is kept, with its record."""
    kept = kept_in.rating(store, number)
    return told.RatingWithRecord.with_record(kept, json.loads(kept.record))
