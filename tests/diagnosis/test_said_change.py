from dataclasses import replace

import pytest

from assistant.car.case import kind_of
from assistant.car.files import read_case
from assistant.car.moves import value_of
from assistant.diagnosis.said_change import NoChangeError, read_change, size_told
from assistant.ground.units import show


@pytest.fixture(scope="module")
def setup():
    return read_case("demo").setup


@pytest.mark.parametrize(
    ("said", "lever", "value"),
    [
        ("track bar right down 1/2", "track_bar_right", "10 in"),
        ("lower the right end of the track bar half an inch", "track_bar_right", "10 in"),
        ("track bar right -1/2", "track_bar_right", "10 in"),
        ("track bar up a quarter", "track_bar", "10 1/2 in"),
        ("stagger 2", "stagger", "2 in"),
        ("stagger 2 1/4", "stagger", "2 1/4 in"),
        ("stagger=2in", "stagger", "2 in"),
        ("stagger+=1/4in", "stagger", "2 1/8 in"),
        ("add a quarter of stagger", "stagger", "2 1/8 in"),
        ("take out 1/4 inch of stagger", "stagger", "1 5/8 in"),
        ("rr pressure 20", "pressure_rr", "20.0 psi"),
        ("right rear pressure to 20 psi", "pressure_rr", "20.0 psi"),
        ("RR 20 psi", "pressure_rr", "20.0 psi"),
        ("drop the right rear two pounds of air", "pressure_rr", "20.0 psi"),
        ("soften the right rear", "spring_rr", "200 lb/in"),
        ("I soften the right rear spring 50 pounds", "spring_rr", "175 lb/in"),
        ("rr spring 250", "spring_rr", "250 lb/in"),
        ("cross 51.5", "cross_weight", "51.5 %"),
        ("half a percent more cross weight", "cross_weight", "51.5 %"),
        ("final drive 4.86:1", "final_drive", "4.86"),
        ("rear spoiler 55°", "rear_spoiler", "55.0 deg"),
        ("add wedge", "cross_weight", "51.5 %"),
        ("rf rebound up two clicks", "rebound_rf", "7 clicks"),
        ("brake bias 60", "brake_bias", "60.0 %"),
        ("quicker steering box", "steering_box", "10.00"),
        ("final drive 6.00", "final_drive", "6.00"),
    ],
)
def test_a_change_is_read_in_words_of_the_trade(setup, knowledge, said, lever, value):
    change = read_change(said, setup, knowledge, "trade")
    assert change.lever == lever
    assert show(change.value, kind_of(lever, setup), fraction=True) == value
    assert value_of(change.put_on(setup), lever) == pytest.approx(change.value)


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ("the moon up 1/2", "no lever of this car"),
        ("spring 250", "which one: LF spring, RF spring, LR spring, RR spring"),
        ("track bar right", "track bar right: which way, or to what? Such as track bar right up 1/4 in"),
        ("track bar right 1/2", "which way, or to what?"),
        ("cross weight up 90 %", "only 20 % to 80 %"),
        ("stagger 2 psi", "stagger"),
        ("", "no lever of this car"),
        ("front_roll_centre up", "it is called front roll center now"),
    ],
)
def test_what_names_no_change_is_told_why(setup, knowledge, said, says):
    with pytest.raises(NoChangeError, match=says.replace("?", r"\?")):
        read_change(said, setup, knowledge, "trade")


def test_a_number_without_a_unit_is_one_of_the_readers_system(setup, knowledge):
    assert read_change("rr pressure 140", setup, knowledge, "si").value == pytest.approx(140e3)


def test_a_step_from_a_guess_leads_to_a_guess_and_a_value_that_was_said_does_not(setup, knowledge):
    guessed = replace(setup, guessed=frozenset({"stagger"}))
    assert "stagger" in read_change("stagger up 1/4", guessed, knowledge, "trade").put_on(guessed).guessed
    assert "stagger" not in read_change("stagger 2", guessed, knowledge, "trade").put_on(guessed).guessed


@pytest.mark.parametrize(
    ("words", "lever", "by"),
    [
        ("rear gear, from 6.20 to 5.86", "final_drive", -0.34),
        ("two rounds out of the LR", "cross_weight", -0.01),
        ("put a round in the rr", "cross_weight", -0.005),
        ("sway bar: put in an inch and a quarter, the old one was an inch and an eighth", "front_bar", 0.003175),
        ("dropped the rr two pounds", "pressure_rr", -13789.5),
        ("raised the track bar a half inch both ends to free it up", "track_bar", 0.0127),
    ],
)
def test_a_change_that_was_made_is_read_by_how_far(words, lever, by, setup, knowledge):
    change = read_change(words, setup, knowledge, "trade")
    assert (change.lever, change.is_step) == (lever, True)
    assert change.value - value_of(setup, lever) == pytest.approx(by, rel=1e-3)


@pytest.mark.parametrize(
    ("words", "far"),
    [
        ("put a stiffer right rear spring in, 200 to 225", "usual"),
        ("went from a 450 to a 400 rf spring", "far"),
        ("a round out of the LR", "usual"),
        ("dropped the rr a quarter pound", ""),
        ("dropped the rr .25 psi", "little"),
        ("stiffer right rear spring", ""),
        ("put a 225 in the rr, was a 200", "usual"),
        ("rr pressure 20 psi", ""),
    ],
)
def test_how_far_a_change_went_is_known_where_its_amount_was_told(words, far, setup, knowledge):
    assert size_told([words], setup, knowledge).get("how_far", "") == far


def test_of_two_changes_nobody_says_how_far_it_went(setup, knowledge):
    assert not size_told(["a round out of the LR", "up 50 on the rf spring"], setup, knowledge)
