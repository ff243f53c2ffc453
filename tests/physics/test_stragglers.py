"""Points that take longer than the rest of their batch are solved alone, and come out as they would in it."""

import numpy as np
import pytest

from assistant.physics import cornering
from assistant.physics.corner_problem import pick_points
from assistant.physics.heat_and_wear import start_moments, tires_at
from assistant.physics.suspension import answer_pushes, stand_still
from tests.physics.rig import car, phases, solve, turn


def mixed_batch():
    """Cars from tight to very loose with drive on a bank: near neutral and near the traction limit some take longer."""
    numbers = car()
    numbers = {name: np.repeat(value, 60) for name, value in numbers.items()}
    numbers["stagger"] = np.linspace(-0.05, 0.15, 60)
    return numbers, turn(bank=0.2), phases(drive=0.4)


def test_a_point_picked_out_of_a_batch_is_the_same_point():
    numbers, place, demand = mixed_batch()
    problem, limit = solve(numbers, place=place, demand=demand)
    chosen = np.zeros(limit.balance.shape, dtype=bool)
    chosen[0, 1, 0, [3, 31, 59]] = True
    part = pick_points(problem, np.nonzero(chosen), chosen.shape)
    point = cornering.evaluate(part, limit.unknowns[:, chosen][:, None, None, None])
    whole = cornering.evaluate(problem, limit.unknowns)
    assert point.margins[:, 0, 0, 0] == pytest.approx(whole.margins[:, chosen], abs=1e-13)
    assert point.outputs[:4, 0, 0, 0] == pytest.approx(limit.point.outputs[:4, chosen], rel=1e-12)


def test_solving_the_last_ones_alone_changes_no_answer(monkeypatch):
    numbers, place, demand = mixed_batch()
    monkeypatch.setattr(cornering, "LARGE", 100)
    asked = []
    pick = cornering.pick_points
    monkeypatch.setattr(cornering, "pick_points", lambda *args: asked.append(len(args[1][0])) or pick(*args))
    _, alone = solve(numbers, place=place, demand=demand)
    assert asked, "no point was slow: the case shows nothing"
    assert max(asked) <= cornering.FEW * alone.balance.size
    monkeypatch.setattr(cornering, "FEW", 0.0)
    asked.clear()
    _, together = solve(numbers, place=place, demand=demand)
    assert not asked
    assert np.array_equal(alone.steady, together.steady)
    assert alone.balance[alone.steady] == pytest.approx(together.balance[together.steady], abs=1e-6)
    assert np.abs(cornering.followed(alone.point)).max(axis=0)[alone.steady].max() < 10 * cornering.TOLERANCE


# A car of a batch that is past driving has no number, and spoils none of the others.


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
