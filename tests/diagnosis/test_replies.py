"""What a typed line means as an answer; the words are the author's own, who had read the lists."""

from __future__ import annotations

from functools import lru_cache

import pytest

from assistant.diagnosis.questions import question_of
from assistant.diagnosis.replies import answers_meant
from assistant.diagnosis.session import start
from assistant.pages.hearing_words import left_out
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import base_folder, load_packs
from tests.diagnosis.interview_pack import demo_case


@lru_cache
def knowledge() -> Knowledge:
    return load_packs()


def meant(question: str, typed: str) -> dict[str, str]:
    return answers_meant(typed, question_of(question, knowledge().questions), knowledge())


@pytest.mark.parametrize(
    ("question", "typed", "choice"),
    [
        ("safety", "nope all good", "none-noticed"),
        ("what_changed", "nothing other than the stagger we measured a bit different", "tires"),
        ("when_in_run", "about 25 on", "late"),
        ("when_in_run", "starts alright, around lap 30 it fades", "late"),
        ("where", "off, i mean going in", "entry"),
        ("where", "exit, wait no, center", "middle"),
        ("safety", "checked it and its tight", "none"),
        ("how_far", "1 size", "usual"),
        ("how_far", "two sizes", "far"),
        ("traffic", "when somebody is on my outside", "traffic-only"),
        ("how_bad", "barely makes the corner", "4"),
        ("how_bad", "can barely hang on", "4"),
        ("was_right", "yes it was a little loose before", "never"),
        ("was_right", "last guy had it all over the place", "no-sheet"),
        ("was_right", "yeah other than the joint clunked", "yes"),
        ("when_in_run", "after the caution", "fresh"),
        ("when_in_run", "when fuel burns down", "late"),
        ("when_in_run", "only when it is full of fuel", "fresh"),
        ("what_changed", "since my boy moved up", "surroundings"),
        ("safety", "no leaks", "none-noticed"),
        ("safety", "no, all good, looked it over after the heat", "none"),
        ("safety", "walked round it, nothing", "none"),
        ("safety", "nothing loose, i checked it all last night", "none"),
        ("safety", "haven't looked under it yet", "not-checked"),
        ("safety", "can't see from in here", "not-checked"),
        ("extra_wheel", "yeah it does", "yes"),
        ("extra_wheel", "no my hands are quiet", "no"),
        ("where", "off 4", "exit"),
        ("where", "in, middle and off", "all"),
        ("where", "in and middle both", "entry_and_middle"),
        ("where", "middle and off", "middle_and_exit"),
        ("where", "in and middle, getting in is the worst", "entry"),
        ("where", "exit. going in is a doddle", "exit"),
        ("what_changed", "The tires. Nothing else.", "tires"),
        ("what_changed", "nothing, just aired them", "tires"),
        ("axle_checked", "axle measured, right wheel sits back", "right-back"),
        ("axle_checked", "measured it, left wheel sits 1/4 ahead", "right-back"),
        ("axle_checked", "measured, right wheel sits forward", "right-forward"),
        ("axle_checked", "left rear sits 5/8 farther back than it should", "right-forward"),
        ("what_changed", "Nobody touched anything", "nothing"),
        ("what_changed", "we didnt change a thing", "nothing"),
        ("what_changed", "not changed", "nothing"),
        ("what_changed", "nobody touched anything but the shocks", "suspension"),
        ("which_end", "off 2, never off 4", "one"),
        ("when_in_run", "good till lap 25 of 35", "late"),
        ("when_in_run", "worse every lap", "late"),
        ("came_on", "every lap since the wreck", "suddenly"),
        ("was_right", "best car I had all year", "yes"),
        ("was_right", "it was never good", "never"),
        ("stagger_hot", "it grew a half inch", "grown"),
        ("stagger_hot", "lost three eighths", "closed"),
        ("stagger_hot", "an eighth more than cold", "as-set"),
        ("stagger_hot", "a half inch more than the sheet", "grown"),
        ("when_in_run", "only when the fuel is low", "late"),
        ("axle_checked", "not sure, nobody strung it", "not-checked"),
        ("where", "I don't know", "not-sure"),
        ("how_bad", "about a 3", "3"),
        ("how_bad", "3 out of 5", "3"),
        ("how_bad", "two tenths", "3"),
        ("how_bad", "I don't know, a lot", "4"),
        ("when_in_run", "lap 15 on", "late"),
        ("when_in_run", "early and late the same", "always"),
        ("was_right", "yep, in the heat", "yes"),
        ("was_right", "its always been like that", "never"),
        ("what_changed", "nothing we know of", "nothing"),
        ("came_on", "all of a sudden", "suddenly"),
        ("how_often", "comes and goes", "sometimes"),
        ("complaint", "I can't say", "not-sure"),
        ("when_in_run", "lap 1", "fresh"),
        ("when_in_run", "no different lap 1 or lap 50", "always"),
        ("when_in_run", "worse at the end i spose, and in the middle of the turn", "late"),
        ("when_in_run", "all run long, bout a 3 out of 5", "always"),
        ("shocks_checked", "the back right bounces like 3 times", "rr"),
        ("shocks_checked", "rear right keeps going", "rr"),
        ("was_right", "she was a touch loose before so we went softer", "never"),
        ("was_right", "dont know, bought it, no setup sheet", "no-sheet"),
        ("was_right", "well we brushed the wall last week and its been like that since", "yes"),
        ("was_right", "been that way since I got it", "never"),
        ("extra_wheel", "kinda", "yes"),
        ("complaint", "loose off 4", "loose off 4"),
        ("what_changed", "i had the pad compound changed", "brakes"),
        ("pressures_hot", "about two pounds up on all of them", "usual"),
        ("pressures_hot", "all four 6 psi up", "all-high"),
        ("what_changed", "i changed the brake pad compound", "brakes"),
        ("last_change", "it came with the new tires", "worse"),
        ("front_measured", "i have no camber gauge", "not-since"),
    ],
)
def test_an_answer_in_the_words_of_a_crew_is_understood(question, typed, choice):
    assert meant(question, typed)[question] == choice


