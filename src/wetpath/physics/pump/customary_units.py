"""Sizes in SI of the customary units in which trade formulas are printed; for those formulas only."""

from math import pi

#: 1 r/min [rad/s].
REVOLUTION_PER_MINUTE = pi / 30
#: 1 m3/h [m3/s].
CUBIC_METRE_PER_HOUR = 1 / 3600
#: 1 mm2/s = 1 cSt [m2/s].
SQUARE_MILLIMETRE_PER_SECOND = 1e-6
#: 1 ft [m], exact.
FOOT = 0.3048
#: 1 US gallon per minute [m3/s], exact.
US_GALLON_PER_MINUTE = 0.003785411784 / 60
