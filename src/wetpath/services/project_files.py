"""A project as files: a folder or a zip of the TOML files that the command line reads, byte for byte."""

from __future__ import annotations

import io
import lzma
import os
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from wetpath.errors import FileProblems, InputError, Problem
from wetpath.store.accounts import User
from wetpath.store.documents import KINDS, checked_path, read_document, tables_of
from wetpath.store.opening import Store
from wetpath.store.revisions import (
    LONGEST_CONTENT,
    Conflict,
    Saved,
    create_project,
    documents,
    projects,
    retire,
    revision,
    save,
)

MOST_FILES = 10_000
LARGEST_PROJECT = 200_000_000      # bytes, unpacked
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)  # of every entry, so that the same project gives the same bytes


@dataclass(frozen=True)
class ProjectFiles:
    """The documents of a folder or zip by path, and the files that are none with the reason."""

    contents: Mapping[str, str]
    left_out: Mapping[str, str]


@dataclass(frozen=True)
class Imported:
    """What an import did."""

    project: str
    new: tuple[str, ...]
    changed: tuple[str, ...]
    unchanged: tuple[str, ...]
    conflicts: Mapping[str, Conflict]


def files_of_folder(folder: str | os.PathLike[str]) -> ProjectFiles:
    """Read all documents below a folder; raise `FileProblems` with all that is wrong with any of them."""
    root = Path(folder)
    if not root.is_dir():
        raise FileProblems([Problem("is not a folder", file=str(folder))])

    def found() -> Iterator[tuple[str, bytes | None]]:
        for path in sorted(root.rglob("*")):
            if path.is_symlink():
                yield path.relative_to(root).as_posix(), None
            elif path.is_file():
                name = path.relative_to(root).as_posix()
                if path.suffix != ".toml":
                    yield name, b""
                    continue
                with path.open("rb") as stream:
                    yield name, stream.read(LONGEST_CONTENT + 1)

    return _sorted_out(found())


