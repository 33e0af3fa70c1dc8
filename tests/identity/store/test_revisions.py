"""Every save is a revision; nothing is lost, overwritten or deleted; who saves at once is told."""

from __future__ import annotations

import hashlib
import threading
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from wetpath.errors import FileProblems, InputError
from wetpath.store.accounts import User, add_user, local_user
from wetpath.store.drafts import draft
from wetpath.store.edits import with_fields
from wetpath.store.errors import DatabaseError, NotAllowed, NotKnown
from wetpath.store.opening import Store
from wetpath.store.ratings import issue, issues, keep_rating, rating, ratings
from wetpath.store.revisions import (
    Conflict,
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

PATH = "enquiries/reflux.toml"
FLOW, HEAD = 'cases["A normal"].flow', 'cases["A normal"].head'
RECORD = '{"wetpath": "rating/1"}'


def saved(outcome: Saved | Conflict) -> Saved:
    assert isinstance(outcome, Saved)
    return outcome


def test_a_revision_holds_all_that_is_asked_of_it(store: Store, engineer: User, works: str, text_1: str) -> None:
    before = datetime.now(UTC)
    text_2 = with_fields(text_1, {FLOW: "60 m3/h"})
    kept = saved(save(store, engineer, works, PATH, text_2, based_on=1, reason="duty changed")).revision
    assert (kept.number, kept.parent, kept.author, kept.reason, kept.kind) == (
        2, 1, engineer.name, "duty changed", "enquiry")
    assert kept.content == text_2
    assert kept.sha256 == hashlib.sha256(text_2.encode()).hexdigest()
    assert [str(change) for change in kept.changes] == ['cases["A normal"].flow 45 m3/h -> 60 m3/h']
    assert kept.at.utcoffset() == timedelta(0)
    assert before <= kept.at <= datetime.now(UTC)
    assert revision(store, works, PATH) == kept
    assert [one.number for one in history(store, works, PATH)] == [2, 1]
    assert history(store, works, PATH)[1].content == text_1


def test_the_same_content_makes_no_revision(store: Store, engineer: User, works: str, text_1: str) -> None:
    outcome = saved(save(store, engineer, works, PATH, text_1, based_on=1))
    assert (outcome.new, outcome.revision.number) == (False, 1)


def test_bytes_come_back_as_they_were(store: Store, engineer: User, works: str, text_1: str) -> None:
    odd = "\ufeff" + text_1.replace("\n", "\r\n").replace("Butane reflux", "Butane ≈ reflux 🜂")
    save(store, engineer, works, "enquiries/odd.toml", odd, based_on=None)
    assert revision(store, works, "enquiries/odd.toml").content == odd


def test_an_older_base_is_a_conflict_with_an_offer(store: Store, engineer: User, works: str, text_1: str) -> None:
    theirs, mine = with_fields(text_1, {FLOW: "60 m3/h"}), with_fields(text_1, {HEAD: "58 m"})
    save(store, engineer, works, PATH, theirs, based_on=1)
    outcome = save(store, engineer, works, PATH, mine, based_on=1)
    assert isinstance(outcome, Conflict)
    assert outcome.base is not None
    assert (outcome.base.content, outcome.mine, outcome.theirs.content) == (text_1, mine, theirs)
    assert outcome.merge.complete
    assert outcome.merge.content == with_fields(theirs, {HEAD: "58 m"})
    assert revision(store, works, PATH).content == theirs             # nothing is merged silently
    kept = draft(store, engineer, works, PATH)
    assert kept is not None
    assert (kept.content, kept.based_on) == (mine, 1)                 # and mine is not lost
    saved(save(store, engineer, works, PATH, outcome.merge.content, based_on=outcome.theirs.number))
    assert draft(store, engineer, works, PATH) is None


def test_a_field_changed_by_both_is_named(store: Store, engineer: User, works: str, text_1: str) -> None:
    save(store, engineer, works, PATH, with_fields(text_1, {FLOW: "60 m3/h"}), based_on=1)
    outcome = save(store, engineer, works, PATH, with_fields(text_1, {FLOW: "50 m3/h", HEAD: "58 m"}), based_on=1)
    assert isinstance(outcome, Conflict)
    assert not outcome.merge.complete
    (clash,) = outcome.merge.clashes
    assert (clash.field, clash.base, clash.mine, clash.theirs) == (FLOW, "45 m3/h", "50 m3/h", "60 m3/h")
    assert outcome.merge.content == with_fields(text_1, {FLOW: "60 m3/h", HEAD: "58 m"})


def test_of_many_that_save_at_once_one_wins_and_the_others_are_told(store: Store, works: str, text_1: str) -> None:
    people = [add_user(store, f"engineer {number}", "a long enough one") for number in range(8)]
    outcomes: list[Saved | Conflict] = []
    errors: list[Exception] = []
    together = threading.Barrier(len(people))

    def work(user: User, number: int) -> None:
        try:
            together.wait()
            outcomes.append(save(store, user, works, PATH, with_fields(text_1, {FLOW: f"{50 + number} m3/h"}),
                                 based_on=1))
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=work, args=(user, number)) for number, user in enumerate(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert sum(isinstance(outcome, Saved) for outcome in outcomes) == 1
    assert [one.number for one in history(store, works, PATH)] == [2, 1]
    assert sum(draft(store, user, works, PATH) is not None for user in people) == len(people) - 1


def test_many_that_go_on_from_the_conflict_lose_nothing(store: Store, engineer: User, works: str, text_1: str) -> None:
    names = [f'cases["{name}"].flow' for name in ("A normal", "B hot day", "C turn-down, low drum", "D cold start")]

    def work(field: str) -> None:
        outcome = save(store, engineer, works, PATH, with_fields(text_1, {field: "33 m3/h"}), based_on=1)
        while isinstance(outcome, Conflict):
            outcome = save(store, engineer, works, PATH, outcome.merge.content, based_on=outcome.theirs.number)

    threads = [threading.Thread(target=work, args=(field,)) for field in names]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert revision(store, works, PATH).content == with_fields(text_1, dict.fromkeys(names, "33 m3/h"))
    assert [one.number for one in history(store, works, PATH)] == [5, 4, 3, 2, 1]


def test_two_that_make_the_same_document_at_once(store: Store, engineer: User, works: str, text_1: str) -> None:
    outcomes: list[Saved | Conflict] = []
    together = threading.Barrier(2)

    def work(flow: str) -> None:
        together.wait()
        outcomes.append(save(store, engineer, works, "enquiries/new.toml", with_fields(text_1, {FLOW: flow}),
                             based_on=None))

    threads = [threading.Thread(target=work, args=(flow,)) for flow in ("50 m3/h", "60 m3/h")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(type(outcome).__name__ for outcome in outcomes) == ["Conflict", "Saved"]


def test_undo_is_a_new_revision_with_the_former_content(store: Store, engineer: User, works: str, text_1: str) -> None:
    text_2 = with_fields(text_1, {FLOW: "60 m3/h"})
    save(store, engineer, works, PATH, text_2, based_on=1)
    kept = saved(undo(store, engineer, works, PATH, based_on=2)).revision
    assert (kept.number, kept.parent, kept.content, kept.reason) == (3, 2, text_1, "undo of 2")
    assert [str(change) for change in kept.changes] == ['cases["A normal"].flow 60 m3/h -> 45 m3/h']
    assert saved(restore(store, engineer, works, PATH, 2, based_on=3)).revision.content == text_2
    assert isinstance(undo(store, engineer, works, PATH, based_on=2), Conflict)
    with pytest.raises(InputError, match="is the first revision"):
        undo(store, engineer, works, PATH, based_on=1)


@pytest.mark.parametrize("statement", [
    "UPDATE revision SET content = 'x'", "DELETE FROM revision", "UPDATE project SET name = 'x'",
    "DELETE FROM document", "UPDATE document SET path = 'x'", "DELETE FROM rating", "UPDATE rating SET record = 'x'",
    "UPDATE issue SET number = 9", "DELETE FROM issue", "UPDATE issued_file SET content = ''",
    "DELETE FROM issued_file", "UPDATE retirement SET retired = NOT retired", "DELETE FROM retirement"])
def test_the_database_itself_refuses_to_change_what_is_kept(store: Store, engineer: User, works: str,
                                                            statement: str) -> None:
    kept = keep_rating(store, engineer, works, PATH, RECORD, {"enquiry": (PATH, 1)})
    issue(store, engineer, works, PATH, kept.id, files={"sheet.pdf": b"%PDF"})
    retire(store, engineer, works, PATH)
    with pytest.raises(DBAPIError, match="are kept as they are"), store.writing() as session:
        session.execute(text(statement))


def test_not_even_by_replacing(store: Store, works: str) -> None:
    if store.engine.dialect.name == "sqlite":
        with pytest.raises(DBAPIError, match="are kept as they are"), store.writing() as session:
            session.execute(text(
                "INSERT OR REPLACE INTO revision (id, document_id, number, author_id, at, reason, content, sha256, "
                "changes) SELECT id, document_id, number, author_id, at, reason, 'x', sha256, changes FROM revision"))
    else:
        with pytest.raises(DBAPIError, match="are kept as they are"), store.writing() as session:
            session.execute(text("TRUNCATE revision CASCADE"))


def test_retired_is_out_of_the_lists_and_still_there(store: Store, engineer: User, works: str, text_1: str) -> None:
    retire(store, engineer, works, PATH, reason="order lost")
    assert documents(store, works) == ()
    (entry,) = documents(store, works, with_retired=True)
    assert (entry.path, entry.retired) == (PATH, True)
    assert revision(store, works, PATH).content == text_1
    with pytest.raises(InputError, match="is retired\n  do:  put it back first"):
        save(store, engineer, works, PATH, with_fields(text_1, {FLOW: "60 m3/h"}), based_on=1)
    retire(store, engineer, works, PATH, back=True)
    assert [entry.path for entry in documents(store, works, kind="enquiry")] == [PATH]
    assert documents(store, works, kind="pump") == ()


def test_what_is_not_valid_is_not_saved(store: Store, engineer: User, works: str, text_1: str) -> None:
    with pytest.raises(FileProblems, match="flow"):
        save(store, engineer, works, PATH, with_fields(text_1, {FLOW: "60 parsecs"}), based_on=1)
    with pytest.raises(FileProblems, match="this is not TOML"):
        save(store, engineer, works, PATH, "= = =", based_on=1)
    with pytest.raises(FileProblems, match="is of the kind"):
        save(store, engineer, works, PATH, 'wetpath = "practice/1"\nname = "x"\n', based_on=1)
    assert [one.number for one in history(store, works, PATH)] == [1]


@pytest.mark.parametrize("path", ["../a.toml", "/a.toml", "a", "a\\b.toml", "a//b.toml", "c:/a.toml", "a/./b.toml",
                                  "con.toml", "a\x00.toml", "x" * 250 + ".toml", "a /b.toml"])
def test_paths_that_could_lead_out_are_refused(store: Store, engineer: User, works: str, text_1: str,
                                               path: str) -> None:
    with pytest.raises(InputError, match="is not the path of a document"):
        save(store, engineer, works, path, text_1, based_on=None)


def test_what_is_not_there_is_told(store: Store, engineer: User, works: str, text_1: str) -> None:
    with pytest.raises(NotKnown, match='project = "Other" is not a project here'):
        documents(store, "Other")
    with pytest.raises(NotKnown, match=r'path = "a\.toml" is not a document of Works'):
        revision(store, works, "a.toml")
    with pytest.raises(NotKnown, match=r"revision = 7 is not a revision of enquiries/reflux.toml"):
        revision(store, works, PATH, 7)
    with pytest.raises(NotKnown):
        save(store, engineer, works, "a.toml", text_1, based_on=3)
    with pytest.raises(NotKnown):
        documents(store, "nul \x00 and half \ud800")
    with pytest.raises(InputError, match="is there already"):
        create_project(store, engineer, works)
    assert [project.name for project in projects(store)] == [works]


def test_readers_read_engineers_save_approvers_issue(store: Store, works: str, text_1: str) -> None:
    reader, engineer = add_user(store, "R", "a long enough one", "reader"), add_user(store, "E", "a long enough one")
    with pytest.raises(NotAllowed) as raised:
        save(store, reader, works, PATH, text_1, based_on=1)
    assert str(raised.value) == ('"R" may not save enquiries/reflux.toml: the role is reader, needed is engineer\n'
                                 "  do:  ask somebody who has that role")
    for refused in (lambda: create_project(store, reader, "Q"), lambda: retire(store, reader, works, PATH),
                    lambda: keep_rating(store, reader, works, PATH, RECORD, {"enquiry": (PATH, 1)})):
        with pytest.raises(NotAllowed):
            refused()
    kept = keep_rating(store, engineer, works, PATH, RECORD, {"enquiry": (PATH, 1)})
    with pytest.raises(NotAllowed):
        issue(store, engineer, works, PATH, kept.id)


def test_issues_go_by_letters_and_stay(store: Store, engineer: User, works: str, text_1: str) -> None:
    first = keep_rating(store, engineer, works, PATH, RECORD, {"enquiry": (PATH, 1)})
    assert first.made_from["enquiry"].sha256 == hashlib.sha256(text_1.encode()).hexdigest()
    sent = issue(store, engineer, works, PATH, first.id, reason="for approval", files={"sheet.pdf": b"%PDF\x00\xff"})
    save(store, engineer, works, PATH, with_fields(text_1, {FLOW: "60 m3/h"}), based_on=1)
    second = keep_rating(store, engineer, works, PATH, '{"wetpath": "rating/1", "a": 1}', {"enquiry": (PATH, 2)})
    issue(store, engineer, works, PATH, second.id)
    later, earlier = issues(store, works, PATH)
    assert (later.letter, earlier.letter) == ("B", "A")
    assert earlier == sent
    assert earlier.files[0].content == b"%PDF\x00\xff"
    assert earlier.rating == first
    assert [one.id for one in ratings(store, works, PATH)] == [second.id, first.id]


def test_letters_do_not_repeat_when_many_issue_at_once(store: Store, works: str) -> None:
    user = local_user(store)
    kept = keep_rating(store, user, works, PATH, RECORD, {"enquiry": (PATH, 1)})
    threads = [threading.Thread(target=issue, args=(store, user, works, PATH, kept.id)) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.letter for one in issues(store, works, PATH)] == list("FEDCBA")


def test_a_record_that_was_tampered_with_is_told(store: Store, engineer: User, works: str) -> None:
    kept = keep_rating(store, engineer, works, PATH, RECORD, {"enquiry": (PATH, 1)})
    with store.writing() as session:      # by somebody who may take triggers away
        session.execute(text("DROP TRIGGER rating_kept_update" if store.engine.dialect.name == "sqlite"
                             else "DROP TRIGGER rating_kept_row ON rating"))
        session.execute(text("UPDATE rating SET record = '{}'"))
    with pytest.raises(DatabaseError, match="is not as it was kept: its SHA-256 differs"):
        rating(store, kept.id)


@pytest.mark.parametrize("record", ["", "[]", "{", '{"wetpath": "window/1"}'])
def test_only_records_of_ratings_are_kept(store: Store, engineer: User, works: str, record: str) -> None:
    with pytest.raises(InputError, match="is not the record of a rating"):
        keep_rating(store, engineer, works, PATH, record, {"enquiry": (PATH, 1)})
