import threading
from concurrent.futures import Future

import pytest

from assistant.car.files import read_case
from assistant.ground.background import NAME
from assistant.notebook.record import Record
from assistant.pages.terminal import Look, render
from assistant.shell.bench import Bench
from assistant.shell.dialogs import first_reply
from assistant.shell.talk import Conversation
from assistant.shell.talk_state import TalkState
from tests.conftest import car_of
from tests.notebook.talks import leave_few_levers, with_few_levers, write_own

ALONE = threading.Lock()
"""What is being computed behind one prompt is not computed behind the next one as well."""


def done(value):
    promise = Future()
    promise.set_result(value)
    return promise


@pytest.fixture(scope="session", autouse=True)
def let_threads_end():
    """A thread torn out of compiled code at the end of the tests would abort them."""
    yield
    for thread in threading.enumerate():
        if thread.name == NAME:
            thread.join(30)


@pytest.fixture(scope="session")
def demo():
    """The demo under rules that let few levers move: most of what is said does not hang on which there are."""
    return with_few_levers(read_case("demo"))


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A case file of the user's own, with comments, under rules that let few levers move."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    file = write_own(tmp_path / "cars")
    leave_few_levers(file)
    return file


@pytest.fixture(scope="session")
def known_advice():
    return {}


@pytest.fixture(autouse=True)
def advise_once(monkeypatch, known_advice):
    """The same words, answers, car and packs give the same advice: compute it once. The one that computes."""
    from assistant.advice import offers as module

    compute = module.advise

    def advise(case, knowledge, session, belief):
        packs, told = tuple(one.pack for one in knowledge.packs), (session.text, session.given, session.made)
        key = (car_of(case), case.at_hand, case.rulebook.not_here, repr(case.measured), packs, told)
        with ALONE:
            if key not in known_advice:
                known_advice[key] = compute(case, knowledge, session, belief)
            return known_advice[key]

    monkeypatch.setattr(module, "advise", advise)
    return compute


class Talk:
    """A conversation and what it last showed, as one text."""

    def __init__(self, conversation, cut_off=None, width=80, accessible=False):
        self.conversation = conversation
        self.look = Look(width=width, accessible=accessible)
        self.reply = first_reply(cut_off)

    @property
    def state(self):
        return self.conversation.state

    @property
    def screen(self):
        return "\n".join(render(self.reply.blocks, self.look))

    @property
    def words(self):
        return " ".join(self.screen.split())

    def type(self, *lines):
        for line in lines:
            self.reply = self.conversation.say(line)
        return self.words

    def leave(self):
        self.reply = self.conversation.leave()
        return self.words


@pytest.fixture
def make_talk(demo, knowledge, tmp_path, monkeypatch):
    """A talk for which nothing is driven behind the prompt: what that is stands in `test_bench`."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))

    def make(case=demo, *, record=None, cut_off=None, units="trade", **more):
        bench = Bench(case.file)
        bench._loaded = done((case, knowledge))
        bench._drive(case)
        bench.hear = bench.drive_ahead = lambda *_: None
        record = record or Record("demo", None)
        state = TalkState(bench=bench, system=units, name=record.name)
        return Talk(Conversation(state, record, cut_off), cut_off, **more)

    return make


@pytest.fixture
def talk(make_talk):
    return make_talk()


@pytest.fixture
def whole_talk(make_talk):
    """A talk about the demo with all its levers."""
    return make_talk(read_case("demo"))
