"""Acceptance test of a pump against its guarantee: grades and tolerances of ISO 9906:2012."""

from dataclasses import dataclass

from wetpath.physics.published import published

#: Shaft power [W] below which the standard widens its tolerances by formulas that are not used here.
SMALL_PUMP_POWER = 10e3


@dataclass(frozen=True)
class Grade:
    """Tolerances of one acceptance grade as shares of the guaranteed values; None where there is no limit."""

    name: str
    flow: tuple[float, float]
    head: tuple[float, float]
    power: float
    efficiency: float


#: ISO 9906:2012, tolerances for the guarantee point. Recalled.
GRADES = {grade.name: grade for grade in (
    Grade("1B", (-0.05, 0.05), (-0.03, 0.03), 0.04, -0.03),
    Grade("1E", (-0.05, 0.05), (-0.03, 0.03), 0.04, 0.0),
    Grade("1U", (0.0, 0.10), (0.0, 0.06), 0.10, 0.0),
    Grade("2B", (-0.08, 0.08), (-0.05, 0.05), 0.08, -0.05),
    Grade("2U", (0.0, 0.16), (0.0, 0.10), 0.16, -0.05),
    Grade("3B", (-0.09, 0.09), (-0.07, 0.07), 0.09, -0.07),
)}


@published("iso-9906-2012", status="recalled")
def judge_efficiency(measured: float, guaranteed: float, grade: Grade) -> bool:
    """Whether a measured efficiency is within tolerance (a share of the guaranteed efficiency, not points).

    Parameters
    ----------
    measured, guaranteed : float [-]
        Measured at :func:`.guarantee_point.point_on_guarantee_ray`.
    grade : Grade

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> judge_efficiency(0.632, 0.65, GRADES["1B"])
    True
    """
    return measured >= guaranteed * (1 + grade.efficiency)


@published("iso-9906-2012", status="recalled")
def judge_power(measured: float, guaranteed: float, grade: Grade) -> bool:
    """Whether a measured shaft power is within tolerance.

    Parameters
    ----------
    measured, guaranteed : float [W]
        Measured at :func:`.guarantee_point.point_on_guarantee_ray`.
    grade : Grade

    References
    ----------
    .. [1] ISO 9906:2012. Recalled.

    Examples
    --------
    >>> judge_power(10_500.0, 10_000.0, GRADES["1B"])
    False
    """
    return measured <= guaranteed * (1 + grade.power)


@published("iso-9906-2012", status="recalled")
def npsh_tolerance(guaranteed: float, grade: Grade) -> float:
    """Allowed excess of measured NPSH3: larger of 3 % and 0.15 m in grade 1, of 6 % and 0.30 m in 2 and 3.

    Parameters
    ----------
    guaranteed : float [m]
    grade : Grade

    Returns
    -------
    float [m]

    References
    ----------
    .. [1] ISO 9906:2012. Recalled with middling confidence.

    Examples
    --------
    >>> npsh_tolerance(3.0, GRADES["1B"]), npsh_tolerance(8.0, GRADES["2B"])
    (0.15, 0.48)
    """
    share, least = (0.03, 0.15) if grade.name.startswith("1") else (0.06, 0.30)
    return max(share * guaranteed, least)


def acceptance_warnings(guaranteed_power: float) -> tuple[str, ...]:
    """What the buyer should know about these tolerances at this power [W]."""
    if guaranteed_power < SMALL_PUMP_POWER:
        return ("shaft power below 10 kW: ISO 9906 allows wider tolerances by formula; not applied here",)
    return ()

