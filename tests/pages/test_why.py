"""Why, and what would turn two remedies round: the flip is checked by making it and by falling one thousandth short."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.advice.ranking import Flip, find_flip
from assistant.advice.results import COMPUTES_EVEN, Cost, Factor, Note, PackageMove, Treats, Worth
from assistant.belief.believe import Shown
from assistant.belief.outcome import RunAfter
from assistant.ground.understood import CauseFound, Sign
from assistant.pages.advice_words import say_note
from assistant.pages.amounts import say_tires
from assistant.pages.blocks import Line
from assistant.pages.terminal import Look, render
from assistant.pages.why import causes_screen, flip_words, why_not_screen, why_screen
from assistant.rules.knowledge import Citation
from tests.advice.round_numbers import IN, grid, remedy, together

BAR = remedy(
    "track_bar_right",
    ("relief", 0.5),
    ("harm", 0.1),
    ("confidence", 0.9),
    ("trade", 1.0),
    ("preference", 1.2),
    rank=1,
    title="right end of the track bar",
    change=-0.5 * IN,
    start=10 * IN,
    finish=9.5 * IN,
    direction="tighter",
    effect=grid(0.1, 0.2, 0.3),
    spread=grid((0.0, 0.2), (0.1, 0.3), (-0.1, 0.7)),
    reason="Because it drops the roll center.",
    physics="Half of the height reaches the roll center.",
    trade={"exit": "tighter"},
    verdict="agrees",
    verdicts={"exit": "agrees"},
    costs=(Cost("balance", 0.1, least=0.1, phases=("entry",), stages=("fresh", "settled", "worn")),),
    sources=(Citation("A writer, A book, 1999"),),
)
SPRING = remedy(
    "spring_rr",
    ("relief", 0.4),
    ("harm", 0.05),
    ("confidence", 0.8),
    ("trade", 0.94),
    ("preference", 1.0),
    rank=2,
    title="RR spring",
)
LOOK = remedy("axle-square", ("relief", 0.15), ("harm", 0.0), ("trade", 1.0), kind="inspect", rank=3)
LOOK = replace(LOOK, title="Look at the axle", basis="by the book")
STAGGER = SimpleNamespace(
    lever="stagger", title="rear stagger", plus_verb="add", minus_verb="cut", quantity="short_length"
)


def rows(blocks):
    return render(blocks, Look())


def said(blocks):
    return [block.text for block in blocks if isinstance(block, Line)]


def test_why_says_what_why_how_much_how_sure_and_from_where():
    lines = said(why_screen(1, BAR, {}, "trade"))
    assert lines[0] == "Right end of the track bar: tighter."
    assert lines[1] == "Because it drops the roll center."
    assert "Half of the height reaches the roll center." in lines
    assert "coming off     0.30 tighter  0.30 tighter  0.30 tighter" in rows(why_screen(1, BAR, {}, "trade"))
    assert "What the trade says of it: tighter coming off (agrees)." in lines
    assert "Costs: tighter by 0.1 % getting in, all run long." in lines
    assert "confidence 0.90: on 9 of 10 plausible cars like this one it goes this way" in lines
    assert lines[-1] == "Sources: A writer, A book, 1999."


def test_why_in_metric_units():
    levers = {"stagger": STAGGER}
    moved = replace(SPRING, id="stagger", change=0.5 * IN, start=IN, finish=1.5 * IN)
    assert said(why_screen(1, moved, levers, "trade"))[0] == "Add the rear stagger 1/2 in, from 1 to 1 1/2."
    assert said(why_screen(1, moved, levers, "si"))[0] == "Add the rear stagger 12.7 mm, from 25.4 to 38.1."


def test_why_says_when_the_computation_differs_from_the_trade():
    for word in ("differs", "nothing computed"):
        lines = said(why_screen(1, replace(BAR, verdicts={"exit": word}), {}, "trade"))
        assert f"What the trade says of it: tighter coming off ({word})." in lines
    lines = said(why_screen(1, replace(BAR, trade={"exit": "depends"}, verdicts={}), {}, "trade"))
    assert "What the trade says of it: it depends coming off." in lines


ONE = Worth((Treats("a dead shock", 0.3, 0.8),), 0.24, (Treats("a dead shock", 0.3, 0.8),), 0.03)
OTHER = Worth(
    (Treats("balance", 0.5, 0.7),), 0.37, (Treats("balance", 0.5, 0.7), Treats("a dead shock", 0.3, 0.07)), 0.1
)


def test_why_not_says_what_each_is_for_and_what_would_turn_them_round():
    first, second = replace(BAR, worth=OTHER, rank=1), replace(SPRING, worth=ONE, rank=2)
    lines = said(why_not_screen([(2, second), (1, first)], {}, "trade"))
    assert lines[:2] == ["Right end of the track bar: tighter.", "Meant for: balance (about 5 in 10)."]
    assert "Balance (about 5 in 10): cures about two thirds of the complaint." in lines
    assert "Its minutes and what it spoils count as about a tenth of the complaint." in lines
    assert lines[-1].startswith("Number 2 would gain more than number 1 if the chance of '")


@pytest.mark.parametrize(
    ("to", "says"),
    [
        (0.33, "about 3 in 10 instead of about 1 in 10"),
        (0.13, "a little more than about 1 in 10"),
        (0.08, "a little less than about 1 in 10"),
    ],
)
def test_a_chance_that_must_hardly_move_is_not_said_twice(to, says):
    assert flip_words(2, 1, Flip("balance", 0.11, to)).endswith(f"were {says}.")


def test_an_order_made_by_a_rule_is_said_to_be_one():
    lines = said(
        why_not_screen([(1, replace(BAR, worth=ONE, rank=1)), (2, replace(SPRING, worth=OTHER, rank=2))], {}, "trade")
    )
    assert lines[-1].startswith("Number 2 gains a little more by itself, number 1 with what would be tried after it")


def test_a_remedy_is_not_compared_with_itself():
    assert said(why_not_screen([(2, SPRING), (2, SPRING)], {}, "trade")) == ["These are one and the same."]


def test_a_package_is_said_to_be_more_work():
    package = together((PackageMove("stagger", "stagger", 1, 0.0, 1.0, 0.5),), removes=0.9, effect=grid(0.1, 0.2, 0.3))
    assert said(why_not_screen([(1, BAR), (2, package)], {}, "trade"))[-1].startswith("A package is more work")


share = st.floats(0.05, 0.95)


@given(share, share, share, share, st.floats(0.0, 0.2))
def test_the_flip_really_turns_them_round(chance, cured, rest, other, cost):
    """Worked out anew: at the chance that is named, the others shrunk alike, both gain the same."""
    first = Worth((), 0.0, (Treats("a", chance, cured), Treats("b", 1 - chance, rest)), cost)
    second = Worth((), 0.0, (Treats("a", chance, rest), Treats("b", 1 - chance, other)), 0.0)
    flip = find_flip(first, second)
    if flip is None:
        return

    def gain(worth):
        lines = {line.title: line.cures for line in worth.lines}
        beside = next(title for title in "ab" if title != flip.title)
        return flip.to * lines[flip.title] + (1 - flip.to) * lines[beside] - worth.cost

    assert gain(first) == pytest.approx(gain(second), abs=1e-6)


def test_two_offers_are_told_apart_by_the_numbers_they_are_shown_under():
    """An offer that is put before the list has no rank of its own."""
    pair = [(3, replace(SPRING, rank=0)), (1, replace(BAR, rank=7))]
    last = said(why_not_screen(pair, {}, "trade"))[-1]
    assert "umber 3" in last
    assert "umber 1" in last
    assert "umber 0" not in last


@pytest.mark.parametrize("whole", [True, False])
def test_why_tells_the_price_in_tires_as_the_list_does(whole):
    run = RunAfter({"RR": (90.0, -4.0)}, {}, {}, first_tire=Shown(-4.0, -6.0, -3.0), last_lap=Shown(0.02, 0.01, 0.03))
    dear = replace(BAR, costs=(Cost("tire life", 4.0, "RR", after=90.0),), run=run)
    told = " ".join(said(why_screen(1, dear, {}, "trade", whole=whole)))
    assert told.count(say_tires(run)) == 1
    assert "lasts" not in told


@pytest.mark.parametrize(
    ("causes", "says"),
    [
        (
            (Treats("the tire builds", 0.3, 0.8), Treats("mere balance", 0.2, 0.3, is_balance=True)),
            "Right only for: the tire builds; for the",
        ),
        ((Treats("mere balance", 0.2, 0.3, is_balance=True),), "For the balance alone it costs"),
    ],
)
def test_what_a_change_is_right_for_is_named_and_mere_balance_is_not_among_it(causes, says):
    assert say_note(Note(COMPUTES_EVEN), Worth(causes)).startswith(says)


def test_a_look_is_said_to_cure_nothing_and_is_compared_by_what_it_tells():
    look = remedy("pry", kind="inspect", worth=replace(ONE, looks=True))
    told = " ".join(said(why_screen(2, look, {}, "trade")))
    assert "cures" not in told
    assert "It changes nothing; what it finds says what to do next." in told
    last = said(why_not_screen([(1, BAR), (2, look)], {}, "trade"))[-1]
    assert last.startswith("Number 2 is a look:")
    assert said(why_not_screen([(1, look), (2, BAR)], {}, "trade"))[-1].startswith("Number 1 is a look: it may spare")
    mended = replace(BAR, kind="repair")
    spared = said(why_not_screen([(1, look), (2, mended)], {}, "trade"))[-1]
    assert spared == "Number 1 is a look: it changes nothing, and tells more for its minutes than number 2."
    both = said(why_not_screen([(1, look), (2, replace(look, id="lamp"))], {}, "trade"))[-1]
    assert both.startswith("Numbers 1 and 2 are looks:")


def test_what_gains_nothing_is_said_to_and_leaving_the_car_alone_takes_nothing_away():
    good = replace(BAR, worth=Worth((), 0.3, (Treats("mere balance", 0.5, 0.6, is_balance=True),)))
    dear = replace(BAR, id="other", worth=Worth((), 0.02, (Treats("mere balance", 0.02, 0.3, is_balance=True),), 0.008))
    told = " ".join(said(why_not_screen([(1, good), (2, dear)], {}, "trade")))
    assert "number 2 nothing, every cause weighed" in told
    alone = replace(BAR, id="wait", kind="leave", when="")
    assert said(why_not_screen([(1, BAR), (2, alone)], {}, "trade"))[-1] == (
        "Number 2 leaves the car as it is: it comes behind what may still be done."
    )


def test_no_chance_is_asked_of_what_gains_more_already():
    """The second is the cause's own repair: a smaller chance would take from it, not add to it."""
    first = Worth((), 0.0, (Treats("crack", 0.3, 0.1), Treats("other", 0.7, 0.1)), 0.0)
    own = Worth((), 0.0, (Treats("crack", 0.3, 0.9),), 0.1)
    assert own.gain > first.gain
    assert find_flip(first, own) is None
    flip = find_flip(own, first)
    assert flip is not None
    assert flip.to < flip.chance


