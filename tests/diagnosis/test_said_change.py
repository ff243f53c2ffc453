from dataclasses import replace

import pytest

from assistant.car.case import kind_of
from assistant.car.files import read_case
from assistant.car.moves import value_of
from assistant.diagnosis.hearing import read
from assistant.diagnosis.said_change import NoChangeError, read_change, size_told
from assistant.ground.units import read as read_value
from assistant.ground.units import show, unit_of


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
        ("RR 20 psig", "pressure_rr", "20.0 psi"),
        ("RR 1.4 bar gauge", "pressure_rr", "20.3 psi"),
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


WAYS_SAID = """
spring_rr | -25 lb/in | put a 25 softer RR spring in | put a 25 softer right rear spring in
spring_rr | -25 lb/in | put a right rear spring in that is 25 softer | put a 200 in the right rear, was a 225
spring_rr | -25 lb/in | went from a 225 to a 200 on the right rear | rr spring went from 225 to 200
spring_rr | -25 lb/in | dropped 25 pounds of spring in the rr | softened the rr spring 25
spring_rr | -25 lb/in | softened up the right rear 25 pounds | a softer right rear spring
spring_rr | -25 lb/in | put a softer spring in the right rear | pulled the rubber out of the rr
spring_rr | -25 lb/in | took a spring rubber out of the right rear
spring_rf | 25 lb/in | put a 25 stiffer rf spring in
spring_rr | 50 lb/in | put in a rr spring, 50 stiffer
spring_rr | 25 lb/in | put a 250 right rear spring in, was a 225 | swapped the 225 rr spring for a 250
spring_rr | 25 lb/in | swapped the rr 225 for a 250 | went from 225 to 250 on the rr spring
spring_rr | 25 lb/in | changed the rr spring, 225 to 250 | rr spring is a 250 now, used to be a 225
spring_rr | 25 lb/in | took the 225 out of the rr and put a 250 in | bumped the rr spring up 25
spring_rr | 25 lb/in | put a spring rubber in the rr | added a rubber in the rr
spring_rf | -25 lb/in | swapped a 400 for a 375 on the rf
spring_rf | -50 lb/in | took out the 400 rf spring and put in a 350 | went down 50 on the right front
spring_lr | 25 lb/in | replaced the 200 lr spring with a 225 | up 25 on the lr spring | went up 25 pounds on the lr
spring_lr | -25 lb/in | backed the lr spring off 25
pressure_rf | -2 psi | dropped the RF 2 lb | dropped the rf 2 | dropped the right front two pounds
pressure_rf | -2 psi | took 2 pounds out of the rf
pressure_rr | 2 psi | bumped the rr up 2 psi | added 2 pounds to the rr | rr pressure is 24 now, was 22
pressure_rr | 2 psi | aired up the rr 2 pounds
pressure_lf | 1 psi | bumped the lf a pound
pressure_lr | 1 psi | added a pound of air in the lr
pressure_rr | -2 psi | let 2 pounds out of the rr | bled the rr down 2 pounds | went from 22 to 20 in the rr
pressure_rr | -2 psi | rr air from 22 down to 20
cross_weight | 0.5 % | put a round in the lr | added a round of wedge | put a round of bite in
cross_weight | 0.5 % | cross was 50.5, now 51 | went up half a percent on the cross
cross_weight | -0.5 % | took a round out | took out a round of wedge | backed off a round on the lr
cross_weight | -0.5 % | backed a round out of the left rear | took a half percent of wedge out
cross_weight | -0.5 % | jacked a round in the right rear
cross_weight | -1 % | took two rounds of wedge out of it
cross_weight | 0.25 % | half a turn of wedge in | took half a round out of the rr | put half a round of wedge in it
cross_weight | -0.25 % | half a round out of the lr
cross_weight | 1 % | went from 51 to 52 on cross
front_bar | 1/8 in | went up a size on the sway bar | put a bigger sway bar on
front_bar | 1/8 in | put on an inch and an eighth bar, was an inch | swapped the 1 inch sway bar for a 1 1/8
front_bar | -1/8 in | went to a smaller front bar
front_bar | 1/4 in | went from a one inch bar to an inch and a quarter
track_bar | 1/2 in | raised the track bar half an inch
track_bar_right | -1/4 in | dropped the track bar a quarter on the right
track_bar_right | -1/2 in | lowered the right side of the j bar a half
track_bar | -1/2 in | track bar down a half
stagger | 1/2 in | put a half inch more stagger in it
stagger | -1/4 in | took a quarter of stagger out
stagger | 3/8 in | stagger went from 1 7/8 to 2 1/4 | put 2 1/4 of stagger in it, had 1 7/8
stagger | 1/4 in | added a quarter inch stagger
brake_bias | -1 % | moved the bias a turn to the rear
brake_bias | 2 % | put 2 percent more front brake in it
brake_bias | -3 % | bias from 69 to 66
brake_bias | -2 % | moved bias to the rear 2 percent
rebound_rf | -2 | took 2 clicks of rebound out of the rf
rebound_lf | -2 | softened the lf rebound 2 clicks
final_drive | 0.24 | changed gear, 5.43 to 5.67
final_drive | -0.24 | dropped the gear from 5.67 to 5.43
nose_tape | -1 | took tape off the nose
nose_tape | 2 | put 2 strips of tape on
toe | 1/16 in | opened the toe up a sixteenth
toe | 1/8 in | toe from an eighth to a quarter
"""
"""A lever, by how much it was moved, and how crews say it; the demo's right rear has a 225 spring and 22 psi."""


