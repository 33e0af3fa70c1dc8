"""Every source that a formula, a table or a limit names is one of the sources that come with the program."""

import importlib
import pkgutil

import pytest

import wetpath
from wetpath.edge.practice import default_practice
from wetpath.edge.quantities import KINDS
from wetpath.edge.sources import all_sources, source
from wetpath.edge.tables import magnets, materials
from wetpath.errors import UnknownName
from wetpath.physics.published import FORMULAS

STATUSES = {"read", "recalled", "derived", "exact", "common practice"}


def _named():
    for module in pkgutil.walk_packages(wetpath.__path__, "wetpath."):
        if module.name.startswith("wetpath.physics."):
            importlib.import_module(module.name)
    for name, sources in FORMULAS.items():
        for one in sources:
            yield name, one.key, one.status
    for limit in default_practice().values():
        yield f"limit {limit.name}", limit.source, limit.status
    for table in (materials(), magnets()):
        for row in table.values():
            for field, origin in row.origins.items():
                yield f"{row.name}.{field}", origin.source, origin.status


def test_every_source_named_exists_with_an_honest_status():
    wrong = [f"{who}: {key}, {status}" for who, key, status in _named()
             if key not in all_sources() or status not in STATUSES]
    assert wrong == []


def test_an_unknown_source_is_refused_with_the_nearest():
    with pytest.raises(UnknownName, match="Did you mean churchill-1977"):
        source("churchil-1977")


@pytest.mark.common_practice
def test_default_practice_holds_together():
    practice = default_practice()
    assert practice["vapour_margin_pressure"].value == 1e5
    assert practice["vapour_margin_temperature"].value == 5.0
    assert practice["preferred_flow_lowest"].value < practice["rated_flow_lowest"].value < 1
    assert 1 < practice["rated_flow_highest"].value < practice["preferred_flow_highest"].value
    for limit in practice.values():
        assert limit.kind in KINDS.values()
        assert limit.meaning
        assert limit.sense in ("at least", "at most", "break")
        assert (limit.status == "common practice") == (limit.source == "common-practice")
