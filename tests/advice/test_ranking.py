"""Ranking: the product of the factors decides, and the rules of a sane list are said aloud."""

from dataclasses import replace

import pytest

from assistant.advice.prices import RunPrice, ShortRun
from assistant.advice.ranking import (
    factor_value,
    put_in_order,
    score_of,
    weigh_confidence,
    weigh_practicality,
    weigh_relief,
    weigh_run,
    weigh_trade,
    with_score,
)
from assistant.advice.results import Factor, Listing, Note, slowest
from assistant.pages.advice_words import say_factor, say_notes
from tests.advice.round_numbers import ranking, remedy


def ordered(*remedies, first=None, **changes):
    return put_in_order(remedies, ranking(**changes), first)


def ids(remedies):
    return [one.id for one in remedies]


def test_the_score_is_the_share_removed_less_the_harm_times_the_other_factors():
    factors = [
        *weigh_relief(0.5, 0.1),
        *weigh_run(RunPrice(0.05, 0.02)),
        Factor("confidence", 0.8),
        Factor("practicality", 0.5),
        Factor("trade", 0.9),
        Factor("preference", 1.1),
    ]
    assert score_of(factors) == pytest.approx(0.33 * 0.8 * 0.5 * 0.9 * 1.1)
    shown = with_score(factors)
    assert shown[-1].name == "score"
    assert say_factor(shown[-1], shown) == "(0.50 - 0.10 - 0.05 - 0.02) x 0.80 x 0.50 x 0.90 x 1.10 = 0.131"


def test_tire_life_is_no_factor_until_it_is_known():
    assert weigh_run(None) == ()


@pytest.mark.parametrize(
    ("factor", "value", "text"),
    [
        (weigh_relief(0.344, 0.1)[0], 0.344, "cures about a third of the complaint"),
        (weigh_relief(0.3, 0.0)[1], 0.0, "spoils nothing"),
        (
            weigh_relief(0.3, 0.1)[1],
            0.1,
            "spoils, elsewhere or past the mark, as much as about a tenth of the complaint",
        ),
        (weigh_run(RunPrice(0.04, 0.0))[0], 0.04, "shorter tire life, priced at 4 % of it"),
        (weigh_run(RunPrice(0.0, 0.0))[0], 0.0, "tires last as long"),
        (
            weigh_run(RunPrice(0.2, 0.0, ShortRun("RF", 4.0)))[0],
            0.2,
            "the run does not reach its end, priced at 20 % of it",
        ),
        (weigh_run(RunPrice(0.0, 0.05))[1], 0.05, "slower laps, priced at 5 % of it"),
        (weigh_run(RunPrice(0.0, 0.0))[1], 0.0, "costs no lap time"),
        (weigh_confidence(0.8, "computed", ranking()), 0.8, "on 8 of 10 plausible cars like this one it goes this way"),
        (
            weigh_confidence(0.5, "by the book", ranking()),
            0.5,
            "by the book, not computed for this car: counted as 5 in 10",
        ),
        (weigh_practicality("between runs", "between runs", ranking()), 0.9, "can be done between runs"),
        (weigh_practicality("pit stop", "shop", ranking()), 1.0, "can be done in a pit stop"),
        (
            weigh_practicality("shop", "pit stop", ranking()),
            0.5 * 0.3,
            "needs the shop, and there is only time for a change in a pit stop",
        ),
        (weigh_trade(Listing(0, "loose off"), ranking()), 1.0, "number 1 in the trade's list for 'loose off'"),
        (weigh_trade(Listing(4, "loose off"), ranking()), 0.76, "number 5 in the trade's list for 'loose off'"),
        (
            weigh_trade(Listing(0, "tight in", confidence="fair"), ranking()),
            0.85,
            "number 1 in the trade's list for 'tight in', fairly sure of it",
        ),
        (
            weigh_trade(Listing(0, "tight in", confidence="guess"), ranking()),
            0.6,
            "number 1 in the trade's list for 'tight in', as a guess",
        ),
        (weigh_trade(Listing(None, ""), ranking()), 0.6, "not in the trade's list for this"),
        (
            weigh_trade(Listing(2, "tight in", against=True), ranking()),
            0.88 * 0.7,
            "number 3 in the trade's list for 'tight in', but moved the other way there",
        ),
        (Factor("preference", 1.1), 1.1, "the trade likes to reach for it"),
        (Factor("preference", 0.8), 0.8, "the trade does not like to reach for it"),
        (Factor("preference", 1.0), 1.0, "no special liking"),
    ],
)
def test_every_factor_has_its_value_and_its_sentence(factor, value, text):
    assert factor.value == pytest.approx(value)
    assert say_factor(factor, [factor]) == text


def test_the_higher_score_comes_first_and_ranks_start_at_one():
    found = ordered(remedy("stagger", ("relief", 0.2)), remedy("spring_rr", ("relief", 0.4)))
    assert [(one.rank, one.id) for one in found] == [(1, "spring_rr"), (2, "stagger")]


def test_equal_scores_are_settled_by_the_share_removed_and_then_by_name():
    found = ordered(
        remedy("stagger", ("relief", 0.2)),
        remedy("camber_rf", ("relief", 0.2)),
        remedy("toe", ("relief", 0.4), ("confidence", 0.5), removes=0.4),
    )
    assert ids(found) == ["toe", "camber_rf", "stagger"]


def test_only_the_best_of_a_family_is_shown_and_the_others_are_named():
    found = ordered(
        remedy("track_bar_right", ("relief", 0.3)),
        remedy("track_bar", ("relief", 0.5)),
        remedy("track_bar_left", ("relief", 0.2)),
    )
    assert ids(found) == ["track_bar"]
    assert say_notes(found[0]) == "Close relatives, ranked lower: track bar right, track bar left."


