"""Rules for places by turn, what was changed, how often, questions and what was fine: words of the author's own."""

from __future__ import annotations

import pytest

from assistant.diagnosis.hearing import Heard, complaint_of, read
from assistant.diagnosis.session import start
from assistant.ground.names import PHASES, STAGES
from assistant.pages.hearing_words import say_back
from assistant.rules.pack import load_packs
from tests.diagnosis.interview_pack import PACK, demo_case, read_complaint

ENDS = ("turns 1-2", "turns 3-4")


def heard(text: str) -> Heard:
    return read(text, load_packs())


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("tight in 3, loose off 2", [("entry", "second"), ("exit", "first")]),
        ("loose in 1, fine thru the center, tight off 2", [("entry", "first"), ("middle", "first"), ("exit", "first")]),
        ("loose off 2 but the other end is good", [("exit", "first"), ("", "second")]),
        ("tight in the middle of 3 and 4", [("middle", "second")]),
    ],
)
def test_turn_numbers_are_places(text, places):
    claims = heard(text).said.claims
    assert [(next(iter(claim.phases), ""), claim.end) for claim in claims] == places


@pytest.mark.parametrize(
    ("text", "answers"),
    [
        ("loose off, comes and goes", {"how-often": "sometimes"}),
        ("snaps loose off every lap", {"snap-or-slide": "snap", "how-often": "every-lap"}),
        ("it did that only once, loose in", {"how-often": "once"}),
        ("it was good, now it pushes", {"was-right": "yes"}),
        ("great car last week, wont turn tonight", {"was-right": "yes"}),
        ("never been right, tight off", {"was-right": "never"}),
        ("in practice it was an absolute dream, now it pushes", {"was-right": "yes"}),
        ("morning was lovely, now the rear floats going in", {"was-right": "yes"}),
        ("first time at this big place, it pushes in the middle", {"was-right": "new"}),
        ("tight in the middle, he wants a round of wedge out of it", {}),
        ("won by 4 sec but it was tight off", {"lap-times": "quickest"}),
        ("loose off, its like a dog trotting down the back straight", {"roll-seen": "crooked"}),
        ("all of a sudden its loose", {"came-on": "suddenly"}),
        ("nothing changed, loose in", {"what-changed": "nothing"}),
        ("swapped the rf shock and its tight in", {"what-changed": "suspension", "which-suspension": "shocks"}),
        (
            "loose in since we lowered the panhard bar",
            {"what-changed": "links", "which-links": "track-bar", "was-right": "yes"},
        ),
        (
            "raised the track bar to free it up, now loose off",
            {"what-changed": "links", "which-links": "track-bar", "last-change": "worse"},
        ),
        ("put a round in, track bar up, new springs, loose off", {"what-changed": "several"}),
        ("buddy changed stuff and its loose", {"what-changed": "not-sure"}),
    ],
)
def test_what_words_answer_is_heard(text, answers):
    assert heard(text).said.answers == answers


@pytest.mark.parametrize(
    "text",
    [
        "we need to put a round in, its tight",
        "if i put a round in its tight",
        "took a set",
        "loose off, a bushing moves",
    ],
)
def test_what_was_not_done_is_no_change(text):
    assert heard(text).said.changes == ()


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("should we tighten it up for the main?", False),
        ("how much cross do i want here", False),
        ("is it bad to be a little loose", False),
        ("what spring do i run if its tight off", True),
    ],
)
def test_a_question_complains_only_of_the_car_as_it_is(text, cells):
    reading = heard(text)
    assert reading.said.question
    assert bool(complaint_of(reading).cells) == cells


@pytest.mark.parametrize(
    "text", ["why is it so loose off", "how do i fix a push in the middle", "tight off, what do i do"]
)
def test_who_asks_what_to_do_about_it_complains(text):
    assert not heard(text).said.question
    assert heard(text).complaints


def test_opposite_reports_of_one_place_are_told_as_clashing():
    assert complaint_of(heard("loose in the center, well no its tight in the center")).clashing == ("loose", "tight")


@pytest.mark.parametrize(
    ("text", "where", "when"),
    [
        ("its loose on long runs, like last 20 laps it starts stepping out off the corner", "exit", "late"),
        ("loose on long runs, stepping out off the corner", "exit", "late"),
        ("its tight. wont turn in the middle", "middle", None),
    ],
)
def test_a_complaint_told_closer_behind_is_the_same_one(text, where, when):
    known = start(demo_case(), PACK, text).known
    assert (known.get("where"), known.get("when_in_run")) == (where, when)


