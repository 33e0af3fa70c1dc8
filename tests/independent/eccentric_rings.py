"""Exact plane field of two magnet rings whose axes are apart, magnets of permeability 1; an oracle for the tests.

Each ring with its iron is a source and a mirror: the inner one sends multipoles z^-m about its axis, the outer one
powers z^m about its own. The binomial theorem carries both from axis to axis; the iron answers with the image of
what reaches it. Force is the Maxwell stress on a circle in the gap.
"""

from __future__ import annotations

from math import comb, pi

import numpy as np

MU0 = 4e-7 * pi


def side_pull(pole_pairs: int, radii: tuple[float, float, float, float], inner: dict[int, float],
              outer: dict[int, float], offset: float, load_angle: float = 0.0, iron: bool = True
              ) -> tuple[float, float]:
    """Force per length on the inner ring displaced by ``offset`` along x [N/m], (x, y).

    ``radii`` of inner iron, inner face, outer face, outer iron; ``inner`` and ``outer`` radial magnetisation [T] by
    order; ``load_angle`` mechanical [rad], by which the outer ring leads.
    """
    top = max(*inner, *outer) + 4 * pole_pairs + 12
    scale = (radii[1] + radii[2]) / 2
    back, face, far_face, far_back = (radius / scale for radius in radii)
    e = offset / scale
    order = np.arange(1, top + 1)
    sent = np.zeros(top, complex)
    received = np.zeros(top, complex)
    for n, size in inner.items():
        sent[n - 1] = _outside_potential(n, back if iron else 0.0, back, face, size)
    for n, size in outer.items():
        received[n - 1] = _inside_potential(n, far_face, far_back, size, iron) * np.exp(-1j * n * load_angle)
    # z about the outer axis is z about the inner axis plus e
    to_outer = np.zeros((top, top))     # z^-m about the inner axis -> z'^-k about the outer
    to_inner = np.zeros((top, top))     # z'^m about the outer axis -> z^k about the inner
    for m in order:
        for k in order:
            if k >= m:
                to_outer[k - 1, m - 1] = comb(int(k) - 1, int(m) - 1) * e ** int(k - m)
            else:
                to_inner[k - 1, m - 1] = comb(int(m), int(k)) * e ** int(m - k)
        to_inner[m - 1, m - 1] = 1.0
    away, towards = sent.copy(), received.copy()
    mirror_in = -(back ** (2.0 * order)) if iron else np.zeros(top)
    mirror_out = -(far_back ** (-2.0 * order)) if iron else np.zeros(top)
    for _ in range(400):
        towards = received + mirror_out * np.conj(to_outer @ away)
        away, last = sent + mirror_in * np.conj(to_inner @ towards), away
        if np.abs(away - last).max() < 1e-15 * np.abs(away).max():
            break
    local = to_inner @ towards
    angle = np.arange(4096) * 2 * pi / 4096
    z = (face + 0.5 * (far_face - face - 2 * e)) * np.exp(1j * angle)
    slope = sum(m * (b * z ** (m - 1.0) - a * z ** (-m - 1.0)) for m, a, b in zip(order, away, local, strict=True))
    field = -np.conj(slope) * np.exp(-1j * angle)      # B_r + i B_theta
    stress = (field.real**2 - field.imag**2) / 2 + 1j * field.real * field.imag
    force = np.mean(stress * np.exp(1j * angle)) * 2 * pi * np.abs(z[0]) * scale / MU0
    return float(force.real), float(force.imag)


def _outside_potential(n: int, iron: float, back: float, face: float, size: float) -> float:
    """Factor of z^-n that radial magnetisation ``size`` cos(n theta) between two radii sends out, image included.

    The Green's function -(r/r')^n/(2n) of order n, integrated by parts over the magnets.
    """
    return size / 2 * (_power(back, face, n) + iron ** (2 * n) * _power(back, face, -n))


def _inside_potential(n: int, face: float, back: float, size: float, iron: bool) -> float:
    """Factor of z^n that the same sends inwards."""
    image = back ** (-2 * n) * _power(face, back, n) if iron else 0.0
    return -size / 2 * (_power(face, back, -n) + image)


def _power(low: float, high: float, exponent: int) -> float:
    """Integral of r^exponent dr."""
    if exponent == -1:
        return float(np.log(high / low))
    return (high ** (exponent + 1) - low ** (exponent + 1)) / (exponent + 1)
