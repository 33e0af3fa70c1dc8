"""Would the power have looked so? What the rating predicts for each mechanism against what was recorded."""

from __future__ import annotations

from dataclasses import dataclass

from wetpath.investigation.catalogue import physics_word
from wetpath.investigation.reality import Reality
from wetpath.investigation.weighing import Item

#: Power recorded and predicted, as shares of the power before, may differ by this. Common practice, no source.
ROOM = 0.1
#: What vapour takes from the power at first, and friction adds, where the pump still delivers. Common practice.
STILL_PUMPING = (0.9, 1.0)


@dataclass(frozen=True)
class PowerTest:
    """Ratio of the powers after and before, and the range of it that each mechanism predicts."""

    recorded: float | None
    before: float                                  # [W] at the motor shaft, by the rating
    predicted: dict[str, tuple[float, float]]      # by mechanism, over the power before

    def fits(self, mechanism: str) -> bool | None:
        """Whether the recorded ratio is what the mechanism predicts; None: it predicts none, or none is recorded."""
        if self.recorded is None or mechanism not in self.predicted:
            return None
        low, high = self.predicted[mechanism]
        return low - ROOM <= self.recorded <= high + ROOM

    def item(self, weight: float = 1.0) -> Item | None:
        """The same as an item of evidence: how likely the recorded ratio is with each mechanism."""
        if self.recorded is None:
            return None
        words = {one: physics_word("power_fits" if self.fits(one) else "power_differs") for one in self.predicted}
        return Item("power recorded", "power recorded against the rating", "power", words,
                    physics_word("power_not_predicted"), seen=True, weight=weight)


def power_test(reality: Reality) -> PowerTest:
    """Predict the power with which each mechanism begins; powers at the motor shaft, as shares of that of the case.

    Dry: shell loss and dry side alone. Rings out of step: shell loss with the inner ring at rest, and the dry side.
    Closed discharge: from the power at shut-off half way to that of the case. Run out: the largest of the curve.
    """
    situation, losses = reality.rating.situation, reality.rating.losses
    before, dry_side = reality.shaft_power, reality.at(losses.dry_side)
    dry = (reality.at(losses.eddy) + dry_side) / before
    slip = (reality.at(situation.coupling.slip_loss) + dry_side) / before
    shut = reality.at(situation.driver.shut_off_power) / before
    out = reality.at(situation.driver.highest_power) / before
    recorded = reality.recorded
    ratio = (None if recorded.power_before is None or recorded.power_after is None
             else recorded.power_after / recorded.power_before)
    return PowerTest(ratio, before, {
        "dry_running": (dry, dry), "decoupling": (slip, slip), "demagnetised": (slip, slip),
        "low_flow": (min(shut, 1.0), (1.0 + min(shut, 1.0)) / 2), "vapour_inside": STILL_PUMPING,
        "plugged": STILL_PUMPING, "axial_overload": (min(out, 1.0), out)})
