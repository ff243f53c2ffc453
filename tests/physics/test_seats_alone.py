"""Springs swapped with their seats left alone: what that does to the scale loads."""

import numpy as np
import pytest

from assistant.car.files import read_case
from assistant.physics.car_and_driver import collect_numbers
from assistant.physics.suspension import TireState, answer_pushes, stand_still
from tests.physics.rig import EVEN_LINE

CASE = read_case("demo")
CORNERS = ("lf", "rf", "lr", "rr")


def at_rest(spring: str = "", times: float = 1.0, *, alone: bool = True) -> np.ndarray:
    numbers = collect_numbers(CASE.car, CASE.tire, CASE.setup)
    if spring:
        numbers[spring] = numbers[spring] * times
    numbers["seats_alone"] = np.array([float(alone)])
    cold = np.stack([numbers[f"pressure_{corner}"] for corner in CORNERS])[:, None]
    none = np.zeros((4, 1, 1))
    heat = none[..., None, None] + 300.0
    state = TireState(
        pressure=cold, temperature=heat, wear=none, age=none, warmth=none, fuel_burned=np.zeros((1, 1)), line=EVEN_LINE
    )
    rest = stand_still(numbers, state)
    return answer_pushes(numbers, rest).at_rest[:4, 0, 0]


@pytest.mark.parametrize("corner", range(4))
def test_a_stiffer_spring_loads_its_own_corner_and_the_diagonal_one(corner):
    change = at_rest(f"spring_{CORNERS[corner]}", 1.1) - at_rest()
    assert change[corner] > 0
    assert change[3 - corner] > 0
    assert (np.delete(change, [corner, 3 - corner]) < 0).all()


@pytest.mark.parametrize("corner", CORNERS)
def test_the_weight_and_its_place_stay(corner):
    numbers = collect_numbers(CASE.car, CASE.tire, CASE.setup)
    change = at_rest(f"spring_{corner}", 1.3) - at_rest()
    halves = [numbers["track_front"][0] / 2] * 2 + [numbers["track_rear"][0] / 2] * 2
    sides = np.array([1, -1, 1, -1]) * halves
    assert change.sum() == pytest.approx(0, abs=1e-9)
    assert change[:2].sum() == pytest.approx(0, abs=1e-9)
    assert (sides * change).sum() == pytest.approx(0, abs=1e-9)


def test_a_car_that_is_scaled_again_keeps_its_loads():
    assert at_rest("spring_lr", 1.3, alone=False) == pytest.approx(at_rest(), abs=1e-9)


def test_nothing_changes_without_a_swap():
    assert at_rest(alone=True) == pytest.approx(at_rest(alone=False), abs=1e-9)
