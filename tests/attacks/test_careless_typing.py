"""What no person means: values no car has, numbers of five thousand digits, a folder that takes nothing."""

import os

import pytest

from assistant.belief.model import NO_STEADY_STATE, no_steady_state
from assistant.cli import main
from assistant.notebook.record import Record
from assistant.pages.terminal import Look, render
from assistant.shell.begin import talk
from assistant.shell.bench import Bench
from assistant.shell.talk import Conversation
from assistant.shell.talk_state import TalkState
from assistant.shell.verbs import read_line

FAR = "9" * 5000


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("final_drive=0", "final drive: 0.00 is not possible, only 0.8 to 15"),
        ("spring_rr=0", "RR spring: 0 lb/in is not possible, only 20 lb/in to 5000 lb/in"),
        ("cross_weight=100%", "cross weight: 100.0 % is not possible, only 20 % to 80 %"),
        ("pressure_rr=-20psi", "is not possible, only 3 psi to 100 psi"),
        ("track_bar=500in", "track bar left:"),
        ("stagger=1e999", "stagger: "),
        ("stagger=nan", "stagger: "),
    ],
)
def test_a_value_no_setup_file_may_hold_is_refused_in_try_too(capsys, change, says):
    assert main(["try", "demo", change]) == 2
    assert says in capsys.readouterr().err


def test_a_value_only_the_rules_forbid_is_computed_and_said(capsys):
    assert main(["try", "demo", "stagger=4in", "--laps", "20"]) == 0
    assert "Not legal" in capsys.readouterr().out


@pytest.mark.parametrize("laps", ["0", "1", "19", "301", "1e9", "-5", "nan", "", FAR])
def test_a_run_of_any_other_length_is_refused(capsys, laps):
    assert main(["forecast", "demo", "--laps", laps]) == 2
    assert "a whole number from 20 to 300" in capsys.readouterr().err


@pytest.mark.parametrize("verb", ["why", "try", "make", "back", "change"])
def test_no_number_is_too_long_for_the_talk(verb):
    typed = read_line(f"{verb} {FAR}")
    assert typed is None or len(typed.rest) < 10


@pytest.mark.skipif(os.name == "nt", reason="files are closed to others differently there")
def test_a_talk_that_cannot_be_saved_says_so_when_it_ends(tmp_path, monkeypatch, capsys):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "file"))
    lines = iter(["limits\n", "quit\n"])
    monkeypatch.setattr(
        "sys.stdin", type("Piped", (), {"isatty": lambda _: False, "readline": lambda _: next(lines)})()
    )
    assert talk(None, (), Look(), by_lines=True, fresh=True) == 0
    assert "Nothing of this talk is saved: your own folder cannot be written to." in capsys.readouterr().out.replace(
        "\n", " "
    )


def test_a_mistake_found_in_a_talk_is_said_and_the_talk_goes_on(monkeypatch):
    def refuse(*_):
        raise no_steady_state(bench.case)

    bench = Bench("demo")
    bench.warm()
    monkeypatch.setattr(Bench, "advise", refuse)
    monkeypatch.setattr(Bench, "drive_for", lambda *_: None)
    conversation = Conversation(TalkState(bench=bench, name="t"), Record("demo", None))
    conversation.say("loose off late in the run")
    rows = render(conversation.say("enough").blocks, Look())
    assert NO_STEADY_STATE in " ".join(" ".join(rows).split())
    assert not conversation.say("help").over
