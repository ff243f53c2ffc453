"""Ranking: every offer is valued under every cause, and the list is said to be what it is."""

from dataclasses import replace

import pytest

from assistant.advice.prices import RunPrice, ShortRun
from assistant.advice.ranking import (
    ANOTHER,
    Desk,
    harm_of,
    option_of,
    rank,
    share_of,
    weigh_confidence,
    weigh_relief,
    weigh_run,
    weigh_trade,
    with_no_telling,
)
from assistant.advice.results import SAME_TEST, Factor, Listing, PackageMove, Remedy, slowest
from assistant.diagnosis.calls import LEVER_CURES, MINUTES, Board, Call
from assistant.diagnosis.causes import Weighing
from assistant.diagnosis.plan import Option
from assistant.pages.advice_words import say_factor, say_notes, treats_words
from tests.advice.round_numbers import grid, ranking, remedy, together
from tests.advice.small_pack import cause, pack

LOOSE = [{"balance": "loose", "phase": "exit"}]
CAUSES = (
    cause("balance", LOOSE, plain=True),
    cause("bad-shock", LOOSE),
    cause("tight-first", LOOSE, instead="tight off"),
)
PLAIN, SHOCK, OTHER_WAY, NONE = range(4)
MINUTE = 0.002


def desk(chances=(0.5, 0.3, 0.1, 0.1), calls=(), meant=PLAIN, at_hand="shop", **changes):
    weighing = Weighing(CAUSES, ((), (), ()))
    board = Board(weighing, chances, PLAIN, frozenset({OTHER_WAY}), tuple(calls), MINUTE)
    return Desk(board, meant, pack(), ranking(**changes), at_hand)


def repair(cures=0.8, minutes=15.0):
    under = tuple(cures if at == SHOCK else 0.0 for at in range(4))
    entry = cause(
        "x",
        LOOSE,
        remedies=[
            {
                "repair": "shock",
                "title": "change the shock",
                "how": ["Off."],
                "because": "It is dead.",
                "confidence": "good",
                "backed_by": ["book"],
                "minutes": minutes,
            }
        ],
    ).remedies[0]
    call = Call(Option("repair", "shock", under, MINUTE * minutes, of=frozenset({SHOCK})), (("bad shock", entry),))
    return Remedy("repair", "shock", "change the shock", when="between runs"), call


def lever(name="cross_weight", relief=0.7, **values):
    return remedy(name, ("relief", relief), ("harm", 0.1), direction="tighter", steps=1, removes=relief, **values)


def test_what_goes_is_the_product_and_what_it_spoils_the_sum():
    factors = [
        *weigh_relief(0.5, 0.1),
        *weigh_run(RunPrice(0.05, 0.02)),
        Factor("confidence", 0.8),
        Factor("trade", 0.9),
    ]
    assert share_of(factors) == pytest.approx(0.5 * 0.8 * 0.9)
    assert harm_of(factors) == pytest.approx(0.17)


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
        (weigh_trade(Listing(None, ""), ranking()), 0.4, "not in the trade's list for this"),
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
    assert say_factor(factor) == text


def test_what_a_later_pack_says_stands_where_it_says():
    mend, call = repair()
    offers = [lever(), lever("spring_rr", 0.6), lever("stagger", 0.2), lever("toe", 0.1), mend]
    plain = [one.id for one in rank(offers, desk(calls=[call]))]
    added = replace(desk(calls=[call]), added={("lever", "toe"): "ours"})
    assert [one.id for one in rank(offers, added)] == [*plain[:2], "toe", *(one for one in plain[2:] if one != "toe")]
    assert {one.id: [note.names for note in one.notes] for one in rank(offers, added)}["toe"] == [("ours",)]
    own = replace(desk(calls=[call]), on_top=(("lever", "stagger"), ("lever", "toe")))
    assert [one.id for one in rank(offers, own)][:2] == ["stagger", "toe"]


def test_a_lever_cures_a_plain_balance_little_elsewhere_and_harms_where_the_car_wants_the_other_way():
    option = option_of(lever(), desk())
    assert option.cures == pytest.approx((0.6, 0.06, -0.3, 0.06))
    assert option.cost == pytest.approx(MINUTE * (MINUTES["between runs"] + 10))
    assert option.way == "tighter"


def test_a_lever_meant_for_the_other_way_harms_a_plain_balance():
    option = option_of(lever(), desk(meant=OTHER_WAY))
    assert option.cures == pytest.approx((-0.3, 0.06, 0.6, 0.06))
    assert option.of == {OTHER_WAY}


def test_a_lever_there_is_no_time_for_keeps_little():
    assert option_of(lever(), desk(at_hand="pit stop")).cures[PLAIN] == pytest.approx(0.6 * ranking().not_in_time)


def test_a_habit_only_drives_around_a_plain_balance():
    habit = remedy("squeeze-later", ("relief", 0.8), kind="driving", removes=0.8)
    assert option_of(habit, desk()).cures[PLAIN] == pytest.approx(0.16)


def test_a_repair_is_taken_at_the_word_of_its_cause():
    mend, call = repair(minutes=30)
    option = option_of(mend, desk(calls=[call]))
    assert option.cures == (0.0, 0.8, 0.0, 0.0)
    assert option.cost == pytest.approx(MINUTE * 40)
    assert option.of == {SHOCK}


