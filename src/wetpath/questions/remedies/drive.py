"""Remedies at the rotor: speed, impeller diameter, length of the magnets."""

from __future__ import annotations

from wetpath.edge.quantities import LENGTH, ROTATIONAL_SPEED
from wetpath.questions.remedies.remedy import Change, Data, NotOffered, Practicality, Remedy, setting, unchanged
from wetpath.rating.rate import Rating
from wetpath.words import told

#: Speeds that are tried, over the present one.
SPEEDS = (0.97, 0.94, 0.9, 0.85, 1.03, 1.06)
#: Lowest speed of an inverter that is added, over the speed of the driver. Common practice, no source.
INVERTER_LOWEST = 0.5
#: Trims that are tried, over the present diameter.
TRIMS = (0.98, 0.96, 0.93)
#: Lengths of the magnets that are tried, over the present one.
SHORTER, LONGER = (0.9, 0.8, 0.7), (1.15, 1.3)
#: Neither the head asked nor the coupling may be lost for another margin.
HEAD, COUPLING = ("head",), ("coupling_margin_running",)


def drive(rating: Rating) -> list[Remedy | NotOffered]:
    """All remedies at the rotor."""
    return [*_speeds(rating), *_diameters(rating), *_lengths(rating)]


def _head_is_asked(rating: Rating) -> bool:
    return any(case.head is not None for case in rating.enquiry.cases)


def _speeds(rating: Rating) -> list[Remedy | NotOffered]:
    driver = rating.pump.driver
    inverter = driver.inverter
    text = "lower speed"
    if not _head_is_asked(rating):
        return [NotOffered(text, "no case asks for a head, so nobody knows how low it may fall")]
    lowest = INVERTER_LOWEST * driver.speed if inverter is None else inverter.lowest_speed
    highest = driver.speed if inverter is None else inverter.highest_speed
    pump = unchanged if inverter else setting("driver", {
        "inverter": {"lowest_speed": lowest, "highest_speed": highest}, "starter": None, "peak_torque": None})
    speeds = [case.speed or driver.speed for case in rating.enquiry.cases]
    found: list[Remedy | NotOffered] = []
    for factor in SPEEDS:
        if factor * min(speeds) < lowest or factor * max(speeds) > highest:
            continue
        slower = factor < 1
        text = told("speed {speed}, lower than {now}" if slower else "speed {speed}, higher than {now}",
                    speed="{0}", now="{1}")
        found.append(Remedy(
            "lower speed" if slower else "higher speed",
            told("{change}, every case in proportion", change=text) if len(set(speeds)) > 1 else text,
            ((factor * max(speeds), ROTATIONAL_SPEED), (max(speeds), ROTATIONAL_SPEED)),
            Practicality.ADJUSTMENT if inverter else Practicality.OTHER_MACHINE,
            "" if inverter else "needs an inverter", pump, _turning(speeds, factor), HEAD if slower else ()))
    return found


def _turning(speeds: list[float], factor: float) -> Change:
    def change(data: Data) -> None:
        for case, speed in zip(data["cases"], speeds, strict=True):
            case["speed"] = factor * speed

    return change


def _diameters(rating: Rating) -> list[Remedy | NotOffered]:
    impeller = rating.pump.impeller
    now, amount = impeller.diameter, (impeller.diameter, LENGTH)
    found: list[Remedy | NotOffered] = []
    if not _head_is_asked(rating):
        found.append(NotOffered("smaller impeller", "no case asks for a head, so nobody knows how low it may fall"))
    else:
        small = [now * trim for trim in TRIMS if now * trim >= impeller.smallest_diameter]
        found += [Remedy("smaller impeller", told(
            "impeller turned down to {diameter} from {now}", diameter="{0}", now="{1}"), ((trim, LENGTH), amount),
                         Practicality.SPARE_PART, "", setting("impeller", {"diameter": trim}), keeps=HEAD)
                  for trim in small]
        if not small:
            found.append(NotOffered("smaller impeller", "it is the smallest of its pattern"))
    if impeller.largest_diameter - now < 1e-3:
        return [*found, NotOffered("larger impeller", "it is the largest of its pattern")]
    found += [Remedy("larger impeller", told(
        "impeller of {diameter} in place of {now}", diameter="{0}", now="{1}"), ((large, LENGTH), amount),
                     Practicality.SPARE_PART, "more head and power", setting("impeller", {"diameter": large}))
              for large in ((now + impeller.largest_diameter) / 2, impeller.largest_diameter)]
    return found


def _lengths(rating: Rating) -> list[Remedy | NotOffered]:
    length = rating.pump.inner_ring.length
    return [Remedy("shorter coupling" if share < 1 else "longer coupling", told(
        "magnets {length} long in place of {now}", length="{0}", now="{1}"),
                   ((share * length, LENGTH), (length, LENGTH)), Practicality.OTHER_MACHINE,
                   "both rings and the shell", _of_length((share - 1) * length), keeps=COUPLING if share < 1 else ())
            for share in (*SHORTER, *LONGER)]


def _of_length(more: float) -> Change:
    """Both rings, the wetted cylinder and the shell longer by the same."""
    def change(data: Data) -> None:
        for ring in ("inner_ring", "outer_ring"):
            data[ring]["length"] += more
        data["inner_ring"]["wet_length"] += more
        data["containment_shell"]["length"] += more
        data["containment_shell"]["rear_overhang"] += more / 2
        if data["inner_ring"]["position"] is not None:
            data["inner_ring"]["position"] += more / 2
        data["measured"] = None

    return change
