"""The rated pump in time: what an upset does to it, when the liquid is lost, and when damage begins.

``simulate(rating, upsets, case=..., duration=...)`` gives a `Timeline`; ``ensemble`` gives times with bands. An `Upset`
is a kind of the catalogue (``KINDS``), the time at which its cause begins, and its parameters in SI.
"""

from wetpath.upsets.ensemble import SPREADS, Band, Ensemble, Uncertain, drawn, ensemble
from wetpath.upsets.simulation import simulate
from wetpath.upsets.timeline import Event, Timeline
from wetpath.upsets.upset import KINDS, Kind, Parameter, Upset

__all__ = ["KINDS", "SPREADS", "Band", "Ensemble", "Event", "Kind", "Parameter", "Timeline", "Uncertain", "Upset",
           "drawn", "ensemble", "simulate"]
