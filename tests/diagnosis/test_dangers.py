"""What is stopped for, in any order of words, and what only sounds like it. By one who had read the lists."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.hearing import read
from assistant.diagnosis.session import start
from assistant.ground.understood import LOSES_AIR, StopReason
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import PACK, demo_case, read_complaint
from tests.diagnosis.vignettes import read_file

TYPED = read_file("dangers")
LONG = "it is fine on the straight and " * 70


@pytest.mark.parametrize("rule", TYPED)
def test_just_the_signs_of_danger_that_are_told_are_heard(rule):
    signs = {text: sign for sign, texts in TYPED[rule].items() for text in texts}
    heard = {text: " and ".join(read(text, PACK).said.safety) or "nobody is stopped" for text in signs}
    assert {text: sign for text, sign in heard.items() if sign != signs[text]} == {}


@pytest.mark.parametrize("text", ["track bar came loose", "right rear shock came loose", "the sway bar is loose"])
def test_a_part_that_came_loose_is_no_loose_car(text):
    assert read_complaint(text, PACK).cells == ()


def test_the_complaint_beside_a_danger_is_still_read():
    cells = read_complaint("tight in the middle, and the shock is leaking", PACK).cells
    assert {(cell.balance, cell.phase) for cell in cells} == {("tight", "middle")}


@pytest.mark.parametrize("danger", ["there is smoke", "a vibration", "the track bar came loose", "the pedal sinks"])
def test_a_danger_is_heard_behind_the_last_word_that_is_read(danger):
    reading = read(f"loose off late, {LONG}and {danger}", PACK)
    assert reading.said.safety
    assert reading.said.cut


def test_it_is_said_where_reading_stopped_early():
    complaint = read_complaint(f"loose off late, {LONG}", PACK)
    assert "all after word 400" in say_back(complaint)
    assert "all after word" not in say_back(read_complaint("loose off late", PACK))


def test_a_danger_far_behind_the_last_letter_that_is_read_is_heard():
    assert "vibration" in read("loose off, " + "x" * 30_000 + " and a vibration", PACK).said.safety


@pytest.mark.parametrize(
    ("text", "balance"), [("he is wrecking loose", "loose"), ("wreckin loose getting in", "loose")]
)
def test_wrecking_loose_is_very_loose_and_no_hit(text, balance):
    complaint = read_complaint(text, PACK)
    assert not read(text, PACK).said.safety
    assert {(cell.balance, cell.severity) for cell in complaint.cells} == {(balance, 5.0)}


@pytest.mark.parametrize("text", ["tight in the middle, rf pressure was 12 hot", "rf 12 hot", "rf went down 4 pounds"])
def test_a_tire_that_is_hot_below_its_cold_pressure_loses_air(text):
    assert start(demo_case(), PACK, text).stop == StopReason((LOSES_AIR,))


@pytest.mark.parametrize(
    "text", ["tight, rf was 40 hot", "loose off, rr's six over", "we went down 4 pounds on the rf"]
)
def test_a_hot_pressure_above_the_cold_one_stops_nobody(text):
    assert start(demo_case(), PACK, text).stop is None


def test_a_hot_pressure_that_was_read_below_the_cold_one_stops_too():
    case = demo_case()
    low = case.setup.values["pressure_rf"] - 30000.0
    session = start(replace(case, measured=replace(case.measured, hot_pressure={"RF": low})), PACK, "tight off")
    assert session.stop == StopReason((LOSES_AIR,), "safety_kind")
    assert session.next_question() is None
    assert start(case, PACK, "tight off").reply("rf 12 psi hot").answers["safety_kind"] == "air"


@pytest.mark.parametrize(
    "text",
    [
        "only thing is a bent wheel we tossed",
        "thought the rack had packed in",
        "good other than the joint clunked",
    ],
)
def test_what_was_thrown_away_or_only_thought_is_asked_about_and_stops_nobody(text, knowledge):
    assert start(demo_case(), knowledge, f"loose off, {text}").stop is None


@pytest.mark.parametrize("text", ["good other than something clunks", "fine except the brakes went away"])
def test_what_is_wrong_now_stops_though_all_else_is_good(text, knowledge):
    assert start(demo_case(), knowledge, text).stop is not None


def test_who_went_out_after_a_change_is_on_the_track_and_a_brake_that_went_out_is_gone():
    said = read("we raised the cross weight, went out, alot beter", PACK).said
    assert said.safety == ()
    assert said.changes == ("raised the cross weight",)
    assert read("rear brake went out", PACK).said.safety == ("a fault in the brakes",)
