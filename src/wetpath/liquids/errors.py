"""Errors of the liquids, spoken to the user."""

from wetpath.errors import InputError, UnknownName


class UnknownLiquid(UnknownName):
    """A liquid that the chosen source does not know; ``nearest`` holds the names that look like it."""


class PropertyMissing(InputError):
    """The chosen source knows the liquid but lacks a property; ``properties`` names what is missing."""

    def __init__(self, liquid: str, source: str, properties: tuple[str, ...], *, do: str) -> None:
        self.properties = properties
        missing = " and ".join(properties)
        super().__init__(f"has no {missing} in the {source}.", field="liquid", value=f'"{liquid}"',
                         why="a rating needs density, heat capacity, viscosity and conductivity",
                         do=do)


class UnusableLiquid(InputError):
    """What was given for a liquid cannot be used: contradictory, incomplete or out of range of its source."""
