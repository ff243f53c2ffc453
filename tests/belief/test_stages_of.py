"""Stages: which laps they are, and that a value of one is the mean over its laps."""

from itertools import pairwise

import numpy as np
import pytest

from assistant.belief.model import COLD, SHORTEST, middle_of, read_model, span_of, weigh_knots, weigh_stages
from assistant.car.files import read_case
from assistant.ground.names import STAGES
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from assistant.physics.heat_and_wear import Stop, place_knots


@pytest.mark.parametrize(
    ("laps", "spans"),
    [
        (80, [(0, 2), (2, 8), (80 / 3, 160 / 3), (70, 80)]),
        (21, [(0, 2), (2, 7), (7, 14), (14, 21)]),
        (9, [(0, 2), (2, 3), (3, 6), (6, 9)]),
        (6, [(0, 2), (0, 3), (0, 6), (3, 6)]),
        (1, [(0, 0.5), (0, 0.5), (0, 1), (0.5, 1)]),
    ],
)
def test_stages_are_these_laps(laps, spans):
    assert np.array([span_of(stage, laps) for stage in (COLD, *STAGES)]) == pytest.approx(np.array(spans))


@pytest.mark.parametrize("laps", range(SHORTEST, 120, 7))
def test_stages_follow_each_other_without_sharing_a_lap(laps):
    for earlier, later in pairwise((COLD, *STAGES)):
        assert span_of(earlier, laps)[1] <= span_of(later, laps)[0]


@pytest.mark.parametrize("laps", [1, 5, 9, 12, 20, 24, 40, 80, 140])
def test_the_mean_of_a_straight_line_is_its_value_in_the_middle(laps):
    knots, _ = place_knots(laps)
    for stage in (COLD, *STAGES):
        weights = weigh_knots(knots, stage)
        assert weights.sum() == pytest.approx(1.0)
        assert weights @ (3.0 - 2.0 * knots) == pytest.approx(3.0 - 2.0 * middle_of(stage, laps))


def test_a_lap_is_read_by_itself_and_after_a_stop_where_it_stands_twice():
    knots, _ = place_knots(40, [Stop(20)])
    values = np.where(np.arange(len(knots)) < np.flatnonzero(knots == 20)[1], 0.0, 1.0)
    assert [float(weigh_knots(knots, lap) @ values) for lap in (19.9, 20.0, 40.0)] == pytest.approx([0.0, 1.0, 1.0])


def test_a_stop_inside_a_stage_splits_its_mean():
    knots, _ = place_knots(40, [Stop(35)])
    values = np.where(np.arange(len(knots)) < np.flatnonzero(knots == 35)[1], 0.0, 1.0)
    assert weigh_knots(knots, "worn") @ values == pytest.approx(0.5)


def test_the_stages_of_a_run_agree_with_the_run_lap_by_lap():
    model = read_model(read_case("demo"))
    runs = [drive_run(model.numbers, usual_phases(), model.circuit, 80, every_lap=every) for every in (False, True)]
    few, all_laps = (np.tensordot(weigh_stages(run.laps), run.balance, axes=1) for run in runs)
    assert few == pytest.approx(all_laps, abs=0.03)
