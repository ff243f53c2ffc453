import os
import re
import subprocess
import sys

import pytest

from tests.terminal.screen import ROOT, Terminal

FIRST = "What is the car doing? (your words, help or quit) >"
QUESTION = "back or enough >"
ADVICE = "help, or new words >"
FORBIDDEN = {
    "a cursor query": r"\x1b\[\??6n",
    "mouse reporting": r"\x1b\[\?(1000|1002|1003|1005|1006|1015)h",
    "the other screen": r"\x1b\[\?1049h",
}


def assert_nothing_that_breaks(sent):
    for name, pattern in FORBIDDEN.items():
        assert not re.search(pattern, sent), name


def last_question(terminal):
    """The question whose answers stand above the prompt."""
    return re.findall(r"[A-Z][^?>.]*\?(?= 1 )", terminal.news)[-1]


def test_a_novice_who_types_badly_gets_to_a_change(tmp_path):
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST).type("hlep").wait("did you mean 'help'?")
        terminal.wait_prompt(FIRST).type("teh car is LOSE off").wait("I read: loose coming off")
        terminal.wait_prompt(QUESTION).type("banana").wait("none of the answers")
        terminal.wait_prompt(QUESTION).type("?").wait("How to tell:")
        terminal.wait_prompt(QUESTION).type("1")
        terminal.wait_prompt(QUESTION).type("enough")
        terminal.wait_prompt(ADVICE)
        number = re.search(r" (\d+) [A-Z][^:]*, from ", terminal.news)[1]  # the first lever; habits may stand before it
        terminal.type("try1").wait("Nothing has been changed")
        terminal.wait_prompt(ADVICE).type(f"MAKE {number}").wait("undo takes it out again.")
        terminal.wait_prompt("undo, show or quit) >").type("undo").wait("Taken out:")
        terminal.wait_prompt(ADVICE).type("exit")
        assert terminal.end() == 0
        assert_nothing_that_breaks(terminal.sent)


def test_tab_ctrl_c_and_ctrl_d_on_a_small_window(tmp_path):
    with Terminal(tmp_path, columns=40, rows=12) as terminal:
        terminal.wait_prompt(FIRST).type("limi\t", enter=False).wait_screen("> limits")
        terminal.type("").wait("rulebook")
        terminal.wait_prompt(FIRST).type("loose off late")
        terminal.wait_prompt(QUESTION).type("\x03", enter=False).wait("Left the question.")
        terminal.wait_prompt(ADVICE).type("\x03", enter=False).wait("Ctrl-D or quit leaves.")
        terminal.wait_prompt(ADVICE).type("\x04", enter=False)
        assert terminal.end() == 0
        assert "Saved;" in terminal.sent
        assert_nothing_that_breaks(terminal.sent)


def test_resizing_during_a_prompt_leaves_one_prompt(tmp_path):
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST)
        for columns, rows in ((60, 20), (100, 30), (52, 15), (80, 24), (70, 24), (80, 24)):
            terminal.resize(columns, rows)
            terminal.read(0.1)
        terminal.type("limits").wait("rulebook")
        terminal.wait_prompt(FIRST).type("q")
        assert terminal.end() == 0


def test_a_talk_killed_in_the_middle_is_taken_up_where_it_was(tmp_path):
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST).type("loose off late in the run")
        terminal.wait_prompt(QUESTION).type("1")
        terminal.wait_prompt(QUESTION)
        asked = last_question(terminal)
        terminal.child.kill(9)
        terminal.child.wait()
    with Terminal(tmp_path) as terminal:
        terminal.wait("was cut off after 2 lines. Go on with it?").type("1").wait("Where you left: 2 lines taken up.")
        terminal.wait_prompt(QUESTION)
        assert last_question(terminal) == asked
        terminal.type("quit")
        assert terminal.end() == 0
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST)
        assert "cut off" not in terminal.words


def test_in_a_dumb_terminal_the_whole_talk_goes_line_by_line(tmp_path):
    with Terminal(tmp_path, TERM="dumb") as terminal:
        terminal.wait_prompt(FIRST).type("loose off late")
        terminal.wait_prompt(QUESTION).type("enough")
        terminal.wait_prompt(ADVICE).type("why 1").wait("Its place in the list:")
        terminal.wait_prompt(ADVICE).type("quit")
        assert terminal.end() == 0
        assert "\x1b" not in terminal.sent


@pytest.mark.parametrize(("words", "env"), [((), {"TERM": ""}), ((), {"ACCESSIBLE": "1"}), (("--accessible",), {})])
def test_where_the_cursor_shall_not_move_nothing_moves_it(tmp_path, words, env):
    with Terminal(tmp_path, *words, **env) as terminal:
        terminal.wait_prompt(FIRST).type("limits").wait("rulebook")
        terminal.wait_prompt(FIRST).type("quit")
        assert terminal.end() == 0
        assert "\x1b" not in terminal.sent


@pytest.mark.parametrize(
    ("words", "env", "colour"),
    [
        ((), {}, True),
        ((), {"NO_COLOR": "1"}, False),
        ((), {"NO_COLOR": ""}, True),
        (("--color", "never"), {}, False),
        (("--color", "always"), {"NO_COLOR": "1"}, True),
        ((), {"TERM": "dumb"}, False),
    ],
)
def test_who_gets_colour_on_a_terminal(tmp_path, words, env, colour):
    with Terminal(tmp_path, *words, "explain", "stagger", **env) as terminal:
        assert terminal.end() == 0
        assert ("\x1b[1m" in terminal.sent) is colour


def piped(folder, *words, text=None):
    source = {"stdin": subprocess.DEVNULL} if text is None else {"input": text}
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HALFTURN_FOLDER": str(folder), "NO_COLOR": ""}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        capture_output=True,
        text=True,
        timeout=60,
        env=env,
        check=False,
        **source,
    )


def test_without_a_terminal_and_without_input_it_prints_the_demos_advice(tmp_path):
    done = piped(tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Nobody is typing; this is the advice for: loose off late in the run." in done.stdout
    assert "\x1b" not in done.stdout


def test_a_piped_talk_ends_with_its_input(tmp_path):
    done = piped(tmp_path, text="loose off\nenough\n")
    assert (done.returncode, done.stderr) == (0, "")
    assert "How sure:" in done.stdout
    assert "\x1b" not in done.stdout


def test_letters_of_another_encoding_are_read_without_a_traceback(tmp_path):
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HALFTURN_FOLDER": str(tmp_path), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", "assistant"],
        input=b"l\xe4uft \xff\x00\nquit\n",
        capture_output=True,
        env=env,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_reader_who_stops_early_is_no_error(tmp_path):
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HALFTURN_FOLDER": str(tmp_path)}
    child = subprocess.Popen(
        [sys.executable, "-m", "assistant", "levers", "demo", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=env,
    )
    child.stdout.close()
    assert child.stderr.read() == b""
    child.stderr.close()
    assert child.wait(timeout=60) == 0
