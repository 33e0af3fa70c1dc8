"""Physical constants, SI."""

from math import pi

#: Standard acceleration of gravity [m/s2], exact by definition (CGPM 1901).
STANDARD_GRAVITY = 9.80665
#: Vacuum permeability [H/m]; the CODATA 2018 value differs from 4 pi 1e-7 by 5e-10.
VACUUM_PERMEABILITY = 4e-7 * pi
#: 0 degC in kelvin, exact by definition.
ZERO_CELSIUS = 273.15
#: Standard atmosphere [Pa], exact by definition.
STANDARD_ATMOSPHERE = 101325.0
