"""How a case ends: liquid everywhere, boiling at the wall, flashing, or no liquid solution at all."""

from enum import IntEnum


class Outcome(IntEnum):
    """Kinds of outcome, each with a sentence in ``words``."""

    LIQUID = 0
    WALL_BOILING = 1
    FLASHING = 2
    NO_SOLUTION = 3
    UNKNOWN = 4

    @property
    def words(self) -> str:
        """What it means, in a sentence."""
        return _WORDS[self]


_WORDS = {
    Outcome.LIQUID: "liquid at every station",
    Outcome.WALL_BOILING: "bulk is liquid, but the shell wall is hotter than its local boiling point",
    Outcome.FLASHING: "vapour pressure is reached at a station; see where liquid is lost and what is missing",
    Outcome.NO_SOLUTION: "no flow carries the heat away as liquid; see where liquid is lost and what is missing",
    Outcome.UNKNOWN: "cannot tell: the vapour pressure of this liquid is not known",
}