def files_of_zip(content: bytes) -> ProjectFiles:
    """Read all documents of a zip; raise `FileProblems` with all that is wrong with any of them."""
    def found(archive: zipfile.ZipFile) -> Iterator[tuple[str, bytes | None]]:
        for entry in archive.infolist():
            if entry.is_dir():
                continue
            if not entry.filename.endswith(".toml"):
                yield entry.filename, b""
                continue
            with archive.open(entry) as stream:
                yield entry.filename, stream.read(LONGEST_CONTENT + 1)

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return _sorted_out(found(archive))
    except (zipfile.BadZipFile, zlib.error, lzma.LZMAError, RuntimeError, NotImplementedError, EOFError, OSError,
            ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise FileProblems([Problem(f"is not a zip that can be read: {error}", file="zip",
                                    do="give a zip without a password")]) from None


def import_files(store: Store, user: User, project: str, contents: Mapping[str, str], *,
                 reason: str = "imported") -> Imported:
    """Save documents to a project, which is made when it is not there.

    What the project holds already gets a new revision where the content differs; documents that are not among
    ``contents`` stay as they are. A retired one is put back.
    """
    if all(one.name != project for one in projects(store)):
        try:
            create_project(store, user, project)
        except InputError:
            if all(one.name != project for one in projects(store)):      # else another process was first
                raise
    there = {entry.path: entry for entry in documents(store, project, with_retired=True)}
    _require_kinds(contents, {path: entry.kind for path, entry in there.items()})
    new: list[str] = []
    changed: list[str] = []
    unchanged: list[str] = []
    conflicts: dict[str, Conflict] = {}
    for path, content in contents.items():
        known = there.get(path)
        if known is not None and known.retired:
            retire(store, user, project, path, reason=reason, back=True)
        outcome = save(store, user, project, path, content, based_on=known.number if known else None, reason=reason)
        if isinstance(outcome, Conflict):
            conflicts[path] = outcome
        elif isinstance(outcome, Saved) and not outcome.new:
            unchanged.append(path)
        else:
            (changed if known else new).append(path)
    return Imported(project, tuple(new), tuple(changed), tuple(unchanged), conflicts)


def _require_kinds(contents: Mapping[str, str], kinds: Mapping[str, str]) -> None:
    """Refuse an import in which a document is of another kind than the one that is kept under its path."""
    given = {path: str(_tables(content).get("wetpath", "")).partition("/")[0] for path, content in contents.items()}
    wrong = [Problem(f"is of the kind {kind}; {path} is of the kind {kinds[path]}", file=path,
                     do="save it under another path")
             for path, kind in given.items() if kind and kinds.get(path, kind) != kind]
    if wrong:
        raise FileProblems(wrong)


def project_contents(store: Store, project: str) -> dict[str, bytes]:
    """The newest revision of every document in use, as the bytes of its file, by path."""
    return {entry.path: revision(store, project, entry.path, entry.number).content.encode("utf-8")
            for entry in documents(store, project)}


def export_folder(store: Store, project: str, folder: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Write a project into a folder; a file that is there with other content is not overwritten.

    Raises
    ------
    FileProblems
        With every file that is in the way; nothing is written then.
    """
    targets = {Path(folder) / path: content for path, content in project_contents(store, project).items()}
    in_the_way = [target for target, content in targets.items()
                  if target.exists() and (not target.is_file() or target.read_bytes() != content)]
    if in_the_way:
        raise FileProblems([Problem("is there already with other content", file=str(target),
                                    do="choose another folder, or move the file away") for target in in_the_way])
    try:
        for target, content in targets.items():
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
    except OSError as error:
        raise FileProblems([Problem(f"cannot be written: {(error.strerror or str(error)).lower()}",
                                    file=str(target))]) from None
    return tuple(targets)


def export_zip(store: Store, project: str) -> bytes:
    """Write a project as the bytes of a zip; the same project gives the same bytes."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in project_contents(store, project).items():
            entry = zipfile.ZipInfo(path, _ZIP_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, content)
    return packed.getvalue()


def _sorted_out(found: Iterator[tuple[str, bytes | None]]) -> ProjectFiles:
    contents: dict[str, str] = {}
    left_out: dict[str, str] = {}
    problems: list[Problem] = []
    size = 0
    for name, content in found:
        size += len(content or b"")
        if len(contents) + len(left_out) >= MOST_FILES or size > LARGEST_PROJECT:
            raise FileProblems([Problem(f"is too large for a project; allowed: {MOST_FILES} files and "
                                        f"{LARGEST_PROJECT / 1e6:.0f} MB", file="import")])
        if content is None:
            left_out[name] = "is a link"
        elif not name.endswith(".toml"):
            left_out[name] = "is not a TOML file"
        elif any(step.startswith((".", "__MACOSX")) and step not in (".", "..") for step in name.split("/")):
            left_out[name] = "is hidden"
        else:
            try:
                text = _text(name, content)
                kind = str(_tables(text).get("wetpath", "")).partition("/")[0]
                if kind and kind not in KINDS:
                    left_out[name] = f"is of the kind {kind}, which is not kept in projects"
                    continue
                read_document(text, name)
                if name in contents:
                    raise InputError("is there twice", field=name)
                contents[checked_path(name)] = text
            except FileProblems as error:
                problems.extend(error.problems)
            except InputError as error:
                problems.append(error.problem.at(file=name))
    if problems:
        raise FileProblems(problems)
    return ProjectFiles(contents, left_out)


def _tables(text: str) -> dict[str, object]:
    """The tables of a text; none when it is not TOML, which reading it tells."""
    try:
        return tables_of(text)
    except ValueError:
        return {}


def _text(name: str, content: bytes) -> str:
    if len(content) > LONGEST_CONTENT:
        raise FileProblems([Problem(f"is larger than {LONGEST_CONTENT / 1e6:.0f} MB", file=name)])
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileProblems([Problem("is not UTF-8 text", file=name, line=content.count(b"\n", 0, error.start) + 1,
                                    do="save the file with the encoding UTF-8")]) from None
