import io

import pytest

from assistant.pages.terminal import Look, is_dumb, look_of, say_progress, wants_color


class Terminal(io.StringIO):
    encoding = "utf-8"

    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("asked", "terminal", "environ", "wanted"),
    [
        ("auto", True, {"TERM": "xterm"}, True),
        ("auto", False, {"TERM": "xterm"}, False),
        ("auto", True, {"TERM": "xterm", "NO_COLOR": "1"}, False),
        ("auto", True, {"TERM": "xterm", "NO_COLOR": ""}, True),
        ("always", True, {"TERM": "xterm", "NO_COLOR": "1"}, True),
        ("always", False, {}, True),
        ("never", True, {"TERM": "xterm"}, False),
        ("auto", True, {"TERM": "dumb"}, False),
        ("auto", True, {}, False),
    ],
)
def test_who_decides_on_color(asked, terminal, environ, wanted):
    assert wants_color(asked, terminal=terminal, accessible=False, environ=environ) is wanted


def test_the_accessible_look_has_no_color_of_its_own():
    assert not wants_color("auto", terminal=True, accessible=True, environ={"TERM": "xterm"})


def test_the_environment_can_ask_for_the_accessible_look():
    assert look_of(io.StringIO(), environ={"ACCESSIBLE": "1"}).accessible
    assert not look_of(io.StringIO(), environ={"ACCESSIBLE": ""}).accessible


def test_a_pipe_is_as_wide_as_a_plain_terminal():
    assert look_of(io.StringIO(), environ={}).width == 80


@pytest.mark.parametrize(("columns", "width"), [("200", 80), ("40", 40), ("10", 24)])
def test_a_terminal_gives_its_width_within_reason(monkeypatch, columns, width):
    monkeypatch.setenv("COLUMNS", columns)
    assert look_of(Terminal(), environ={"TERM": "xterm"}).width == width


@pytest.mark.parametrize(("term", "dumb"), [("dumb", True), ("", True), ("unknown", True), ("xterm-256color", False)])
def test_which_terminals_cannot_move_a_cursor(term, dumb):
    assert is_dumb({"TERM": term}) is dumb


def test_what_is_being_worked_on_goes_again_on_a_terminal_and_is_a_line_elsewhere(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    for stream, look, written in (
        (Terminal(), Look(width=30), f"\r{'Weighing':<29}\r{'':<29}\r"),
        (Terminal(), Look(accessible=True), "Weighing\n"),
        (io.StringIO(), Look(), "Weighing\n"),
    ):
        say_progress("Weighing", look, stream)
        say_progress("", look, stream)
        assert stream.getvalue() == written
