"""The general rules of the reader of complaints, each tried on words of its own."""

from __future__ import annotations

import pytest

from assistant.diagnosis import lexicon
from assistant.diagnosis.claim import place_laps
from assistant.diagnosis.hearing import handling_meant, read
from assistant.diagnosis.lexicon import build_lexicon
from assistant.diagnosis.phrases import read_pieces
from assistant.diagnosis.session import start
from assistant.diagnosis.stems import stem
from assistant.pages.hearing_words import say_back
from assistant.rules.models_symptom import Phrase
from tests.diagnosis.interview_pack import ALL, EVERY, PACK, box, cells, demo_case, read_complaint

LATER = ("settled", "worn")


@pytest.mark.parametrize(
    ("text", "phases", "stages"),
    [
        ("lose", ALL, EVERY),
        ("lose on long runs", ALL, "worn"),
        ("car is lose everywhere", ALL, EVERY),
        ("way lose from the center out", ("middle", "exit"), EVERY),
        ("she still feels lose getting in", "entry", EVERY),
        ("not tight just lose late", ALL, "worn"),
        ("she looses off", "exit", EVERY),
    ],
)
def test_lose_said_of_the_car_is_loose(text, phases, stages):
    assert cells(text)["loose"] == box(phases, stages)


@pytest.mark.parametrize(
    "text",
    [
        "we lose time",
        "we lose off the corner",
        "we just lose on long runs",
        "i lose it in turn 3",
        "dont lose the lead",
        "where do we lose a tenth",
        "we loose time on the straights",
        "looses time off the corner",
        "loosing air in the right rear",
        "we are loosing oil",
        "loosing momentum off",
    ],
)
def test_what_is_lost_is_not_loose(text):
    assert "loose" not in cells(text)


def test_loosing_air_is_still_a_sign_of_danger():
    assert read("the left rear is loosing air", PACK).said.safety == ("a tire losing air",)


def test_a_repeated_balance_may_say_how_bad():
    assert {cell.severity for cell in read_complaint("loose off, its so loose i cant drive it", PACK).cells} == {5.0}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("the leader was loose but we are tight off", {"tight": box("exit")}),
        ("behind the leader it gets tight", {"tight": box(ALL)}),
        ("following another car it pushes", {"tight": box(ALL)}),
        ("with somebody inside me it goes loose", {"loose": box(ALL)}),
        ("tight behind other cars", {"tight": box(ALL)}),
    ],
)
def test_another_car_nearby_does_not_hide_ones_own_complaint(text, wanted):
    assert {balance: {key for key in found if key[0] in ALL} for balance, found in cells(text).items()} == wanted


@pytest.mark.parametrize("text", ["slides", "car slides off the corner", "it was sliding around"])
def test_a_slide_without_an_end_of_the_car_is_asked_about(text):
    complaint = read_complaint(text, PACK)
    assert complaint.cells == ()
    assert "(the nose or the tail?)" in say_back(complaint)


def test_a_number_of_laps_falls_where_the_length_of_the_run_puts_it():
    assert cells("loose after 20 laps", 100) == {"loose": box(ALL, LATER)}
    assert cells("loose after 20 laps", 30) == {"loose": box(ALL, "worn")}
    assert cells("loose the first 20 laps", 100) == {"loose": box(ALL, "fresh")}
    assert cells("loose the first 20 laps", 30) == {"loose": box(ALL, ("fresh", "settled"))}
    assert cells("loose the last 20 laps", 30) == {"loose": box(ALL, LATER)}
    assert cells("loose the last 20 laps", 100) == {"loose": box(ALL, "worn")}


def test_the_borders_are_a_third_and_half_of_the_run():
    assert place_laps(60.0) == {"settled_from": 20.0, "settled_until": 30.0, "run": 60.0}


def test_a_session_holds_lap_numbers_against_the_run_of_its_case():
    assert demo_case().run_laps == 80
    session = start(demo_case(), PACK, "loose off after 20 laps")
    assert {cell.stage for cell in session.complaint.cells} == set(LATER)


def test_another_car_nearby_is_kept_as_the_moment_it_happens():
    assert read("pushes behind a slower car", PACK).said.moments == ("in traffic",)


