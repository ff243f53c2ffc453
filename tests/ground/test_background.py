import threading

import pytest

from assistant.ground import background
from assistant.ground.background import start, wait_for


def test_a_quick_result_is_fetched_without_a_word():
    said = []
    assert wait_for(start(lambda: 7), "Thinking", said.append) == 7
    assert said == []


def test_slow_work_says_what_it_is_and_how_to_stop_it(monkeypatch):
    monkeypatch.setattr(background, "SILENT", 0.02)
    monkeypatch.setattr(background, "AGAIN", 0.04)
    monkeypatch.setattr(background, "POLL", 0.01)
    enough = threading.Event()
    said = []

    def hear(words):
        said.append(words)
        if len(said) == 2:
            enough.set()

    assert wait_for(start(lambda: enough.wait(5)), "Thinking", hear) is True
    assert said[0] == "Thinking (Ctrl-C stops it)"
    assert said[1] == "still at it, 0 s"
    assert said[2:] == [""]


def test_what_went_wrong_behind_the_prompt_comes_out_when_asked_for():
    def fail():
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        wait_for(start(fail), "Thinking", lambda _: None)


def test_ctrl_c_leaves_the_wait():
    enough = threading.Event()

    def hear(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        wait_for(start(lambda: enough.wait(5)), "Thinking", hear)
    enough.set()
