"""What the addresses of issues take and tell."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal
from urllib.parse import quote

from pydantic import BaseModel, ConfigDict, Field

from wetpath.faces.api.limits import PREFIX
from wetpath.faces.api.project_messages import LARGEST_NUMBER, DocumentPath
from wetpath.services.projects import Issue

#: A letter of an issue; the most characters of what an issue is for, as in the web.
LETTER, LONGEST_REASON = r"^[A-Z]{1,6}$", 500


class IssueAsked(BaseModel):
    """A kept rating to be issued."""

    model_config = ConfigDict(extra="forbid")

    enquiry: DocumentPath
    rating: int = Field(ge=1, le=LARGEST_NUMBER, description="number of a kept rating of the enquiry, as looked at")
    letter: str = Field(pattern=LETTER, examples=["A"],
                        description="the next letter, as the list of issues tells it; sent twice, it issues once")
    reason: str = Field(max_length=LONGEST_REASON, description="what the issue is for", examples=["for approval"])
    units: Literal["metric", "US"] = Field(default="metric", description="of the report and the workbook")
    pressure_unit: Literal["bar", "kPa", "MPa", "psi"] | None = Field(
        default=None, description="of all pressures in them; that of the units without it")


class IssuedFileTold(BaseModel):
    """A file that went out."""

    name: str
    bytes: int
    sha256: str


class IssueTold(BaseModel):
    """An issue, without the record of its rating."""

    letter: str
    enquiry: str
    author: str
    at: datetime
    reason: str
    rating: int = Field(description="number of the rating that went out")
    files: tuple[IssuedFileTold, ...]

    @classmethod
    def of(cls, issue: Issue) -> IssueTold:
        """Tell an issue."""
        return cls.model_validate(_of_issue(issue))


class IssueWithRecord(IssueTold):
    """An issue with what went out."""

    record: dict[str, Any] = Field(description="the record of the rating as it was kept, of the format it names")

    @classmethod
    def with_record(cls, issue: Issue, record: dict[str, Any]) -> IssueWithRecord:
        """Tell an issue with its record."""
        return cls.model_validate({**_of_issue(issue), "record": record})


class IssuesTold(BaseModel):
    """The issues of an enquiry, the newest first."""

    next_letter: str
    issues: tuple[IssueTold, ...]


def address(project: int, enquiry: str, letter: str) -> str:
    """Where an issue is read."""
    return f"{PREFIX}/projects/{project}/issues/{letter}?path={quoted(enquiry)}"


def quoted(name: str) -> str:
    """A name as it stands in an address or a header."""
    return quote(name, safe="")


def _of_issue(issue: Issue) -> dict[str, Any]:
    return {"letter": issue.letter, "enquiry": issue.enquiry, "author": issue.author, "at": issue.at,
            "reason": issue.reason, "rating": issue.rating.id,
            "files": [{"name": one.name, "bytes": len(one.content), "sha256": one.sha256} for one in issue.files]}
