"""Files read back as written, and every key is found on its line."""

from __future__ import annotations

import contextlib
import tomllib
from typing import Annotated, ClassVar, Literal

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field

from wetpath.edge import fields
from wetpath.edge.fields import GivenViscosity
from wetpath.edge.files import DOCUMENTS, Document, dump_document, json_schema, loads_document, write_schemas
from wetpath.edge.part import Part, drawing
from wetpath.edge.practice import PracticeFile
from wetpath.edge.ranges import Within
from wetpath.edge.toml_places import Places


class Leaf(Part):
    kind: Literal["leaf"]
    length: fields.Length


class Twig(Part):
    kind: Literal["twig"]
    leaves: tuple[Leaf, ...] = ()
    warmest: Annotated[fields.Temperature, Within(upper="2000 degC")] | None = None


class Tree(Document):
    document_kind: ClassVar[str] = "tree"

    title: str
    pressure: fields.Pressure
    offset: fields.Position = drawing("sideways", default=0.0, lower=-1e6)
    shares: fields.RatioList = ()
    flow: fields.VolumeFlowList = drawing("flows", default=(0.0, 0.01))
    viscosity: fields.ViscosityList = drawing("viscosity", default="1 2 cSt")
    part: tuple[Annotated[Leaf | Twig, Field(discriminator="kind")], ...] = ()
    named: dict[str, Leaf] = Field(default_factory=dict)


DOCUMENTS.pop("tree")      # known only here

sizes = st.floats(min_value=1e-6, max_value=1e6)
leaves = st.builds(Leaf, kind=st.just("leaf"), length=sizes)
twigs = st.builds(Twig, kind=st.just("twig"), leaves=st.lists(leaves, max_size=3),
                  warmest=st.none() | st.floats(1, 2000))
texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=20)
trees = st.builds(
    Tree, title=texts, pressure=sizes, offset=st.floats(-10, 10, allow_subnormal=False),
    shares=st.lists(st.floats(-1, 1), max_size=4), flow=st.lists(sizes, max_size=4),
    viscosity=st.builds(GivenViscosity, st.lists(sizes, min_size=1, max_size=3).map(tuple), st.booleans()),
    part=st.lists(leaves | twigs, max_size=4), named=st.dictionaries(texts, leaves, max_size=3))


@given(trees)
def test_a_document_written_and_read_is_equal(tree):
    assert loads_document(dump_document(tree), Tree) == tree


@given(trees)
def test_what_is_written_fulfils_the_published_schema(tree):
    jsonschema.validate(tomllib.loads(dump_document(tree)), json_schema(Tree), jsonschema.Draft202012Validator)


@given(trees)
def test_python_data_of_a_document_builds_it_again(tree):
    assert Tree.model_validate(tree.model_dump()) == tree


def test_schemas_are_valid_and_written(tmp_path, monkeypatch):
    monkeypatch.setitem(DOCUMENTS, "tree", Tree)
    written = write_schemas(tmp_path)
    assert "tree-1.schema.json" in [file.name for file in written]
    for model in (Tree, PracticeFile):
        jsonschema.Draft202012Validator.check_schema(json_schema(model))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"wetpath": "tree/1", "title": "x", "pressure": "12"}, json_schema(Tree))


def _paths(value, path=()):
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key), inner
            yield from _paths(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield (*path, index), inner
            yield from _paths(inner, (*path, index))


TRICKY = r'''# a comment with [table] and "quotes"
a.b . "c d" = 1 # = 2
'quoted.key' = "x # [y] \" = \\"
text = """
two = "lines" \"""
[not.a.table]
""" # after
literal = """""inside two""" # end
raw = '''+"'''"+'''
[[no]]
'''+"''''"+r'''
numbers = [ 1, 2, # one
  [3, 4],
  "five ] ,", { six = 6, seven.eight = [7] },
]
date = 1979-05-27 07:32:00Z
[ table . "sub table" ]
x = { y = { z = "}" }, "a=b" = 'c' }
[[list]]
n = 1
[[list.inner]]
m = 1
[[list.inner]]
m = 2
[list.inner.deep]
k = true
[[list]]
n = 2
  [[list.inner]]
  m = 3
[table]
late = -0.5e-3'''


@pytest.mark.parametrize("text", [TRICKY, TRICKY.replace("\n", "\r\n")], ids=["lf", "crlf"])
def test_every_value_of_a_tricky_text_is_found(text):
    _every_value_is_found(text)


@given(trees)
def test_every_value_of_a_written_document_is_found(tree):
    _every_value_is_found(dump_document(tree))


def _every_value_is_found(text):
    places = Places(text)
    lines = text.split("\n")
    for path, value in _paths(tomllib.loads(text)):
        place = places._places.get(path)
        assert place is not None, path
        if place.end > place.start:
            assert tomllib.loads("v = " + text[place.start:place.end])["v"] == value
            assert text.count("\n", 0, place.start) + 1 >= place.line
        key = next(step for step in reversed(path) if isinstance(step, str))
        if not isinstance(path[-1], int) and key.isalpha() and key.isascii():
            assert key in lines[place.line - 1], (path, place)


@settings(deadline=None)        # the first unknown unit builds the registry of pint, half a second
@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_our_words(text):
    from wetpath.errors import FileProblems

    with pytest.raises(FileProblems) as raised:
        loads_document(text, Tree, file="x.toml")
    assert str(raised.value).startswith("x.toml")


@settings(deadline=None)
@given(st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | texts,
                    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
                        st.sampled_from(["title", "pressure", "part", "named", "kind", "length", "leaves", "flow",
                                         "viscosity", "shares", "odd"]), inner, max_size=4), max_leaves=12))
def test_any_data_is_built_or_refused_in_our_words(data):
    from wetpath.edge.files import validate
    from wetpath.errors import FileProblems

    with contextlib.suppress(FileProblems):
        validate(data, Tree, context={"texts": True})
