"""What was measured on the coupling of a pump, which goes before the model: shell loss and pull-out torque."""

from wetpath.edge.fields import Angle, Power, RotationalSpeed, Temperature, Torque
from wetpath.edge.part import Part, drawing, rule
from wetpath.errors import InputError
from wetpath.physics.constants import ZERO_CELSIUS

ROOM_TEMPERATURE = ZERO_CELSIUS + 20.0


class MeasuredShellLoss(Part):
    """Loss in the containment shell at one speed; without load angle or torque that of rings without load."""

    power: Power = drawing("loss in the shell alone, drag and friction taken off", above="0 W", examples=["620 W"])
    speed: RotationalSpeed = drawing("speed at which it was measured", above="1 rpm", examples=["2950 rpm"])
    load_angle: Angle | None = drawing("electrical load angle then", default=None, lower=0, upper="90 deg")
    torque: Torque | None = drawing("torque through the coupling then, instead of the load angle", default=None,
                                    lower=0)
    wall_temperature: Temperature = drawing("temperature of the shell wall then", default=ROOM_TEMPERATURE)
    magnet_temperature: Temperature | None = drawing("temperature of the magnets then; without it that of the wall",
                                                     default=None)

    @property
    def magnets(self) -> float:
        """Temperature of the magnets [K]."""
        return self.wall_temperature if self.magnet_temperature is None else self.magnet_temperature

    @rule
    def load_is_given_once(self) -> None:
        """Load angle or torque, not both."""
        if self.load_angle is not None and self.torque is not None:
            raise self.refuse("torque", "is given besides the load angle", do="give one of them; the other follows")


class MeasuredPullOut(Part):
    """Largest torque that the rings pass, turned slowly or at rest, at one temperature of the magnets."""

    torque: Torque = drawing("largest torque before the rings slip", above="0 N m", examples=["88 N m"])
    magnet_temperature: Temperature = drawing("temperature of the magnets of both rings", default=ROOM_TEMPERATURE)


class MeasuredCoupling(Part):
    """Measured points; each kind scales its part of the model by one factor, found by least squares."""

    note: str = drawing("who measured, when, how", default="")
    shell_loss: tuple[MeasuredShellLoss, ...] = drawing("measured losses of the shell", default=())
    pull_out: tuple[MeasuredPullOut, ...] = drawing("measured pull-out torques", default=())

    @rule
    def something_is_measured(self) -> None:
        """There is at least one point."""
        if not self.shell_loss and not self.pull_out:
            raise InputError("holds no point", do="give [[measured.shell_loss]] or [[measured.pull_out]], or leave "
                             "[measured] out")
