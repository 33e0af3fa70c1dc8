"""Differences by fields, edits that keep the text around them, merges of what does not clash."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetpath.errors import InputError
from wetpath.services.demo import demo_folder
from wetpath.store.differences import differences, told, value_at
from wetpath.store.documents import tables_of
from wetpath.store.edits import applied, way_of, with_fields
from wetpath.store.merging import merge

TEXT = (demo_folder() / "enquiries" / "butane_reflux.toml").read_text(encoding="utf-8")
ALL = sorted(demo_folder().glob("*s/*.toml"))
LEAVES = ["title", "note", "service", "site.altitude", "site.zone", 'cases["A normal"].flow', 'cases["A normal"].head',
          'cases["B hot day"].flow', "acceptance_grade", "protection.restarts_hot", "site.frequency"]
#: Tables of names and values for changes made at random; none of them needs to be valid.
EDITS = st.dictionaries(st.sampled_from(LEAVES), st.one_of(
    st.none(), st.integers(-9, 9), st.booleans(), st.text(st.characters(codec="utf-8"), max_size=8)), max_size=5)
#: Fields with a default, which may be given or not and mean the same.
SPELT_OTHERWISE = {"note", "site.zone", "acceptance_grade", "protection.restarts_hot", "site.frequency"}


def words(before: str, after: str) -> list[str]:
    return [str(change) for change in differences(before, after)]


def test_a_value_spelt_otherwise_is_no_change() -> None:
    for field, value in ((LEAVES[5], "0.0125 m3/s"), ("site.altitude", "0.05 km"), ("site.frequency", 50),
                         ("acceptance_grade", "")):
        assert words(TEXT, with_fields(TEXT, {field: value})) == []
    assert str(told(TEXT, "# seen\n" + TEXT)[0]) == "no value: only comments, order of fields or spelling"
    assert told(TEXT, TEXT) == ()
    assert str(told(None, TEXT)[0]) == "first revision"


def test_entries_are_followed_by_their_names() -> None:
    shorter = applied(TEXT, list(differences(TEXT, TEXT.replace('[[cases]]\nname = "B hot day"\nflow = "48 m3/h"\n'
                                                                'temperature = "56 degC"\n'
                                                                'suction_pressure = "6.1 bar a"\n', ""))))
    assert words(TEXT, shorter) == ['cases["B hot day"] a table of 4 -> not given']
    assert words(shorter, TEXT)[0] == 'cases["B hot day"] not given -> a table of 4'


def test_the_order_of_entries_is_a_change() -> None:
    blocks = TEXT.split("[[cases]]")
    turned = "[[cases]]".join([blocks[0], blocks[2], blocks[1], *blocks[3:]])
    (change,) = differences(TEXT, turned)
    assert (change.field, change.order) == ("cases", True)
    assert tomllib.loads(applied(TEXT, [change])) == tomllib.loads(turned)


def test_an_edit_keeps_comments_order_and_line_ends() -> None:
    text = '# top\r\nflow = "45 m3/h"   # by phone\r\n\r\n[site]   # where\r\naltitude  =  "50 m" # survey\r\n# end\r\n'
    assert with_fields(text, {"flow": "60 m3/h", "site.altitude": "70 m"}) == text.replace(
        "45 m3/h", "60 m3/h").replace('"50 m"', '"70 m"')
    assert with_fields("\ufeff" + text, {"flow": "60 m3/h"})[0] == "\ufeff"


@pytest.mark.parametrize("field", ["", ".a", "a..b", "a[0]", "a[x]", 'a["b', "a b"])
def test_what_is_no_field_is_refused(field: str) -> None:
    with pytest.raises(InputError):
        with_fields(TEXT, {field: 1}) if field else way_of("a.")


def test_an_edit_that_leads_nowhere_is_refused() -> None:
    with pytest.raises(InputError, match="leads to no place in this text"):
        with_fields(TEXT, {'cases["Z"].flow': "1 m3/h"})


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.stem)
def test_a_value_of_any_file_can_be_set_alone(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    found = leaves(tables_of(text))
    for field, value in found[::max(1, len(found) // 25)]:
        after = with_fields(text, {field: f"{value} ?"})
        assert value_at(tables_of(after), way_of(field)) == f"{value} ?", field
        differing = [pair for pair in zip(lines, after.splitlines(), strict=True) if pair[0] != pair[1]]
        assert len(differing) == 1, (field, differing)


def leaves(tables: object, field: str = "") -> list[tuple[str, str]]:
    if isinstance(tables, dict):
        return [leaf for key, value in tables.items() for leaf in leaves(value, f"{field}.{key}" if field else key)]
    if isinstance(tables, list):
        return [leaf for number, value in enumerate(tables, start=1) if isinstance(value, dict)
                for leaf in leaves(value, f"{field}[{number}]")]
    return [(field, tables)] if isinstance(tables, str) and "\n" not in tables else []


@settings(max_examples=60, deadline=None)
@given(EDITS)
def test_differences_lead_from_one_text_to_the_other(edits: dict[str, object]) -> None:
    after = with_fields(TEXT, edits)
    reached = applied(TEXT, list(differences(TEXT, after)))
    assert differences(reached, after) == ()
    for field in edits:      # what is left is the same value spelt otherwise
        one, other = (value_at(tables_of(text), way_of(field)) for text in (reached, after))
        assert repr(one) == repr(other) or field in SPELT_OTHERWISE


@settings(max_examples=60, deadline=None)
@given(EDITS, EDITS)
def test_a_merge_takes_each_side_where_the_other_did_nothing(mine: dict[str, object],
                                                             theirs: dict[str, object]) -> None:
    offered = merge(TEXT, with_fields(TEXT, mine), with_fields(TEXT, theirs))
    found = tables_of(offered.content)
    clashing = {clash.field for clash in offered.clashes}
    for field in {*mine, *theirs}:
        base, one, other = (value_at(tables_of(with_fields(TEXT, edits)), way_of(field))
                            for edits in ({}, mine, theirs))
        merged = value_at(found, way_of(field))
        if field in SPELT_OTHERWISE:
            continue
        if repr(other) == repr(base):
            assert repr(merged) == repr(one)
            assert field not in clashing
        else:
            assert repr(merged) == repr(other)      # theirs stands, also where it clashes
            assert (field in clashing) == (repr(one) not in (repr(base), repr(other)))


def test_mine_is_taken_in_a_clash_when_asked() -> None:
    mine, theirs = with_fields(TEXT, {LEAVES[5]: "50 m3/h"}), with_fields(TEXT, {LEAVES[5]: "60 m3/h"})
    assert merge(TEXT, mine, theirs, prefer_mine={LEAVES[5]}).content == mine
    assert merge(TEXT, mine, theirs).content == theirs


def test_both_with_the_same_change_do_not_clash() -> None:
    both = with_fields(TEXT, {LEAVES[5]: "50 m3/h"})
    assert merge(TEXT, both, both).complete


def test_a_removed_entry_clashes_with_a_change_inside_it() -> None:
    mine = applied(TEXT, list(differences(TEXT, TEXT[:TEXT.index('[[cases]]\nname = "D')])))
    offered = merge(TEXT, mine, with_fields(TEXT, {'cases["D cold start"].flow': "41 m3/h"}))
    (clash,) = offered.clashes
    assert (clash.field, clash.mine, clash.theirs) == (
        'cases["D cold start"]', "not given", 'cases["D cold start"].flow 40 m3/h -> 41 m3/h')


def test_a_merge_that_is_not_valid_as_a_whole_says_so() -> None:
    mine = with_fields(TEXT, {'cases["A normal"].above_vapour_pressure': "0.5 bar",
                              'cases["A normal"].suction_pressure': None})
    theirs = with_fields(TEXT, {'cases["A normal"].suction_pressure': None, 'cases["A normal"].vessel.boiling': True,
                                'cases["A normal"].vessel.level': "4 m", 'cases["A normal"].vessel.line_loss': "0.5 m"})
    offered = merge(TEXT, mine, theirs)
    assert offered.clashes == ()
    assert not offered.complete
    assert "give one of them" in offered.problem
