"""Projects for all faces: opening the store, the papers of an enquiry out of it, and saving them back."""

from __future__ import annotations

import posixpath
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from wetpath.errors import FileProblems, InputError, Problem
from wetpath.services.demo import demo_folder
from wetpath.services.desk import Papers, Rated, papers_of_file, rate_papers
from wetpath.services.project_files import files_of_folder, import_files
from wetpath.services.record import Record
from wetpath.store.accounts import (
    Login,
    Role,
    User,
    add_user,
    any_account,
    close_account,
    local_user,
    log_in,
    log_out,
    require,
    session_user,
    set_password,
    set_role,
    tidy_sessions,
    users,
)
from wetpath.store.differences import ABSENT, Change, FieldChange, differences, told
from wetpath.store.documents import plain, tables_of
from wetpath.store.drafts import Draft, draft, drafts, drop_draft, keep_draft
from wetpath.store.edits import applied, with_fields
from wetpath.store.errors import DatabaseError, LoginRefused, NotAllowed, NotKnown, TooManyAttempts
from wetpath.store.merging import Clash, Merge, merge
from wetpath.store.opening import Store, data_folder, open_store
from wetpath.store.ratings import Issue, KeptRating, issue, issues, keep_rating, next_letter, rating, ratings
from wetpath.store.revisions import (
    Conflict,
    DocumentEntry,
    Project,
    Revision,
    Saved,
    create_project,
    documents,
    history,
    projects,
    restore,
    retire,
    revision,
    save,
    undo,
)
from wetpath.store.tokens import Token, add_token, drop_token, token_user, tokens

#: What faces use of the store; they do not import it themselves.
__all__ = [
    "Clash", "Conflict", "DatabaseError", "DocumentEntry", "Draft", "FieldChange", "Issue", "KeptPapers", "KeptRating",
    "Login", "LoginRefused", "Merge", "NotAllowed", "NotKnown", "Project", "Revision", "Role", "Saved", "Store",
    "Token", "TooManyAttempts", "User", "add_token", "add_user", "any_account", "changes_between", "close_account",
    "create_project", "data_folder", "documents", "draft", "drafts", "drop_draft", "drop_token", "history", "issue",
    "issue_rating", "issue_record", "issues", "keep_draft", "keep_record", "kept_papers", "local_user", "log_in",
    "log_out", "merge", "next_letter", "open_projects", "open_store", "project_of", "projects", "rate_and_keep",
    "rating", "ratings", "require", "restore", "retire", "revision", "save", "save_papers", "session_user",
    "set_password", "set_role", "tidy_sessions", "token_user", "tokens", "undo", "users", "with_fields",
]

DEMO_PROJECT = "Demo, invented"
#: The fields of an enquiry that name other documents, with their roles.
_NAMED = {"pump": "pump_file", "practice": "practice_file", "liquid": "liquid_file"}
_FOLDERS = {"pump": "pumps", "practice": "practices"}


@dataclass(frozen=True)
class KeptPapers:
    """The papers of an enquiry as they are kept: what the desk works on, and the revisions it came from."""

    project: str
    papers: Papers
    revisions: Mapping[str, Revision] = field(default_factory=dict)      # by role: enquiry, pump, liquid, practice

    @property
    def made_from(self) -> dict[str, tuple[str, int]]:
        """Path and number of every revision by role, as `keep_rating` asks for them."""
        return {role: (revision.path, revision.number) for role, revision in self.revisions.items()}


def open_projects(url: str | None = None) -> Store:
    """Open the store; a new file of one's own machine gets the demo as its first project."""
    store = open_store(url)
    if store.engine.dialect.name == "sqlite" and not projects(store):
        import_files(store, local_user(store), DEMO_PROJECT, files_of_folder(demo_folder()).contents,
                     reason="comes with the program")
    return store


def project_of(store: Store, number: int) -> Project:
    """The project that has a number; raise `NotKnown` when none has."""
    for one in projects(store):
        if one.id == number:
            return one
    raise NotKnown("is not a project here", field="project", value=str(number), do="look at the list of projects")


