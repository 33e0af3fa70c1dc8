"""What a rating has to say about bearings besides the checks: limits crossed, and what the pump file leaves open."""

from __future__ import annotations

from wetpath.physics.validity import messages
from wetpath.rating.situation import Situation
from wetpath.words import told


def bearing_findings(situation: Situation) -> tuple[str, ...]:
    """Sentences for the warnings of a rating."""
    state, thrust, external = situation.bearings, situation.thrust, situation.external_bearings
    found = list(messages(*state.limits, *(external.limits if external else ())))
    if (state.film_ratio < situation.practice["film_ratio"].value).any():
        found.append("in some case a journal bearing runs in mixed film: surfaces touch now and then and wear; its "
                     "film thickness is a bound, not a result")
    thin = situation.practice["viscosity_lowest"]
    if (state.viscosity < thin.value).any():
        found.append(told("in some case the liquid in a journal bearing is thinner than {viscosity}: starts and stops "
                          "run in mixed film; ask the maker of the bearings", viscosity=thin.shown()))
    if not thrust.stated:
        found.append("axial thrust is not checked: the pump file does not say what relieves it; give balance in "
                     "[impeller]")
    elif not thrust.bearings:
        found.append("axial thrust is not checked: the pump file has no [[thrust_bearings]]")
    if external is None:
        found.append("the life of the external bearings is not checked: the pump file has no [external_bearings]")
    if any(liquid.cas_number is None for liquid in situation.liquids):
        found.append("attack of the bearings is not looked up for a liquid without a CAS number")
    return tuple(found)
