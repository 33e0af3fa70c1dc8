"""The addresses of issues: a kept rating that goes out under a letter, with its files."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Query, Response
from fastapi import Path as InAddress

from wetpath.faces.api import issue_messages as told
from wetpath.faces.api.account import Account, StoreHere
from wetpath.faces.api.limits import PREFIX, turn
from wetpath.faces.api.messages import REFUSALS, described
from wetpath.faces.api.project_messages import LONGEST_NAME, PathAsked, ProjectNumber
from wetpath.faces.report.issue_files import files_of_issue, sheet_of_issue
from wetpath.services import projects as kept_in
from wetpath.services.desk import Rated

#: What the files of an issue are, by the ending of their names.
MEDIA = {".pdf": "application/pdf", ".json": "application/json",
         ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
router = APIRouter(prefix=PREFIX, tags=["issues"], responses={
    **REFUSALS, 403: described("The role does not allow it."),
    404: described("There is no such project, enquiry, rating, issue or file.")})
LetterAsked = Annotated[str, InAddress(pattern=told.LETTER, description="letter of an issue", examples=["A"])]


@router.get("/projects/{project}/issues")
def list_issues(project: ProjectNumber, path: PathAsked, store: StoreHere, account: Account) -> told.IssuesTold:
    """List the issues of an enquiry, the newest first, and the letter of the next one."""
    name = kept_in.project_of(store, project).name
    return told.IssuesTold(next_letter=kept_in.next_letter(store, name, path),
                           issues=tuple(map(told.IssueTold.of, kept_in.issues(store, name, path))))


@router.post("/projects/{project}/issues", status_code=201)
def issue_rating(project: ProjectNumber, asked: told.IssueAsked, store: StoreHere, account: Account,
                 answer: Response) -> told.IssueTold:
    """Issue a kept rating of an enquiry under the next letter, as an approver; an issue stays as it is.

    The rating must be of the newest revisions of all it was made from. The report, the workbook and the data file are
    set without the mark of a draft, with marks where something changed since the last issue, name you, and are kept
    with the issue. An issue records who released what. It does not replace the approval that local codes and licensed
    practice ask for.
    """
    stem = f"{asked.enquiry.rpartition('/')[2].removesuffix('.toml')}-{asked.letter}"

    def files(rated: Rated) -> dict[str, bytes]:
        return files_of_issue(rated, stem, account.name, asked.letter, us=asked.units == "US",
                              pressure_unit=asked.pressure_unit or "",
                              previous=sheet_of_issue(kept_in.issues(store, name, asked.enquiry)))

    name = kept_in.project_of(store, project).name
    with turn():
        issued = kept_in.issue_rating(store, account, name, asked.enquiry,
                                      asked.rating, letter=asked.letter, reason=asked.reason, files=files)
    answer.headers["Location"] = told.address(project, asked.enquiry, issued.letter)
    return told.IssueTold.of(issued)


@router.get("/projects/{project}/issues/{letter}")
def read_issue(project: ProjectNumber, letter: LetterAsked, path: PathAsked, store: StoreHere,
               account: Account) -> told.IssueWithRecord:
    """Read an issue with the record of the rating that went out."""
    found = _found(store, project, path, letter)
    return told.IssueWithRecord.with_record(found, json.loads(found.rating.record))


@router.get("/projects/{project}/issues/{letter}/file", response_class=Response,
            responses={200: {"description": "The file as it went out.",
                             "content": {media: {"schema": {"type": "string", "format": "binary"}}
                                         for media in MEDIA.values()}}})
def read_issued_file(project: ProjectNumber, letter: LetterAsked, path: PathAsked, store: StoreHere, account: Account,
                     name: Annotated[str, Query(min_length=1, max_length=LONGEST_NAME,
                                                examples=["reflux-A.pdf"])]) -> Response:
    """Read a file of an issue, byte for byte as it went out."""
    for file in _found(store, project, path, letter).files:
        if file.name == name:
            ending = name[name.rfind("."):]
            return Response(file.content, media_type=MEDIA.get(ending, "application/octet-stream"),
                            headers={"Content-Disposition": f"attachment; filename*=UTF-8''{told.quoted(name)}"})
    raise kept_in.NotKnown(f"is not a file of issue {letter}", field="name", value=f'"{name}"',
                           do="look at the files of the issue")


def _found(store: kept_in.Store, project: int, path: str, letter: str) -> kept_in.Issue:
    for one in kept_in.issues(store, kept_in.project_of(store, project).name, path):
        if one.letter == letter:
            return one
    raise kept_in.NotKnown(f"is not an issue of {path}", field="letter", value=f'"{letter}"',
                           do="look at the list of issues")
