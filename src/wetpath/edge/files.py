"""Files of ours: read with all problems told at once, and written so that they read back the same."""

from __future__ import annotations

import json
import os
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, ClassVar, TypeVar

from pydantic import BaseModel, Field, ValidationError, model_validator
from pydantic.json_schema import GenerateJsonSchema
from pydantic_core import core_schema

from wetpath.edge.fields import SiFloat, SiInt
from wetpath.edge.part import Part
from wetpath.edge.problems import problems_of
from wetpath.edge.quantities import RATIO, Kind
from wetpath.edge.toml_places import Places, marked_lines
from wetpath.edge.toml_text import toml_tables
from wetpath.edge.units import canonical, canonical_list
from wetpath.errors import FileProblems, InputError, Problem, nearest_names, with_article

Model = TypeVar("Model", bound=BaseModel)
LARGEST_FILE = 20_000_000      # bytes

#: Every kind of document by the name in its line ``wetpath = "pump/1"``.
DOCUMENTS: dict[str, type[Document]] = {}


class Document(Part):
    """Base of a whole file. Its first line is ``wetpath = "<kind>/<version>"``.

    ::

        class PumpFile(Document):
            document_kind = "pump"
            document_name = "pump file"
            document_use = "give it as the pump of a rating: wetpath rate ENQUIRY --pump FILE"
    """

    document_kind: ClassVar[str] = ""
    document_version: ClassVar[int] = 1
    document_name: ClassVar[str] = ""
    document_use: ClassVar[str] = ""

    wetpath: str = Field(default="", description="what this file is, and the version of its format",
                         json_schema_extra={"x-first": True})

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        super().__pydantic_init_subclass__(**kwargs)
        if cls.document_kind:
            DOCUMENTS[cls.document_kind] = cls

    @model_validator(mode="before")
    @classmethod
    def _fill_header(cls, data: Any) -> Any:
        return {"wetpath": cls.header(), **data} if isinstance(data, dict) else data

    @classmethod
    def reading_context(cls, data: dict[str, Any]) -> dict[str, Any]:
        """Return what the reading of this file must know first, for example ``{"atmosphere": 95000.0}``."""
        return {}

    @classmethod
    def header(cls) -> str:
        """Return the text of the ``wetpath`` line of this kind."""
        return f"{cls.document_kind}/{cls.document_version}"


DocumentModel = TypeVar("DocumentModel", bound=Document)


def load_document(path: str | os.PathLike[str], model: type[DocumentModel], *,
                  context: Mapping[str, Any] | None = None) -> DocumentModel:
    """Read a file as one kind of document; raise `FileProblems` with everything that is wrong with it.

    Parameters
    ----------
    path : path
        A TOML file in UTF-8.
    model : type[Document]
        What it should be.
    context : mapping, optional
        Facts for the reading, as ``atmosphere`` [Pa]; they win over those the file gives by itself.
    """
    file = str(path)
    return loads_document(_read(file), model, file=file, context=context)


def loads_document(text: str, model: type[DocumentModel], *, file: str = "",
                   context: Mapping[str, Any] | None = None) -> DocumentModel:
    """Read a text as one kind of document; see `load_document`."""
    data = _parse_toml(text, file)
    places = Places(text)
    _check_header(data, model, file, places)
    return _validated(data, model, file, places, context)


def load_any(path: str | os.PathLike[str], *, context: Mapping[str, Any] | None = None) -> Document:
    """Read a file as whatever its ``wetpath`` line says it is."""
    file = str(path)
    return loads_any(_read(file), file=file, context=context)


def loads_any(text: str, *, file: str = "", context: Mapping[str, Any] | None = None) -> Document:
    """Read a text as whatever its ``wetpath`` line says it is."""
    data = _parse_toml(text, file)
    places = Places(text)
    kind = _kind_of(data)
    model = DOCUMENTS.get(kind)
    if model is None:
        near = nearest_names(kind, DOCUMENTS, at_most=1) if kind else ()
        hint = f" Did you mean {DOCUMENTS[near[0]].header()}?" if near else ""
        known = ", ".join(sorted(one.header() for one in DOCUMENTS.values()))
        if "wetpath" not in data:
            raise FileProblems([Problem('has no line wetpath = "..." that says what it is', file=file,
                                        do=f"write it as the first line; known: {known}")])
        raise FileProblems(
            [
                _header_problem(
                    data, f"is not a kind of file known here.{hint}", f"known: {known}", file, places
                )
            ]
        )
    _check_header(data, model, file, places)
    return _validated(data, model, file, places, context)


