"""The driver's words -> cells."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.diagnosis.hearing import read
from assistant.ground.understood import Complaint
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import ALL, ENDS, EVERY, PACK, box, cells, phrases, read_complaint
from tests.diagnosis.vignettes import read_file

TYPED = read_file("readings")


def say_places(balance, places):
    """Say a balance with the phases and stages it is felt in, where these are not all."""
    when = {phase: [stage for stage in EVERY if (phase, stage) in places] for phase in ALL}
    for stages in dict.fromkeys(tuple(one) for one in when.values() if one):
        phases = [phase for phase in ALL if when[phase] == [*stages]]
        yield " ".join([balance, *(phases if len(phases) < len(ALL) else ()), *(stages if stages != EVERY else ())])


def say_cells(text):
    return ", ".join(one for said in cells(text).items() for one in say_places(*said)) or "nothing"


@pytest.mark.parametrize("rule", TYPED)
def test_each_balance_is_read_with_just_the_places_said(rule):
    read_as = {text: say_cells(text) for text in TYPED[rule]}
    assert {text: said for text, said in read_as.items() if said != TYPED[rule][text]} == {}


def test_longer_words_may_hold_two_slips():
    assert cells("it is undersetering in the midle") == {"tight": box("middle")}


@pytest.mark.parametrize(
    "text", ["the light is right", "we fight the rush tonight", "it is a nice choice", "I rose at nine"]
)
def test_ordinary_words_are_never_respelled_into_a_complaint(text):
    assert not any(cell.balance != "fine" for cell in read_complaint(text, PACK).cells)


@pytest.mark.parametrize(
    "text",
    ["tight belts", "my belts are too tight", "the schedule is tight", "hello", "", "?!,,", "42"],
)
def test_words_about_something_else_are_no_complaint(text):
    reading = read(text, PACK)
    assert not reading.readable
    assert read_complaint(text, PACK).cells == ()


def test_a_denied_sign_of_danger_is_none():
    assert read("no vibration, just loose off", PACK).said.safety == ()


@pytest.mark.parametrize(
    ("text", "severity"),
    [
        ("a touch loose off", 1),
        ("very slightly loose", 1),
        ("not very loose off", 1),
        ("a little loose off", 2),
        ("pretty tight in the middle", 3),
        ("very loose off", 4),
        ("loose off, I can't drive it", 5),
        ("loose off, 2", 2),
        ("loose off 4 out of 5", 4),
        ("tight in 3/5", 3),
        ("loose off but only a little", 2),
        ("tight in the middle, severity 5", 5),
        ("loose off, I may lose it", 5),
        ("loose off, it costs time", 3),
    ],
)
def test_severity_words_and_numbers_are_read(text, severity):
    assert {(cell.severity, cell.severity_given) for cell in read_complaint(text, PACK).cells} == {(severity, True)}


def test_an_unsaid_severity_is_three_and_said_to_be_unsaid():
    assert {(cell.severity, cell.severity_given) for cell in read_complaint("loose off", PACK).cells} == {(3.0, False)}


def test_each_claim_keeps_its_own_severity():
    found = {cell.balance: cell.severity for cell in read_complaint("a little tight in and very loose off", PACK).cells}
    assert found == {"tight": 2, "loose": 4}


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("only in three and four it pushes", {"turns 3-4"}),
        ("loose in turns one and two", {"turns 1-2"}),
        ("loose off 4", {"turns 3-4"}),
        ("tight in turn 3", {"turns 3-4"}),
        ("pushes in 1 & 2", {"turns 1-2"}),
        ("loose off at both ends", {None}),
        ("tight in 3/5", {None}),
        ("loose off", {None}),
    ],
)
def test_ends_of_the_track_are_mapped_onto_its_ids(text, ends):
    assert {cell.end for cell in read_complaint(text, PACK, ENDS).cells} == ends


def test_each_end_may_have_its_own_complaint():
    found = {
        (cell.balance, cell.end) for cell in read_complaint("tight in 1 and 2, loose in 3 and 4", PACK, ENDS).cells
    }
    assert found == {("tight", "turns 1-2"), ("loose", "turns 3-4")}


def test_without_known_ends_the_end_is_not_understood():
    complaint = read_complaint("loose off in three and four", PACK)
    assert {cell.end for cell in complaint.cells} == {None}
    assert complaint.not_understood == ("in three and four",)


def test_ends_with_other_names_are_taken_in_order():
    assert {cell.end for cell in read_complaint("loose in 3 and 4", PACK, ("north", "south")).cells} == {"south"}


@pytest.mark.parametrize(
    ("text", "symptom"),
    [("it hops off the corner", "wheel hop"), ("wheelspin off", "wheelspin"), ("on the limiter", "on the limiter")],
)
def test_complaints_without_a_balance_name_their_symptom(text, symptom):
    complaint = read_complaint(text, PACK)
    assert complaint.other == (symptom,)
    assert complaint.cells == ()


def test_a_symptoms_own_other_names_are_understood():
    assert read_complaint("it hammers the floor", PACK).other == ("wheel hop",)
    assert cells("it wags off the corner") == {"loose": box("exit")}
    assert cells("it bites itself") == {"tight": box("middle"), "loose": box("exit")}


def test_words_that_mattered_but_were_not_read_are_listed():
    assert read_complaint("loose off and the flurbinator wobulates", PACK).not_understood == (
        "flurbinator",
        "wobulates",
    )


def test_two_opposite_words_for_the_same_cells_are_not_guessed_at():
    complaint = read_complaint("tight and loose", PACK)
    assert complaint.cells == ()
    assert complaint.not_understood == ("tight", "loose")


def test_comes_to_me_alone_is_no_complaint_but_keeps_what_is_fine():
    assert cells("comes to me after ten laps") == {"fine": box(ALL, ("settled", "worn"))}
    assert not read("comes to me after ten laps", PACK).readable


def test_goes_away_late_alone_has_no_balance_and_says_the_trend():
    assert cells("goes away late") == {}
    assert read("it goes away late", PACK).said.answers == {"came-on": "gradually"}


def test_nothing_said_is_nothing_read():
    assert read_complaint("", PACK) == Complaint("")


@given(st.text(max_size=200))
@settings(max_examples=80, deadline=None)
def test_any_text_is_read_without_a_fault(text):
    complaint = read_complaint(text, PACK, ENDS)
    assert say_back(complaint).endswith(".")
    assert all(cell.phase in ALL and cell.stage in EVERY for cell in complaint.cells)


WORDS = [
    "tight",
    "loose",
    "in",
    "off",
    "middle",
    "late",
    "early",
    "not",
    "and",
    ",",
    "3",
    "four",
    "fine",
    "then",
    "very",
    "snaps",
    "goes away",
]


@given(st.lists(st.sampled_from(WORDS), max_size=14))
@settings(max_examples=150, deadline=None)
def test_no_cell_is_both_loose_and_tight(words):
    keys = [(cell.phase, cell.stage, cell.end) for cell in read_complaint(" ".join(words), PACK, ENDS).cells]
    assert len(keys) == len(set(keys))


def test_a_very_long_text_is_cut_and_not_waited_for():
    assert cells("loose off, " + "and so on " * 20_000)["loose"] == box("exit")


def test_the_phrase_list_is_long_enough_and_every_phrase_can_be_read():
    said = [text for entry in phrases().phrases for text in entry.says]
    assert len(said) >= 150
    for entry in phrases().phrases:
        assert entry.model_fields_set > {"says"}, entry.says


@pytest.mark.parametrize(
    ("words", "balance"),
    [
        ("loose in the middle, can't run the bottom", "loose"),
        ("washes out in the middle till i breathe the throttle", "tight"),
        ("can't run the bottom in the middle", "tight"),
        ("have to breathe the throttle off", "loose"),
    ],
)
def test_plain_words_outdo_roundabout_ones(words, balance):
    assert {cell.balance for cell in read_complaint(words, PACK).cells} == {balance}


@pytest.mark.parametrize(
    ("words", "balance", "phase"),
    [
        ("the nose just quits in the middle", "tight", "middle"),
        ("turns in lovely, then half way round it washes out", "tight", "middle"),
        ("rear is super twitchy mid corner", "loose", "middle"),
        ("it just hangs out off both corners", "loose", "exit"),
        ("pushes off the turn, runs me clear to the fence", "tight", "exit"),
    ],
)
def test_ways_to_say_it_that_were_missed(words, balance, phase):
    felt = {(cell.balance, cell.phase) for cell in read_complaint(words, PACK).cells if cell.balance != "fine"}
    assert felt == {(balance, phase)}
