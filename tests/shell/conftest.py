from concurrent.futures import Future

import pytest

from assistant.advice.standing import read_standing
from assistant.car.files import read_case
from assistant.rules.pack import load_packs
from assistant.shell import bench as bench_module
from assistant.shell.bench import Bench
from assistant.shell.blocks import render
from assistant.shell.conversation import Conversation
from assistant.shell.look import Look
from assistant.shell.record import Record
from assistant.shell.scene import Scene


def done(value):
    promise = Future()
    promise.set_result(value)
    return promise


@pytest.fixture(scope="session")
def knowledge():
    return load_packs()


@pytest.fixture(scope="session")
def demo():
    return read_case("demo")


@pytest.fixture(scope="session")
def known_tables():
    return {}


@pytest.fixture(autouse=True)
def compute_once(monkeypatch, known_tables):
    """The same setup and complaint give the same table of effects: compute it once for all tests."""
    compute = bench_module._compute

    def compute_or_know(case, knowledge, complaint, wanted):
        key = (case.name, tuple(case.setup.values.items()), read_standing(complaint))
        if key not in known_tables:
            known_tables[key] = compute(case, knowledge, complaint, lambda *_: True)
        return known_tables[key]

    monkeypatch.setattr(bench_module, "_compute", compute_or_know)


@pytest.fixture(scope="session")
def known_advice():
    return {}


@pytest.fixture(autouse=True)
def advise_once(monkeypatch, known_advice):
    """The same words, answers and setup give the same advice: compute it once for all tests."""
    from assistant.advice import advise as module

    compute = module.advise

    def advise(case, knowledge, session, effects):
        key = (tuple(case.setup.values.items()), session.text, session.given)
        if key not in known_advice:
            known_advice[key] = compute(case, knowledge, session, effects)
        return known_advice[key]

    monkeypatch.setattr(module, "advise", advise)


class Talk:
    """A conversation and what it last showed, as one text."""

    def __init__(self, conversation, width=80, accessible=False):
        self.conversation = conversation
        self.look = Look(width=width, accessible=accessible)
        self.reply = conversation.opening()

    @property
    def scene(self):
        return self.conversation.scene

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
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))

    def make(case=demo, *, record=None, cut_off=None, units="trade", **more):
        bench = Bench(case.file)
        bench._loaded = done((case, knowledge))
        record = record or Record("demo", None)
        return Talk(Conversation(Scene(bench, units, record.name), record, cut_off), **more)

    return make


@pytest.fixture
def talk(make_talk):
    return make_talk()
