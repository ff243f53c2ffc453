"""A car of a batch that is past driving has no number, and spoils none of the others."""

import numpy as np

from assistant.physics.heat_and_wear import start_moments, tires_at
from assistant.physics.suspension import answer_pushes, stand_still
from tests.physics.rig import car


def answers(numbers):
    count = len(numbers["mass"])
    tires = tires_at(numbers, start_moments(297.0, 1, count))
    with np.errstate(all="ignore"):
        return answer_pushes(numbers, stand_still(numbers, tires)).at_rest


def test_a_car_whose_springs_are_past_all_numbers_leaves_the_others_as_they_are():
    three = {name: np.repeat(value, 3) for name, value in car().items()}
    good = answers(three)
    three["spring_rr"] = three["spring_rr"] * np.array([1.0, 1e60, 1.0])
    three["spring_lr"] = three["spring_lr"] * np.array([1.0, 1e60, 1.0])
    bad = answers(three)
    np.testing.assert_array_equal(bad[..., [0, 2]], good[..., [0, 2]])
