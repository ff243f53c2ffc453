import io
import re
import sys

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from assistant.ground.background import Later
from assistant.pages import sayings
from assistant.pages.blocks import Choices, Line
from assistant.pages.terminal import Look, render
from assistant.shell import prompt
from assistant.shell.begin import LineFrontEnd, drive
from tests.notebook.talks import cut_off_in, record_in

LINES = ("loose off late in the run", "1", "back", "1", "enough", "try 1", "why 1", "limits", "quit")


class Keyboard(io.StringIO):
    """Lines typed at a terminal that is not there; an item that is an exception is raised in its place."""

    def __init__(self, *items, terminal=False):
        super().__init__()
        self.items, self.terminal = list(items), terminal

    def isatty(self):
        return self.terminal

    def readline(self):
        if not self.items:
            return ""
        item = self.items.pop(0)
        if isinstance(item, BaseException):
            raise item
        return item + "\n"


def at_hand(talk):
    """A conversation that is made already."""
    return Later(lambda: talk.conversation, "", print)


def by_lines(talk, *items, terminal=False, look=None):
    sink = io.StringIO()
    front = LineFrontEnd(at_hand(talk), look or Look(), Keyboard(*items, terminal=terminal), sink)
    return drive(front, talk.reply), sink.getvalue()


def by_prompt(talk, keys, capsys):
    with create_pipe_input() as pipe:
        pipe.send_text(keys)
        front = prompt.PromptFrontEnd(at_hand(talk), Look(), source=pipe, output=DummyOutput())
        code = drive(front, talk.reply)
    return code, capsys.readouterr().out


def test_both_front_ends_say_the_same(make_talk, capsys):
    code, lines = by_lines(make_talk(), *LINES, terminal=True)
    other, prompt = by_prompt(make_talk(), "".join(line + "\r" for line in LINES), capsys)
    assert (code, other) == (0, 0)
    bare = re.sub(r"^> ", "", lines, flags=re.MULTILINE)
    assert [row for row in bare.splitlines() if row] == [row for row in prompt.splitlines() if row]


def test_nothing_the_line_mode_writes_moves_a_cursor(make_talk):
    _, said = by_lines(make_talk(accessible=True), *LINES, "\x1b[2J", look=Look(accessible=True))
    assert not any(ord(letter) < 32 and letter != "\n" for letter in said)
    assert "\x7f" not in said


def test_what_is_piped_in_is_written_back_so_that_the_transcript_can_be_read(talk):
    _, said = by_lines(talk, "limits", "quit")
    assert "quit)\n> limits\n" in said


def test_what_is_typed_at_a_terminal_is_not_written_twice(talk):
    _, said = by_lines(talk, "limits", "quit", terminal=True)
    assert "> limits" not in said


def test_no_terminal_and_no_input_gives_the_demos_advice(talk):
    code, said = by_lines(talk)
    assert code == 0
    assert "Nobody is typing; this is the advice for: loose off late in the run." in said
    assert "Chance it cures: about" in " ".join(said.split())


def test_the_end_of_a_pipe_is_the_end_of_the_talk(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path))
    code, said = by_lines(talk, "loose off late in the run")
    assert code == 0
    assert "Nobody is typing" not in said
    assert cut_off_in(tmp_path) is None


def test_ctrl_d_at_a_terminal_saves_and_says_so(make_talk, tmp_path):
    talk = make_talk(record=record_in(tmp_path))
    code, said = by_lines(talk, "loose off late in the run", terminal=True)
    assert code == 0
    assert said.endswith("Saved; the next talk about this car offers to go on here.\n")
    assert cut_off_in(tmp_path).typed == ("loose off late in the run",)


def test_ctrl_c_leaves_the_question_and_then_the_program(talk):
    code, said = by_lines(
        talk, "loose off late in the run", KeyboardInterrupt(), KeyboardInterrupt(), KeyboardInterrupt(), terminal=True
    )
    assert "Left the question." in said
    assert "Ctrl-C once more, Ctrl-D or quit leaves." in said
    assert code == 130


