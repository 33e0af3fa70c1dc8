"""Two changed texts of one document brought together, field by field."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from wetpath.errors import InputError
from wetpath.store.differences import Change, differences, same, value_text
from wetpath.store.documents import read_document
from wetpath.store.edits import applied


@dataclass(frozen=True)
class Clash:
    """A field that both sides changed, each in its own way."""

    field: str
    base: str
    mine: str
    theirs: str


@dataclass(frozen=True)
class Merge:
    """Theirs with what only I changed put into it. It is an offer: nothing is saved.

    ``content`` holds their value in every field that clashes. ``problem`` tells what is wrong with ``content`` as a
    whole, where each side was right by itself.
    """

    content: str
    mine: tuple[str, ...]
    theirs: tuple[str, ...]
    clashes: tuple[Clash, ...]
    problem: str = ""

    @property
    def complete(self) -> bool:
        """Whether it may be saved as it stands."""
        return not self.clashes and not self.problem


def merge(base: str, mine: str, theirs: str, *, prefer_mine: Collection[str] = ()) -> Merge:
    """Bring two texts together that were both made from ``base``.

    Parameters
    ----------
    base, mine, theirs : str
        TOML texts of one document.
    prefer_mine : collection of str
        Fields, as the clashes name them, in which mine is taken.
    """
    my_changes, their_changes = differences(base, mine), differences(base, theirs)
    taken: list[Change] = []
    clashes: list[Clash] = []
    for change in my_changes:
        against = [other for other in their_changes if _touch(change, other)]
        if any(_agree(change, other) for other in against):
            continue
        if change.order and not against:
            # A new order cannot be put into another text; only the user can say where entries go.
            clashes.append(Clash(change.field, value_text(change.before), value_text(change.after),
                                 value_text(change.before)))
        elif not against or (change.field in prefer_mine and not change.order):
            taken.append(change)
        else:
            clashes.append(Clash(change.field, value_text(change.before), value_text(change.after),
                                 "; ".join(map(str, against)) if len(against) > 1 or against[0].way != change.way
                                 else value_text(against[0].after)))
    content, problem = theirs, ""
    try:
        content = applied(theirs, taken)
        read_document(content)
    except InputError as error:
        problem = str(error)
    return Merge(content, tuple(map(str, taken)), tuple(map(str, their_changes)), tuple(clashes), problem)


def _touch(one: Change, other: Change) -> bool:
    shared = min(len(one.way), len(other.way))
    return one.order == other.order and one.way[:shared] == other.way[:shared]


def _agree(one: Change, other: Change) -> bool:
    return one.way == other.way and same(one.after, other.after)