def test_what_is_fine_some_laps_after_a_restart_is_only_then():
    told = {"when_in_run": "fresh", "restart_only": "only-then"}
    assert meant("when_in_run", "right after a restart, then it's ok") == told


def test_what_goes_away_when_it_is_tried_tells_nothing_of_how_it_came_on():
    assert meant("float_in", "yeah it goes away if I coast in") == {"float_in": "gone"}


@pytest.mark.parametrize(
    ("question", "typed"),
    [
        ("what_changed", "yes it builds all the time"),
        ("when_in_run", "went up 25 on the right rear and 25 on the left"),
        ("groove", "actually now its pushing off any line i take"),
    ],
)
def test_what_tells_of_something_else_is_no_answer(question, typed):
    assert question not in meant(question, typed)


@pytest.mark.parametrize(
    ("typed", "which"),
    [
        ("right rear spring", {"what_changed": "suspension", "which_suspension": "rear-springs"}),
        ("two rounds in the left rear for more bite", {"what_changed": "suspension", "which_suspension": "cross"}),
        ("stiffer rf spring 50 pounds", {"what_changed": "suspension", "which_suspension": "front-springs"}),
        ("both front springs, 50 pounds stiffer", {"what_changed": "suspension", "which_suspension": "front-springs"}),
        ("new tires", {"what_changed": "tires", "tire_set": "fresh"}),
        ("a round of cross, the track bar, a right rear spring and the air", {"what_changed": "several"}),
    ],
)
def test_what_was_changed_is_answered_by_naming_the_part(typed, which):
    assert meant("what_changed", typed) == which


