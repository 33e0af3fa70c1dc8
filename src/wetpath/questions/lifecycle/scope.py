"""The scope of a comparison as a file describes it: hours, prices, and what each pump costs to own."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from wetpath.edge.fields import Power, Ratio, Time
from wetpath.edge.files import Document
from wetpath.edge.part import Part, drawing, rule
from wetpath.physics.economics.emission_factors import AVERAGE_FACTORS

Money = float
Service = Literal["light liquid", "heavy liquid"]


class Economy(Part):
    """What holds for both pumps."""

    currency: str = drawing("what money is counted in", examples=["EUR"])
    energy_price: Money = drawing("price of one kWh", above=0)
    energy_growth: Ratio = drawing("yearly growth of that price", default=0.0, lower="-20 %", upper="50 %")
    interest: Ratio = drawing("discount rate of a year", lower="0 %", upper="50 %", examples=["6 %"])
    years: int = drawing("years that are compared", lower=1, upper=60)
    hours: Time = drawing("running time in a year", above="0 h", upper="8784 h", examples=["8000 h"])
    downtime_cost: Money = drawing("cost of one hour in which the service stands", default=0.0, lower=0)
    emission_price: Money = drawing("price of one kg emitted, with fees and lost product", default=0.0, lower=0)


class Owned(Part):
    """What one pump costs to own."""

    purchase: Money = drawing("price with what belongs to it, installed", lower=0)
    maintenance: Money = drawing("planned maintenance of a year", default=0.0, lower=0)
    time_between_repairs: Time | None = drawing("running time between repairs, the user's own figure", default=None,
                                                above="0 h")
    repair_cost: Money = drawing("cost of one repair", default=0.0, lower=0)
    repair_time: Time = drawing("time the service stands for one repair", default=0.0)
    figures_from: str = drawing("where these figures come from, as reports print it")


class Sealed(Owned):
    """The sealed pump with its support system."""

    seal_power: Power = drawing("friction of the seal and pumping of its fluid, at the shaft")
    support_power: Power = drawing("electric power of the support system", default=0.0)
    support_cost: Money = drawing("barrier fluid, cooling water, flush: cost of a year", default=0.0, lower=0)
    flush_evaporation: Power = drawing("heat to take a flush out of the product again", default=0.0)


class Emissions(Part):
    """How the leak of the sealed pump is estimated."""

    industry: Literal["chemical", "refinery", "marketing terminal"] = drawing("population of the average factor")
    service: Service = drawing("vapour pressure class of the service")
    organic_fraction: Ratio = drawing("organic share of the liquid by mass", default=1.0, lower="0 %", upper="100 %")
    screening_value: float | None = drawing("measured at this kind of seal [ppmv]; in place of the factor",
                                            default=None, lower=0)

    @rule
    def factor_exists(self) -> None:
        """There is a published factor for this population."""
        if (self.industry, self.service) not in AVERAGE_FACTORS:
            raise self.refuse("service", f"has no published factor in {self.industry}",
                              do="choose light liquid, or another industry")


class LifeCycleScope(Document):
    """The scope of a comparison."""

    document_kind: ClassVar[str] = "life-cycle"
    document_name: ClassVar[str] = "life-cycle scope"
    document_use: ClassVar[str] = "compare: wetpath lifecycle ENQUIRY --scope FILE"

    name: str = drawing("what reports call this comparison")
    note: str = drawing("anything the reader should know", default="")
    economy: Economy
    seal_less: Owned
    sealed: Sealed
    emissions: Emissions | None = None
    case_hours: dict[str, Time] = Field(default={}, description="running time of a year by operating case; without it "
                                                                "all of it in the rated or first case")
