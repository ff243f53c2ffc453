"""One picture of one car: what an offer says it takes away is what trying the same move shows, whatever was said."""

from dataclasses import replace
from functools import cache

import pytest

from assistant.advice.offers import advise
from assistant.belief.cures import judge, want
from assistant.belief.driven import moved_from
from assistant.belief.picture import read_after, read_picture
from assistant.car.files import read_case
from assistant.car.moves import with_steps
from assistant.diagnosis.session import start
from assistant.pages.advice import offers_of
from assistant.pages.balance import stands
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case

SAID = (
    ("demo", "loose off late in the run"),
    ("demo", "loose off late, fine the first laps, 4"),
    ("demo", "tight off all run long, 1"),
    ("demo", "loose all through the corner late in the run, 3"),
    ("demo-tight", "tight in, loose off"),
    ("demo-tight", "loose off in turns 3-4"),
    ("demo-snap", "tight in the middle, then snaps loose off"),
    ("demo-snap", "loose off on fresh tires, 2"),
)
"""Each stands for a kind of complaint: one place, one that is fine, hardly worth it, all over, two balances, one end of
the track, a place that follows another, fresh tires."""


@cache
def told(name, words):
    """The case, the belief of what was said, and the advice: a long list, so that levers are on it."""
    case = replace(read_case(name), complaint="", answers={})
    base = load_packs()
    knowledge = replace(base, ranking=base.ranking.model_copy(update={"most_remedies": 16}))
    session = start(case, knowledge, words)
    belief = believe_case(case, session.complaint)
    return case, session, belief, advise(case, knowledge, session, belief)


@pytest.mark.parametrize(("name", "words"), SAID)
def test_what_an_offer_removes_is_what_trying_it_shows(name, words):
    case, session, _, advice = told(name, words)
    assert not advice.picture.shut
    offers = [
        one for one in offers_of(advice) if one.steps_of_levers and one.removes is not None and one.effect is not None
    ]
    offers = [one for one in offers if getattr(one, "basis", "computed") == "computed"]
    assert offers or {cell.balance for cell in session.complaint.cells} >= {"loose", "tight"} or words.endswith(", 1")
    again = believe_case(case, session.complaint) if not advice.treated else advice.belief
    wanted = want(again, advice.complaint)
    for offer in offers:
        changes = moved_from(case.setup, with_steps(case, offer.steps_of_levers))
        _, change = read_after(again, changes)
        assert change.value.array() == pytest.approx(offer.effect.array(), abs=0.005)
        if not advice.treated:
            verdict = judge(wanted, wanted.read(again.move(changes)))
            assert offer.removes == pytest.approx(verdict.removes, abs=0.005)
            assert offer.spoils == pytest.approx(verdict.spoils, abs=0.005)


@pytest.mark.parametrize(("name", "words"), SAID)
def test_every_offer_makes_the_worst_of_what_was_said_better(name, words):
    _, _, _, advice = told(name, words)
    if advice.treated:
        return
    wanted = want(advice.belief, advice.complaint)
    means = [
        abs(advice.belief.mean(row)) if wrong else 0.0 for row, wrong in zip(wanted.before, wanted.wrong, strict=True)
    ]
    worst = max(range(len(means)), key=means.__getitem__)
    several = len({(*place[:2], sign) for place, sign in zip(wanted.places, wanted.signs, strict=True) if sign}) > 1
    for offer in offers_of(advice):
        if offer.effect is None or several or offer.removes is None:
            continue
        _, phase, stage = wanted.places[worst]
        assert offer.effect[phase][stage] * wanted.signs[worst] < 0.0


@pytest.mark.parametrize(("name", "words"), SAID)
def test_no_cell_that_is_shown_contradicts_a_word(name, words):
    _, _, belief, _ = told(name, words)
    picture = read_picture(belief)
    for (phase, stage), way in picture.said.items():
        if way != "fine":
            assert (stands(picture, phase, stage).value > 0.0) == (way == "tight")


@pytest.mark.parametrize(("name", "words"), [("demo-tight", "loose off in turns 3-4")])
def test_a_complaint_of_one_end_is_judged_at_that_end(name, words):
    case, session, belief, advice = told(name, words)
    assert {cell.end for cell in session.complaint.cells} == {"turns 3-4"}
    levers = [one for one in advice.remedies if one.kind == "lever" and one.basis == "computed"]
    assert levers
    wanted = want(belief, session.complaint)
    assert len(wanted.places) == 18
    assert all(one.cures is not None for one in levers)
    assert {one.direction for one in levers} == {"tighter"}
    assert case.track.ends[1].id == "turns 3-4"


# How far the brake bias goes to the rear: short of where the rear locks first, which spins a car.


PACK = load_packs()
LOCK_TOGETHER = 0.684
"""Front share at which both ends of the demo lock together, as `halfturn forecast demo brakes` has it."""


def bias(step):
    case = replace(read_case("demo"), answers={}, complaint="")
    limit = case.rulebook.limits["brake_bias"]
    limits = {**case.rulebook.limits, "brake_bias": replace(limit, step=step)}
    case = replace(case, rulebook=replace(case.rulebook, limits=limits))
    session = start(case, PACK, "left front locks going in").answer("safety", "none")
    offers = advise(case, PACK, session, believe_case(case, session.complaint)).offers
    return next(one for one in offers if one.id == "brake_bias")


def test_the_bias_stops_short_of_where_the_rear_locks_first():
    offer = bias(0.005)
    assert offer.change < 0.0
    assert offer.finish > LOCK_TOGETHER
    assert not set(PACK.cautions_for(["rear_brakes_first"])) & set(offer.cautions)


def test_where_no_step_lies_short_of_it_the_rear_is_warned_of():
    offer = bias(0.01)
    assert offer.finish < LOCK_TOGETHER
    assert set(PACK.cautions_for(["rear_brakes_first"])) <= set(offer.cautions)
