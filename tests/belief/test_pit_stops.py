"""Stops and cautions as people write them, and what is said of those nobody can read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.belief.look_ahead import read_stop, read_stops
from assistant.ground.problems import BadInput
from assistant.pages.run_words import say_stop
from assistant.physics.heat_and_wear import Stop


@pytest.mark.parametrize(
    ("text", "stop"),
    [
        ("30: new right tires, fuel", Stop(30, (False, True, False, True), fuel=True)),
        ("30: right tires", Stop(30, (False, True, False, True))),
        ("30: new tires", Stop(30, (True,) * 4)),
        ("30: four tires, fuel, caution", Stop(30, (True,) * 4, fuel=True, slow_laps=4)),
        ("30: new RF tire", Stop(30, (False, True, False, False))),
        ("30:fuel", Stop(30, fuel=True)),
        ("30: fuel only", Stop(30, fuel=True)),
        ("30: caution", Stop(30, slow_laps=4)),
        ("30: caution 6 laps", Stop(30, slow_laps=6)),
        ("30: 5 slow laps", Stop(30, slow_laps=5)),
        (" 30 : NEW LEFT TIRES , new rr tire", Stop(30, (True, False, True, True))),
    ],
)
def test_a_stop_is_read_as_people_write_it(text, stop):
    assert read_stop(text, 80) == stop


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("30", "--stop: '30' is no stop\n    write LAP: WHAT, such as --stop \"30: new right tires, fuel\""),
        ("30:", "--stop: '30:' is no stop\n    write LAP: WHAT, such as --stop \"30: new right tires, fuel\""),
        ("lunch: fuel", "--stop: 'lunch' is no lap\n    write LAP: WHAT, such as --stop \"30: new right tires, fuel\""),
        ("-3: fuel", "--stop: '-3' is no lap\n    write LAP: WHAT, such as --stop \"30: new right tires, fuel\""),
        ("80: fuel", "--stop: a stop after lap 80 does not fit a run of 80 laps\n    laps 1 to 79"),
        ("0: fuel", "--stop: a stop after lap 0 does not fit a run of 80 laps\n    laps 1 to 79"),
        ("30: fule", "--stop: 'fule' is nothing that is done at a stop\n    did you mean 'fuel'?"),
        ("30: caution 99 laps", "--stop: 99 slow laps are too many or too few\n    1 to 60"),
        ("30: 0 slow laps", "--stop: 0 slow laps are too many or too few\n    1 to 60"),
    ],
)
def test_what_is_no_stop_is_said_with_what_to_write(text, said):
    with pytest.raises(BadInput) as caught:
        read_stop(text, 80)
    assert [problem.text() for problem in caught.value.problems] == [said]


def test_an_unknown_job_lists_the_known_ones():
    with pytest.raises(BadInput) as caught:
        read_stop("30: wash the windshield", 80)
    (problem,) = caught.value.problems
    assert problem.says == "'wash the windshield' is nothing that is done at a stop"
    assert problem.hint.startswith("allowed: new tires")


def test_stops_come_in_the_order_of_their_laps():
    assert [stop.after_lap for stop in read_stops(["50: fuel", "20: caution"], 80)] == [20, 50]


def test_two_stops_on_one_lap_and_every_other_mistake_are_told_at_once():
    with pytest.raises(BadInput) as caught:
        read_stops(["20: fuel", "20: caution", "x: fuel"], 80)
    says = {problem.says for problem in caught.value.problems}
    assert says == {"there are two stops after lap 20", "'x' is no lap"}


def says_of(text):
    """Say what comes of a text: the lap of the stop, or the messages."""
    try:
        return read_stop(text, 80).after_lap
    except BadInput as mistake:
        return [problem.says for problem in mistake.problems]


@given(st.text(max_size=40))
def test_nothing_typed_ends_in_anything_but_a_stop_or_a_plain_message(text):
    found = says_of(text)
    assert 0 < found < 80 if isinstance(found, int) else found and all(found)


@pytest.mark.parametrize(
    ("stop", "said"),
    [
        (Stop(30, (False, True, False, True), fuel=True), "after lap 30: new RF and RR, fuel"),
        (Stop(45, fuel=True), "after lap 45: fuel"),
        (Stop(60, slow_laps=5), "after lap 60: 5 slow laps"),
        (Stop(9, (True,) * 4), "after lap 9: new LF, RF, LR and RR"),
    ],
)
def test_a_stop_is_said_back(stop, said):
    assert say_stop(stop) == said
