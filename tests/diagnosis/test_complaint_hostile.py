"""Any text at all is read in bounded time, without a fault, and nothing that could steer a terminal comes out."""

from __future__ import annotations

import time
import unicodedata

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.diagnosis.hearing import complaint_of, make_names, read
from assistant.diagnosis.tokens import MOST_WORDS, cut_words
from assistant.ground.understood import Complaint
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import PACK, phrases, read_complaint

ENDS = ("turns 1-2", "turns 3-4")
SLOWEST = 5.0
"""Seconds of the processor; far above what any text takes here, far below what a person would call hung."""
EVERY_WORD = sorted(
    {word for entry in phrases().phrases for text in entry.says for word in text.replace("/", " ").split()}
)
CONTROLS = "".join(map(chr, [*range(32), 127, *range(128, 160), 0x200E, 0x202E, 0x2066, 0xFEFF]))


def read_all(text: str) -> Complaint:
    """Read a text in all the ways there are, and check all that could reach a screen."""
    began = time.process_time()
    reading = read(text, PACK, 80)
    complaint = complaint_of(reading, ENDS)
    assert time.process_time() - began < SLOWEST
    shown = [say_back(complaint), *complaint.not_understood, *complaint.other, *reading.said.unread]
    shown += [*reading.said.symptoms, *reading.said.safety, *reading.said.moments, *reading.said.changes]
    shown += [*reading.said.end_words, *(claim.text for claim in reading.said.claims)]
    assert not [letter for line in shown for letter in line if unicodedata.category(letter) in {"Cc", "Cf", "Cs"}]
    assert all(0 <= cell.severity <= 5 for cell in complaint.cells)
    return complaint


@given(st.text(max_size=400))
@settings(max_examples=80, deadline=None)
def test_any_text_is_read(text):
    read_all(text)


@given(st.lists(st.sampled_from(EVERY_WORD), max_size=60).map(" ".join))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_string_of_the_packs_own_words_is_read(text):
    read_all(text)


@given(st.lists(st.sampled_from(["loose", "tight", "off", "in", "3", "/", "5", *CONTROLS]), max_size=40).map("".join))
@settings(max_examples=60, deadline=None)
def test_control_characters_between_words_never_come_out(text):
    read_all(text)


@pytest.mark.parametrize(
    "text",
    [
        "loose " * 50_000,
        "x" * 1_000_000,
        "loosee" * 100_000,
        "1 " * 200_000,
        "1" * 500_000,
        "rf hot " + "1 " * 50_000,
        "stagger grew " + "1/2 " * 20_000,
        "5/" * 100_000,
        "1" + " " * 300_000 + "/ 5",
        "can not " * 50_000,
        "not " * 50_000 + "loose",
        "then " * 50_000,
        "lose just " * 50_000,
        "the a is " * 50_000,
        "((((" * 50_000,
        "\n" * 300_000 + "loose",
        ", and" * 100_000,
        "how do i " * 50_000,
        "a'" * 100_000,
        "rear end starts to want to come around out " * 10_000,
        "as the run goes on and on after about 10 or so 12 laps " * 10_000,
        "\u0130" * 50_000,
        "\u0660\u0661\u0662 laps loose",
        "\u00b2 loose",
        "9999999999999999 laps loose",
        "loose " + "9" * 4 + " laps in",
    ],
    ids=lambda text: ascii(text[:24]),
)
def test_texts_made_to_hurt_are_read_in_bounded_time(text):
    read_all(text)


def test_no_more_words_are_kept_than_the_limit():
    assert len(cut_words("loose " * 10_000, PACK.once(make_names).wide)) == MOST_WORDS


@pytest.mark.parametrize("run_laps", [1, 2, 3, 2000])
def test_any_length_of_run_gives_stages_for_any_number_of_laps(run_laps):
    for number in (0, 1, 2, 3, 9999):
        for words in (f"loose after {number} laps", f"loose the first {number} laps", f"loose the last {number} laps"):
            assert {cell.balance for cell in read_complaint(words, PACK, (), run_laps).cells} == {"loose"}
