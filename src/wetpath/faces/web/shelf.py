"""Where the pages take enquiries from and put them back: projects of the store, desks, drafts."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import datetime
from threading import Lock

from wetpath.errors import FileProblems, UnknownName
from wetpath.faces.web.job import Waiting
from wetpath.services import projects as kept_in
from wetpath.services.desk import Desk, Papers, rate_papers
from wetpath.services.projects import DEMO_PROJECT, Conflict, Draft, KeptPapers, Revision, Saved, Store, User

#: Between the parts of a key: number of the project, then the path of the enquiry.
PARTS = "~"


@dataclass
class Opened:
    """An enquiry on the desk of one user, and where it came from."""

    key: str
    project: str
    path: str
    kept: KeptPapers
    desk: Desk
    drafted: datetime | None = None
    typed: dict[str, str] = field(default_factory=dict)      # not yet accepted, by the path of the field
    waiting: Waiting = field(default_factory=Waiting)         # long work, and views at which its result waits
    turn: asyncio.Lock = field(default_factory=asyncio.Lock)  # changes are made one after the other, also of two pages


class Shelf:
    """The store as one user sees it; what is on a desk stays there while the server runs."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._open: dict[tuple[int, str], Opened] = {}
        self._opening: dict[tuple[int, str], Lock] = {}

    def key_of(self, project: str, path: str) -> str:
        """The key of an enquiry in addresses."""
        number = next(one.id for one in kept_in.projects(self.store) if one.name == project)
        return PARTS.join([str(number), *path.removesuffix(".toml").split("/")])

    def place_of(self, key: str) -> tuple[str, str]:
        """Project and path of a key; a key without a project is an enquiry of the demo."""
        number, _, rest = key.partition(PARTS)
        if not rest:
            return DEMO_PROJECT, f"enquiries/{key}.toml"
        found = next((one.name for one in kept_in.projects(self.store) if str(one.id) == number), None)
        if found is None:
            raise UnknownName("project", number, [str(one.id) for one in kept_in.projects(self.store)])
        return found, f"{rest.replace(PARTS, '/')}.toml"

    def take(self, user: User, key: str) -> Opened:
        """Put an enquiry on the desk of a user, with what was not saved last time."""
        at = user.id, key
        with self._opening.setdefault(at, Lock()):      # two pages opened at once work on the same desk
            if at not in self._open or self._outdated(self._open[at]):
                draft = kept_in.draft(self.store, user, *self.place_of(key))
                opened = self._laid_out(key, _begun_from(draft))
                _bring_draft(opened, draft)
                if draft is not None and not (opened.desk.changed or opened.typed):
                    opened = self._laid_out(key, {})            # nothing is left of it to save
                self._open[at] = opened
            return self._open[at]

    def _laid_out(self, key: str, numbers: Mapping[str, int]) -> Opened:
        """An enquiry on a new desk: the newest revisions, or those whose numbers are given by path."""
        project, path = self.place_of(key)
        kept = kept_in.kept_papers(self.store, project, path, numbers=numbers)
        return Opened(key, project, path, kept, Desk(rate_papers(kept.papers), kept.papers))

    def _outdated(self, opened: Opened) -> bool:
        """Whether somebody saved since an enquiry was put on a desk on which nothing was changed."""
        if opened.desk.changed or opened.desk.tried or opened.typed:
            return False
        return any(kept_in.revision(self.store, opened.project, one.path).number != one.number
                   for one in opened.kept.revisions.values())

    def keep_draft(self, user: User, opened: Opened) -> None:
        """Keep what is on the desk, and what is typed and not accepted, against a crash."""
        if user.may("engineer"):
            begun = {one.path: one.number for one in opened.kept.revisions.values()}
            content = json.dumps({"papers": asdict(opened.desk.papers), "typed": opened.typed, "begun_from": begun})
            kept_in.keep_draft(self.store, user, opened.project, opened.path, content,
                               based_on=opened.kept.revisions["enquiry"].number)

    def drop_draft(self, user: User, opened: Opened) -> None:
        """Go back to what is saved."""
        kept_in.drop_draft(self.store, user, opened.project, opened.path)
        self._open.pop((user.id, opened.key), None)

    def save(self, user: User, opened: Opened, reason: str) -> tuple[Conflict, ...]:
        """Save what is on the desk; what somebody else changed in between comes back as conflicts."""
        outcomes = kept_in.save_papers(self.store, user, opened.kept, opened.desk.papers, reason=reason)
        conflicts = tuple(one for one in outcomes if isinstance(one, Conflict))
        if conflicts:
            self.keep_draft(user, opened)       # a conflict puts the text of one document in its place
            return conflicts
        # What others saved meanwhile of documents not saved here is not on the desk, and not what it is based on.
        revisions = {**opened.kept.revisions,
                     **{one.revision.kind: one.revision for one in outcomes if isinstance(one, Saved)}}
        papers = opened.desk.papers
        opened.kept = KeptPapers(opened.project, papers, {
            role: one for role, one in revisions.items() if getattr(papers, role, True)})
        opened.desk.saved = papers
        self._forget_draft(user, opened)
        return ()

    def save_merged(self, user: User, opened: Opened, conflicts: tuple[Conflict, ...], reason: str) -> bool:
        """Save both sides of conflicts that do not clash; False when somebody was faster again."""
        for one in conflicts:
            path = one.theirs.path
            outcome = kept_in.save(self.store, user, opened.project, path, one.merge.content,
                                   based_on=one.theirs.number, reason=reason)
            if not isinstance(outcome, Saved):
                return False
        opened.kept = kept_in.kept_papers(self.store, opened.project, opened.path)
        opened.desk.take(opened.kept.papers)
        opened.desk.saved = opened.kept.papers
        opened.desk.before.clear()              # the way back would undo what the other one saved
        self._forget_draft(user, opened)
        return True

    def history(self, opened: Opened) -> tuple[Revision, ...]:
        """Revisions of the enquiry and its pump, the newest first."""
        found: list[Revision] = []
        for role in ("enquiry", "pump"):
            if role in opened.kept.revisions:
                found.extend(kept_in.history(self.store, opened.project, opened.kept.revisions[role].path))
        return tuple(sorted(found, key=lambda one: one.at, reverse=True))

    def _forget_draft(self, user: User, opened: Opened) -> None:
        kept_in.drop_draft(self.store, user, opened.project, opened.path)
        opened.drafted, opened.typed = None, {}


def _begun_from(draft: Draft | None) -> dict[str, int]:
    """The revisions that a draft was begun from, by path: it is saved on top of them, not of what came later."""
    if draft is None:
        return {}
    try:
        return {str(path): int(number) for path, number in json.loads(draft.content)["begun_from"].items()}
    except (ValueError, TypeError, KeyError, AttributeError):
        return {}


def _bring_draft(opened: Opened, draft: Draft | None) -> None:
    if draft is None:
        return
    try:
        content = json.loads(draft.content)
        papers = Papers(**content["papers"])
        if papers != opened.desk.papers:
            opened.desk.take(papers)
        opened.typed, opened.drafted = dict(content["typed"]), draft.at
    except (ValueError, TypeError, KeyError, FileProblems):
        return          # a draft of another shape, or of papers that cannot be rated any more, is left where it is