def test_a_thousand_names_with_one_first_word_are_read_as_when_each_is_tried(monkeypatch):
    """What a name cannot do without only picks what is tried; what is read must not hang on it."""
    words = ("a b", "(the) b/c", "a", "b c", "# laps", "d (a)", "c c", "a b c", "b")
    entries = [{"says": [f"zip {one}"], "symptom": f"s{at}"} for at, one in enumerate(words)]
    entries.append({"says": ["zip (the) a b"], "balance": "loose"})
    data = PACK.phrases.model_copy(update={"phrases": [Phrase(**entry) for entry in entries]})
    said = [f"zip {one}" for one in ("a b", "the a b c", "b c c", "c", "12 laps", "d", "the d a", "x", "a, b")]
    words_of = build_lexicon(data)
    picked = [read_pieces(text, words_of) for text in said]
    monkeypatch.setattr(lexicon.Pattern, "may_fit", lambda *_: True)
    assert picked == [read_pieces(text, words_of) for text in said]


def test_of_names_that_begin_alike_only_those_that_may_fit_are_tried():
    names = [Phrase(says=[f"zip complaint {number}"], symptom=f"s{number}") for number in range(1000)]
    crowded = build_lexicon(PACK.phrases.model_copy(update={"phrases": names}))
    tried = list(crowded.beginning_with("zip", {"zip", stem("complaint"), "17"}))
    assert [one.meaning.symptom for one in tried] == ["s17"]


@pytest.mark.parametrize(
    ("text", "phase", "severity"),
    [
        ("loose exit 4", "exit", None),
        ("tight middle 4", "middle", None),
        ("loose entry 3", "entry", None),
        ("loose off 4", "exit", None),
        ("loose off, 4", "exit", 4.0),
        ("loose exit 4, 2", "exit", 2.0),
    ],
)
def test_a_number_right_behind_a_place_is_a_turn(text, phase, severity):
    (claim,) = read(text, PACK).said.claims
    assert claim.phases == (phase,)
    assert claim.severity == severity
    assert claim.end == ("" if severity == 4.0 else "second")


def test_a_number_behind_a_word_nobody_read_is_no_severity_and_is_listed():
    said = read("tight in, the stagger at 2", PACK).said
    assert [claim.severity for claim in said.claims] == [None]
    assert "2" in said.unread


@pytest.mark.parametrize(
    "text",
    [
        "what is tight",
        "What does loose mean?",
        "what's a push?",
        "so what is cross weight",
        "define oversteer",
    ],
)
def test_a_plain_question_about_a_word_complains_of_nothing(text):
    reading = read(text, PACK)
    assert reading.said.question == text
    assert not reading.readable


@pytest.mark.parametrize("text", ["what it does is push", "why is it so loose off", "what the car does is push"])
def test_what_only_begins_like_a_question_is_a_complaint(text):
    assert read(text, PACK).readable


@pytest.mark.parametrize(
    ("text", "unread"),
    [
        ("the stagger is small and its tight in", ("stagger",)),
        ("worse, even looser off late", ("worse",)),
        ("loose off on these springs", ("springs",)),
        ("its slow and loose off", ("slow",)),
        ("well it is just a little loose off the corner today", ()),
    ],
)
def test_no_word_about_the_car_is_dropped_in_silence(text, unread):
    assert read(text, PACK).said.unread == unread


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("lose of the cornr", ("exit", EVERY)),
        ("its realy lose of", ("exit", EVERY)),
        ("lose off on long runz", ("exit", ("worn",))),
        ("lose of late", ("exit", ("worn",))),
        ("lose of turn 2", ("exit", EVERY)),
        ("coming of 4 its lose", ("exit", EVERY)),
        ("its lose in late", ("entry", ("worn",))),
    ],
)
def test_lose_for_loose_and_of_for_off_are_read_in_all_places(text, place):
    cells = read_complaint(text, PACK).cells
    assert {(cell.phase, cell.balance) for cell in cells} == {(place[0], "loose")}
    assert {cell.stage for cell in cells} == set(place[1])


@pytest.mark.parametrize("text", ["we lose a lot of time", "lose of power", "tight of late"])
def test_what_is_lost_or_lately_is_no_way_off_the_corner(text):
    assert not any(cell.phase == "exit" and cell.balance == "loose" for cell in read_complaint(text, PACK).cells)


@pytest.mark.parametrize(("text", "meant"), [("lewse off", "loose off"), ("its realy thite in", "its realy tight in")])
def test_a_word_of_handling_nobody_can_spell_is_asked_back(text, meant):
    assert handling_meant(text, PACK) == meant


@pytest.mark.parametrize("text", ["we lose a lot of time", "looked it over", "loose off", "nice day"])
def test_what_is_no_slip_of_a_word_of_handling_is_not_asked_back(text):
    assert handling_meant(text, PACK) in {"", text}
