"""Levers of a team's own: put on the car, sized and offered like any other, by the book or computed."""

import json
from dataclasses import replace

import pytest

from assistant.advice.offers import advise
from assistant.belief.effects import effect_table
from assistant.belief.model import read_model
from assistant.car.case import MODEL_KINDS
from assistant.car.files import read_case, read_setup
from assistant.car.moves import differences, range_left, setup_faults, with_step, with_value
from assistant.car.write import write_setup
from assistant.diagnosis.session import start
from assistant.ground.folders import knowledge_folder
from assistant.ground.problems import BadInput
from assistant.pages.data import Way, advice_data
from assistant.pages.levers import levers_data
from assistant.pages.readings import stop_words
from assistant.pages.why import why_screen
from assistant.rules.knowledge import equip
from assistant.rules.models import Lever
from assistant.rules.pack import base_folder, load_packs
from tests.demo_table import believe_case, forecast_setups

INCH = 0.0254
MILD = "loose off on fresh tires, 2"


def own_lever(**values):
    return Lever.model_validate(
        {
            "lever": "engine_setback",
            "title": "height of the engine",
            "unit": "in",
            "plus_word": "up",
            "minus_word": "down",
            "plus_verb": "raise",
            "minus_verb": "lower",
            "range": {"from": "0 in", "to": "2 in", "step": "1/4 in", "now": "1 in"},
            "usual_change": "1/4 in",
            "largest_change": "1 in",
            "when": "shop",
            "how": ["Shim the mounts."],
            "physics": "It carries the center of gravity with it.",
            "backed_by": ["common practice"],
            **values,
        }
    )


def with_lever(knowledge, **values):
    lever = own_lever(**values)
    return replace(knowledge, levers={**knowledge.levers, lever.lever: lever})


@pytest.fixture(scope="module")
def team():
    return load_packs([base_folder(), knowledge_folder() / "example-team"])


@pytest.fixture(scope="module")
def demo():
    return read_case("demo")


@pytest.fixture(scope="module")
def asked(team, demo):
    case = equip(demo, team)
    session = start(case, team, MILD)
    belief = believe_case(case, session.complaint)
    return (
        case,
        effect_table(case, belief, ["rear_packers"]),
        advise(case, team, session, belief, among=["rear_packers"]),
    )


def test_without_own_levers_a_case_stays_as_it_is(demo):
    assert equip(demo, load_packs()) is demo


def test_an_own_lever_stands_where_its_file_says_unless_the_setup_says_otherwise(team, demo):
    assert equip(demo, team).setup.values["rear_packers"] == 2
    stated = replace(demo, setup=replace(demo.setup, stated_own={"rear_packers": "1"}))
    assert equip(stated, team).setup.values["rear_packers"] == 1


def test_equipping_twice_changes_nothing(team, demo):
    once = equip(demo, team)
    moved = replace(once, setup=with_value(once.setup, "rear_packers", 0.0))
    assert equip(moved, team) is moved


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("rear_packers", "5", "rear_packers: 5 is outside its range, 0 to 4"),
        ("rear_packers", "2 psi", "rear_packers: psi is a pressure, a number is wanted"),
        ("rear_packer", "1", "no pack has a lever of its own called 'rear_packer'"),
    ],
)
def test_a_statement_of_the_setup_that_cannot_be_is_refused(team, demo, name, text, says):
    stated = replace(demo, setup=replace(demo.setup, stated_own={name: text}))
    with pytest.raises(BadInput) as caught:
        equip(stated, team)
    assert [problem.says for problem in caught.value.problems] == [says]


def test_an_own_lever_is_moved_inside_its_range_and_no_further(team, demo):
    case = equip(demo, team)
    assert range_left(case.setup, case.rulebook, case.car, "rear_packers") == (2, 2)
    moved, stop = with_step(case.setup, case.rulebook, case.car, "rear_packers", -3)
    assert moved.values["rear_packers"] == 0
    assert stop is not None
    assert stop_words(stop) == "packers on the right rear bump rubber: already at its least, 0"
    assert differences(case.setup, moved) == {"rear_packers": (2, 0)}


def test_a_value_outside_the_range_is_a_fault_of_the_setup(team, demo):
    case = equip(demo, team)
    wrong = replace(case, setup=with_value(case.setup, "rear_packers", 9.0))
    (fault,) = setup_faults(wrong)
    assert fault.says == "packers on the right rear bump rubber is 9, more than its own range, 4"


def test_the_setup_file_keeps_what_it_says_of_own_levers(team, demo, tmp_path):
    case = equip(demo, team)
    path = tmp_path / "setup.yaml"
    path.write_text(write_setup(with_value(case.setup, "rear_packers", 3.0)), encoding="utf-8")
    assert "own levers:\n  rear_packers: 3\n" in path.read_text(encoding="utf-8")
    assert read_setup(path).stated_own == {"rear_packers": "3"}
    path.write_text(write_setup(read_setup(path)), encoding="utf-8")
    assert read_setup(path).stated_own == {"rear_packers": "3"}


