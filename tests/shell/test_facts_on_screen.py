"""Where the facts of a lever are shown in the terminal: `levers` and `why`."""

from assistant.cli import DONE, main
from assistant.shell.screen_why import why_screen
from tests.advice.synthetic import IN, remedy

BAR = remedy("track_bar_right", ("relief", 0.5), rank=1, title="right end of the track bar", change=-0.5 * IN)


def plain(blocks):
    return [getattr(block, "text", "") for block in blocks]


def test_a_lever_in_full_ends_with_what_a_step_is_on_this_car(capsys):
    assert main(["levers", "demo", "stagger"]) == DONE
    said = " ".join(capsys.readouterr().out.split())
    assert "One step on this car: Without slip the axle rolls turns 1-2 on " in said


def test_why_shows_facts_under_their_heading_and_no_heading_without_any():
    shown = plain(why_screen(1, BAR, {}, "trade", ("The roll centre is 10 in up.",)))
    assert shown[shown.index("On this car:") + 1] == "The roll centre is 10 in up."
    assert "On this car:" not in plain(why_screen(1, BAR, {}, "trade"))
