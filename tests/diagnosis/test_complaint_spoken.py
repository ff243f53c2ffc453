"""Rules for the way people talk: what is missing, double denials, words for how bad inside a phrase, short forms."""

from __future__ import annotations

import re

import pytest

from assistant.diagnosis.hearing import make_names, read
from assistant.diagnosis.stems import stem
from assistant.diagnosis.tokens import cut_words
from tests.diagnosis.interview_pack import PACK, read_complaint
from tests.diagnosis.test_complaint import ALL, ENDS, box, cells


@pytest.mark.parametrize("text", ["tight midle", "in the midle its tight", "tight midle n fine off"])
def test_a_slip_is_read_alike_whatever_stands_around_it(text):
    assert cells(text)["tight"] == box("middle")
    assert not read_complaint(text, PACK).not_understood


@pytest.mark.parametrize("lack", ["no", "zero", "not enough", "lacks", "lost all", "cant find any", "needs more"])
@pytest.mark.parametrize(
    ("thing", "balance", "phases"),
    [
        ("forward bite", "loose", "exit"),
        ("rear grip", "loose", ALL),
        ("side bite", "loose", ALL),
        ("front grip", "tight", ALL),
        ("rotation", "tight", "middle"),
    ],
)
def test_what_the_car_has_too_little_of_says_which_way_it_is_out(lack, thing, balance, phases):
    assert cells(f"it {lack} {thing}") == {balance: box(phases)}


@pytest.mark.parametrize("text", ["forward bite is terrible", "rear grip is gone", "side bite is weak"])
def test_what_is_gone_is_lacking(text):
    assert set(cells(text)) == {"loose"}


@pytest.mark.parametrize("text", ["no grip", "zero traction", "lost all bite"])
def test_grip_that_is_missing_nowhere_in_particular_is_asked_about(text):
    complaint = read_complaint(text, PACK)
    assert complaint.cells == ()
    assert complaint.not_understood == (f"{text} (at the front or at the rear?)",)


@pytest.mark.parametrize(
    "verb", ["wont", "will not", "doesn't", "isnt gonna", "refuses to", "hates to", "never", "hardly"]
)
@pytest.mark.parametrize("what", ["rotate", "cut"])
def test_a_car_that_does_not_rotate_is_tight_in_the_middle_however_that_is_said(verb, what):
    if verb == "isnt gonna":
        verb, what = "isnt", {"rotate": "rotating", "cut": "cutting"}[what]
    assert cells(f"she just {verb} {what}") == {"tight": box("middle")}


def test_said_twice_is_meant_once():
    assert cells("it aint got no rear grip") == cells("it has no rear grip") == {"loose": box(ALL)}
    assert cells("dont have no drive off") == {"loose": box("exit")}
    assert cells("it isn't loose no more") == {}


@pytest.mark.parametrize(
    "text", ["the rear wont stay planted", "cant get the tail stable", "back end won't feel settled"]
)
def test_a_rear_that_will_not_be_what_is_fine_is_loose_and_never_fine(text):
    assert "fine" not in cells(text)


def test_wont_be_good_is_not_good():
    assert "fine" not in cells("it wont stay neutral")
    assert "fine" not in cells("i cant get it good in the middle")


@pytest.mark.parametrize(
    ("text", "severity"),
    [
        ("the tail is really light going in", 4),
        ("back end feels slightly nervous", 1),
        ("nose just really washes out", 4),
    ],
)
def test_a_word_for_how_bad_may_stand_inside_a_phrase_and_counts(text, severity):
    assert {cell.severity for cell in read_complaint(text, PACK).cells} == {severity}


def test_turns_may_be_written_short():
    assert {cell.end for cell in read_complaint("tight into t3", PACK, ENDS).cells} == {"turns 3-4"}
    assert {cell.end for cell in read_complaint("tight in 1n2", PACK, ENDS).cells} == {"turns 1-2"}


