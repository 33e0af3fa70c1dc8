"""Geometry of a magnetic coupling and of the shell between its rings, as the field model needs it."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetpath.errors import InputError
from wetpath.physics.magnetics.eddy_loss import Wall
from wetpath.physics.magnetics.end_effect import Extent
from wetpath.physics.magnetics.magnet_harmonics import parallel_magnetisation, radial_magnetisation
from wetpath.physics.magnetics.ring_field import CrossSection

Array = NDArray[np.float64]
Magnetisation = Literal["radial", "parallel"]


@dataclass(frozen=True, kw_only=True)
class CouplingGeometry:
    """Two concentric magnet rings on smooth iron, with a shell in the gap; radii and lengths in metres.

    Axial positions count from the middle of the inner ring's magnets, in the direction of ``outer_offset``.

    The conducting cylinder ends where currents can no longer flow: at an insulating joint, or, on the side of a
    closed end, where the end's own developed length ends. A shell of two walls is two geometries that differ in the
    shell: their losses add. For a carbon-fibre laminate, whose conductivities are seldom known, the loss with the
    conductivity along the fibre in both directions is an upper bound.
    """

    pole_pairs: int
    inner_back_radius: float          # bore of the inner magnets, where their iron ends
    inner_face_radius: float          # outside of the inner magnets, without their sheath
    outer_face_radius: float          # bore of the outer magnets
    outer_back_radius: float          # outside of the outer magnets, where their iron begins
    inner_length: float               # axial length of the magnets
    outer_length: float
    shell_inner_radius: float
    shell_thickness: float
    shell_start: float                # axial ends of the conducting cylinder
    shell_end: float
    inner_arc: float = 1.0            # angle covered by one pole's magnet over the pole pitch
    outer_arc: float = 1.0
    inner_magnetisation: Magnetisation = "radial"
    outer_magnetisation: Magnetisation = "radial"
    inner_segments: int = 1           # pieces in one pole, each magnetised parallel to its own centre line
    outer_segments: int = 1
    inner_permeability: float = 1.05  # relative recoil permeability
    outer_permeability: float = 1.05
    outer_offset: float = 0.0         # middle of the outer magnets from the middle of the inner ones
    inner_iron_radius: float | None = None      # iron that stands back from the magnets; 0: no iron
    outer_iron_radius: float | None = None      # infinite: no iron
    inner_yoke_thickness: float | None = None   # radial thickness of the iron; None: not checked
    outer_yoke_thickness: float | None = None
    shell_anisotropy: float = 1.0     # hoop over axial conductivity of the wall; 1 for metals

    def __post_init__(self) -> None:
        if self.pole_pairs < 1 or self.pole_pairs != int(self.pole_pairs):
            raise InputError("must be a whole number from 1 up", field="pole_pairs",
                             value=f"{self.pole_pairs}",
                             do="give the number of north poles of one ring")
        radii = (("inner_back_radius", self.inner_back_radius), ("inner_face_radius", self.inner_face_radius),
                 ("shell_inner_radius", self.shell_inner_radius),
                 ("shell_inner_radius + shell_thickness", self.shell_inner_radius + self.shell_thickness),
                 ("outer_face_radius", self.outer_face_radius), ("outer_back_radius", self.outer_back_radius))
        below_name, below = "the axis", 0.0
        for name, radius in radii:
            if not radius > below:
                raise InputError(f"must be larger than {below_name} ({below * 1e3:.6g} mm)", field=name,
                                 value=f"{radius * 1e3:.6g} mm",
                                 why="from the axis outwards follow inner magnets, shell and outer magnets",
                                 do="check them against the section drawing; they are radii, not diameters")
            below_name, below = name, radius
        for name, beyond in (("inner_iron_radius", self.inner_back_radius),
                             ("outer_iron_radius", self.outer_back_radius)):
            iron = getattr(self, name)
            inside = name.startswith("inner")
            if iron is not None and not (0 <= iron <= beyond if inside else iron >= beyond):
                raise InputError(f"must be {'at most' if inside else 'at least'} {beyond * 1e3:.6g} mm",
                                 field=name, value=f"{iron * 1e3:.6g} mm",
                                 why="iron stands behind the magnets, seen from the shell",
                                 do="leave it out where the magnets sit directly on iron")
        for name in ("inner_length", "outer_length", "shell_anisotropy"):
            if not getattr(self, name) > 0:
                raise InputError("must be larger than 0", field=name, value=f"{getattr(self, name):.6g}")
        for name in ("inner_arc", "outer_arc"):
            if not 0 < getattr(self, name) <= 1:
                raise InputError("is outside 0 to 1", field=name, value=f"{getattr(self, name):.6g}",
                                 why="it is the angle covered by one pole's magnet over the pole pitch",
                                 do="give 1 for magnets that touch each other")
        for name in ("inner_permeability", "outer_permeability"):
            if not getattr(self, name) >= 1:
                raise InputError("must be 1 or larger", field=name, value=f"{getattr(self, name):.6g}",
                                 why="it is the relative recoil permeability, 1.03 to 1.10 for rare-earth "
                                     "magnets")
        for name in ("inner_segments", "outer_segments"):
            if getattr(self, name) < 1 or getattr(self, name) != int(getattr(self, name)):
                raise InputError("must be a whole number from 1 up", field=name,
                                 value=f"{getattr(self, name)}")
        if not self.shell_end > self.shell_start:
            raise InputError("must be larger than shell_start "
                             f"({self.shell_start * 1e3:.6g} mm)", field="shell_end",
                             value=f"{self.shell_end * 1e3:.6g} mm",
                             why="both are positions from the middle of the inner magnets, the first usually "
                                 "negative")

    @property
    def section(self) -> CrossSection:
        """Radii and permeabilities for the field model."""
        return CrossSection(self.inner_back_radius, self.inner_face_radius, self.outer_face_radius,
                            self.outer_back_radius, self.inner_permeability, self.outer_permeability,
                            self.inner_iron_radius, self.outer_iron_radius)

    @property
    def extent(self) -> Extent:
        """Axial lengths and offset of both rings."""
        return Extent(self.inner_length, self.outer_length, self.outer_offset)

    @property
    def wall(self) -> Wall:
        """The conducting cylinder of the shell."""
        return Wall(self.shell_inner_radius, self.shell_thickness, self.shell_start, self.shell_end,
                    self.shell_anisotropy)

    def magnetisation(self, orders: Array) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
        """Magnetisation harmonics of both rings per tesla of remanence, at circumferential orders n."""
        rings = []
        for shape, arc, segments in ((self.inner_magnetisation, self.inner_arc, self.inner_segments),
                                     (self.outer_magnetisation, self.outer_arc, self.outer_segments)):
            if shape == "radial":
                rings.append(radial_magnetisation(orders, self.pole_pairs, arc))
            else:
                rings.append(parallel_magnetisation(orders, self.pole_pairs, arc, segments))
        return rings[0], rings[1]