def test_an_own_lever_by_the_book_is_offered_with_its_size(asked):
    case, _, advice = asked
    (offer,) = [remedy for remedy in advice.remedies if remedy.id == "rear_packers"]
    assert (offer.basis, offer.steps, offer.start, offer.finish, offer.confidence) == ("by the book", -2, 2, 0, None)
    assert offer.effect["exit"] == pytest.approx({"fresh": 0.2, "settled": 0.2, "worn": 0.2})
    assert offer.spread["exit"]["fresh"] == pytest.approx((0.04, 0.36))  # eight cars in ten
    assert case.setup.values["rear_packers"] == 2


def test_an_own_lever_is_in_json_with_its_unit_range_and_basis(asked, team):
    case, effects, advice = asked
    found = json.loads(json.dumps(levers_data(effects, team, "trade")))["levers"]["rear_packers"]
    assert (found["basis"], found["unit"], found["min"], found["max"], found["from"]) == ("by the book", "", 0, 4, 2)
    (offer,) = [one for one in advice_data(advice, Way("trade", case))["remedies"] if one["id"] == "rear_packers"]
    assert (offer["from"], offer["to"], offer["basis"]) == (2, 0, "by the book")
    assert offer["legal"] == {"min": 0, "max": 4, "step": 1}


def test_why_says_the_size_of_an_own_lever(asked, team):
    _, _, advice = asked
    (offer,) = [remedy for remedy in advice.remedies if remedy.id == "rear_packers"]
    first, *_ = why_screen(1, offer, team.levers, "trade")
    assert first.text.startswith("Take out the packers on the right rear bump rubber")
    assert ", from 2 to 0: tighter" in first.text


def test_the_advice_equips_a_case_that_is_not(team, demo):
    session = start(demo, team, MILD)
    belief = believe_case(demo, session.complaint)
    advice = advise(demo, team, session, belief, quick=True, among=["rear_packers", "cross_weight"])
    assert "rear_packers" in [remedy.id for remedy in advice.remedies]


def test_an_own_lever_that_moves_a_lever_of_the_setup_does_what_that_does(demo):
    knowledge = with_lever(load_packs(), model="cross_weight", model_change="-0.25 %")
    case = equip(demo, knowledge)
    table = effect_table(case, believe_case(case), ["cross_weight", "engine_setback"])
    own, cross = table.levers["engine_setback"], table.levers["cross_weight"]
    assert (own.basis, own.step) == ("computed", pytest.approx(INCH / 4))
    for phase in table.phases:
        for stage in table.stages:
            assert own.effect[phase][stage] == pytest.approx(-cross.effect[phase][stage], rel=0.05, abs=1e-3)


def test_an_own_lever_that_moves_both_ends_of_the_track_bar_moves_both(demo):
    knowledge = with_lever(load_packs(), model="track_bar", model_change="1/4 in")
    assert equip(demo, knowledge).setup.own["engine_setback"].moves == pytest.approx(
        {"track_bar_left": 1.0, "track_bar_right": 1.0}
    )


def test_an_own_lever_may_move_a_number_of_the_car_file(demo):
    knowledge = with_lever(load_packs(), model="car.cg_height", model_change="1/8 in")
    case = equip(demo, knowledge)
    model = read_model(case)
    higher = with_value(case.setup, "engine_setback", 2 * INCH)
    other = read_model(replace(demo, car=replace(demo.car, cg_height=demo.car.cg_height + 0.5 * INCH)))
    (driven,) = forecast_setups(model, [higher])
    assert model.numbers["cg_height"][0] == pytest.approx(demo.car.cg_height)
    assert other.numbers["cg_height"][0] == pytest.approx(demo.car.cg_height + 0.5 * INCH)
    (before,) = forecast_setups(model, [case.setup])
    assert driven.wear_end["RF"] > before.wear_end["RF"]
    table = effect_table(case, believe_case(case), ["engine_setback"])
    assert table.levers["engine_setback"].basis == "computed"


def test_a_car_file_holds_where_the_rules_say_the_lever_stands_now(demo):
    """A setup that states another place has another center of gravity than the car file."""
    knowledge = with_lever(load_packs(), model="car.cg_height", model_change="1/8 in")
    stated = replace(demo, setup=replace(demo.setup, stated_own={"engine_setback": "2 in"}))
    case = equip(stated, knowledge)
    model = read_model(case)
    assert model.numbers["cg_height"][0] == pytest.approx(demo.car.cg_height + 0.5 * INCH)
    back = with_value(case.setup, "engine_setback", 1 * INCH)
    (driven,) = forecast_setups(model, [back])
    (as_it_is,) = forecast_setups(model, [case.setup])
    assert driven.wear_end["RF"] < as_it_is.wear_end["RF"]


def test_scales_are_read_with_the_lever_where_it_stands(demo):
    """Cross weight in the setup file is today's: a lever that moves it adds nothing before it is moved."""
    knowledge = with_lever(load_packs(), model="cross_weight", model_change="0.5 %")
    stated = replace(demo, setup=replace(demo.setup, stated_own={"engine_setback": "2 in"}))
    model = read_model(equip(stated, knowledge))
    assert model.numbers["cross_weight"][0] == pytest.approx(demo.setup.values["cross_weight"])


def test_what_an_own_lever_may_move_is_in_the_numbers_of_the_model(demo):
    numbers = read_model(demo).numbers
    names = {name.removeprefix("car.") for name in MODEL_KINDS} - {"track_bar"}
    assert names <= numbers.keys()