def test_laps_may_go_without_the_word():
    assert cells("tight for 10 then it is perfect")["tight"] == box(ALL, "fresh")
    assert cells("fine for 10 then loose off")["loose"] == box("exit", ("settled", "worn"))


def test_what_is_said_again_of_the_same_place_is_of_the_same_time_and_end():
    assert cells("late in the run i cant hook up off the corner, its so loose off") == {"loose": box("exit", "worn")}
    ends = {cell.end for cell in read_complaint("it pushes, pushes real bad in 3 and 4", PACK, ENDS).cells}
    assert ends == {"turns 3-4"}


@pytest.mark.parametrize(
    ("text", "symptom"),
    [
        ("it eats the rr", "right rear wears out"),
        ("it kills the rf", "right front wears out"),
        ("the lr spins", "wheelspin"),
    ],
)
def test_a_tire_may_go_by_its_short_name(text, symptom):
    assert read_complaint(text, PACK).other == (symptom,)


@pytest.mark.parametrize(
    "text",
    [
        "the car kicks ass",
        "we got our ass kicked",
        "loose change",
        "tight on money",
        "pull the car in",
        "hung out to dry",
    ],
)
def test_sayings_that_are_not_about_handling_are_no_complaint(text):
    complaint = read_complaint(text, PACK)
    assert (complaint.cells, complaint.other) == ((), ())


def test_better_said_after_what_is_wrong_is_later_in_the_run():
    assert cells("tight early then better") == {"tight": box(ALL, "fresh"), "fine": box(ALL, ("settled", "worn"))}


def test_short_ways_of_writing_are_read():
    assert cells("loose off after bout 20 laps") == cells("loose off after about 20 laps")
    assert read_complaint("loose in wen i lift", PACK).not_understood == ()
    assert cells("tight in the middle, gets wors as we go") == cells("tight in the middle, gets worse as we go")
    assert cells("loose off on the frist laps") == cells("loose off on the first laps")


@pytest.mark.parametrize("text", ["twitchy on entry", "darty getting in", "skittish at corner entry"])
def test_a_twitchy_car_is_loose_where_it_is_said_to_be(text):
    complaint = read_complaint(text, PACK)
    assert {(cell.balance, cell.phase) for cell in complaint.cells} == {("loose", "entry")}
    assert complaint.other == ()
    assert read_complaint("twitchy", PACK).other == ("darts on the straight",)


@pytest.mark.parametrize("word", ["pedal", "balance", "bite", "set", "quite", "roll"])
def test_a_word_of_the_trade_alone_says_nothing_of_handling(word):
    said = read(f"the {word}", PACK).said
    assert not said.claims
    assert not said.moments


def test_what_the_pack_itself_writes_is_never_read_as_another_word():
    texts = [text for entry in PACK.glossary.values() for text in (entry.means, *entry.also_said)]
    texts += [name for lever in PACK.levers.values() for name in (lever.title, *lever.also_said)]
    texts += [
        name for kind in (*PACK.phrases.parts.values(), *(one.parts for one in PACK.phrases.changed)) for name in kind
    ]
    lexicon = PACK.once(make_names).wide
    for word in {word for text in texts for word in re.findall(r"[a-z]{5,}", text.lower())}:
        (token,) = cut_words(word, lexicon)
        assert token.stem == stem(lexicon.short.get(word, word)), word


@pytest.mark.parametrize(
    "word", ["smooth", "thread", "spoke", "sitting", "brace", "starved", "gains", "wider", "relation"]
)
def test_a_word_that_is_right_is_not_guessed_to_be_another(word):
    (token,) = cut_words(word, PACK.once(make_names).wide)
    assert token.stem == stem(word)


@pytest.mark.parametrize(
    "text",
    [
        "won't turn under a guy but great all by itself",
        "only plows behind somebody",
        "alone it is good, following cars it is tight",
        "loose in traffic, okay in clean air",
    ],
)
def test_what_is_felt_only_near_other_cars_is_heard_as_that(text):
    assert dict(read(text, PACK).said.answers) == {"traffic": "traffic-only"}


