"""Where the facts of a lever are shown in the terminal: `levers`, `why`, and `advise --facts`."""

import re
from dataclasses import replace

from assistant.advice.results import Note, PackageMove
from assistant.belief.model import read_model
from assistant.cli import DONE, main
from assistant.pages.blocks import Line
from assistant.pages.why import MoveFacts, facts_blocks, facts_of, why_screen
from tests.advice.round_numbers import IN, grid, remedy, together

BAR = remedy("track_bar_right", ("relief", 0.5), rank=1, title="right end of the track bar", change=-0.5 * IN)
MOVES = (
    PackageMove("track_bar_right", "right end of the track bar", -2, 10.5 * IN, 10 * IN, 0.3),
    PackageMove("caster_split", "caster split", 1, 0.0, 0.01, 0.1),
    PackageMove("stagger", "rear stagger", -1, 1.875 * IN, 1.75 * IN, 0.2),
)
PACKAGE = together(MOVES, removes=0.6, effect=grid(0.1, 0.2, 0.3), order=("stagger", "track_bar_right"))


def plain(blocks):
    return [getattr(block, "text", "") for block in blocks]


def words(capsys, *command):
    assert main(command) == DONE
    return " ".join(capsys.readouterr().out.split())


def test_a_lever_in_full_ends_with_what_a_step_is_on_this_car(capsys):
    assert "One step on this car: Without slip the axle rolls turns 1-2 on " in words(
        capsys, "levers", "demo", "stagger"
    )


def test_why_shows_facts_under_their_heading_and_no_heading_without_any():
    shown = plain(why_screen(1, BAR, {}, "trade", [MoveFacts("", ("The roll center is 10 in up.",))]))
    assert shown[shown.index("On this car:") + 1] == "The roll center is 10 in up."
    assert "On this car:" not in plain(why_screen(1, BAR, {}, "trade"))


def test_why_shows_the_facts_of_a_package_under_the_name_of_each_move():
    told = (
        MoveFacts("rear stagger", ("The axle rolls straight.",)),
        MoveFacts("cross weight", ("That is 7 lb.", "A turn is 6 lb.")),
    )
    shown = plain(why_screen(1, PACKAGE, {}, "trade", told))
    at = shown.index("On this car, each change by itself:")
    assert shown[at + 1 : at + 6] == [
        "Rear stagger:",
        "The axle rolls straight.",
        "Cross weight:",
        "That is 7 lb.",
        "A turn is 6 lb.",
    ]
    assert not [text for text in plain(why_screen(1, PACKAGE, {}, "trade")) if text.startswith("On this car")]


def test_each_move_of_a_package_tells_its_own_facts_and_one_without_any_is_left_out(demo):
    bar, caster, stagger = facts_of(PACKAGE, read_model(demo), "trade")
    assert (bar.title, stagger.title) == ("right end of the track bar", "rear stagger")
    assert facts_blocks([caster], "On this car") == []
    assert bar.facts[0] == ("The rear roll center, the bar's height on the centerline, is 10.22 in, then 10.00 in.")
    assert stagger.facts[1].startswith("Set at 1.88 in cold, it is ")


def test_facts_of_a_single_move_need_no_name():
    assert facts_blocks([MoveFacts("", ("It is so.",))], "Number 2 on this car") == [
        Line("Number 2 on this car:"),
        Line("It is so.", indent=2),
    ]
    assert facts_blocks((), "Number 2 on this car") == []


def test_advise_says_facts_only_when_asked(capsys):
    assert "on this car: The" not in words(capsys, "advise", "demo")
    said = words(capsys, "advise", "demo", "--facts")
    assert re.search(r"Number 2 on this car: That is \d+ lb more on LR and RF each", said)


def test_the_short_account_keeps_the_first_fact_and_the_turns_of_a_bolt():
    turns = "The LR jack bolt alone takes about 1.2 turns in for it."
    told = [MoveFacts("", ("That is 7 lb more.", turns, "The drive adds 20 lb."), needed=2)]
    shown = plain(why_screen(1, BAR, {}, "trade", told, whole=False))
    at = shown.index("On this car:")
    assert shown[at + 1 : at + 3] == ["That is 7 lb more.", turns]
    assert "The drive adds 20 lb." not in shown


def test_the_short_account_keeps_the_note_and_what_the_trade_says_against_it():
    against = replace(
        BAR,
        notes=(Note("not listed"),),
        trade={"exit": "looser"},
        verdict="differs",
        verdicts={"exit": "differs"},
    )
    shown = plain(why_screen(1, against, {}, "trade", whole=False))
    assert "Not in the trade's list for this." in shown
    assert any("What the trade says of it: looser coming off (differs)." in text for text in shown)