def test_the_named_causes_own_repair_stands_before_the_plain_lever():
    mend, call = repair()
    found = rank([lever(), mend], desk(calls=[call]))
    assert [(one.rank, one.id) for one in found] == [(1, "shock"), (2, "cross_weight")]
    rare = desk((0.8, 0.05, 0.05, 0.1), calls=[call])
    assert [one.id for one in rank([mend, lever()], rare)] == ["cross_weight", "shock"]


def test_an_offer_says_what_it_is_for_and_how_likely_it_is_to_cure():
    mend, call = repair()
    first, second = rank([lever(), mend], desk(calls=[call]))
    assert treats_words(first.worth) == "meant for: bad shock (about 3 in 10)"
    assert first.worth.sure == pytest.approx(0.3 * 0.8)
    assert treats_words(second.worth) == "meant for: balance (about 5 in 10)"
    assert second.worth.sure == pytest.approx(0.5 * 0.6 + 0.3 * 0.06 + 0.1 * 0.06)


def test_how_sure_a_computed_lever_is_counts_the_cars_it_cures_and_not_the_share_it_takes():
    lever = remedy("spring_rr", ("relief", 0.6), cures=0.8)
    (by_share,), (by_cars,) = (rank([one], desk()) for one in (replace(lever, cures=None), lever))
    assert by_share.worth.sure == pytest.approx(0.5 * 0.6 + 0.3 * 0.06 + 0.1 * 0.06)
    assert by_cars.worth.sure == pytest.approx(0.5 * 0.8 + 0.3 * 0.08 + 0.1 * 0.08)
    assert by_cars.worth.lines == by_share.worth.lines  # its place hangs on what goes, as before


def test_only_the_best_of_a_family_is_shown_and_the_others_are_named():
    found = rank([lever("track_bar_right", 0.3), lever("track_bar", 0.5), lever("track_bar_left", 0.2)], desk())
    assert [one.id for one in found] == ["track_bar"]
    assert say_notes(found[0]) == "Close relatives, ranked lower: track bar right, track bar left."


def test_a_package_competes_with_the_others_and_pays_for_being_more_than_one_change():
    moves = tuple(PackageMove(name, name, 1, 0.0, 1.0, 0.5) for name in ("cross_weight", "spring_rr"))
    package = together(moves, removes=0.9, effect=grid(0.1, 0.2, 0.3))
    single = option_of(lever(), desk())
    both = option_of(package, desk())
    assert both.cost == pytest.approx(MINUTE * 40 + ANOTHER)
    assert both.cures[PLAIN] == pytest.approx(min(LEVER_CURES, 0.9 * ranking().not_in_trade_list))
    assert single.cures[PLAIN] > both.cures[PLAIN]


def test_what_the_trade_lists_for_a_complaint_without_balance_keeps_its_order():
    listed = {("inspect", "shocks"): 0, ("driving", "other-lane"): 1}
    offers = [Remedy("driving", "other-lane", "other lane"), Remedy("inspect", "shocks", "shocks")]
    found = rank(offers, replace(desk(), places=listed))
    assert [one.id for one in found] == ["shocks", "other-lane"]


def test_that_it_cannot_be_told_stands_first():
    found = with_no_telling(rank([lever()], desk()), "conflict", desk().knowledge)
    assert [(one.rank, one.kind) for one in found] == [(1, "cannot-tell"), (2, "lever")]
    assert with_no_telling(found[1:], "", desk().knowledge)[0].rank == 1


def test_the_test_that_would_tell_stands_in_a_list_once():
    sheet = replace(lever(), kind="inspect", id=SAME_TEST[1])
    ids = [one.id for one in with_no_telling((lever(), sheet), SAME_TEST[0], desk().knowledge)]
    assert ids == [SAME_TEST[0], lever().id]
    assert sheet.id in [one.id for one in with_no_telling((lever(), sheet), "conflict", desk().knowledge)]


def test_where_it_cannot_be_told_looks_come_before_levers():
    look = replace(lever(), kind="inspect", id="ask-two-teams")
    found = with_no_telling((lever(), look), "conflict", desk().knowledge)
    assert [(one.kind, one.rank) for one in found] == [("cannot-tell", 1), ("inspect", 2), ("lever", 3)]


def test_the_slowest_two_times_counts():
    assert slowest(["pit stop", "shop"]) == "shop"
    assert slowest(["between runs", "pit stop"]) == "between runs"


def test_a_package_stands_behind_the_first_single_lever_and_never_leads_one():
    moves = tuple(PackageMove(name, name, 1, 0.0, 1.0, 0.5) for name in ("cross_weight", "spring_rr"))
    package = together(moves, removes=0.9, effect=grid(0.1, 0.2, 0.3))
    first = rank([package, remedy("stagger", ("relief", 0.3))], desk())
    assert [one.kind for one in first] == ["lever", "package"]
    assert rank([package, remedy("stagger", ("relief", 0.05))], desk())[0].kind == "lever"


def test_who_leaves_the_car_alone_is_shown_no_lever_before_all_else():
    left = (0.0, 0.9, 0.0, 0.0)
    call = Call(Option("leave", "traffic", left, 0.0, of=frozenset({SHOCK})))
    fix, mend = repair(cures=0.2)
    found = rank([lever(), Remedy("leave", "traffic", "leave it"), fix], desk((0.2, 0.6, 0.1, 0.1), [call, mend]))
    assert [one.kind for one in found] == ["leave", "repair", "lever"]