def differing(before: str | None, after: str) -> tuple[FieldChange, ...]:
    """What differs between two texts of a document, by fields."""
    return told(before, after)


def changes_between(store: Store, project: str, path: str, before: int, after: int) -> tuple[FieldChange, ...]:
    """What differs between two revisions of a document, by fields; none when they are the same."""
    return told(revision(store, project, path, before).content, revision(store, project, path, after).content)


def kept_papers(store: Store, project: str, enquiry: str, *, pump: str | None = None,
                numbers: Mapping[str, int] | None = None) -> KeptPapers:
    """Read the newest revision of an enquiry, with the documents of the project that it names, as papers.

    Parameters
    ----------
    enquiry : str
        Its path in the project.
    pump : str, optional
        Path of a pump of the project, in place of the one the enquiry names.
    numbers : mapping, optional
        Numbers of the revisions to read in place of the newest, by path.
    """
    numbers = numbers or {}
    found = {"enquiry": revision(store, project, enquiry, numbers.get(enquiry))}
    tables = tables_of(found["enquiry"].content)
    problems = []
    for role, key in _NAMED.items():
        path = pump if role == "pump" and pump is not None else _beside(enquiry, tables.get(key, ""))
        if path:
            try:
                found[role] = revision(store, project, path, numbers.get(path))
            except NotKnown:
                problems.append(Problem(f"names {path}, which is not in {project}", field=key, file=enquiry,
                                        value=f'"{tables.get(key, "")}"', do="name a document of the project"))
    if problems:
        raise FileProblems(problems)
    # A name may lead through folders that no document is in; among files it is written without that way round.
    named = {key: posixpath.relpath(found[role].path, posixpath.dirname(enquiry) or ".")
             for role, key in _NAMED.items() if role in found and tables.get(key)}
    texts = {one.path: plain(one.content) for one in found.values()}
    texts[enquiry] = with_fields(texts[enquiry], {key: to for key, to in named.items() if to != tables[key]})
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path, text in texts.items():
            target = folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(text, encoding="utf-8", newline="")
        papers = papers_of_file(folder / enquiry, folder / found["pump"].path if "pump" in found else None)
    return KeptPapers(project, papers, found)


def save_papers(store: Store, user: User, kept: KeptPapers, papers: Papers, *,
                reason: str = "") -> tuple[Saved | Conflict, ...]:
    """Save what was changed on the desk to the documents it belongs to; the texts keep their comments and order.

    A pump or practice that the project does not have yet becomes a new document, and the enquiry names it.
    """
    outcomes = []
    enquiry = kept.revisions["enquiry"]
    changes = list(differences(kept.papers.enquiry, papers.enquiry))
    for role in _FOLDERS:
        content, old = getattr(papers, role), kept.revisions.get(role)
        path = old.path if old is not None else _new_path(store, kept.project, enquiry.path, role)
        if content and (old is None or differences(old.content, content)):
            text = content if old is None else applied(old.content, list(differences(old.content, content)))
            outcomes.append(save(store, user, kept.project, path, text, based_on=old.number if old else None,
                                 reason=reason))
        named = tables_of(enquiry.content).get(_NAMED[role], "")
        if not content and named:
            changes.append(Change((_NAMED[role],), named, ABSENT))
        elif content and _beside(enquiry.path, named) != path:
            changes.append(Change((_NAMED[role],), named or ABSENT,
                                  posixpath.relpath(path, posixpath.dirname(enquiry.path) or ".")))
    if (liquid := kept.revisions.get("liquid")) is not None:
        of_liquid = [change for change in changes if change.way[0] == "liquid"]
        changes = [change for change in changes if change not in of_liquid]
        if of_liquid:
            outcomes.append(save(store, user, kept.project, liquid.path, applied(liquid.content, of_liquid),
                                 based_on=liquid.number, reason=reason))
    content = applied(enquiry.content, changes)
    if content != enquiry.content:
        outcomes.append(save(store, user, kept.project, enquiry.path, content, based_on=enquiry.number, reason=reason))
    return tuple(outcomes)