def test_a_sum_behind_a_cause_ends_with_its_total_and_with_what_a_point_is():
    cause = CauseFound(
        "crack", "a crack", 0.3, "", (Sign("It creaks.", 1.46),), (Sign("It is new.", -0.4),), prior=-1.56
    )
    others = tuple(replace(cause, id=name, title=name) for name in "abc")
    lines = said(causes_screen((*others, cause), only="crack"))
    assert "A crack: about 3 in 10." in lines
    assert "a: about 3 in 10." not in " ".join(lines).lower()
    assert lines[lines.index("Against, -0.4 points: It is new.") + 1] == "Together: -0.5 points."
    told = " ".join(lines)
    assert "One point more makes a cause about 2.7 times as likely." in told
    assert "the 4 causes of this complaint" in told


def test_what_puts_an_offer_first_whatever_the_cause_is_said():
    quick, slow = (replace(BAR, when=when) for when in ("pit stop", "between runs"))
    assert said(why_not_screen([(1, quick), (2, replace(slow, id="other"))], {}, "trade"))[-1].endswith(
        "about as much away, every cause weighed. For number 1 speaks: it is sooner made."
    )


def test_what_one_has_before_another_is_named_and_what_speaks_against_it():
    def weighed(relief, trade, **more):
        factors = (Factor("relief", relief), Factor("trade", trade), Factor("harm", 0.0))
        return replace(BAR, when="pit stop", factors=factors, **more)

    pair = [(1, weighed(0.25, 1.0)), (2, weighed(0.35, 0.8, id="other"))]
    last = said(why_not_screen(pair, {}, "trade"))[-1]
    assert "For number 1 speaks: the trade reaches for it sooner; for number 2: it takes away more where" in last
    assert "for number 2:" not in said(why_not_screen([(1, weighed(0.35, 1.0)), pair[1]], {}, "trade"))[-1]
