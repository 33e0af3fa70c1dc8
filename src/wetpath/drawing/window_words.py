"""An operating window in sentences: what it stands on, and the region around the case."""

from __future__ import annotations

from wetpath.drawing.figures import Figures
from wetpath.edge import quantities as q
from wetpath.questions.window.study import Window


def basis_in_words(window: Window, figures: Figures) -> str:
    """Suction, speed and ranges of a window."""
    basis, chart = window.basis, window.map
    suction = (f"{figures.text(basis.suction.pressure, q.PRESSURE_DIFFERENCE)} above the vapour pressure"
               if basis.suction.above_vapour else figures.text(basis.suction.pressure, q.PRESSURE))
    flows, temperatures = (f"{figures.number(float(ends[0]), kind)} to {figures.text(float(ends[-1]), kind)}"
                           for ends, kind in ((chart.flow, q.VOLUME_FLOW), (chart.temperature, q.TEMPERATURE)))
    return (f"{suction} at the suction flange, {figures.text(basis.speed, q.ROTATIONAL_SPEED)}; window of "
            f"{flows} and {temperatures}.")


def region_in_words(window: Window, figures: Figures) -> list[str]:
    """Sentences that tell the region around the case."""
    bounds, basis = window.bounds, window.basis
    flow, temperature = figures.text(basis.flow, q.VOLUME_FLOW), figures.text(basis.temperature, q.TEMPERATURE)
    if bounds.short_here:
        return [f"At {flow} and {temperature} of case \"{window.case_name}\" it is short of: "
                f"{'; '.join(bounds.short_here)}."]
    ends = {way.name: figures.text(way.met[0].at if way.met else way.end, way.kind) for way in bounds.ways}
    told = [f"At {temperature} from {ends['less flow']} to {ends['more flow']}; at {flow} from {ends['colder']} to "
            f"{ends['hotter']}."]
    if "less suction pressure" in ends:
        told.append(f"The suction pressure of this point may fall to {ends['less suction pressure']}.")
    return told
