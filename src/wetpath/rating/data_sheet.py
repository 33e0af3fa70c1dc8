"""The data sheet of one rating: purchaser's data apart from maker's, every cell with its basis and source."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetpath.errors import UnknownName
from wetpath.rating.rate import Rating
from wetpath.rating.sheet.cells import (
    Block,
    CurveTable,
    Deviation,
    OpenPoint,
    Party,
    Profile,
    SheetPart,
    WorksTest,
)
from wetpath.rating.sheet.maker import maker_blocks
from wetpath.rating.sheet.open_points import deviations, open_points, works_tests
from wetpath.rating.sheet.purchaser import purchaser_blocks
from wetpath.rating.sheet.tables import curves, profiles

FORMAT: Literal["data-sheet/1"] = "data-sheet/1"


class DataSheet(SheetPart):
    """Everything a purchaser and a maker hand to each other about one pump for one service, in SI units.

    An arrangement of our own: what the standards for seal-less pumps expect to be submitted, none of their forms.
    """

    wetpath: Literal["data-sheet/1"] = FORMAT
    title: str
    pump: str
    practice: str
    cases: tuple[str, ...]
    verdict: str
    purchaser: tuple[Block, ...]
    maker: tuple[Block, ...]
    curves: tuple[CurveTable, ...] = Field(description="at the conditions of every case")
    profiles: tuple[Profile, ...] = Field(description="pressure and temperature of the circulation in every case")
    tests: tuple[WorksTest, ...] = Field(description="to be made before delivery")
    deviations: tuple[Deviation, ...] = Field(description="demands that are not met")
    open_points: tuple[OpenPoint, ...] = Field(description="what purchaser and maker still have to say")
    warnings: tuple[str, ...]

    def block(self, key: str) -> Block:
        """A block by its key; raise `UnknownName` when there is none."""
        for block in (*self.purchaser, *self.maker):
            if block.key == key:
                return block
        raise UnknownName("block of the data sheet", key, [one.key for one in (*self.purchaser, *self.maker)])

    def open_points_of(self, party: Party) -> tuple[OpenPoint, ...]:
        """What one party still has to say."""
        return tuple(point for point in self.open_points if point.party == party)


def data_sheet(rating: Rating) -> DataSheet:
    """Fill in the data sheet of a rating.

    Parameters
    ----------
    rating : Rating
        Where its enquiry names no acceptance grade the sheet says that it is open.
    """
    return DataSheet(
        title=rating.enquiry.title, pump=rating.pump.name, practice=rating.practice.name, cases=rating.case_names,
        verdict=str(rating.verdict), purchaser=purchaser_blocks(rating), maker=maker_blocks(rating),
        curves=curves(rating), profiles=profiles(rating), tests=works_tests(rating),
        deviations=deviations(rating), open_points=open_points(rating), warnings=rating.warnings)
