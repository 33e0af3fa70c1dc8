"""What two people do to the same documents from their desks: nothing is overwritten, nothing typed is lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wetpath.errors import InputError
from wetpath.faces.web.shelf import Opened, Shelf
from wetpath.services.projects import (
    DEMO_PROJECT,
    Store,
    User,
    add_user,
    issue_record,
    keep_record,
    open_projects,
    revision,
    save,
)

PATH, KEY, FLOW = "enquiries/butane_reflux.toml", "butane_reflux", "enquiry:cases[1].flow"
PASSWORD = "four words in a row"


@pytest.fixture
def store(tmp_path: Path):
    opened = open_projects(f"sqlite:///{tmp_path}/wetpath.sqlite")
    yield opened
    opened.close()


@pytest.fixture
def ada(store: Store) -> User:
    return add_user(store, "Ada", PASSWORD, "approver")


@pytest.fixture
def bob(store: Store) -> User:
    return add_user(store, "Bob", PASSWORD)


def saved_by(store: Store, user: User, path: str, old: str, new: str) -> None:
    seen = revision(store, DEMO_PROJECT, path)
    assert old in seen.content
    save(store, user, DEMO_PROJECT, path, seen.content.replace(old, new, 1), based_on=seen.number)


def typed(opened: Opened, path: str, value: str) -> None:
    opened.desk.take(opened.desk.papers.with_value(path, value))


def test_a_pump_that_somebody_else_saved_is_neither_overwritten_nor_claimed(store: Store, ada: User, bob: User) -> None:
    shelf = Shelf(store)
    opened = shelf.take(ada, KEY)
    pump = opened.kept.revisions["pump"].path
    was = opened.desk.papers.value("pump:name")
    saved_by(store, bob, pump, f'name = "{was}"', 'name = "Changed by Bob"')
    typed(opened, FLOW, "46 m3/h")
    assert shelf.save(ada, opened, "duty") == ()
    kept = keep_record(store, ada, opened.kept, opened.desk.rated.record)
    assert kept.made_from["pump"].number == 1, "the rating is said to be of a pump it was not made with"
    with pytest.raises(InputError, match="is revision 2 by now"):
        issue_record(store, ada, opened.kept, opened.desk.rated.record, letter="A", reason="", files={})
    typed(opened, FLOW, "47 m3/h")
    assert shelf.save(ada, opened, "duty again") == ()
    assert 'name = "Changed by Bob"' in revision(store, DEMO_PROJECT, pump).content
    typed(opened, "pump:name", "Changed by Ada")
    (conflict,) = shelf.save(ada, opened, "name")
    assert (conflict.theirs.author, [one.field for one in conflict.merge.clashes]) == ("Bob", ["name"])
    again = Shelf(store).take(ada, KEY)
    assert again.desk.papers.value("pump:name") == "Changed by Ada"


def test_a_draft_is_saved_on_top_of_the_revisions_it_was_begun_from(store: Store, ada: User, bob: User) -> None:
    opened = (shelf := Shelf(store)).take(ada, KEY)
    title = opened.desk.papers.value("enquiry:title")
    typed(opened, FLOW, "46 m3/h")
    shelf.keep_draft(ada, opened)
    saved_by(store, bob, PATH, f'title = "{title}"', 'title = "By Bob"')
    later = (shelf := Shelf(store)).take(ada, KEY)              # the server was started anew
    assert later.desk.papers.value(FLOW) == "46 m3/h"
    (conflict,) = shelf.save(ada, later, "duty")
    assert (conflict.merge.complete, conflict.theirs.author) == (True, "Bob")
    assert revision(store, DEMO_PROJECT, PATH).author == "Bob"


def test_a_conflict_keeps_the_whole_desk_as_the_draft(store: Store, ada: User, bob: User) -> None:
    opened = (shelf := Shelf(store)).take(ada, KEY)
    flow = opened.desk.papers.value(FLOW)
    typed(opened, FLOW, "46 m3/h")
    saved_by(store, bob, PATH, f'flow = "{flow}"', 'flow = "44 m3/h"')
    assert len(shelf.save(ada, opened, "duty")) == 1
    later = Shelf(store).take(ada, KEY)
    assert (later.desk.papers.value(FLOW), later.drafted is not None) == ("46 m3/h", True)


def test_undo_does_not_lead_behind_what_was_brought_together(store: Store, ada: User, bob: User) -> None:
    opened = (shelf := Shelf(store)).take(ada, KEY)
    title = opened.desk.papers.value("enquiry:title")
    typed(opened, FLOW, "46 m3/h")
    saved_by(store, bob, PATH, f'title = "{title}"', 'title = "By Bob"')
    conflicts = shelf.save(ada, opened, "duty")
    assert shelf.save_merged(ada, opened, conflicts, "duty")
    assert (opened.desk.papers.value("enquiry:title"), opened.desk.papers.value(FLOW)) == ("By Bob", "46 m3/h")
    assert not opened.desk.undo()


def test_a_draft_in_which_nothing_is_left_shows_the_newest_revision(store: Store, ada: User, bob: User) -> None:
    opened = (shelf := Shelf(store)).take(ada, KEY)
    typed(opened, FLOW, "46 m3/h")
    opened.desk.undo()
    shelf.keep_draft(ada, opened)
    saved_by(store, bob, PATH, 'title = "', 'title = "By Bob: ')
    for here in (shelf, Shelf(store)):
        assert here.take(ada, KEY).desk.papers.value("enquiry:title").startswith("By Bob")


def test_a_name_that_leads_round_and_a_text_with_a_mark_are_read(store: Store, bob: User) -> None:
    from wetpath.services.projects import kept_papers

    content = revision(store, DEMO_PROJECT, PATH).content
    pump = next(line for line in content.splitlines() if line.startswith("pump_file"))
    save(store, bob, DEMO_PROJECT, "practices/p.toml", '\ufeffwetpath = "practice/1"\nname = "Works"\n', based_on=None)
    text = "\ufeff" + content.replace(pump, f'{pump}\npractice_file = "nowhere/../../practices/p.toml"')
    save(store, bob, DEMO_PROJECT, "enquiries/b.toml", text, based_on=None)
    papers = kept_papers(store, DEMO_PROJECT, "enquiries/b.toml").papers
    assert papers.practice.startswith("wetpath"), json.dumps(papers.practice)
    assert "practice_file" not in papers.enquiry
