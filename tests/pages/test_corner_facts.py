"""Understeer gradient of the solver beside the closed form, and what is said of each end."""

import json
from dataclasses import replace
from math import cos, radians, sin, sqrt, tan

import numpy as np
import pytest

from assistant.belief.corners import LINEAR, TEST_RADIUS, at_the_limit, drive_circle
from assistant.belief.look_ahead import compare_ahead
from assistant.belief.model import read_model, weigh_knots
from assistant.car.moves import with_value
from assistant.cli import DONE, main
from assistant.pages.corner import corner_facts
from assistant.pages.run_words import say_changes

G = 9.80665


def with_setup(case, **values):
    return replace(case, setup=replace(case.setup, values={**case.setup.values, **values}))


def with_nose(model, share):
    return replace(model, numbers={**model.numbers, "nose_weight": np.array([share])})


@pytest.mark.parametrize("nose", [0.42, 0.505, 0.58])
def test_the_tires_of_the_solver_steer_the_car_as_the_closed_form_says(model, nose):
    circle = drive_circle(with_nose(model, nose))
    per_g = np.degrees(G)
    assert circle.of_tires * per_g == pytest.approx(circle.closed * per_g, abs=0.02, rel=0.06)


def test_weight_on_the_nose_makes_it_tight_and_weight_behind_loose_with_the_speed_that_goes_with_it(model):
    tight, loose = (drive_circle(with_nose(model, nose)) for nose in (0.58, 0.42))
    wheelbase = model.case.car.wheelbase
    assert tight.gradient > 0 > loose.gradient
    assert tight.limit_speed == pytest.approx(sqrt(wheelbase / tight.gradient))
    assert loose.limit_speed == pytest.approx(sqrt(-wheelbase / loose.gradient))


def test_the_steady_circle_starts_at_the_angle_of_its_radius_and_stays_nearly_straight(model):
    circle = drive_circle(model)
    straight = np.polyval(np.polyfit(LINEAR, circle.steer, 1), LINEAR)
    assert np.degrees(np.abs(circle.steer - straight)).max() < 0.01
    assert circle.steer[0] == pytest.approx(model.case.car.wheelbase / TEST_RADIUS, abs=radians(0.1))


def test_links_that_lean_steer_and_show_beside_the_tires(case):
    level = with_setup(case, link_angle_lr=0.0, link_angle_rr=0.0)
    leaning = with_setup(case, link_angle_lr=0.0, link_angle_rr=3.0)
    plain, steered = (drive_circle(read_model(one)) for one in (level, leaning))
    assert plain.gradient == pytest.approx(plain.of_tires, abs=1e-9)
    # bump at the right rear pulls that end back: the axle points out of the turn and the car needs less wheel
    assert steered.gradient < steered.of_tires - 1e-5


def test_each_end_obeys_newton_on_its_bank(model):
    for end, facts in zip(model.case.track.ends, at_the_limit(model), strict=True):
        turning = facts.speed**2 / end.radius
        assert facts.lateral * cos(end.bank) + facts.normal * sin(end.bank) == pytest.approx(turning, rel=1e-12)
        assert facts.normal * cos(end.bank) - facts.lateral * sin(end.bank) == pytest.approx(G, rel=1e-12)
        assert facts.neutral_speed == pytest.approx(sqrt(G * end.radius * tan(end.bank)))
        assert facts.body_slip < 0  # near its limit the nose points into the turn


def test_the_sentences_name_the_gradient_and_every_end(case, model):
    said = corner_facts(model)
    circle = drive_circle(model)
    assert said[0].startswith("Far below the limit the car is ")
    assert f"{circle.gradient * np.degrees(G):+.2f} deg for each g more" in said[0]
    assert "critical speed" in said[1] or "characteristic speed" in said[1]
    assert [end.id in text for end, text in zip(case.track.ends, said[2:], strict=True)] == [True, True]
    assert "mph" in said[2]
    assert "km/h" in corner_facts(model, system="si")[2]


def test_the_command_shows_them_and_gives_the_gradient_as_data(capsys, model):
    assert main(["corner", "demo", "circle", "--stage", "settled"]) == DONE
    said = " ".join(capsys.readouterr().out.split())
    assert "How it steers: Far below the limit the car is " in said
    assert main(["corner", "demo", "--json"]) == DONE
    circle = json.loads(capsys.readouterr().out)["circle"]
    assert circle["closed_form"] == pytest.approx(np.degrees(drive_circle(model).closed) * G, abs=0.02)
    assert set(circle) == {"gradient", "of_tires", "closed_form"}


def test_an_end_is_read_at_the_stage_asked_for(model):
    fresh, worn = (at_the_limit(model, stage)[0] for stage in ("fresh", "worn"))
    assert fresh.speed != worn.speed
    for stage, facts in (("fresh", fresh), ("worn", worn)):
        speeds = np.sqrt(model.run.limit.point.speed_squared[:, 1, 0, 0])
        assert facts.speed == pytest.approx(weigh_knots(model.run.laps, stage) @ speeds)


def test_a_bank_that_falls_away_carries_no_car_and_kills_no_screen(case):
    ends = tuple(replace(end, bank=radians(-1.0)) for end in case.track.ends)
    model = read_model(replace(case, track=replace(case.track, ends=ends)))
    assert [end.neutral_speed for end in at_the_limit(model)] == [None] * len(ends)
    said = corner_facts(model)
    assert sum("the road falls away to the outside, so the bank carries nothing" in text for text in said) == len(ends)


# What `try` says besides the balance: steering, engine speeds, braking, each only where a change moves it.


def said(case, **values):
    setup = case.setup
    for lever, value in values.items():
        setup = with_value(setup, lever, value)
    return say_changes(*compare_ahead(case, setup), "trade")


def test_a_change_to_the_same_values_says_nothing(case):
    assert said(case, stagger=case.setup.values["stagger"]) == []


def test_a_shorter_rear_gear_says_its_revs_and_its_time_on_the_limiter(case):
    lines = said(case, final_drive=6.86)
    assert any(line.startswith("Engine: 7,2") and line.endswith("s a lap on the limiter.") for line in lines)


def test_brake_share_says_which_end_locks_before_and_after(case):
    lines = said(case, brake_bias=0.64)
    (line,) = (line for line in lines if line.startswith("Braked"))
    assert line.endswith("until something locks: the front at 1.13 g before, the rear at 1.05 g after.")


def test_more_stagger_says_that_less_of_the_front_is_used(case):
    lines = said(case, stagger=case.setup.values["stagger"] + 0.00635)
    assert lines[0].startswith("Share of what the front can take, once settled: getting in ")
    assert not any(line.startswith(("Engine", "Braked")) for line in lines)