@pytest.mark.parametrize(
    ("question", "typed"),
    [
        ("safety", "no, but it feels weird"),
        ("safety", "yes and no"),
        ("safety", "enuff"),
        ("safety", "no changes"),
        ("safety", "nothing changed"),
        ("how_bad", "3 laps"),
        ("where", "blurgy"),
        ("contact", "we put the other right front on, new one"),
        ("contact", "about 100 on the inside edge, cooler in the middle"),
        ("stagger_hot", "rear ones are worn more than the fronts"),
        ("stagger_hot", "what sheet"),
        ("safety", "rears went on at 14 pounds each like the sheet, tires were cold"),
        ("shocks_checked", "in the turns mostly over the bumpy bit"),
        ("pressures_hot", "its like 6"),
        ("pressures_hot", "rr was 26 (cold 20)"),
        ("roll_seen", "RR is 2 over now"),
    ],
)
def test_what_is_no_answer_is_taken_for_none(question, typed):
    assert meant(question, typed) == {}


@pytest.mark.parametrize(
    ("question", "typed", "kind"),
    [
        ("safety", "no the shock came loose", "bent"),
        ("safety", "nothing rubbing. pedal gets longer every few laps", "pull"),
        ("where", "off 4, and the pedal gets longer", "pull"),
        ("came_on", "fuel is dripping on the floor since lap 5", "leak"),
    ],
)
def test_a_danger_told_in_an_answer_is_the_answer_about_faults(question, typed, kind):
    told = meant(question, typed)
    assert (told["safety"], told["safety_kind"]) == ("yes", kind)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("no we didnt scale it", {"rescaled": "no"}),
        ("stagger was a half inch more than the sheet", {"stagger_hot": "grown"}),
        ("it was good last week", {"was_right": "yes"}),
        ("yes it was good", {"was_right": "yes"}),
        ("pedal is firm", {"pedal": "firm"}),
        ("the dog ate my lunch", {}),
        ("always been like this since we got this set of tires", {"was_right": "yes", "what_changed": "tires"}),
        (
            "we brushed the wall last week and its been like that since",
            {"was_right": "yes", "what_changed": "front", "which_front": "hit"},
        ),
    ],
)
def test_a_line_that_names_what_another_question_is_about_answers_it(typed, told):
    assert {qid: choice for qid, choice in meant("travel_marks", typed).items() if choice != "not-sure"} == told


@pytest.mark.parametrize(
    ("typed", "told"), [("toe's at a quarter out i measured it", "toe-off"), ("toe is an eighth out", "as-sheet")]
)
def test_a_toe_that_was_measured_is_held_against_the_sheet_and_tells_of_no_look(typed, told):
    question = question_of("contact", knowledge().questions)
    assert answers_meant(typed, question, knowledge(), demo_case()) == {"front_measured": told}


def test_how_bad_it_is_counts_wherever_it_is_told_out_of_five():
    assert meant("when_in_run", "all run long, bout a 3 out of 5")["how_bad"] == "3"


def test_two_places_are_both_complained_of():
    session = start(demo_case(), knowledge(), "its loose").answer("safety", "none").reply("in and middle both")
    assert {cell.phase for cell in session.complaint.cells if cell.balance == "loose"} == {"entry", "middle"}
    assert session.answered()[-1].says == "getting in and middle"


def test_two_answers_at_once_answer_two_questions():
    session = start(demo_case(), knowledge(), "its loose").reply("no, its worse off 4 late")
    assert session.answers == {"safety": "none-noticed", "where": "exit", "when_in_run": "late"}


def test_what_the_words_told_already_is_not_answered_again():
    session = start(demo_case(), knowledge(), "loose off").reply("no, tight in the middle never")
    assert session is None or "where" not in session.answers


def test_who_is_in_danger_is_no_answer_but_a_stop():
    session = start(demo_case(), knowledge(), "loose off").answer("safety", "none")
    line = "kid's under it, it's just on the floor jack"
    assert session.reply(line) is None
    assert start(demo_case(), knowledge(), line).stop is not None


def test_what_answers_another_question_is_taken_and_the_open_one_stays():
    session = start(demo_case(), knowledge(), "loose").answer("safety", "none")
    asked = session.next_question().id
    told = session.reply("yeah it was good before the spring")
    assert told.answers["was_right"] == "yes"
    assert told.next_question().id == asked
    assert session.reply("rr's four over").answers["pressures_hot"] == "rr-high"


