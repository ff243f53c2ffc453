"""A driver who keeps something in hand: his tires make their share, and a run answers pushes of every size alike."""

import numpy as np
import pytest

from assistant.physics.attitude import find_attitude
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from tests.physics.rig import car, solve, turn

LAPS, SETTLED = 80, 7
PASSES = 40
"""As often as it takes for a run to come to rest, so that only the law is judged."""
TRIMS = ("trim_entry", "trim_middle", "trim_exit")


def balance(model, numbers):
    """Balance of entry, middle, exit [%], settled and worn, (2, 3)."""
    run = drive_run(numbers, usual_phases(), model.circuit, LAPS, passes=PASSES)
    mean = run.mean_balance[..., 0]
    return mean[[SETTLED, -1]]


def gain(model, push, **driver):
    """What the run makes of a push of balance [%] in all phases, per percent."""
    numbers = {**model.numbers, **{name: np.array([value]) for name, value in driver.items()}}
    pushed = {**numbers, **{trim: numbers[trim] + push / 100.0 for trim in TRIMS}}
    return (balance(model, pushed) - balance(model, numbers)) / push


@pytest.mark.parametrize("share", [0.90, 0.97, 1.0])
def test_each_axle_makes_the_drivers_share_of_what_the_limit_asks_of_it(share):
    numbers = car() | {"limit_used": np.array([share])}
    problem, limit = solve(numbers, turn(bank=0.2))
    attitude, point = find_attitude(problem, limit), limit.point
    made = np.stack([attitude.side[:2].sum(axis=0), attitude.side[2:].sum(axis=0)])
    assert made == pytest.approx(share * point.needs, rel=1e-4)
    assert (attitude.slip_front <= point.front.slip + 1e-12).all()
    assert (attitude.slip_rear <= point.rear.slip + 1e-12).all()


def test_the_more_a_driver_keeps_in_hand_the_less_his_tires_slide():
    sliding = []
    for share in (1.0, 0.97, 0.94):
        problem, limit = solve(car() | {"limit_used": np.array([share])}, turn())
        sliding.append(find_attitude(problem, limit).sliding.sum())
    assert sliding[0] > sliding[1] > sliding[2]


@pytest.mark.parametrize("way", [-1.0, 1.0])
def test_a_small_push_and_a_large_one_are_answered_alike(model, way):
    """Wear that grows faster than slip bends the answer of the end of a run by a little more than a tenth."""
    small, large = gain(model, way * 0.2), gain(model, way * 2.0)
    assert large == pytest.approx(small, rel=0.12)


def test_at_the_very_limit_a_small_push_would_be_answered_far_more_than_a_large_one(model):
    """Why the share in hand is there: the slip of the axle with grip left goes as the root of it."""
    small, large = (gain(model, push, limit_used=1.0) for push in (0.2, 2.0))
    assert (small[1] > 1.3 * large[1]).any()


@pytest.mark.parametrize(("lever", "step"), [("cross_weight", 0.0025), ("stagger", 0.125 * 0.0254)])
def test_four_single_steps_and_one_step_of_four_agree_within_eight_percent(model, lever, step):
    numbers = model.numbers
    base = balance(model, numbers)
    one = balance(model, {**numbers, lever: numbers[lever] + step}) - base
    four = balance(model, {**numbers, lever: numbers[lever] + 4.0 * step}) - base
    assert four == pytest.approx(4.0 * one, rel=0.08, abs=0.01)
