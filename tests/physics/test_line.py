"""The line of a lap: speeds that follow from the forces, braking booked once, angle and length of the lap kept."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.model import read_model
from assistant.car.files import read_case
from assistant.physics.line import (
    ENTRY,
    EXIT,
    MIDDLE,
    CornerLine,
    Lengths,
    Motion,
    find_line,
    find_speeds,
    first_line,
    phase_lengths,
    straight_lengths,
)
from tests.demo_table import forecast_setups

LENGTHS = Lengths(np.array([[215.0], [240.0]]), np.array([[175.0], [175.0]]))
RADIUS = LENGTHS.corner / np.pi


@pytest.fixture(scope="module", params=["demo", "demo-tight"])
def model(request):
    return read_model(read_case(request.param))


def with_straights(case, factor):
    ends = tuple(replace(end, straight=factor * end.straight) for end in case.track.ends)
    return replace(case, track=replace(case.track, ends=ends))


def test_constant_forces_change_the_square_of_the_speed_in_step_with_the_meters():
    middle, forward = np.array([[[900.0]]]), np.array([-4.0, 0.0, 1.0]).reshape(1, 3, 1, 1)
    along = np.array([100.0, 60.0, 70.0]).reshape(1, 3, 1, 1)
    speeds = find_speeds(middle, forward, along)
    found = [float(part.item()) for part in (speeds.begin, speeds.entry, speeds.exit, speeds.end)]
    assert found == pytest.approx([900 + 800, 900 + 400, 900 + 70, 900 + 140])


def test_a_lap_of_a_made_up_car_comes_to_rest_where_speeds_forces_and_curves_agree():
    """Side force 11 m/s2 less what braking takes of a circle, drag 1.8 m/s2, straights that always end at 45 m/s."""
    line = first_line(1, 1)
    line = CornerLine(*(np.broadcast_to(part, (1, *part.shape[1:-2], 2, 1)) for part in vars(line).values()))
    brake, together = np.full((1, 2, 1), 3.7), 11.0
    for _ in range(60):
        side = np.stack([np.sqrt(together**2 - (3.7 * line.braking) ** 2), *[np.full((1, 2, 1), together)] * 2], axis=1)
        limit = side * RADIUS / line.curve
        forward = np.stack([-1.8 - 3.7 * line.braking, line.holding - 1.8, np.full((1, 2, 1), 0.7)], axis=1)
        always, straight = np.full((1, 2, 1), 45.0**2), straight_lengths(line, LENGTHS)
        driven = Motion(limit, forward, always, 0.0 * always, straight)
        line = find_line(line, driven, brake, LENGTHS, RADIUS)
    speeds = find_speeds(limit[:, MIDDLE], forward, phase_lengths(line, LENGTHS))
    assert limit[:, ENTRY] == pytest.approx(speeds.entry, rel=1e-6)
    assert limit[:, EXIT] == pytest.approx(speeds.exit, rel=1e-6)
    assert speeds.begin == pytest.approx(45.0**2, rel=1e-6)
    assert forward[:, MIDDLE] == pytest.approx(0.0, abs=1e-9)


def test_the_run_is_driven_on_a_line_that_fits_it(model):
    run = model.run
    line, driven = run.moments.line, run.lap.driven
    speeds = find_speeds(driven.limit[:, MIDDLE], driven.forward, phase_lengths(line, model.circuit.lengths))
    assert driven.limit[:, ENTRY] == pytest.approx(speeds.entry, rel=1e-3)
    assert driven.limit[:, EXIT] == pytest.approx(speeds.exit, rel=1e-3)
    assert driven.forward[:, MIDDLE] == pytest.approx(0.0, abs=1e-3)
    assert (np.abs(line.braking) < 1.0).all()
    assert np.roll(driven.arrival, 1, axis=1) == pytest.approx(speeds.begin, rel=1e-3)
    assert (driven.limit[:, ENTRY] > driven.limit[:, MIDDLE]).all()


def test_the_corner_turns_its_angle_and_the_lap_is_as_long_as_it_is(model):
    line, lengths = model.run.moments.line, model.circuit.lengths
    turned = phase_lengths(line, lengths) * line.curve
    assert turned.sum(axis=1) == pytest.approx(np.broadcast_to(lengths.corner, turned[:, 0].shape))
    driven = phase_lengths(line, lengths).sum(axis=(1, 2)) + straight_lengths(line, lengths).sum(axis=1)
    assert driven == pytest.approx((lengths.corner + lengths.straight).sum())


def test_longer_straights_ask_for_more_braking():
    case = read_case("demo")
    short, usual, long = (read_model(with_straights(case, factor)).run for factor in (0.7, 1.0, 2.5))
    brakes = [run.moments.line.braking[-1] for run in (short, usual, long)]
    assert (brakes[0] < brakes[1]).all()
    assert (brakes[1] < brakes[2]).all()
    for run in (short, usual, long):
        assert run.lap.engine_work == pytest.approx(run.lap.brake_work + run.lap.loss_work, rel=5e-3)


def test_a_corner_that_the_straight_hardly_reaches_is_driven_with_the_throttle_down():
    model = read_model(with_straights(read_case("demo"), 0.15))
    run = model.run
    assert (run.moments.line.braking[-1] < 0.0).any()
    assert run.lap.engine_work == pytest.approx(run.lap.brake_work + run.lap.loss_work, rel=0.01)


def test_a_corner_that_is_never_reached_is_said():
    case = read_case("demo")
    bowl = tuple(replace(end, bank=np.radians(34.0)) for end in case.track.ends)
    steep = replace(case, track=replace(case.track, ends=bowl))
    (forecast,) = forecast_setups(read_model(steep), [steep.setup])
    assert not forecast.reaches
