"""The program from its command line to its last word, in this process: terminals that are not there, and pipes."""

import io
import sys

import pytest

from assistant.car.own_car import QUESTIONS
from assistant.cli import main
from assistant.commands import BANNER
from assistant.commands import runner as run_module
from assistant.shell import bench as bench_module
from assistant.shell import prompt


class Screen(io.StringIO):
    """What is written to a terminal that is not there."""

    encoding = "utf-8"

    def __init__(self, *, terminal):
        super().__init__()
        self.terminal = terminal

    def isatty(self):
        return self.terminal


class Keyboard(io.TextIOWrapper):
    """What is typed or piped in, as bytes; whoever asks for more meets the end of the input."""

    def __init__(self, typed, *, terminal):
        super().__init__(io.BytesIO(typed), encoding="utf-8")
        self.terminal = terminal

    def isatty(self):
        return self.terminal


@pytest.fixture
def run(monkeypatch, knowledge, tmp_path):
    """Run the program with what is typed and a few words of environment; returns its code and what it wrote."""
    for module in (bench_module, run_module):
        monkeypatch.setattr(module, "load_with", lambda _: knowledge)
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    for name in ("NO_COLOR", "ACCESSIBLE"):
        monkeypatch.delenv(name, raising=False)

    def go(*words, typed=b"", terminal=False, **env):
        for name, value in env.items():
            monkeypatch.setenv(name, value)
        screen, errors = Screen(terminal=terminal), Screen(terminal=terminal)
        monkeypatch.setattr(sys, "stdin", Keyboard(typed, terminal=terminal))
        monkeypatch.setattr(sys, "stdout", screen)
        monkeypatch.setattr(sys, "stderr", errors)
        code = main(words)
        assert errors.getvalue() == ""
        return code, screen.getvalue()

    return go


@pytest.fixture
def no_prompt(monkeypatch):
    """Nothing may move a cursor here."""

    def moved(*_, **__):
        raise AssertionError("the prompt that moves the cursor was used")

    monkeypatch.setattr(prompt, "PromptFrontEnd", moved)


@pytest.mark.usefixtures("no_prompt")
@pytest.mark.parametrize(
    ("words", "env"),
    [
        ((), {"TERM": "dumb"}),
        ((), {"TERM": ""}),
        ((), {"TERM": "xterm", "ACCESSIBLE": "1"}),
        (("--accessible",), {"TERM": "xterm"}),
    ],
)
def test_where_the_cursor_shall_not_move_the_whole_talk_goes_line_by_line(run, words, env):
    typed = b"limits\nloose off late in the run\nenough\nwhy 1 all\nquit\n"
    code, said = run(*words, typed=typed, terminal=True, **env)
    assert code == 0
    assert said.startswith(BANNER)
    assert "rulebook" in said
    assert "Its place in the list:" in said
    assert "\x1b" not in said


@pytest.mark.parametrize(
    ("words", "env", "color"),
    [
        ((), {}, True),
        ((), {"NO_COLOR": "1"}, False),
        ((), {"NO_COLOR": ""}, True),
        (("--color", "never"), {}, False),
        (("--color", "always"), {"NO_COLOR": "1"}, True),
        ((), {"TERM": "dumb"}, False),
    ],
)
def test_who_gets_color_on_a_terminal(run, words, env, color):
    code, said = run(*words, "explain", "stagger", terminal=True, **{"TERM": "xterm-256color", **env})
    assert code == 0
    assert ("\x1b[1m" in said) is color


def test_without_a_terminal_and_without_input_it_prints_the_demos_advice(run):
    code, said = run()
    assert code == 0
    assert "Nobody is typing; this is the advice for: loose off late in the run." in said
    assert "\x1b" not in said


def test_a_piped_talk_ends_with_its_input(run):
    code, said = run(typed=b"loose off late in the run\nenough\n")
    assert code == 0
    assert "Chance it cures: about" in " ".join(said.split())
    assert "\x1b" not in said


