"""Films of all journal bearings of many cases under their loads, compiled."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetpath.physics.film.film_regime import (
    TURBULENT_REYNOLDS,
    film_ratio,
    film_reynolds,
    turbulent_axial_resistance,
)
from wetpath.physics.film.journal_film import FilmRow, eccentricity_ratio, least_film, sommerfeld_number, specific_load
from wetpath.physics.published import compiled

Array = NDArray[np.float64]

LAMINAR, VORTICES, TURBULENT = range(3)
# First axis of what is found.
REYNOLDS, REGIME, SOMMERFELD, ECCENTRICITY, THICKNESS, RATIO, SPECIFIC_LOAD, SLIDING_SPEED = range(8)
FILM_RESULTS = 8


class FilmShapes(NamedTuple):
    """What the films of the bearings take from their geometry, (bearings,); SI."""

    radius: Array
    clearance: Array
    length: Array
    roughness: Array
    load_factor: Array          # the table is entered with the load times this
    laminar: Array              # Reynolds number up to which the film is laminar
    eccentricities: Array       # (bearings, entries) of their film rows
    sommerfelds: Array          # (bearings, entries)


@compiled
def loaded_films(shapes: FilmShapes, viscosity: Any, density: Any, speed: Any, load: Any) -> Any:
    """Reynolds number, regime, Sommerfeld number, eccentricity, least film and more of every bearing in every case.

    Parameters
    ----------
    shapes : FilmShapes
    viscosity, density, load : array (cases, bearings) [Pa s], [kg/m3], [N]
    speed : array (cases,) [rad/s]

    Returns
    -------
    array (FILM_RESULTS, cases, bearings), first axis as named in this module; the Sommerfeld number with the factors
    for grooves and turbulence.

    Notes
    -----
    The formulas and their sources are those of `film_regime` and `journal_film`.
    """
    cases, bearings = load.shape
    found = np.empty((FILM_RESULTS, cases, bearings))
    for bearing in range(bearings):
        radius, clearance = shapes.radius[bearing], shapes.clearance[bearing]
        length, laminar = shapes.length[bearing], shapes.laminar[bearing]
        row = FilmRow(shapes.eccentricities[bearing], shapes.sommerfelds[bearing])
        for case in range(cases):
            reynolds = film_reynolds(density[case, bearing], viscosity[case, bearing], speed[case], radius, clearance)
            thicker = viscosity[case, bearing] * turbulent_axial_resistance(reynolds, laminar)
            number = sommerfeld_number(thicker, speed[case], load[case, bearing] * shapes.load_factor[bearing], radius,
                                       length, clearance)
            eccentricity = eccentricity_ratio(number, row)
            thickness = least_film(clearance, eccentricity)
            regime = LAMINAR
            if reynolds > TURBULENT_REYNOLDS:
                regime = TURBULENT
            elif reynolds > laminar:
                regime = VORTICES
            found[REYNOLDS, case, bearing] = reynolds
            found[REGIME, case, bearing] = regime
            found[SOMMERFELD, case, bearing] = number
            found[ECCENTRICITY, case, bearing] = eccentricity
            found[THICKNESS, case, bearing] = thickness
            found[RATIO, case, bearing] = film_ratio(thickness, shapes.roughness[bearing], 0.0)
            found[SPECIFIC_LOAD, case, bearing] = specific_load(load[case, bearing], radius, length)
            found[SLIDING_SPEED, case, bearing] = speed[case] * radius
    return found