def validate(
    data: Any, model: type[Model], *, file: str = "", context: Mapping[str, Any] | None = None
) -> Model:
    """Build a model from tables and lists; raise `FileProblems` in our words instead of pydantic's error."""
    try:
        return model.model_validate(data, context=dict(context or {}))
    except ValidationError as error:
        raise FileProblems(problems_of(error, model, data, file=file)) from None


def dump_document(document: Document) -> str:
    """Write a document as TOML text that reads back equal."""
    tables = document.model_dump(mode="json", exclude_none=True, exclude={"wetpath"})
    return f'wetpath = "{document.header()}"\n' + "".join(_table_lines(tables, ()))


def json_schema(model: type[Document]) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a kind of document."""
    schema = model.model_json_schema(mode="validation", schema_generator=_SchemaGenerator)
    schema["properties"]["wetpath"] = {
        "const": model.header(),
        "description": "kind and version of this file",
    }
    schema["required"] = ["wetpath", *schema.get("required", [])]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def write_schemas(folder: str | os.PathLike[str]) -> list[Path]:
    """Write the JSON Schema of every kind of document into a folder and return the files."""
    written = []
    for kind, model in sorted(DOCUMENTS.items()):
        target = Path(folder) / f"{kind}-{model.document_version}.schema.json"
        target.write_text(
            json.dumps(json_schema(model), indent=2, ensure_ascii=False) + "\n", encoding="utf-8"
        )
        written.append(target)
    return written


class _SchemaGenerator(GenerateJsonSchema):
    """Writes defaults as they would stand in a file."""

    def get_default_value(self, schema: core_schema.WithDefaultSchema) -> Any:
        default = super().get_default_value(schema)
        kind = _kind_in(schema["schema"])
        if kind is not None and kind != RATIO:
            if isinstance(default, (int, float)):
                return canonical(float(default), kind)
            if isinstance(default, tuple) and all(isinstance(item, (int, float)) for item in default):
                return canonical_list(default, kind)
        return _plain_number(default)


def _kind_in(schema: Any) -> Kind | None:
    while isinstance(schema, dict):
        if (kind := schema.get("metadata", {}).get("wetpath_kind")) is not None:
            return kind
        schema = schema.get("schema")
    return None


def _plain_number(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain_number(item) for item in value]
    return float(value) if isinstance(value, SiFloat) else int(value) if isinstance(value, SiInt) else value


def _read(file: str) -> str:
    try:
        size = os.path.getsize(file)
        if size > LARGEST_FILE:
            raise FileProblems(
                [
                    Problem(
                        f"is {size / 1e6:.0f} MB large; files up to {LARGEST_FILE / 1e6:.0f} MB are read",
                        file=file,
                    )
                ]
            )
        with open(file, "rb") as stream:
            raw = stream.read()
    except FileNotFoundError:
        raise FileProblems([Problem("is not there", file=file, do=_files_nearby(file))]) from None
    except IsADirectoryError:
        raise FileProblems([Problem("is a folder, not a file", file=file)]) from None
    except OSError as error:
        raise FileProblems(
            [Problem(f"cannot be read: {(error.strerror or str(error)).lower()}", file=file)]
        ) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise FileProblems([Problem("is not UTF-8 text", file=file, line=line,
                                    do="save the file with the encoding UTF-8")]) from None
    return text.replace("\r\n", "\n")


def _files_nearby(file: str) -> str:
    folder, name = os.path.split(file)
    try:
        near = nearest_names(
            name, [entry for entry in os.listdir(folder or ".") if entry.endswith(".toml")], at_most=1
        )
    except OSError:
        return f"the folder {folder} is not there either"
    return f"did you mean {os.path.join(folder, near[0])}?" if near else ""


def _parse_toml(text: str, file: str) -> dict[str, Any]:
    try:
        return toml_tables(text)
    except tomllib.TOMLDecodeError as error:
        match = re.fullmatch(
            r"(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)", str(error), re.DOTALL
        )
        lines = text.split("\n")
        line, column = len(lines), len(lines[-1]) + 1
        if match and match[2]:
            line, column = int(match[2]), int(match[3])
        said = match[1] if match else str(error)
        before = line - 1 if line > 1 else None
        raise FileProblems([Problem(
            f"this is not TOML: {said[:1].lower() + said[1:]}", file=file, line=line, column=column,
            do=_toml_remedy(said, lines[line - 1] if line <= len(lines) else ""),
            context=marked_lines(lines, line, before, column))]) from None


def _toml_remedy(said: str, line: str) -> str:
    if "Cannot overwrite" in said or "twice" in said:
        return "the same key or table is given twice; keep one"
    if said.startswith("Invalid value") or "Expected newline" in said:
        if re.search(r"=\s*[+-]?[\d.]+\s*[A-Za-z%°]", line):
            return 'put a number with its unit in quotes, for example wall = "12 mm"'
        return "put texts in quotes"
    return ""


def _kind_of(data: dict[str, Any]) -> str:
    return str(data.get("wetpath", "")).partition("/")[0]


def _check_header(data: dict[str, Any], model: type[Document], file: str, places: Places) -> None:
    given = data.get("wetpath")
    if given == model.header():
        return
    name = model.document_name or model.document_kind
    if given is None:
        raise FileProblems([Problem(f'has no line wetpath = "{model.header()}"', file=file,
                                    do=f"write it as the first line if this is meant to be {with_article(name)}")])
    kind, _, version = str(given).partition("/")
    other = DOCUMENTS.get(kind)
    if kind == model.document_kind:
        newer = version.isdigit() and int(version) > model.document_version
        text = f"is not a version read here ({model.header()})"
        do = "use a newer wetpath" if newer else f'write wetpath = "{model.header()}"'
    elif other is not None:
        text = f"is {with_article(other.document_name or kind)}; {with_article(name)} is asked here"
        do = other.document_use
    else:
        near = nearest_names(kind, DOCUMENTS, at_most=1)
        text = "is not a kind of file known here." + (
            f" Did you mean {DOCUMENTS[near[0]].header()}?" if near else ""
        )
        do = f'write wetpath = "{model.header()}" if this is meant to be {with_article(name)}'
    raise FileProblems([_header_problem(data, text, do, file, places)])


def _header_problem(data: dict[str, Any], text: str, do: str, file: str, places: Places) -> Problem:
    line = places.line(("wetpath",))
    return Problem(text, field="wetpath", value=places.value(("wetpath",)), do=do, file=file, line=line,
                   context=places.context(line) if line else ())


def _validated(data: dict[str, Any], model: type[DocumentModel], file: str, places: Places,
               context: Mapping[str, Any] | None) -> DocumentModel:
    try:
        own = model.reading_context(data)
    except InputError:
        own = {}                # the field it came from is told wrong below
    try:
        return model.model_validate(data, context={**own, **(context or {}), "texts": True})
    except ValidationError as error:
        raise FileProblems(problems_of(error, model, data, file=file, places=places)) from None


def _table_lines(table: dict[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Write the plain values of a table, then its tables, then its lists of tables."""
    for key, value in table.items():
        if not isinstance(value, dict) and not _is_list_of_tables(value):
            yield f"{_key_text(key)} = {_value_text(value)}\n"
    for key, value in table.items():
        name = ".".join(map(_key_text, (*path, key)))
        if isinstance(value, dict):
            yield f"\n[{name}]\n"
            yield from _table_lines(value, (*path, key))
        elif _is_list_of_tables(value):
            for item in value:
                yield f"\n[[{name}]]\n"
                yield from _table_lines(item, (*path, key))


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _key_text(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _string_text(key)


def _string_text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value_text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string_text(value)
    if isinstance(value, list):
        return "[" + ", ".join(_value_text(item) for item in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key_text(key)} = {_value_text(item)}" for key, item in value.items()) + "}"
    return repr(value)
