"""What was felt of a change as rows of evidence, what is left of the complaint, and what would surprise."""

from dataclasses import replace
from math import hypot

import pytest

from assistant.belief.felt import NO_SIZE, felt_of, left_of
from assistant.belief.known import EARLIER_OFF, size_of
from assistant.belief.picture import Told, gather
from assistant.car.moves import with_step
from assistant.ground.understood import Cell, Complaint

LATE = Cell("exit", "worn", "loose", 3.0, True)
FINE = Cell("exit", "fresh", "fine", 0.0, False)
FELT_WORDS = ((0.0, 0.1), (0.5, 0.1), (1.6, 0.4))
THROUGHOUT = tuple(Cell("middle", stage, "tight", 2.0, False) for stage in ("fresh", "settled", "worn"))


@pytest.fixture(scope="module")
def wedge(case):
    setup, _ = with_step(case.setup, case.rulebook, case.car, "cross_weight", 4)
    return setup


def test_so_much_of_the_complaint_is_so_large_a_move_toward_neutral(case, wedge):
    felt = felt_of([LATE, FINE], case.setup, wedge, 0.5, 0.1)
    assert set(felt.moved) == {("exit", "worn", None)}  # what was fine says nothing of the change
    moved, off = felt.moved["exit", "worn", None]
    assert moved == pytest.approx(0.5 * 0.8)  # loose is below zero; half of it went
    assert off >= 0.2


def test_worse_is_a_move_away_and_no_change_is_none(case, wedge):
    worse, same = (felt_of([LATE], case.setup, wedge, share, 0.1).moved for share in (-0.4, 0.0))
    assert worse["exit", "worn", None][0] < 0.0
    assert same["exit", "worn", None][0] == 0.0


def test_cells_that_one_word_fills_count_as_one(case, wedge):
    alone = felt_of(THROUGHOUT[:1], case.setup, wedge, 0.5, 0.1).moved["middle", "fresh", None]
    three = felt_of(THROUGHOUT, case.setup, wedge, 0.5, 0.1).moved["middle", "fresh", None]
    assert three[0] == alone[0]
    assert three[1] == pytest.approx(alone[1] * 3**0.5)


@pytest.mark.parametrize(("share", "balance"), [(0.0, "loose"), (0.5, "loose"), (1.0, "fine"), (1.8, "tight")])
def test_what_is_left_is_what_did_not_go(share, balance):
    left, fine = left_of([LATE, FINE], share)
    assert left.balance == balance
    assert fine == FINE
    if balance != "fine":
        assert size_of(left) == pytest.approx((1.0 - share) * size_of(LATE))


def gathered(case, wedge, said_after, felt):
    told = [Told(case.setup, Complaint("late", (LATE,))), Told(wedge, Complaint("after", said_after))]
    return gather(replace(case, setup=wedge), told, case.setup, [felt], wedge)


def test_a_word_is_a_move_in_the_measure_of_the_driver_and_what_is_left_says_its_side_alone(case, wedge):
    felt = felt_of([LATE], case.setup, wedge, 0.5, 0.1)
    known, now = gathered(case, wedge, left_of([LATE], 0.5), felt)
    (change,) = [row for row in known.rows if row.kind == "change"]
    assert [(term.setup, term.factor) for term in change.terms] == [(now, 1.0), ("", -1.0)]
    assert (change.value, change.sized) == (felt.moved["exit", "worn", None][0], True)
    said = {row.when: row for row in known.rows if row.id == "exit worn"}
    assert said[1].off == NO_SIZE  # its size is the change's: the same word is not evidence twice
    assert not [row for row in known.rows if row.when == 1 and row.kind in {"implied", "unsaid"}]
    assert known.words()["exit", "worn"].terms[0].setup == now


def test_a_move_is_as_doubtful_as_the_word_and_the_size_it_is_a_share_of(case, wedge):
    none, half, more = (felt_of([LATE], case.setup, wedge, *word).moved["exit", "worn", None][1] for word in FELT_WORDS)
    assert none == pytest.approx(hypot(0.2, 0.1 * 0.8))
    assert half == pytest.approx(hypot(0.2, 0.1 * 0.8, 0.5 * 0.3))
    assert more == pytest.approx(hypot(0.2, 0.4 * 0.8, 1.6 * 0.3))


def test_what_is_said_anew_of_the_changed_car_counts_in_full_and_what_was_said_before_it_counts_less(case, wedge):
    felt = felt_of([LATE], case.setup, wedge, 0.5, 0.1)
    known, _ = gathered(case, wedge, (replace(LATE, severity=4.0),), felt)
    said = {row.when: row for row in known.rows if row.id == "exit worn"}
    alone, _ = gather(case, [Told(case.setup, Complaint("late", (LATE,)))], case.setup, [], case.setup)
    (counted,) = [row for row in alone.rows if row.id == "exit worn"]
    assert said[1].off == counted.off
    assert said[0].off == pytest.approx(hypot(counted.off, EARLIER_OFF))
    assert any(row.kind == "implied" and row.when == 1 for row in known.rows)


def test_what_was_read_before_a_change_is_evidence_of_the_setup_it_was_read_on(case, wedge):
    read = replace(case, setup=wedge, measured=replace(case.measured, hot_pressure={"RF": 250e3}))
    known, now = gather(read, [], case.setup, [], case.setup)
    gauges = {row.terms[0].setup for row in known.rows if row.kind == "gauge"}
    assert gauges == {""}
    assert now != ""


def test_two_who_believe_at_once_do_not_draw_cars_from_under_each_other(case, monkeypatch):
    from concurrent.futures import ThreadPoolExecutor

    from assistant.belief import believe as believing
    from assistant.belief.garage import Garage
    from assistant.belief.known import Known, rows_of_complaint

    monkeypatch.setattr(believing, "ENOUGH", 60.0)
    garage = Garage(case, size=12, more=12)
    evidence = [Known(rows_of_complaint(Complaint(str(at), (replace(LATE, severity=at),)))) for at in (1.0, 3.0, 4.0)]
    with ThreadPoolExecutor(3) as pool:
        found = list(pool.map(lambda known: believing.believe(case, known, garage, most=60), evidence))
    assert all(len(one.fit.weights) == one.cars <= garage.count for one in found)