def test_a_change_that_is_answered_is_kept_in_its_words():
    session = start(demo_case(), knowledge(), "loose on long runs").answer("safety", "none").answer("where", "all")
    while session.next_question().id != "what_changed":
        session = session.answer(session.next_question().id, "not-sure")
    told = session.reply("went up 75 pounds on the RF spring")
    assert told.reading.said.changes == ("went up 75 pounds on the rf spring",)
    assert told.back(2).changes == ()


@pytest.mark.parametrize("typed", ["he cranks in a bunch of wheel and waits", "he cranks it, adds wheel, front slides"])
def test_what_is_told_of_the_drivers_hands_is_no_new_complaint(typed):
    told = meant("which_links", typed)
    assert told.get("watched") == "wheel" or told.get("lock_used") == "much"
    assert meant("which_links", "he says its loose off") == {}


@pytest.mark.parametrize(
    ("question", "typed", "choice"),
    [
        ("shocks_checked", "Right rear is good, left rear is wet", "lr"),
        ("shocks_checked", "all fine but the right rear keeps bouncing", "rr"),
        ("tire_heat", "rf and rr are the same", "level"),
        ("shocks_checked", "the right rear is fine", None),
        ("shocks_checked", "the right rear and the left rear are both wet", None),
        ("pressures_hot", "right rear and right front are up", None),
        ("tire_heat", "the right front is fine", None),
        ("safety", "idk its just slow", None),
        ("what_changed", "nope looked it all over", None),
        ("safety", "no idea, havent looked, its slow", "not-checked"),
    ],
)
def test_a_corner_that_is_fine_one_of_two_a_slow_car_and_a_look_are_no_answer_to_what_is_asked(question, typed, choice):
    assert meant(question, typed).get(question) == choice


@pytest.mark.parametrize(
    ("question", "typed", "rest"),
    [
        ("which_brakes", "pads and bias both", ["brake bias"]),
        ("which_suspension", "front springs and shocks", ["shocks"]),
        ("what_changed", "nothing but tires", []),
        ("what_changed", "new tires, otherwise the same", []),
        ("what_changed", "put a stiffer rr spring in, 50 pounds", []),
    ],
)
def test_of_two_things_that_were_changed_the_second_is_left_out_and_nothing_else_is(question, typed, rest):
    asked = question_of(question, knowledge().questions)
    assert left_out(typed, asked, meant(question, typed), knowledge()) == rest


@pytest.mark.parametrize(
    ("question", "typed", "choice"),
    [
        ("what_changed", "didnt touch nothin but the shock", "suspension"),
        ("what_changed", "havent changed a thing except the gear", "brakes"),
        ("what_changed", "hotter tonight than last week", "surroundings"),
        ("what_changed", "nothing", "nothing"),
        ("safety", "nothin broke i looked", "none"),
        ("safety", "went over every nut and bolt, brakes are new, all good", "none"),
        ("traffic", "2 cars on track so alone", "always"),
        ("traffic", "fine alone", "traffic-only"),
        ("rescaled", "i dont have a sheet", "not-sure"),
        ("rr_edge", "rr's at 230 on the inside edge", "one-edge"),
    ],
)
def test_an_answer_is_heard_with_what_is_said_beside_it(question, typed, choice):
    assert meant(question, typed)[question] == choice


def test_a_reading_of_an_edge_counts_where_another_thing_is_asked():
    assert meant("where", "rr's at 230 on the inside edge") == {"rr_edge": "one-edge"}
    assert meant("where", "rf 190 on the outside edge, 150 inside edge") == {}


def test_two_words_of_a_look_are_taken_wherever_they_are_told():
    team = load_packs([base_folder(), base_folder().parent / "example-team"])
    question = question_of("what_changed", team.questions)
    assert answers_meant("cracked brace", question, team) == {"brace_looked_at": "cracked"}
    assert answers_meant("cracked brace", question, knowledge()) == {}
