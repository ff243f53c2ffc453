"""A small world where everything is straight, so that what is believed can be worked out by hand."""

import numpy as np

from assistant.belief.driven import FREE, Driven, quantity_names
from assistant.ground.names import PHASES

ENDS = ("one", "two")
NAMES = quantity_names(ENDS)
KNOTS = np.array([0.0, 2.0, 10.0, 30.0])


def make_world(balance, slopes=None, cars=1):
    """Cars of a balance (phases, knots, cars), the same at both ends; slopes: of each phase by its own trim."""
    values = np.zeros((len(NAMES), len(KNOTS), cars))
    each = np.zeros((len(FREE), *values.shape))
    slopes = np.full((len(PHASES), len(KNOTS), cars), 4.0) if slopes is None else slopes
    for place, phase in enumerate(PHASES):
        for at in (place, *(NAMES.index(f"balance {phase} {end}") for end in ENDS)):
            values[at] = balance[place]
            each[1 + place, at] = slopes[place]
            each[0, at] = slopes[place]
    return Driven(KNOTS, NAMES, values, each, np.ones(cars, dtype=bool))


def normal_world(cars, seed=1, spread=1.0):
    """Cars that differ by normal numbers in every phase and knot."""
    draw = np.random.default_rng(seed)
    return make_world(spread * draw.standard_normal((len(PHASES), len(KNOTS), cars)), cars=cars)
