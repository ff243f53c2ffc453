"""A talk that is left after every line and taken up by a new program stands where one stands that was never left."""

import re
from dataclasses import fields, replace
from datetime import UTC, datetime

import pytest

from assistant.car.case import Case, Setup
from assistant.diagnosis.questions import OpenQuestion
from assistant.notebook.book import Notebook
from assistant.notebook.record import Record
from assistant.pages.advice import offers_of
from assistant.rules.knowledge import Knowledge
from assistant.shell.remembered import KEPT
from tests.notebook.talks import cut_off_in, record_in

TALKS = {
    "undone and changed": (
        *("loose off late in the run", "2", "undo", "1", "3", "undo", "undo", "none of these", "3", "enough"),
        *("change", "change 1", "1", "enough", "what is stagger?", "try stagger 2", "more", "no track bar", "undo"),
    ),
    "made and felt": (
        *("loose off late in the run", "1", "3", "enough", "made stagger 1 3/4", "rr 24.5 hot", "a little better"),
        *("balance", "made cross up 1/2", "made rr spring 200", "worse", "put back", "undo", "undo", "better"),
    ),
    "two complaints": (
        *("pushes in the middle", "1", "enough", "made stagger 2 1/8", "better but loose off", "back", "1", "enough"),
        *("tight in", "1", "undo", "undo", "undo", "loose off, pit stop only", "measured stagger 2", "undo"),
    ),
    "danger and odd lines": (
        *("I smell fuel", "not what I meant", "1", "loose off", "bananas", "tri stagger 2", "yes", "3", "\x03"),
        *("stagger 2", "yes", "the same", "skip", "undo", "ask", "enough", "half"),
    ),
}


def say(talk, line):
    return talk.leave() if line == "\x03" else talk.type(line)


def known(talk):
    """What a talk knows, what was asked and answered, what it lists, and what it waits for."""
    state, bench, talks = talk.state, talk.state.bench, talk.conversation
    places = [(one.before.session, one.before.advised, one.told, one.kind, one.said, one.moves) for one in state.steps]
    return {
        "session": state.session,
        "answers": None if state.session is None else dict(state.session.known),
        "asked": None if state.question is None else (state.question.id, state.question.tells_apart),
        "steps": places,
        "done": [(one.done, one.guessed, one.promise, one.felt, dict(one.data)) for one in state.steps],
        "at": (state.advised, state.looks, state.look, state.missed, state.meant),
        "list": [state.say_offer(one) for one in offers_of(state.advice)] if state.advice else [],
        "car": (bench.case, bench.memory, bench.read_on, bench.told),
        "prompt": (talks.answers(), "" if state.advised else talks._prompt()),  # behind more stands the list again
    }


@pytest.mark.parametrize("name", TALKS)
def test_a_talk_left_after_every_line_is_taken_up_as_it_was(make_talk, tmp_path, name):
    straight = make_talk(record=Record("demo", Notebook(tmp_path / "one"), moment=datetime(2026, 5, 1, tzinfo=UTC)))
    left = make_talk(record=Record("demo", Notebook(tmp_path / "other"), moment=datetime(2026, 5, 2, tzinfo=UTC)))
    for line in TALKS[name]:
        said, now = say(straight, line), say(left, line)
        assert now.replace("2026-05-02", "2026-05-01") == said, line
        left.conversation.record.close()
        left = make_talk(record=record_in(tmp_path / "other"), cut_off=cut_off_in(tmp_path / "other"))
        left.type("not run yet" if "What did it do?" in left.words else "yes")
        after = known(left)
        for what, stands in known(straight).items():
            assert after[what] == stands, (line, what)
    left.conversation.record.close()


def old_talk(folder, *more):
    """A talk as the notebook held it before it held where a talk stands."""
    book = Notebook(folder)
    talk = book.begin_talk("demo", "2026-01-01-120000-1", "01 Jan 12:00")
    began = {"setup": {"stagger": 0.05}, "prints": {"car": "0123"}}
    told = [
        ("typed", "loose off"),
        ("began", "", began),
        ("said", "loose off"),
        ("typed", "1"),
        ("answer", "all sound"),
    ]
    for kind, text, *data in (*told, *more):
        book.add("demo", talk, kind, text, *data)
    return cut_off_in(folder)


def test_of_a_talk_from_before_the_words_begin_anew(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path), cut_off=old_talk(tmp_path))
    said = talk.type("yes")
    assert said.startswith("You said then: loose off. I read: loose coming off")
    assert talk.state.question.id == "safety"
    talk.conversation.record.close()
    assert cut_off_in(tmp_path).stands


def test_of_a_talk_from_before_a_change_that_waits_is_held_against_what_it_did(make_talk, tmp_path, demo):
    now = demo.setup.values["stagger"]
    data = {"said": "Reduce the rear stagger", "moves": {"stagger": [0.05, now]}, "promise": {"removes": 0.4}}
    cut_off = old_talk(tmp_path, ("typed", "made stagger 2"), ("made", "rear stagger down", data))
    talk = make_talk(record=record_in(tmp_path), cut_off=cut_off)
    assert "What did it do?" in talk.words
    assert "Felt: better." in talk.type("better")
    assert talk.state.bench.case.setup.values["stagger"] == now
    talk.conversation.record.close()
    assert cut_off_in(tmp_path).made == ""


@pytest.mark.parametrize(
    ("part", "held"),
    [
        ("began", {"values": {"spring_rr": 0.0}, "guessed": [], "seats_alone": False}),
        ("stands", {"Stands": {"place": 3}}),
        ("stands", {"Conversation": {}}),
        ("stands", [[]]),
        ("entries", [1, 2, 3]),
        ("drawn", None),
    ],
)
def test_a_talk_that_cannot_be_read_begins_anew_with_its_words(make_talk, tmp_path, part, held):
    talk = make_talk(record=record_in(tmp_path))
    talk.type("loose off", "1")
    talk.conversation.record.close()
    cut_off = cut_off_in(tmp_path)
    broken = replace(cut_off, stands={**cut_off.stands, part: held})
    again = make_talk(record=record_in(tmp_path), cut_off=broken)
    assert again.type("yes").startswith("You said then: loose off. I read:")
    again.conversation.record.close()


def test_a_line_that_was_not_answered_any_more_is_said(make_talk, tmp_path):
    record = record_in(tmp_path)
    talk = make_talk(record=record)
    talk.type("loose off")
    record.typed("1")
    record.close()
    again = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    said = again.type("yes")
    assert "with all you typed (2 lines). The last line was not answered any more; type it again: '1'" in said
    assert "First, anything loose" in said
    again.conversation.record.close()


def test_every_class_a_talk_is_made_of_can_be_kept():
    """A field of a class that is not named is found here, and not by whoever leaves a talk."""
    known = {**KEPT, **{one.__name__: one for one in (Setup, Case, Knowledge, OpenQuestion)}}
    named = {
        name for one in KEPT.values() for field in fields(one) for name in re.findall(r"\b[A-Z]\w+", str(field.type))
    }
    plain = {"Mapping", "Any", "None", "WORDS", "FromTo", "Place", "Advice", "Reckoned"}
    assert named - plain <= known.keys()