def test_letters_of_another_encoding_are_read_without_a_traceback(run):
    code, said = run(typed=b"l\xe4uft \xff\x00\nquit\n")
    assert code == 0
    assert "I cannot make out" in said


def test_a_talk_that_was_quit_is_offered_until_it_is_turned_down(run):
    typed = run(typed=b"loose off late in the run\nquit\n", terminal=True, TERM="dumb")[1]
    assert "Saved; the next talk about this car offers to go on here." in typed
    assert "Go on with it?" in run(typed=b"2\nquit\n", terminal=True, TERM="dumb")[1]
    assert "Go on with it?" not in run(typed=b"quit\n", terminal=True, TERM="dumb")[1]


def test_a_talk_that_was_left_is_offered_again_and_not_when_a_fresh_one_is_asked_for(run):
    assert "Saved; the next talk" in run(typed=b"loose off late in the run\n", terminal=True, TERM="dumb")[1]
    assert "stopped after 1 line. Go on with it?" in run(typed=b"1\nquit\n", terminal=True, TERM="dumb")[1]
    run(typed=b"loose off late in the run\n", terminal=True, TERM="dumb")
    assert "Go on with it?" not in run("talk", "--fresh", typed=b"quit\n", terminal=True, TERM="dumb")[1]


def on_a_terminal(run, *lines, words=()):
    typed = "".join(f"{line}\n" for line in lines).encode()
    return run(*words, typed=typed, terminal=True, TERM="dumb")[1]


def test_the_next_talk_opens_on_the_car_used_last_and_stays_on_it(run, tmp_path):
    on_a_terminal(run, "mine all", "speedy", *[""] * (len(QUESTIONS) - 1), "loose off late in the run", "quit")
    case = (tmp_path / "speedy" / "case.yaml").resolve()
    next_day = " ".join(on_a_terminal(run, "2", "show", "tight in", "quit").split())
    assert f"Your car used last: speedy, in {case}. halfturn demo opens the invented one." in next_day
    assert "The car here is invented" not in next_day
    assert "stopped after 1 line. Go on with it?" in next_day
    assert "Setup speedy-setup" in next_day
    third = " ".join(on_a_terminal(run, "1", "show", "quit").split())
    assert "Where you left, with all you typed (2 lines)." in third
    assert "Setup speedy-setup" in third


@pytest.mark.parametrize("words", [("demo",), ("talk", "demo")])
def test_the_demo_is_opened_when_it_is_asked_for(run, words):
    on_a_terminal(run, "mine all", "speedy", *[""] * (len(QUESTIONS) - 1), "quit")
    said = on_a_terminal(run, "show", "quit", words=words)
    assert "The car here is invented." in said
    assert "Setup demo-quick" in said


def test_where_the_car_used_last_is_gone_the_demo_opens(run, tmp_path):
    on_a_terminal(run, "mine all", "speedy", *[""] * (len(QUESTIONS) - 1), "quit")
    (tmp_path / "speedy" / "case.yaml").unlink()
    assert "The car here is invented." in on_a_terminal(run, "quit")


def test_two_cars_whose_files_are_called_alike_are_two_cars(run, tmp_path, monkeypatch):
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        monkeypatch.chdir(tmp_path / name)
        assert run("new", "case", name, "--starter", "-o", ".")[0] == 0
    monkeypatch.chdir(tmp_path / "one")
    on_a_terminal(run, "loose off", "quit", words=("talk", "case.yaml"))
    monkeypatch.chdir(tmp_path / "two")
    assert "Go on with it?" not in on_a_terminal(run, "quit", words=("talk", "case.yaml"))
    monkeypatch.chdir(tmp_path)
    assert "Go on with it?" in on_a_terminal(run, "quit", words=("talk", "one/case.yaml"))
    assert "Your car used last: one," in on_a_terminal(run, "quit")
