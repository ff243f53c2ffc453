"""Typed words are heard no worse than when they were last measured.

The sets were written by people who had not seen the program's lists; their first scores stand in docs/phrases.md.
They are never edited. `python -m tests.diagnosis.heard` prints the present scores, with --all what is heard wrongly.
"""

from __future__ import annotations

import pytest

from assistant.diagnosis.stems import steps_of
from tests.diagnosis.heard import CASES, facts, knowledge, openings, replies, score_openings


@pytest.mark.parametrize(
    ("name", "right", "of"),
    [
        ("phrases_blind", 97, 100),
        ("phrases_second", 98, 100),
        ("phrases_third", 141, 160),
        ("phrases_fourth", 78, 80),
        ("phrases_fifth", 74, 80),
    ],
)
def test_complaints_are_read_no_worse_than_when_last_measured(name, right, of):
    rows = openings(name)
    assert len(rows) == len({row.words for row in rows}) == of
    assert sum(row.is_right for row in rows) >= right, score_openings(rows)


@pytest.mark.parametrize("name", ["phrases_blind", "phrases_second"])
def test_no_complaint_is_read_where_there_is_none(name):
    assert not [row.words for row in openings(name) if row.kind == "none" and row.cells]


def test_dangers_are_heard_and_sound_cars_are_not_stopped():
    rows = openings("phrases_second")
    assert all(row.stops for row in rows if row.kind == "danger")
    assert sum(row.stops for row in rows if row.kind != "danger") <= 2


@pytest.mark.parametrize(
    ("name", "right", "wrong"),
    [("facts", 1689, 70), ("proof", 445, 36), ("trial", 608, 38), ("drill", 436, 64), ("race", 465, 80)],
)
def test_what_crews_told_is_heard_no_worse_than_when_last_measured(name, right, wrong):
    verdicts = [row.verdict for row in facts(CASES[name])]
    assert verdicts.count("right") >= right
    assert verdicts.count("wrong") <= wrong


def test_what_is_typed_back_is_heard_no_worse_than_when_last_measured():
    verdicts = [row.verdict for row in replies("answers_blind")]
    assert len(verdicts) == 160
    assert verdicts.count("right") >= 154
    assert verdicts.count("wrong") <= 3


def test_words_for_a_choice_cannot_all_be_missing():
    texts = [text for entry in knowledge().phrases.replies for text in entry.says]
    assert not [text for text in texts if all(optional for _, optional in steps_of(text))]
