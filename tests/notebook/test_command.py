"""`halfturn notebook`: what was told is listed, searched, shown, taken back and given out."""

import csv
import io
import json

import pytest

from assistant.cli import main
from assistant.notebook.book import ADVICE, ANSWER, FELT, MADE, MEASURED, SAID, TYPED, Notebook, felt_before

PROMISE = {"removes": 0.52, "cells": {"exit worn": [0.8, 0.4, 1.3]}}


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A notebook with one evening on the invented car, and a word on another."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    book = Notebook(tmp_path)
    talk = book.begin_talk("demo", "t", "28 Nov 18:03")
    book.add("demo", talk, TYPED, "loose off late")
    book.add("demo", talk, SAID, "loose off late")
    book.add("demo", talk, ANSWER, "it costs time", {"question": "how_bad", "choice": "3"})
    book.add("demo", talk, MEASURED, "tire temperatures", {"temperatures": {"RF": [366.5, 370.0, 360.0]}})
    book.add("demo", talk, ADVICE, "raise the cross weight", {"offers": ["raise the cross weight", "stagger"]})
    book.add(
        "demo", talk, MADE, "Raise the cross weight 1 %", {"moves": {"cross_weight": [0.51, 0.52]}, "promise": PROMISE}
    )
    book.add("demo", talk, FELT, "a bit better", {"word": "a little better", "promised": 0.52, "counts": True})
    book.add("demo-snap", 0, SAID, "snaps")
    return book


def said_by(capsys, *words):
    code = main(["notebook", *words])
    out = capsys.readouterr()
    return code, " ".join(out.out.split()), out.err


def test_it_lists_what_was_told_and_not_what_was_typed(book, capsys):
    code, said, _ = said_by(capsys)
    assert code == 0
    assert "demo, made: Raise the cross weight 1 %" in said
    assert "typed" not in said
    assert "typed" in said_by(capsys, "--all")[1]


def test_the_name_of_a_car_alone_lists_what_was_told_of_it(book, capsys):
    code, said, _ = said_by(capsys, "demo-snap")
    assert code == 0
    assert "said: snaps" in said
    assert "loose off late" not in said


def test_it_lists_the_last_and_says_how_many(book, capsys):
    for number in range(40):
        book.add("demo", 0, SAID, f"loose {number}")
    _, said, _ = said_by(capsys)
    assert "These are the last 30" in said
    assert "loose 39" in said
    assert "loose 9 " not in said


def test_it_searches_words_and_cars(book, capsys):
    assert "snaps" not in said_by(capsys, "--car", "demo")[1]
    assert "Raise" in said_by(capsys, "cross", "RAISE")[1]
    assert "Nothing in the notebook has 'banana' in it." in said_by(capsys, "banana")[1]
    code, _, errors = said_by(capsys, "--car", "nobody")
    assert code == 2
    assert "nothing is known of a car 'nobody'" in errors


@pytest.mark.parametrize(
    ("number", "says"),
    [
        ("3", "question: how_bad"),
        ("4", "RF: 200 F 206 F 188 F"),
        ("5", "stagger"),
        ("6", "cross weight: from 51.0 % to 52.0 %"),
        ("6", "promised: about 50 % of it goes"),
        ("6", "exit worn: 0.80 tighter, in 8 of 10 plausible cars 0.40 tighter to 1.30 tighter"),
        ("7", "it came to: a little better promised: about 50 % of it goes counted for the next sizes"),
    ],
)
def test_it_shows_an_entry_in_full(book, capsys, number, says):
    assert says in said_by(capsys, number)[1]


def test_what_is_taken_back_is_no_evidence_and_its_talk_is_over(book, capsys):
    assert len(felt_before(book, "demo")) == 1
    code, said, _ = said_by(capsys, "--take-back", "7")
    assert code == 0
    assert "Taken back: a bit better." in said
    assert "The talk it was told in is over" in said
    assert felt_before(book, "demo") == ()
    assert book.last_cut_off("demo") is None
    assert "(taken back)" in said_by(capsys, "--all")[1]


@pytest.mark.parametrize("number", ["0", "999", "x", "-3", "9" * 100, "1e3"])
def test_an_entry_that_is_not_there_is_told(book, capsys, number):
    code, _, errors = said_by(capsys, f"--take-back={number}")
    assert code == 2
    assert "there is no entry" in errors


def test_it_is_given_out_for_programs_and_spreadsheets(book, capsys):
    main(["notebook", "--json", "--all"])
    rows = json.loads(capsys.readouterr().out)["entries"]
    assert [row["kind"] for row in rows][:2] == ["typed", "said"]
    assert rows[5]["data"]["promise"]["removes"] == 0.52
    main(["notebook", "--csv"])
    table = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [row["text"] for row in table][-2:] == ["a bit better", "snaps"]
    assert json.loads(table[-3]["data"])["moves"] == {"cross_weight": [0.51, 0.52]}
    main(["notebook", "6", "--json"])
    assert json.loads(capsys.readouterr().out)["text"] == "Raise the cross weight 1 %"


def test_an_empty_notebook_says_so_and_makes_no_file(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    assert "Nothing is in the notebook yet" in said_by(capsys)[1]
    assert list(tmp_path.iterdir()) == []


def test_a_damaged_notebook_is_said(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    (tmp_path / "notebook.db").write_bytes(b"no database" * 1000)
    assert "The notebook was damaged." in said_by(capsys)[1]


def test_entries_of_any_shape_are_shown(book, capsys):
    for kind in (MADE, FELT, ADVICE, ANSWER, MEASURED):
        for data in ({}, {"moves": 3, "promise": [], "temperatures": {"RF": "x"}, "promised": "x", "offers": 3}):
            number = book.add("demo", 0, kind, "\x1b[2Jx", data)
            code, said, _ = said_by(capsys, str(number))
            assert code == 0
            assert "\x1b" not in said