def keep_record(store: Store, user: User, kept: KeptPapers, record: Record) -> KeptRating:
    """Keep the record of a rating of papers that are saved as they were rated."""
    return keep_rating(store, user, kept.project, kept.revisions["enquiry"].path, record.model_dump_json(),
                       kept.made_from)


def rate_and_keep(store: Store, user: User, project: str, enquiry: str, *, pump: str | None = None) -> KeptRating:
    """Rate the newest revision of an enquiry of a project with all it names, and keep the rating."""
    require(user, "engineer", "keep a rating")
    kept = kept_papers(store, project, enquiry, pump=pump)
    return keep_record(store, user, kept, rate_papers(kept.papers).record)


def issue_record(store: Store, user: User, kept: KeptPapers, record: Record, *, letter: str, reason: str,
                 files: Mapping[str, bytes]) -> Issue:
    """Keep the record of a rating of saved papers and issue it under a letter with its files.

    Raises
    ------
    NotAllowed
        The role of the user is not that of an approver.
    InputError
        Somebody saved a newer revision or issued under that letter in between.
    """
    require(user, "approver", "issue a rating")
    _require_newest(store, kept.project, kept.made_from)
    rated = keep_record(store, user, kept, record)
    return issue(store, user, kept.project, kept.revisions["enquiry"].path, rated.id, reason=reason, files=files,
                 letter=letter)


def issue_rating(store: Store, user: User, project: str, enquiry: str, number: int, *, letter: str, reason: str,
                 files: Callable[[Rated], Mapping[str, bytes]]) -> Issue:
    """Issue a rating that is kept under a letter, with the files that are set from it.

    Parameters
    ----------
    number : int
        Which rating of the enquiry.
    letter : str
        The next one, which stands in the files; asking twice for the same letter issues once.
    files : function
        Sets what goes out, by name.

    Raises
    ------
    NotAllowed
        The role of the user is not that of an approver.
    NotKnown
        The enquiry has no such rating.
    InputError
        A newer revision is there, the letter is not the next one, or this program rates otherwise by now.
    """
    require(user, "approver", "issue a rating")
    kept = next((one for one in ratings(store, project, enquiry) if one.id == number), None)
    if kept is None:
        raise NotKnown(f"is not a rating of {enquiry}", field="rating", value=str(number))
    following = next_letter(store, project, enquiry)
    if letter != following:
        raise InputError("is not the next letter of this enquiry", field="letter", value=f'"{letter}"',
                         do=f"look at the issues, then issue under {following}")
    _require_newest(store, project, {role: (one.path, one.number) for role, one in kept.made_from.items()})
    pump = kept.made_from.get("pump")
    rated = rate_papers(kept_papers(store, project, enquiry, pump=pump.path if pump else None).papers)
    if rated.record.model_dump_json() != kept.record:
        raise InputError("is not what this program computes from the same revisions", field="rating",
                         value=str(number), why="it was kept by another version of the program",
                         do="rate again, look at the rating, and issue that one")
    return issue(store, user, project, enquiry, number, reason=reason, files=files(rated), letter=letter)


def _require_newest(store: Store, project: str, made_from: Mapping[str, tuple[str, int]]) -> None:
    """Refuse a rating of a revision that is not the newest any more."""
    for path, number in made_from.values():
        newest = revision(store, project, path)
        if newest.number != number:
            raise InputError(f"is revision {newest.number} by now; the rating is of revision {number}",
                             field=path, do="open the enquiry anew and look at the rating before it is issued")


def _beside(path: str, named: str) -> str:
    """The path of a document that another one names, as from file to file."""
    return posixpath.normpath(posixpath.join(posixpath.dirname(path), named)) if named else ""


def _new_path(store: Store, project: str, enquiry: str, role: str) -> str:
    taken = {entry.path for entry in documents(store, project, with_retired=True)}
    stem = posixpath.splitext(posixpath.basename(enquiry))[0]
    names = (f"{_FOLDERS[role]}/{stem}{f'_{number}' if number > 1 else ''}.toml" for number in range(1, 10_000))
    return next(name for name in names if name not in taken)