def test_a_tail_that_moves_on_the_straight_is_no_loose_corner():
    read = start(demo_case(), PACK, "rear end wont stay under me on the straight").reading
    assert (read.said.symptoms, read.complaints) == (("darts on the straight",), [])


def test_one_end_of_the_track_is_no_number_for_how_bad_it_is():
    known = start(demo_case(), PACK, "only one end of the track, loose in turns 3 and 4").known
    assert known["which_end"] == "one"
    assert "how_bad" not in known


def test_a_complaint_told_with_and_is_another_one():
    phases = {cell.phase for cell in read_complaint("loose on long runs and loose in", PACK).cells}
    assert phases == {"entry", "middle", "exit"}


@pytest.mark.parametrize(
    ("text", "balance", "phase"),
    [
        ("it was a touch tight off, we went 25 up on the rr spring, now its loose off", "loose", "exit"),
        ("i cant get back to the gas without it stepping out", "loose", "exit"),
        ("free in the center, back rolls under and slides up", "loose", "middle"),
        ("soon as i squeeze the brake it plows", "tight", "entry"),
        ("rear gets light turning into 1 flat out", "loose", "entry"),
    ],
)
def test_what_was_what_is_done_and_what_follows_the_back_is_heard(text, balance, phase):
    cells = [cell for cell in read_complaint(text, PACK).cells if cell.balance != "fine"]
    assert {(cell.balance, cell.phase) for cell in cells} == {(balance, phase)}


def test_so_many_good_laps_are_the_first_ones():
    reading = start(demo_case(), PACK, "drives great 20 laps then the rear just falls off a cliff")
    assert reading.known["first_laps"] == "fine"
    assert reading.complaint.not_understood == ()


@pytest.mark.parametrize(
    "text",
    [
        "it was a touch tight off so we took a round out, now its loose off",
        "a touch tight off last week, now loose off",
        "dad wanted a stiffer right rear cause it was a touch tight off, and now its loose off",
    ],
)
def test_what_it_was_before_is_no_complaint_beside_what_it_is_now(text):
    assert {cell.balance for cell in read_complaint(text, PACK).cells} == {"loose"}


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("rear steps out, not a snap more like a slow slide", ("snap-or-slide", "slide")),
        ("took a round of wedge out and now its loose in", ("last-change", "worse")),
        ("tight on entry, i took wedge out and it got worse", ("last-change", "worse")),
        ("loose in. i coast it in with no brake and it goes away", ("float-in", "gone")),
        ("tyres LF 82C RF 104C LR 79C RR 88C, tight", ("tire_heat", "rf")),
    ],
)
def test_what_is_told_beside_a_complaint_is_heard(text, answer):
    assert answer in heard(text).said.answers.items()


def test_what_got_worse_with_a_change_did_not_come_on_with_the_laps():
    assert "came-on" not in heard("loose off. we dropped the track bar and it got worse").said.answers
    assert heard("loose off, we dropped the track bar, it gets worse every lap").said.answers["came-on"] == "gradually"


def test_two_turns_are_both_ends_and_a_gauge_is_said_back():
    said = say_back(read_complaint("pushes off 2 and 4 late, rf is 235 in the middle and 210 edges", PACK, ENDS))
    assert said.startswith("I read: tight coming off, late in the run; RF hottest in the middle;")


@pytest.mark.parametrize(
    ("text", "answers", "changes"),
    [
        (
            "put a 225 in the rr, was a 200, loose off",
            {"what-changed": "suspension", "which-suspension": "rear-springs"},
            ("put a 225 in the rr, was a 200",),
        ),
        (
            "stiffer right rear spring, 200 to 225. loose off",
            {"what-changed": "suspension", "which-suspension": "rear-springs"},
            ("stiffer right rear spring, 200 to 225",),
        ),
        (
            "pushes in since we softened the rr",
            {"what-changed": "suspension", "which-suspension": "rear-springs", "was-right": "yes"},
            ("softened the rr",),
        ),
        ("stagger, rr spring, lf shock and we ran the track bar up, loose off", {"what-changed": "several"}, None),
        (
            "dad wanted a stiffer right rear, we went 25 up on the rr and now its loose off",
            {"what-changed": "suspension", "which-suspension": "rear-springs", "last-change": "worse"},
            ("went 25 up on the rr",),
        ),
        ("put 30 in the rr, loose off", {}, ()),
        ("need a stiffer rr spring, loose off", {}, ()),
    ],
)
def test_a_change_is_heard_by_its_rate_its_corner_or_its_part_alone(text, answers, changes):
    said = heard(text).said
    assert {qid: choice for qid, choice in said.answers.items() if qid != "how-far"} == answers
    assert changes is None or said.changes == changes
    assert [claim.balance for claim in said.claims] in (["loose"], ["tight"])


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("track bar up 1/2, loose off", "track bar up 1/2"),
        ("raised the front bar 1/8 in, loose off", "raised the front bar 1/8 in"),
        ("put a stiffer rr spring in, 200 to 225, loose off", "put a stiffer rr spring in, 200 to 225"),
    ],
)
def test_how_far_a_change_went_is_heard_with_it(text, change):
    assert heard(text).said.changes == (change,)