def test_ctrl_c_while_it_computes_stops_the_sum_and_keeps_the_talk(talk, monkeypatch):
    def interrupted(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(talk.state.bench, "advise", interrupted)
    code, said = by_lines(talk, "loose off late in the run", "enough", "quit")
    assert "Stopped; enough asks for it again." in said
    assert code == 0


def test_ctrl_d_at_the_prompt_saves_and_quits(make_talk, tmp_path, capsys):
    talk = make_talk(record=record_in(tmp_path))
    code, said = by_prompt(talk, "loose off\r\x04", capsys)
    assert code == 0
    assert "Saved; the next talk about this car offers to go on here." in said


def test_ctrl_c_at_the_prompt_leaves_the_question_and_twice_more_the_program(talk, capsys):
    code, said = by_prompt(talk, "loose off\r\x03\x03\x03", capsys)
    assert "Left the question." in said
    assert code == 130


def test_tab_completes_a_command_and_a_symptom(talk, capsys):
    by_prompt(talk, "lim\t\rquit\r", capsys)
    assert talk.conversation.state.session is None
    completer = prompt.Words(talk.conversation.completions)
    from prompt_toolkit.completion import CompleteEvent
    from prompt_toolkit.document import Document

    found = [one.text for one in completer.get_completions(Document("LOOSE O"), CompleteEvent())]
    assert "loose off" in found


def offered(talk, typed=""):
    from prompt_toolkit.completion import CompleteEvent
    from prompt_toolkit.document import Document

    completer = prompt.Words(talk.conversation.completions, talk.conversation.answers)
    return [(one.text, one.display_text) for one in completer.get_completions(Document(typed), CompleteEvent())]


def test_tab_at_a_numbered_question_offers_the_answers_with_their_numbers_first(talk):
    talk.type("loose off late", "1")
    found = offered(talk)
    assert found[:2] == [("1", "1 tires, or the air in them"), ("2", "2 springs, shocks, heights, weight or scales")]
    assert found[-3:] == [("?", "?"), ("back", "back"), ("enough", "enough")]
    assert len(found) == len(talk.state.question.choices) + 3


def test_tab_at_a_question_completes_the_words_of_an_answer_before_any_command(talk):
    talk.type("loose off late")
    assert offered(talk, "no")[:2] == [("none, and I have looked",) * 2, ("not checked",) * 2]
    assert ("levers", "levers") in offered(talk, "lev")


def test_tab_at_the_offer_to_go_on_names_its_two_answers(make_talk, tmp_path):
    record = record_in(tmp_path)
    make_talk(record=record).type("loose off")
    record.close()
    talk = make_talk(record=record_in(tmp_path), cut_off=cut_off_in(tmp_path))
    assert offered(talk) == [("1", "1 yes"), ("2", "2 no, begin a new one"), ("?", "?")]


def test_tab_where_nothing_is_asked_offers_commands(talk):
    assert ("limits", "limits") in offered(talk)


def test_the_history_survives_in_the_users_folder(make_talk, tmp_path, capsys):
    by_prompt(make_talk(), "limits\rquit\r", capsys)
    assert "+limits" in (tmp_path / "own" / "history").read_text()


def test_a_console_that_is_none_sends_the_talk_to_lines(monkeypatch):
    class NoConsoleScreenBufferError(Exception):
        pass

    def fail(_):
        raise NoConsoleScreenBufferError

    monkeypatch.setattr(prompt, "create_output", fail)
    assert prompt.terminal_output() is None


def test_any_other_fault_of_the_terminal_stays_loud(monkeypatch):
    def fail(_):
        raise ZeroDivisionError

    monkeypatch.setattr(prompt, "create_output", fail)
    with pytest.raises(ZeroDivisionError):
        prompt.terminal_output()


def test_a_talk_begins_line_by_line_where_there_is_no_console(monkeypatch, capsys, tmp_path):
    from assistant.shell import begin

    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    monkeypatch.setattr(prompt, "terminal_output", lambda: None)
    monkeypatch.setattr(sys, "stdin", Keyboard("quit"))
    assert begin.talk(None, (), Look(), by_lines=False, fresh=False) == 0
    assert sayings.NO_CONSOLE in capsys.readouterr().out


def test_a_folder_that_cannot_be_written_is_said_once_and_the_talk_goes_on(monkeypatch, capsys, tmp_path):
    from assistant.shell import begin

    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("HALFTURN_FOLDER", str(blocked))
    monkeypatch.setattr(sys, "stdin", Keyboard("limits", "quit"))
    assert begin.talk(None, (), Look(), by_lines=True, fresh=False) == 0
    assert capsys.readouterr().out.count(sayings.BEGIN_NOT_SAVED) == 1


def test_a_long_screen_is_cut_between_its_paragraphs_and_choices_stay_with_their_question():

    said = [Line(str(at)) for at in range(6)]
    asked = [Line("Which?"), Choices(("a" * 70, "b" * 70))]
    assert [len(page) for page in prompt.pages_of([*said, *asked], Look(), 9)] == [9]
    assert prompt.pages_of([*said, *asked], Look(), 8) == [[str(at) for at in range(6)], render(asked, Look())]
    assert [len(page) for page in prompt.pages_of([Line("word " * 200)], Look(), 8)][:-1] == [8]
