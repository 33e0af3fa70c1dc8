"""The cautions that go with every rating, and those of hot surfaces and explosive areas where they hold."""

import wetpath as wp
from wetpath.circulation import solve
from wetpath.services.cautions import cautions_of
from wetpath.services.demo import enquiry_path

ALWAYS = (
    "An aid for a competent engineer, who answers for the selection; local codes, the maker's instructions and "
    "licensed practice come first.",
    "Rated are steady conditions with clean liquid and a pump in good order, not dry running, gas, solids, blocked "
    "holes or a way from one case to another.",
    "Magnet rings attract strongly, also at rest, and disturb pacemakers; the pump is under pressure until it is "
    "isolated, drained and vented.",
    "Seal-less is not leak-proof: gaskets, drains and the containment shell can fail. Plan how a leak is seen, shut "
    "in and met.",
    "Never run it dry, with closed valves, out of step or below its least flow. After a trip find the cause, and let "
    "it cool before liquid comes in.",
    "The shell and the inner ring hold liquid after draining: clean the pump before it is opened.",
    "The circulation is computed along its path from the drawing; its flow is the largest doubt in the vapour margins: "
    "ask the maker for a measured profile.",
)


def test_a_cool_pump_in_a_safe_area_carries_the_general_cautions():
    assert cautions_of(wp.rate(enquiry_path("cold_water"))) == ALWAYS


def test_area_and_hot_shell_are_told_where_they_are():
    rating = wp.rate(enquiry_path("naphtha"))
    hottest = rating.situation.scalars[:, solve.HOTTEST_WALL].max() - 273.15
    assert hottest > 60
    assert cautions_of(rating)[len(ALWAYS):] == (
        "Explosive atmosphere (zone 1, IIA, T3): the protection of pump and motor against ignition is assessed by its "
        "own standards, not here.", f"Hot surfaces: the containment shell reaches {hottest:.1f}\u2009°C.")