def ways_said():
    for line in WAYS_SAID.strip().splitlines():
        lever, by, *ways = line.split(" | ")
        yield from ((lever, by, said) for said in ways)


def amount(text, kind):
    number = read_value(text.removeprefix("-"), kind, default_unit=unit_of(kind, "trade")).value
    return -number if text.startswith("-") else number


@pytest.mark.parametrize(("lever", "by", "said"), list(ways_said()))
def test_a_change_is_heard_in_a_complaint_and_read_by_part_way_and_amount(lever, by, said, setup, knowledge):
    heard = read(f"loose off, {said}", knowledge)
    assert [claim.balance for claim in heard.complaints] == ["loose"]
    assert len(heard.said.changes) == 1, heard.said.changes
    for words in (said, *heard.said.changes):
        change = read_change(words, setup, knowledge, "trade")
        assert (change.lever, change.is_step) == (lever, True)
        assert change.value - value_of(setup, lever) == pytest.approx(amount(by, kind_of(lever, setup)), rel=1e-3)


@pytest.mark.parametrize(
    ("said", "lever", "value"),
    [
        ("moved the panhard up a hole", "track_bar", "10 1/2 in"),
        ("two clicks of rebound in the rf", "rebound_rf", "7 clicks"),
        ("put the rr spring back to 225", "spring_rr", "225 lb/in"),
        ("put 20 psi in the rr", "pressure_rr", "20.0 psi"),
        ("put a 250 in the rr", "spring_rr", "250 lb/in"),
        ("went from a 5.43 to a 5.29", "final_drive", "5.29"),
        ("added a half degree of camber on the rf", "camber_rf", "-3.5 deg"),
        ("a round and a half of wedge", "cross_weight", "51.7 %"),
    ],
)
def test_a_change_is_read_where_only_its_words_tell_what_it_is(said, lever, value, setup, knowledge):
    change = read_change(said, setup, knowledge, "trade")
    assert (change.lever, show(change.value, kind_of(lever, setup), fraction=True)) == (lever, value)


@pytest.mark.parametrize(
    "said",
    [
        "no stagger change", "rf 210 to 230 across", "rr was 4 over hot", "rr pressure went from 22 cold to 28 hot",
        "laps 5 to 8", "should we go up 25 on the rr spring", "it wants a 250 in the rr",
        "thinking of 200 to 225 rr spring",
    ],
)  # fmt: skip
def test_what_was_read_wanted_or_not_done_is_no_change(said, knowledge):
    assert not read(f"loose off, {said}", knowledge).said.changes


@pytest.mark.parametrize(
    ("text", "changed"),
    [
        (
            "loose off, went up 25 on the right rear and 25 on the left",
            ["went up 25 on the right rear", "went up 25 on the left rear"],
        ),
        ("tight, up 25 on the rf and the lf", ["up 25 on the rf", "up 25 on the lf"]),
        ("loose off, softened the rr and lr", ["softened the rr", "softened the lr"]),
        ("loose off, went up 25 on the right rear and it got worse", ["went up 25 on the right rear"]),
    ],
)
def test_what_was_done_at_two_corners_is_two_changes(text, changed, setup, knowledge):
    assert list(read(text, knowledge).said.changes) == changed
    levers = [read_change(one, setup, knowledge, "trade").lever for one in changed]
    assert len(set(levers)) == len(changed)
