"""Couplings for the finite-element runs: invented machines, four to twenty-four poles, thin and thick magnets."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Case:
    """One coupling; lengths in metres, resistivity in ohm metre, speed in rev/min, load angle in electrical degrees."""

    name: str
    pole_pairs: int
    radii: tuple[float, float, float, float]        # inner back, inner face, outer face, outer back
    wall: tuple[float, float]                       # inside and outside of the shell
    arcs: tuple[float, float]
    magnetisation: str
    remanence: tuple[float, float]
    permeability: tuple[float, float]
    length: float
    wall_end: float                                 # the wall reaches from -wall_end to wall_end
    resistivity: float
    speed: float
    angle: float
    segments: int = 1
    yoke: float = 0.010                             # radial thickness of both yokes


CASES = (
    Case("A1", 4, (0.034, 0.040, 0.044, 0.050), (0.0418, 0.0428), (0.85, 0.85), "radial", (1.05, 1.05), (1.0, 1.0),
         0.040, 0.032, 1.30e-6, 2900, 45),
    Case("A2", 6, (0.052, 0.060, 0.065, 0.073), (0.0622, 0.0637), (0.9, 0.8), "radial", (1.05, 1.1), (1.05, 1.05),
         0.060, 0.045, 1.30e-6, 2900, 90),
    Case("A3", 6, (0.052, 0.060, 0.065, 0.073), (0.0622, 0.0637), (0.9, 0.8), "parallel", (1.05, 1.1), (1.05, 1.05),
         0.060, 0.045, 0.74e-6, 2900, 30),
    Case("A4", 10, (0.092, 0.101, 0.1082, 0.1172), (0.1037, 0.1067), (0.8, 0.8), "radial", (1.0, 1.0), (1.08, 1.08),
         0.050, 0.035, 1.30e-6, 3550, 60),
    Case("B1", 2, (0.014, 0.022, 0.0262, 0.034), (0.0234, 0.0244), (0.9, 0.9), "parallel", (1.08, 1.08), (1.05, 1.05),
         0.030, 0.030, 1.14e-6, 2950, 60),
    Case("B2", 3, (0.022, 0.029, 0.0345, 0.042), (0.0307, 0.0327), (0.95, 0.75), "parallel", (1.2, 1.2), (1.05, 1.05),
         0.025, 0.030, 1.30e-6, 3550, 45, segments=2),
    Case("B3", 8, (0.070, 0.074, 0.0785, 0.0825), (0.0757, 0.0767), (0.7, 0.95), "radial", (1.02, 1.12), (1.10, 1.05),
         0.120, 0.080, 1.29e-6, 1475, 75),
    Case("B4", 12, (0.128, 0.139, 0.1472, 0.1582), (0.1413, 0.1443), (0.88, 0.88), "parallel", (1.06, 1.06),
         (1.08, 1.08), 0.080, 0.060, 0.56e-6, 2950, 50, segments=3),
)
BY_NAME = {case.name: case for case in CASES}