@pytest.mark.parametrize(
    ("text", "phases", "answers"),
    [
        ("good for 15 laps, then loose off, right rear goes away", {"exit"}, {}),
        ("loose getting in, tail steps out, all run", {"entry"}, {}),
        ("tight off, front end gives up around lap 20", {"exit"}, {}),
        ("tight getting in when i back it off", {"entry"}, {"lift_or_brake": "lift"}),
        ("tight middle, right front came off 180 in 205 mid 228 outside", {"middle"}, {"rf_edge": "outside"}),
        ("loose off, got worse after we changed the bar", {"exit"}, {"last_change": "worse"}),
        ("tight off when fuel burns down", {"exit"}, {"when_in_run": "late"}),
        (
            "loose off on restarts for 3 laps then its fine",
            {"exit"},
            {"when_in_run": "fresh", "restart_only": "only-then"},
        ),
        ("only loose off when someone is on my outside", {"exit"}, {"traffic": "traffic-only"}),
        ("tight in right from the green", {"entry"}, {"came_on": "first-lap"}),
        ("went up a size on the sway bar, comes around on the gas", {"exit"}, {"which_links": "sway-bar"}),
        ("loose off, you can barely hang on to it", {"exit"}, {"how_bad": "4"}),
        (
            "snaps loose when I pick up the gas, right after a restart, then it's ok",
            {"exit"},
            {"when_in_run": "fresh", "restart_only": "only-then"},
        ),
        ("hard push in the center all run long, wont turn", {"middle"}, {"how_bad": "4"}),
        ("tight center, worse with the new tires we put on", {"middle"}, {"tire_set": "fresh", "last_change": "worse"}),
        ("i think its me, i get on the gas too hard and it steps out", {"exit"}, {"watched": "stab"}),
        ("good this afternoon, now its cold and it went tight off", {"exit"}, {"which_surroundings": "weather"}),
    ],
)
def test_where_it_is_stays_and_what_is_told_beside_it_counts(text, phases, answers):
    session = start(demo_case(), PACK, text)
    assert {cell.phase for cell in session.complaint.cells if cell.balance != "fine"} == phases
    assert answers.items() <= session.known.items()


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        # where and when a part smokes, smells or goes soft is no place of the handling
        ("loose in. theres smoke in the middle off the right front", {("entry", "loose")}),
        ("tight in the middle and the pedal went halfway to the floor the last 8 laps", {("middle", "tight")}),
        # what was, is no more, and gives neither place nor time to what is
        ("changed the bar and now it pushes in, was loose in before", {("entry", "tight")}),
        ("in qualifying it was greasy, heat it was loose in, now its tight in the middle", {("middle", "tight")}),
        # a place that begins a sentence belongs to what follows in it
        ("getting in is good. exit is awful, tight on the gas", {("exit", "tight")}),
        ("loos of", {("exit", "loose")}),
        ("wont trun in", {("entry", "tight")}),
        ("goes straight sideways getting in", {("entry", "loose")}),
        ("tight in so we freed it up", {("entry", "tight")}),
        ("everybodys loose tonight us too, on exit", {("exit", "loose")}),
        ("no brake yet, just the lift and the tail steps out going in", {("entry", "loose")}),
    ],
)
def test_what_stands_beside_a_complaint_moves_it_nowhere(text, cells):
    heard = complaint_of(read(text, PACK))
    assert {(cell.phase, cell.balance) for cell in heard.cells if cell.balance != "fine"} == cells


@pytest.mark.parametrize(
    "text", ["loose off after 20 laps or so", "tight so we freed it up", "loose off so they took it off"]
)
def test_so_that_is_no_degree_makes_nothing_worse(text):
    assert all(not cell.severity_given for cell in complaint_of(read(text, PACK)).cells)


