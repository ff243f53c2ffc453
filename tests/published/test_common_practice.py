"""What the trade says each lever does, held against the demo car: common practice, no source.

Signs are those of the demo car with its tires settled and, where the statement is about fresh tires, at working
pressure but unworn. No constant was chosen to make one of these pass; the full comparison with its misses is in docs.
"""

from dataclasses import replace

import pytest

from assistant.belief.corners import EXIT, SettledCar
from assistant.belief.effects import lever_effect
from assistant.belief.model import read_model
from assistant.car.files import read_case, read_track
from assistant.car.moves import with_step
from assistant.ground.folders import knowledge_folder
from assistant.physics.formulas import overall_ratio
from tests.demo_table import believe_case, demo_table, forecast_setups

pytestmark = pytest.mark.published(source="common practice, no source", grade="-", tolerance="sign")
PSI = 6894.757
RISE_LR = 8
"""Row of the load law with the travel of the left rear from the scales."""


@pytest.fixture(scope="module")
def table():
    return demo_table()


def settled(table, lever, phase):
    return table.levers[lever].effect[phase]["settled"]


@pytest.mark.parametrize("phase", ["entry", "middle", "exit"])
@pytest.mark.parametrize(
    ("lever", "sign"),
    [
        ("cross_weight", +1),
        ("nose_weight", +1),
        ("stagger", -1),
        ("track_bar_right", -1),
        ("spring_rr", -1),
    ],
)
def test_a_lever_everybody_agrees_on_moves_every_phase_that_way(table, lever, phase, sign):
    assert sign * settled(table, lever, phase) > 0


def test_cross_weight_tightens_most_coming_off(table):
    effect = [settled(table, "cross_weight", phase) for phase in ("entry", "middle", "exit")]
    assert max(effect) == effect[2]


def test_more_front_brake_tightens_entry_and_leaves_the_rest_nearly_alone(table):
    assert settled(table, "brake_bias", "entry") > 0.1
    for phase in ("middle", "exit"):
        assert abs(settled(table, "brake_bias", phase)) < 0.15 * settled(table, "brake_bias", "entry")


def test_more_right_rear_air_loosens_unworn_tires_at_working_pressure(table):
    belief = table.belief
    effect = belief.move({"pressure_rr": PSI})
    for phase in ("entry", "middle", "exit"):
        assert belief.mean(effect.read(f"balance {phase}", "settled", at_once=True)) < 0


def test_a_stiffer_left_rear_spring_loosens_off_on_the_flat_and_tightens_on_the_steep_track():
    """Disputed in the trade; the model's reason: the sign is that of the corner's travel from the scales."""
    folder = knowledge_folder() / "demo"
    effects, travels = {}, {}
    for name in ("track-flat", "track-steep"):
        case = replace(read_case("demo"), track=read_track(folder / f"{name}.yaml"))
        effects[name] = lever_effect(case, believe_case(case), "spring_lr").effect["exit"]["settled"]
        car = SettledCar(read_model(case))
        travels[name] = car.mean(car.model.run.limit.point.outputs[RISE_LR], EXIT)
    assert effects["track-flat"] < 0 < effects["track-steep"]
    assert travels["track-flat"] < 0 < travels["track-steep"]


def test_overall_ratio_is_gear_times_final_drive():
    assert overall_ratio(1.2, 3.4) == pytest.approx(4.08)


def test_a_stiffer_left_rear_spring_tightens_off_when_its_seat_is_left_alone():
    """Some of the trade has it tighten: a swap without re-scaling is wedge too."""
    case = read_case("demo")
    stiffer, _ = with_step(case.setup, case.rulebook, case.car, "spring_lr", 1)
    model = read_model(case)
    now, scaled, alone = (
        forecast.balance["exit"]["settled"]
        for forecast in forecast_setups(model, [case.setup, stiffer, replace(stiffer, seats_alone=True)])
    )
    assert alone > now > scaled