def test_what_may_be_felt_alone_as_well_is_left_to_ask():
    assert "traffic" not in read("it only pushes late", PACK).said.answers


@pytest.mark.parametrize(
    ("text", "what", "which"),
    [
        ("it pushes since we put the small bar in", "links", "which-links"),
        ("loose in ever since the shock swap", "suspension", "which-suspension"),
        ("tight after a round of wedge", "suspension", "which-suspension"),
        ("unhooked the sway bar and it rolls over loose", "links", "which-links"),
        ("free off after we went to the heavy right rear spring", "suspension", "which-suspension"),
    ],
)
def test_what_it_came_with_is_heard_as_changed(text, what, which):
    said = read(text, PACK).said
    assert said.answers["what-changed"] == what
    assert which in said.answers
    assert said.changes
    assert ("was-right" in said.answers) is ("since" in text or "after" in text)


def test_a_change_that_is_only_thought_of_is_none():
    assert not read("needs a spring change, tight in", PACK).said.changes


@pytest.mark.parametrize(
    ("text", "stages"),
    [
        ("pushes middle, worst after 20 laps", ("settled", "worn")),
        ("free off after the first 10", ("settled", "worn")),
        ("tight at the 60 lap mark", ("worn",)),
        ("it plows the last half", ("worn",)),
        ("loose past halfway", ("worn",)),
        ("loose off by halfway", ("settled", "worn")),
        ("tight center, clears up by lap 50", ("fresh", "settled")),
    ],
)
def test_how_late_is_held_against_the_laps_of_the_run(text, stages):
    complaint = read_complaint(text, PACK, ENDS, run_laps=80)
    assert not complaint.not_understood
    assert {cell.stage for cell in complaint.cells if cell.balance != "fine"} == set(stages)


@pytest.mark.parametrize("text", ["falls off a cliff after 15", "on a string until lap 50, then we go backwards"])
def test_getting_worse_without_saying_how_is_asked_about(text):
    heard = read(text, PACK)
    assert not heard.readable
    assert heard.tells_something
    assert "(loose, tight, or just slow?)" in heard.said.left_open[0]


def test_what_goes_away_after_some_laps_may_be_the_trouble_or_the_grip():
    (open_one,) = read("tight in, goes away after 10 laps", PACK).said.left_open
    assert open_one == "goes away after 10 laps (does the trouble go, or the grip?)"


@pytest.mark.parametrize(
    ("text", "end"), [("loose comin off 2 and 4", "both"), ("loose going into 1 & 3", "both"), ("loose off 2", "first")]
)
def test_a_number_joined_to_a_turn_is_a_turn_and_says_nothing_of_how_bad(text, end):
    (claim,) = read(text, PACK).said.claims
    assert (claim.end, claim.severity) == (end, None)


def test_from_lap_one_is_the_start_of_a_run():
    assert cells("loose from lap one and gets better")["loose"] == box(ALL, "fresh")
    assert cells("loose from lap 1 on")["loose"] == box(ALL)


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ("it kills the rf late in the run", "late"),
        ("early in the run it kills the rf", "fresh"),
        ("it kills the rf", None),
    ],
)
def test_a_trouble_that_is_no_balance_keeps_its_time(text, when):
    said = read(text, PACK).said
    assert (said.symptoms, said.answers.get("when_in_run")) == (("right front wears out",), when)


def test_been_that_way_says_nothing_of_how_bad():
    assert all(claim.severity is None for claim in read("loose off, been that way all night", PACK).said.claims)


def test_a_tire_that_goes_away_and_what_the_car_does_then_are_one_complaint():
    assert cells("right front goes away after 20 laps and she just plows the center")["tight"] == box("middle", "worn")
    assert len(read("loose late in the run and its loose in", PACK).said.claims) == 2