def test_what_was_freed_up_is_a_change():
    assert read("tight so we freed it up", PACK).said.changes == ("we freed it up",)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("only loose when I drive it in hard", {("entry", "settled")}),
        ("only pushes when the tank is full", {("middle", "fresh")}),
        ("only loose when the sun is out", {("entry", "settled"), ("middle", "worn")}),
        ("loose after the caution", {("exit", "fresh")}),
    ],
)
def test_when_it_does_it_is_kept_and_the_weather_is_no_place(text, place):
    cells = [one for one in complaint_of(read(text, PACK)).cells if one.balance != "fine"]
    assert {(one.phase, one.stage) for one in cells} >= place
    assert not any(one.severity_given for one in cells)


@pytest.mark.parametrize("text", ["just slow", "slow but fine", "handles fine but its slow"])
def test_a_car_that_is_only_slow_is_heard(text, knowledge):
    assert read(text, knowledge).said.symptoms == ("slow though it feels right",)


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("loose off, better when i roll the gas in", {("loose", "exit")}),
        ("tight in the middle, its better if i slow down", {("tight", "middle")}),
    ],
)
def test_what_the_driver_does_to_make_it_better_is_no_lap_from_which_it_is(text, cells):
    complaint = complaint_of(heard(text))
    assert {(one.balance, one.phase) for one in complaint.cells} == cells
    assert len(complaint.cells) == len(STAGES)
    assert complaint.not_understood[0].startswith(("better when i", "its better if i"))


@pytest.mark.parametrize("text", ["bought it used, tight and i dont know whats in it", "loose in hot laps"])
def test_what_is_in_a_car_and_hot_laps_are_no_place_in_the_corner(text):
    assert {one.phase for one in complaint_of(heard(text)).cells} == set(PHASES)


@pytest.mark.parametrize("text", ["im 3 tenths off the leaders", "drives great but im 3 tenths off the field"])
def test_tenths_off_the_leaders_leave_open_what_it_does(text):
    assert heard(text).said.left_open
    assert not heard(text).complaints
    assert not heard(f"loose off, {text}").said.left_open


def test_a_pry_bar_is_no_part_that_was_changed():
    assert heard("loose off, pry bar moved the left arm").said.changes == ()
    assert heard("loose off, moved the track bar down").said.changes == ("moved the track bar down",)


def test_a_car_that_washes_right_up_the_track_is_tight():
    assert {one.balance for one in complaint_of(heard("wash right up the track")).cells} == {"tight"}


@pytest.mark.parametrize(
    ("text", "changed"),
    [
        ("loose getting in on the brakes, new pads", ["new pads"]),
        ("loose off, new tires and raised the rear", ["new tires", "raised the rear"]),
        ("loose in since we did the pads ourself", ["we did the pads"]),
        ("tight since we put different shocks on it", ["put different shocks"]),
        ("loose off since the fuel cell was filled", ["since the fuel cell"]),
        ("loose in, got a new set of shocks from a buddy", ["new set of shocks"]),
        ("loose off, bought a new rear end", ["bought a new rear end"]),
        ("tight in, track bar is new", ["track bar is new"]),
        ("new rf, tight center", ["new rf"]),
        ("loose in, fresh pads and rotors", ["fresh pads", "rotors"]),
        ("tight off, different driver tonight", ["different driver"]),
        ("loose off, need new shocks", []),
        ("loose off, thinking about new shocks", []),
        ("loose on new tires, tight on old ones", []),
        ("loose in, did the rear end come around on him", []),
        ("tight, passed by a different driver", []),
    ],
)
def test_what_is_new_bought_or_worked_on_is_a_change_and_what_is_wanted_or_raced_on_is_none(text, changed):
    said = heard(text).said
    assert list(said.changes) == changed
    assert not set(said.unread) & {"pads", "shocks", "bar", "rf", "rotors", "fuel", "cell", "filled"} or not changed


def test_a_night_hotter_than_the_last_is_weather_and_a_tire_hotter_than_another_is_none():
    weather = {"what-changed": "surroundings", "which-surroundings": "weather"}
    assert heard("tight in the middle, hotter tonight than last week").said.answers == weather
    assert heard("tight in the middle, rf is hotter than the rr").said.answers == {}
    assert heard("tight in the middle, not hotter than last week").said.answers == {}


def test_what_is_felt_on_the_brakes_is_read_back():
    said = say_back(complaint_of(heard("loose in on the brakes")))
    assert said == "I read: loose getting in; on the brakes; how bad was not said, so I take 3 of 5."
