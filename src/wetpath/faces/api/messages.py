"""What the HTTP interface takes and how it tells what is wrong."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from wetpath.errors import FileProblems, InputError, Problem

#: Longest text of one file [characters], and pump files in one selection.
LONGEST_TEXT, MOST_PUMPS = 200_000, 200

FileText = Annotated[str, Field(max_length=LONGEST_TEXT, description="a file of its kind as TOML text; it names no "
                                                                     "other file")]


class Asked(BaseModel):
    """What every question has in common."""

    model_config = ConfigDict(extra="forbid")

    enquiry: FileText
    practice: FileText = Field(default="", description="a practice file; empty: the default practice")


class RateAsked(Asked):
    """A pump for an enquiry."""

    pump: FileText


class WindowAsked(RateAsked):
    """A window around one operating case; texts carry their units."""

    case: str | None = Field(default=None, max_length=200, description="name of the case; null: the one that governs")
    grid: str = Field(default="40x30", pattern=r"^\d{1,3}x\d{1,3}$", description="numbers of flows and temperatures")
    flow: str | None = Field(default=None, max_length=100, examples=["5 70 m3/h"])
    temperature: str | None = Field(default=None, max_length=100, examples=["10 70 degC"])
    suction_pressure: str | None = Field(default=None, max_length=100, examples=["4.9 bar a"])
    above_vapour_pressure: str | None = Field(default=None, max_length=100, examples=["0.6 bar"])


class SelectAsked(Asked):
    """Pumps out of a catalogue."""

    catalogue: dict[str, FileText] = Field(
        default_factory=dict, max_length=MOST_PUMPS, description="pump files by name; empty: the demo pumps")
    weights: str | None = Field(default=None, max_length=200, examples=["margin 2 energy 1 NPSH 1"])
    most: int = Field(default=8, ge=1, le=50, description="offers at most")


class CheckAsked(BaseModel):
    """A file to be checked."""

    model_config = ConfigDict(extra="forbid")

    text: FileText


class Checked(BaseModel):
    """A file in which nothing is wrong."""

    kind: str
    title: str


class ProblemTold(BaseModel):
    """One thing that is wrong."""

    field: str
    value: str
    text: str
    why: str
    do: str
    file: str
    line: int | None


class Refused(BaseModel):
    """Why a request was not answered (after RFC 9457)."""

    type: str
    title: str
    status: int
    problems: tuple[ProblemTold, ...] = ()


def described(words: str, model: type[Refused] = Refused) -> dict[str, Any]:
    """The description of a refusal, with the schema of its body."""
    schema = model.model_json_schema()
    parts = schema.pop("$defs", {})
    return {"description": words, "content": {"application/problem+json": {"schema": _whole(schema, parts)}}}


def _whole(schema: Any, parts: dict[str, Any]) -> Any:
    """A schema with its parts in their places: its references would lead nowhere inside a larger description."""
    if isinstance(schema, dict):
        if "$ref" in schema:
            return _whole(parts[schema["$ref"].rpartition("/")[2]], parts)
        return {key: _whole(value, parts) for key, value in schema.items()}
    return [_whole(one, parts) for one in schema] if isinstance(schema, list) else schema


REFUSALS: dict[int | str, dict[str, Any]] = {
    400: described("The body is not JSON."), 411: described("The length of the body is not given."),
    413: described("The request is too long."),
    422: described("Something is wrong with the input; each problem is told at its field."),
    503: described("Too many questions at once; ask again later.")}


def refusal(error: InputError) -> Refused:
    """Tell what is wrong with the input."""
    found: tuple[Problem, ...] = tuple(error.problems) if isinstance(error, FileProblems) else (error.problem,)
    told = tuple(ProblemTold(field=one.field, value=str(one.value), text=one.text, why=one.why, do=one.do,
                             file=one.file, line=one.line) for one in found)
    return Refused(type="urn:wetpath:input", title="The input cannot be rated as it stands.", status=422, problems=told)
