"""Physical constants, SI."""

from math import pi

#: Standard acceleration of gravity [m/s2], exact by definition (CGPM 1901).
STANDARD_GRAVITY = 9.80665
#: Vacuum permeability [H/m]; the CODATA 2018 value differs from 4 pi 1e-7 by 5e-10.
VACUUM_PERMEABILITY = 4e-7 * pi
#: 0 degC in kelvin, exact by definition.
ZERO_CELSIUS = 273.15
#: Stefan-Boltzmann constant [W/(m2 K4)], exact in the SI of 2019 to the digits given.
STEFAN_BOLTZMANN = 5.670374419e-8
#: Standard atmosphere [Pa], exact by definition.
STANDARD_ATMOSPHERE = 101325.0
