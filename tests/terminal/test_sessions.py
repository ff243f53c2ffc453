"""Three talks in a real terminal; what needs no terminal is tested on the front ends."""

import os
import re
import subprocess
import sys

from tests.terminal.screen import ROOT, Terminal

FIRST = "What is the car doing? (your words, help or quit) >"
QUESTION = "back or enough >"
ADVICE = "help, or new words >"
FORBIDDEN = {
    "a cursor query": r"\x1b\[\??6n",
    "mouse reporting": r"\x1b\[\?(1000|1002|1003|1005|1006|1015)h",
    "the other screen": r"\x1b\[\?1049h",
}
CHANGE = r" (\d+) [A-Z](?:(?! \d+ [A-Z])[^:])*: (?:tighter|looser), [^.]*\. (?:Between runs|Pit stop|Shop)\."


def assert_nothing_that_breaks(sent):
    for name, pattern in FORBIDDEN.items():
        assert not re.search(pattern, sent), name


def last_question(terminal):
    """The question whose answers stand above the prompt."""
    return re.findall(r"[A-Z][^?>.]*\?(?=(?: [^?>]*\.)? 1 )", terminal.news)[-1]


def test_a_novice_who_types_badly_gets_to_a_change_on_a_plain_window(tmp_path):
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST).type("hlep").wait("did you mean 'help'?")
        terminal.wait_prompt(FIRST).type("teh car is LOSE off late").wait("I read: loose coming off")
        terminal.wait_prompt(QUESTION).type("banana").wait("none of the answers")
        terminal.wait_prompt(QUESTION).type("?").wait("How to tell:")
        terminal.wait_prompt(QUESTION).type("1")
        terminal.wait_prompt(QUESTION).type("enough")
        terminal.wait_prompt(ADVICE)
        number = re.search(CHANGE, terminal.news)[1]  # the first lever; habits may stand before it
        heads = [row for row in terminal.rows if re.match(r"\d  ", row)]
        assert [row[0] for row in heads[-3:]] == ["1", "2", "3"]
        assert 'demo-car, "teh car is LOSE off late":' in terminal.rows  # 24 rows hold the whole list
        terminal.type(f"try{number}").wait("Nothing has been changed")
        terminal.wait_prompt(ADVICE).type(f"MAKE {number}").wait("undo takes it out again.")
        terminal.wait_prompt("undo, show or quit) >").type("undo").wait("Taken out:")
        terminal.wait_prompt(ADVICE).type("exit")
        assert terminal.end() == 0
        assert_nothing_that_breaks(terminal.sent)


def read_on(terminal, prompt):
    """Go through a screen longer than the terminal, screenful by screenful, to the prompt behind it."""
    while not terminal.wait_prompt((prompt, "or q to stop --")).news.rstrip().endswith(prompt):
        terminal.type("")


def test_tab_ctrl_c_ctrl_d_and_a_window_that_changes_its_size(tmp_path):
    with Terminal(tmp_path, columns=40, rows=12) as terminal:
        terminal.wait_prompt(FIRST).type("limi\t", enter=False).wait_screen("> limits")
        terminal.type("").wait("Trust differences")
        read_on(terminal, FIRST)
        for columns, rows in ((60, 20), (100, 30), (52, 15), (80, 24), (40, 12)):
            terminal.resize(columns, rows)
            terminal.read(0.1)
        terminal.type("")
        read_on(terminal, FIRST)  # by then the last size is known
        terminal.type("loose off late").wait("or q to stop --")
        terminal.type("").wait_prompt(QUESTION).type("\x03", enter=False).wait("Left the question.")
        read_on(terminal, ADVICE)
        terminal.type("\x03", enter=False).wait("Ctrl-D or quit leaves.")
        terminal.wait_prompt(ADVICE).type("\x04", enter=False)
        assert terminal.end() == 0
        assert "Saved;" in terminal.sent
        assert_nothing_that_breaks(terminal.sent)


def test_a_talk_killed_in_the_middle_is_taken_up_where_it_was(tmp_path):
    with Terminal(tmp_path) as terminal:
        terminal.wait_prompt(FIRST).type("loose off late in the run")
        terminal.wait_prompt(QUESTION).type("1")
        terminal.wait_prompt(QUESTION)
        asked = last_question(terminal)
        terminal.child.kill(9)
        terminal.child.wait()
    with Terminal(tmp_path) as terminal:
        terminal.wait("stopped after 2 lines. Go on with it?").type("1").wait("Where you left, with all you typed")
        terminal.wait_prompt(QUESTION)
        assert last_question(terminal) == asked
        terminal.type("quit")
        assert terminal.end() == 0


def test_a_reader_who_stops_early_is_no_error(tmp_path):
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HALFTURN_FOLDER": str(tmp_path)}
    child = subprocess.Popen(
        [sys.executable, "-m", "assistant", "help", "commands"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=env,
    )
    child.stdout.close()
    assert child.stderr.read() == b""
    child.stderr.close()
    assert child.wait(timeout=60) == 0


def test_a_screen_longer_than_the_terminal_waits_and_takes_the_next_line_there_too(tmp_path):
    with Terminal(tmp_path, "demo") as terminal:
        terminal.wait_prompt(FIRST).type("levers all").wait_prompt("or q to stop --")
        terminal.type("").wait_prompt("or q to stop --").type("limits").wait("rulebook")
        terminal.wait_prompt(FIRST).type("made sta\t", enter=False).wait_screen("> made stagger")
        terminal.type(" 2").wait("Made: Increase the rear stagger 1/8 in").type("quit")
        assert terminal.end() == 0
