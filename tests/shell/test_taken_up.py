"""A talk that is left after every line and taken up by a new program stands where one stands that was never left."""

from datetime import UTC, datetime

import pytest

from assistant.notebook.book import Notebook
from assistant.notebook.record import Record
from assistant.pages.advice import offers_of
from tests.notebook.talks import cut_off_in, record_in
from tests.shell.conftest import with_few_levers

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


@pytest.fixture(scope="module")
def demo(demo):
    """After every change each lever is driven anew."""
    return with_few_levers(demo)


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
