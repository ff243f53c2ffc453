"""The page of the five conflicts shows today's numbers, and what it says of them is what they say."""

import re

import pytest

from assistant.cli import DONE, main
from assistant.ground.names import CORNERS, PHASES, STAGES
from assistant.ground.quantities import GRAVITY
from tests.advice.coach_page import PAGE, SUMMED, TABLES, both_runs, write_page


@pytest.fixture(scope="module")
def page():
    return PAGE.read_text(encoding="utf-8")


NUMBER = re.compile(r"[+-]\d+\.(\d+)")
ROUNDING = {1: 0.2, 2: 0.05, 3: 0.005}
"""How far a number with so many decimals may be off: what the last pass of a run still moves, and rounding."""


def test_the_tables_are_fresh(page):
    again = write_page(page)
    stale = "run: python -m tests.advice.coach_page"
    assert NUMBER.sub("", page) == NUMBER.sub("", again), stale
    for old, new in zip(NUMBER.finditer(page), NUMBER.finditer(again), strict=True):
        assert float(old[0]) == pytest.approx(float(new[0]), abs=ROUNDING[len(new[1])]), stale


def test_every_table_is_on_the_page_once(page):
    assert re.findall(r"<!-- table: ([^>]+?) -->", page) == list(TABLES)


def test_the_sum_is_of_the_words_on_the_page_and_its_shares_are_said_alike(page):
    assert f"Type `halfturn talk demo`, `{SUMMED}`, `1`, `causes`:" in page
    (given,) = re.findall(r"points give it (\d+) shares", page)
    assert f"\n- {given} of " in page


def test_a_command_of_the_page_runs(page, capsys):
    commands = re.findall(r"`halfturn (try demo [^`.]+)`", page)
    assert commands
    for command in commands:
        assert main(command.split()) == DONE
    assert "Balance in percent of grip, before and after:" in capsys.readouterr().out


def test_the_page_says_that_the_computed_car_is_not_the_drivers_where_it_is_not(page):
    exits = both_runs("stagger+=1/4in")[0].forecast.balance["exit"]
    argues = exits["fresh"] < 0 < exits["worn"]  # the driver says loose late
    assert argues == ("coming off a little tighter late than fresh" in page)


@pytest.fixture(scope="module")
def drive():
    return both_runs


def less(pair, phase, stage):
    return pair[1].forecast.balance[phase][stage] - pair[0].forecast.balance[phase][stage]


def tread(pair, corner):
    return pair[1].forecast.wear_end[corner] - pair[0].forecast.wear_end[corner]


def test_less_right_rear_air_costs_its_tread_and_tightens_the_worn_car_off(drive):
    pair = drive("pressure_rr-=2psi")
    assert tread(pair, "RR") > 0.01
    assert min(less(pair, "exit", "worn"), less(pair, "exit", "settled")) > 0.1
    assert less(pair, "entry", "fresh") < -0.1


def test_more_right_rear_air_from_here_keeps_little_tread_for_much_balance(drive):
    pair, other = drive("pressure_rr+=2psi"), drive("pressure_rr-=2psi")
    assert 0 < -tread(pair, "RR") < 0.6 * tread(other, "RR")
    for stage in ("settled", "worn"):
        assert less(pair, "exit", stage) < -1.8 * less(other, "exit", stage) < 0
    assert abs(less(pair, "entry", "fresh")) < 0.1
    assert tread(pair, "RF") < 1.5 * tread(pair, "RR")


def test_cross_cures_late_looseness_and_costs_the_right_front(drive):
    pair = drive("cross_weight+=1%")
    assert less(pair, "exit", "worn") > 0.5
    assert tread(pair, "RF") > 0.005
    assert tread(pair, "RF") < -tread(pair, "RR") < 2.0 * tread(pair, "RF")
    assert min(less(pair, phase, "worn") for phase in ("entry", "middle")) > 0.2
    assert less(pair, "middle", "worn") == pytest.approx(less(pair, "exit", "worn"), rel=0.2)


def test_stagger_turns_the_car_and_costs_the_drive_off(drive):
    pair = drive("stagger+=1/4in")
    assert max(less(pair, phase, "settled") for phase in ("entry", "middle", "exit")) < -0.5
    shares = [one.forecast.useful_share["middle"]["settled"] for one in pair]
    assert shares[0] - 0.1 < shares[1] < shares[0] - 0.02
    assert tread(pair, "RF") < -1.5 * tread(pair, "RR") < 0


def test_less_front_brake_frees_the_entry_and_locks_the_rear_before_the_front(drive):
    pair = drive("brake_bias=65%")
    assert less(pair, "entry", "settled") < -0.3
    assert all(abs(less(pair, phase, "settled")) < 0.1 for phase in ("middle", "exit"))
    now, freed, firm = pair[0].brakes, pair[1].brakes, drive("brake_bias=73%")[1].brakes
    assert (now.lock_first, freed.lock_first, firm.lock_first) == ("front", "rear", "front")
    assert now.lock_front == pytest.approx(1.13 * GRAVITY, abs=0.05)
    assert max(freed.lock_rear, firm.lock_front) < now.lock_front


def test_too_tall_and_far_too_short_both_lose(drive):
    tall, short = drive("final_drive=4.86"), drive("gear=1.30 final_drive=5.14")
    for pair in (tall, short):
        assert pair[1].forecast.pace.average > pair[0].forecast.pace.average + 0.02
    assert short[1].forecast.limiter_s > 6.0
    assert tall[1].forecast.limiter_s == 0.0


def test_a_gear_moves_the_balance_only_where_the_limiter_slows_the_car(drive):
    tall, short = drive("final_drive=4.86"), drive("final_drive=6.00")
    assert all(abs(less(tall, phase, stage)) < 0.3 for phase in PHASES for stage in STAGES)
    assert short[1].forecast.limiter_s == pytest.approx(3.0, abs=0.3)
    assert min(less(short, "entry", stage) for stage in STAGES) > 1.0
    assert max(tread(short, corner) for corner in CORNERS) < -0.01
