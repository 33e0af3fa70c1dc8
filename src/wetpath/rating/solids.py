"""What an enquiry says of solids in the liquid."""

from wetpath.edge.fields import Length, Ratio
from wetpath.edge.part import Part, drawing


class Solids(Part):
    """Solids the liquid carries in the worst case; without this table it is taken as clean."""

    largest_size: Length = drawing("largest particle", examples=["80 um"])
    share: Ratio = drawing("share of the mass", lower=0, upper=0.5, examples=["0.2 %"])
    hardness: Ratio = drawing("hardness on the scale of Mohs: talc 1, calcite 3, steel about 5, quartz 7; unknown "
                              "solids count as hard", default=7.0, lower=1, upper=10)
    magnetic: bool = drawing("whether any of them stick to a magnet: rust of steel pipes, mill scale, wear debris",
                             default=False)
