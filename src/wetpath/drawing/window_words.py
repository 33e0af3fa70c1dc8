"""An operating window in sentences: what it stands on, and the region around the case."""

from __future__ import annotations

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.questions.window.study import Window
from wetpath.words import joined, told


def basis_in_words(window: Window, figures: Figures) -> str:
    """Suction, speed and ranges of a window."""
    basis, chart = window.basis, window.map
    suction = (told("{pressure} above the vapour pressure",
                    pressure=figures.text(basis.suction.pressure, q.PRESSURE_DIFFERENCE))
               if basis.suction.above_vapour else figures.text(basis.suction.pressure, q.PRESSURE))
    flows, temperatures = (told("{low} to {high}", low=figures.number(float(ends[0]), kind),
                                high=figures.text(float(ends[-1]), kind))
                           for ends, kind in ((chart.flow, q.VOLUME_FLOW), (chart.temperature, q.TEMPERATURE)))
    return (told("{suction} at the suction flange, {speed}; window of {flows} and {temperatures}.", suction=suction,
                 speed=figures.text(basis.speed, q.ROTATIONAL_SPEED), flows=flows, temperatures=temperatures))


def region_in_words(window: Window, figures: Figures) -> list[str]:
    """Sentences that tell the region around the case."""
    bounds, basis = window.bounds, window.basis
    flow, temperature = figures.text(basis.flow, q.VOLUME_FLOW), figures.text(basis.temperature, q.TEMPERATURE)
    if bounds.short_here:
        return [told('At {flow} and {temperature} of case "{case}" it is short of: {checks}.', flow=flow,
                     temperature=temperature, case=window.case_name, checks=joined("; ", bounds.short_here))]
    ends = {way.name: figures.text(way.met[0].at if way.met else way.end, way.kind) for way in bounds.ways}
    found = [told("At {temperature} from {least} to {most}; at {flow} from {coldest} to {hottest}.",
                  temperature=temperature, least=ends["less flow"], most=ends["more flow"], flow=flow,
                  coldest=ends["colder"], hottest=ends["hotter"])]
    if "less suction pressure" in ends:
        found.append(told("The suction pressure of this point may fall to {pressure}.",
                          pressure=ends["less suction pressure"]))
    return found
