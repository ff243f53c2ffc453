"""Why, and what would turn two remedies round: the flip is checked by making it and by falling one thousandth short."""

from dataclasses import replace
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st

from assistant.advice.flips import find_flip
from assistant.advice.ranking import SHARES, TIMES, score_of
from assistant.advice.results import Cost, Factor, Note
from assistant.pages.blocks import Line
from assistant.pages.terminal import Look, render
from assistant.pages.why import _IS, compare_remedies, why_not_screen, why_screen
from tests.advice.round_numbers import IN, grid, remedy

BAR = remedy(
    "track_bar_right",
    ("relief", 0.5),
    ("harm", 0.1),
    ("confidence", 0.9),
    ("practicality", 0.9),
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
    sources=("A writer, A book, 1999",),
)
SPRING = remedy(
    "spring_rr",
    ("relief", 0.4),
    ("harm", 0.05),
    ("confidence", 0.8),
    ("practicality", 0.9),
    ("trade", 0.94),
    ("preference", 1.0),
    rank=2,
    title="RR spring",
)
LOOK = remedy(
    "axle-square", ("relief", 0.15), ("harm", 0.0), ("practicality", 0.9), ("trade", 1.0), kind="inspect", rank=3
)
LOOK = replace(LOOK, title="Look at the axle", basis="by the book")
STAGGER = SimpleNamespace(title="rear stagger", plus_verb="add", minus_verb="cut", quantity="short_length")


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


def test_why_not_names_both_scores_the_differences_and_the_smallest_change():
    lines = said(compare_remedies(BAR, SPRING))
    assert lines[0].startswith("Score of number 1 (right end of the track bar): 0.389; of number 2 (RR spring): 0.237.")
    assert lines[1] == "Number 1 is better liked by the trade (preference 1.20 against 1.00)."
    assert lines[-1].startswith("Number 2 (RR spring) would stand before number 1 (right end of the track bar) if it ")
    assert said(why_not_screen([(2, SPRING), (1, BAR)], {}, "trade")) == lines


def test_a_factor_only_one_of_the_two_has_is_compared_too():
    bare = replace(BAR, factors=tuple(one for one in BAR.factors if one.name not in {"preference", "harm"}))
    lines = said(compare_remedies(bare, replace(SPRING, factors=BAR.factors)))
    assert "Number 1 is less liked by the trade (preference 1.00 against 1.20)." in lines
    harm = next(one.value for one in BAR.factors if one.name == "harm")
    assert f"Number 1 spoils less elsewhere (harm 0.00 against {harm:.2f})." in lines


def test_every_factor_of_a_score_has_words_for_better_and_worse():
    names = {*SHARES, *TIMES}
    assert {name: len(_IS[name]) for name in names} == dict.fromkeys(names, 2)
    worse = replace(SPRING, factors=tuple(replace(one, value=one.value + 0.1) for one in BAR.factors))
    lines = said(compare_remedies(BAR, worse))
    assert any(line.startswith("Number 1 takes away less of the complaint (relief ") for line in lines)
    assert any(line.startswith("Number 1 spoils less elsewhere (harm ") for line in lines)


def test_a_remedy_is_not_compared_with_itself():
    assert said(compare_remedies(SPRING, SPRING)) == ["These are one and the same."]


def test_no_single_factor_may_be_enough():
    assert said(compare_remedies(BAR, LOOK))[-1].startswith("Number 3 (Look at the axle) would stand before")
    hopeless = replace(SPRING, factors=remedy("x", ("relief", 0.01), ("harm", 0.0), ("confidence", 0.2)).factors)
    assert said(compare_remedies(BAR, hopeless))[-1] == ("No single factor could put number 2 (RR spring) first.")


def test_an_order_made_by_a_rule_is_said_to_be_one():
    first = replace(LOOK, rank=1, notes=(Note("look first"),), title="Look")
    lines = said(compare_remedies(first, replace(BAR, rank=2)))
    assert lines[-1] == (
        "By score they would stand the other way round. Shown first: the trade looks here before it changes anything."
    )


share = st.floats(0.05, 1.0)


@given(share, share, share, st.floats(0.0, 0.04), share, share)
def test_the_flip_really_turns_them_round_and_a_thousandth_less_does_not(relief, sure, other, harm, trade, here):
    first = remedy("spring_rr", ("relief", relief), ("harm", 0.0), ("confidence", sure), ("trade", here), rank=1)
    second = remedy("stagger", ("relief", other), ("harm", harm), ("confidence", trade), ("trade", 0.9), rank=2)
    if score_of(second.factors) >= score_of(first.factors):
        return
    flip = find_flip(first, second)
    if flip is None:
        return
    side = -1 if flip.factor == "harm" else 1

    def score_with(value):
        return score_of([Factor(one.name, value, "") if one.name == flip.factor else one for one in second.factors])

    assert score_with(flip.to) > score_of(first.factors)
    assert score_with(flip.to - 0.0011 * side) <= score_of(first.factors)