def book(name, relief, **values):
    return remedy(name, ("relief", relief), basis="by the book", removes=relief, **values)


def computed(name, relief, *factors):
    return remedy(name, ("relief", relief), *factors, removes=relief)


def test_a_by_the_book_lever_never_stands_above_a_computed_one_that_removes_the_same():
    found = ordered(book("toe", 0.3), computed("stagger", 0.3, ("practicality", 0.2)), computed("spring_rr", 0.5))
    assert ids(found) == ["spring_rr", "stagger", "toe"]
    assert found[2].notes == (Note("below computed"),)


def test_a_by_the_book_lever_may_stand_above_a_computed_one_that_removes_less():
    assert ids(ordered(book("toe", 0.5), computed("stagger", 0.3))) == ["toe", "stagger"]


def test_several_by_the_book_levers_keep_their_order_below_the_computed_one():
    found = ordered(book("toe", 0.3), book("caster_split", 0.29), computed("stagger", 0.3, ("trade", 0.5)))
    assert found[0].id == "stagger"
    assert {"toe", "caster_split"} == set(ids(found)[1:])


def test_the_first_three_are_not_all_of_one_part_of_the_car():
    found = ordered(
        computed("stagger", 0.6),
        computed("track_bar", 0.5),
        computed("rear_axle_lead", 0.4),
        computed("link_angle_lr", 0.3),
        computed("spring_rr", 0.2),
    )
    assert ids(found) == ["stagger", "track_bar", "spring_rr", "rear_axle_lead", "link_angle_lr"]
    assert found[2].notes == (Note("lifted"),)


def test_three_of_one_part_stay_when_there_is_nothing_else():
    found = ordered(*(computed(name, 0.3) for name in ("stagger", "track_bar", "rear_axle_lead", "link_angle_lr")))
    assert len(found) == 4
    assert not any(one.notes for one in found)


def test_no_more_than_one_driving_habit_stands_among_the_first_three():
    habits = (remedy(name, ("relief", 0.6), kind="driving") for name in ("squeeze-later", "brief-lift", "slow-earlier"))
    found = ordered(*habits, computed("stagger", 0.3), computed("spring_rr", 0.2))
    assert [one.kind for one in found] == ["driving", "lever", "lever", "driving", "driving"]


BOOKED = (("toe", 0.9), ("brake_bias", 0.8), ("rear_spoiler", 0.7))


def test_no_more_stand_by_the_book_among_the_first_than_the_pack_allows():
    offers = [*(book(*one) for one in BOOKED), computed("stagger", 0.5), computed("spring_rr", 0.4)]
    shown = ordered(*offers, first_places=4, by_the_book_among_first=2)
    assert ids(shown) == ["toe", "brake_bias", "stagger", "spring_rr", "rear_spoiler"]
    assert [one.id for one in shown if Note("moved down") in one.notes] == ["rear_spoiler"]
    assert shown[-1].notes.count(Note("moved down")) == 1


def test_by_the_book_offers_keep_their_places_where_no_computed_one_helps():
    offers = [*(book(*one) for one in BOOKED), computed("stagger", 0.0)]
    shown = ordered(*offers, first_places=4, by_the_book_among_first=2)
    assert ids(shown) == ["toe", "brake_bias", "rear_spoiler", "stagger"]
    assert not any(Note("moved down") in one.notes for one in shown)


def test_what_is_only_to_be_looked_at_counts_as_neither():
    look = replace(book("axle-square", 0.6), kind="inspect", removes=None)
    shown = ordered(book("toe", 0.9), look, computed("stagger", 0.5), first_places=3, by_the_book_among_first=1)
    assert ids(shown) == ["toe", "axle-square", "stagger"]


def test_a_habit_by_the_book_does_not_begin_the_list_where_something_computed_helps():
    habit = replace(book("open-entry", 0.9), kind="driving")
    shown = ordered(habit, computed("stagger", 0.3), computed("track_bar", 0.2))
    assert ids(shown) == ["stagger", "open-entry", "track_bar"]
    assert shown[1].notes == (Note("not first"),)
    assert ids(ordered(habit, computed("stagger", 0.0))) == ["open-entry", "stagger"]
    assert ids(ordered(habit, computed("stagger", 0.3), first=("open-entry", "driving first"))) == [
        "open-entry",
        "stagger",
    ]


def test_a_by_the_book_lever_is_never_lifted():
    found = ordered(
        computed("stagger", 0.6), computed("track_bar", 0.5), computed("rear_axle_lead", 0.4), book("toe", 0.3)
    )
    assert ids(found)[3] == "toe"
    assert not any(one.notes for one in found)


def test_what_must_stand_first_does_and_says_why():
    found = ordered(
        computed("spring_rr", 0.6),
        remedy("squeeze-later", ("relief", 0.1), kind="driving"),
        first=("squeeze-later", "driving first"),
    )
    assert ids(found) == ["squeeze-later", "spring_rr"]
    assert found[0].notes == (Note("driving first"),)


def test_a_first_that_is_not_among_the_remedies_changes_nothing():
    assert ids(ordered(computed("spring_rr", 0.6), first=("toe", "look first"))) == ["spring_rr"]


def test_the_slowest_two_times_counts():
    assert slowest(["pit stop", "shop"]) == "shop"
    assert slowest(["between runs", "pit stop"]) == "between runs"


def test_a_factor_is_read_by_name():
    assert factor_value(remedy("toe", ("relief", 0.5)), "relief") == 0.5
    assert factor_value(remedy("toe"), "trade") is None
