"""A small invented fleet: four pumps over ten days, an hour between readings."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from wetpath.services.demo import demo_folder
from wetpath.services.fleet import load_fleet
from wetpath.services.fleet_replay import Fleet

FLEET = """wetpath = "fleet/1"
name = "Small, invented"
since = "2026-06-02T00:00:00Z"
as_of = "2026-06-12T06:00:00Z"

[[pumps]]
tag = "P-1"
site = "North"
service = "butane"
enquiry_file = "{enquiries}/butane_reflux.toml"
case = "B"
[pumps.invented]
seed = 1
step = "1 h"
suction_falls = "0.9 bar"
begins = "2026-06-03T00:00:00Z"
over = "8 days"

[[pumps]]
tag = "P-2"
site = "South"
service = "naphtha"
enquiry_file = "{enquiries}/naphtha.toml"
[pumps.invented]
seed = 2
step = "1 h"
missing = ["return_temperature"]

[[pumps]]
tag = "P-3"
site = "South"
service = "butane"
enquiry_file = "{enquiries}/butane_reflux.toml"
case = "A"
[pumps.invented]
seed = 3
step = "1 h"
stopped_since = "2026-06-08T00:00:00Z"

[[pumps]]
tag = "P-4"
site = "North"
service = "naphtha"
enquiry_file = "{enquiries}/naphtha.toml"
[pumps.invented]
seed = 4
step = "1 h"
silent_since = "2026-06-10T00:00:00Z"
"""


@pytest.fixture(scope="module")
def fleet_of(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Fleet]:
    """Make the fleet, with some of its text replaced."""

    def make(**replaced: str) -> Fleet:
        text = FLEET.replace("{enquiries}", str(demo_folder() / "enquiries"))
        for old, new in replaced.items():
            text = text.replace(old.replace("_", " "), new)
        path = tmp_path_factory.mktemp("fleet") / "fleet.toml"
        path.write_text(text, encoding="utf-8")
        return load_fleet(path)

    return make


@pytest.fixture(scope="module")
def fleet(fleet_of: Callable[..., Fleet]) -> Fleet:
    return fleet_of()
