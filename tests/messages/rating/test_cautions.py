"""The cautions that go with every rating, and those of hot surfaces and explosive areas where they hold."""

import pytest

import wetpath as wp
from wetpath.circulation import solve
from wetpath.services.cautions import cautions_of
from wetpath.services.demo import demo_enquiries, enquiry_path

ALWAYS = (
    "An aid for a competent engineer, who answers for the selection, and no certificate. Local law and codes, "
    "the hazard review of the plant, the maker's instructions and licensed practice come first, above all for "
    "pressure, ignition and electricity.",
    "Every result holds for the liquid data, operating cases and curves entered. Values marked common "
    "practice or recalled are to be confirmed.",
    "Rated are steady conditions with clean liquid and a pump in good order, not dry running, gas, solids, "
    "blocked holes or a way from one case to another.",
    "Magnet rings attract strongly, also at rest: they crush fingers and draw tools. Keep people with "
    "pacemakers or other implants away; use jacking tools.",
    "The pump is under pressure until it is isolated, drained and vented.",
    "Seal-less is not leak-proof: gaskets, drains and the containment shell can fail. Plan how a leak is "
    "seen, shut in and met.",
    "Never run it dry, with closed valves, out of step or below its least flow. After a trip find the cause, "
    "and let it cool before liquid comes in.",
    "The shell and the inner ring hold liquid after draining: clean the pump before it is opened. Liquid shut "
    "in between closed valves expands when it warms: see that it is relieved.",
    "The circulation is computed along its path from the drawing; its flow is the largest doubt in the vapour "
    "margins: ask the maker for a measured profile.",
    "Whether the liquid is toxic or corrosive is not judged here. If it is, leak detection, shut-off, a "
    "second containment and the emergency plan are part of the selection.",
)


def test_a_cool_pump_in_a_safe_area_carries_the_general_cautions():
    assert cautions_of(wp.rate(enquiry_path("cold_water"))) == ALWAYS


def test_area_and_hot_shell_are_told_where_they_are():
    rating = wp.rate(enquiry_path("naphtha"))
    hottest = rating.situation.scalars[:, solve.HOTTEST_WALL].max() - 273.15
    assert hottest > 60
    assert cautions_of(rating)[len(ALWAYS):] == (
        "Explosive atmosphere (zone 1, IIA, T3): the protection of pump and motor against ignition is assessed by its "
        "own standards, not here. The temperature class rests on liquid temperature, duty and working trips: keep the "
        "pump filled and earthed, and bypass no trip.",
        "Flammable liquid: vapour that enters the space outside the shell after a breach meets turning parts.",
        f"Hot surfaces: the containment shell reaches {hottest:.1f}\u2009°C.")


def test_a_liquid_that_polymerises_is_told_with_its_temperature():
    told = cautions_of(wp.rate(enquiry_path("acrylic_ester")))
    assert ("acrylic ester of the demo polymerises from 45.0\u2009°C: it can block passages and build pressure where "
            "it is shut in.") in told


#: A word of each subject a report must caution about; common practice, no source.
SUBJECTS = ("competent engineer", "Local law", "licensed practice", "curves entered", "common practice", "pacemakers",
            "crush", "leak-proof", "toxic", "dry", "closed valves", "out of step", "hold liquid after draining",
            "expands when it warms", "measured profile", "isolated, drained and vented")


@pytest.mark.parametrize("name", demo_enquiries())
def test_every_demo_enquiry_carries_every_subject(name: str):
    rating = wp.rate(enquiry_path(name))
    told = " ".join(cautions_of(rating))
    assert [subject for subject in SUBJECTS if subject not in told] == []
    assert ("Explosive atmosphere" in told) == bool(rating.enquiry.site.zone or
                                                    rating.enquiry.site.temperature_class != "none")
    assert ("Hot surfaces" in told) == (rating.situation.scalars[:, solve.HOTTEST_WALL].max() > 333.15)
