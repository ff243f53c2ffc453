"""The table of effects behind the prompt: for what the driver said, computed anew only when that moves the car."""

from dataclasses import replace

import pytest

from assistant.belief.standing import read_standing
from assistant.diagnosis.session import start
from assistant.shell import bench as module
from assistant.shell.bench import Bench, Memory
from tests.shell.conftest import done


@pytest.fixture
def asked():
    return []


@pytest.fixture
def bench(demo, knowledge, asked, monkeypatch):
    def compute(case, knowledge, complaint, wanted):
        asked.append((case, complaint, wanted))
        return len(asked)

    monkeypatch.setattr(module, "_compute", compute)
    bench = Bench(demo.file)
    bench._loaded = done((demo, knowledge))
    return bench


def words(text, demo, knowledge):
    return start(demo, knowledge, text).complaint


def test_before_anything_is_said_the_table_is_for_the_complaint_of_the_case(bench, demo, knowledge, asked):
    assert bench.effects() == 1
    assert asked[0][1] == words(demo.complaint, demo, knowledge)


def test_words_that_put_the_car_elsewhere_make_a_new_table_and_end_the_old_one(bench, demo, knowledge, asked):
    bench.effects()
    tight = words("tight in the middle", demo, knowledge)
    assert read_standing(tight) != read_standing(asked[0][1])
    bench.hear(tight)
    assert bench.effects() == 2
    assert asked[1][1] == tight
    assert not asked[0][2](1, 40)
    assert asked[1][2](1, 40)


def test_words_that_leave_the_car_where_it_is_do_not(bench, demo, knowledge, asked):
    bench.effects()
    said = words(demo.complaint, demo, knowledge)
    bench.hear(replace(said, text="the same in other words"))
    assert bench.effects() == 1
    assert len(asked) == 1


def test_another_setup_makes_a_new_table(bench, demo, asked):
    bench.effects()
    bench.put(replace(demo.setup, values={**demo.setup.values}))
    assert bench.effects() == 2
    assert asked[1][0].setup is not demo.setup


def test_the_setup_a_talk_began_with_is_put_back_without_levers_the_car_has_lost(bench, demo):
    bench.begin_with({"stagger": 0.05, "shock_we_sold": 3.0})
    assert bench.case.setup.values == {**demo.setup.values, "stagger": 0.05}


def test_words_that_only_say_more_of_the_same_place_are_told_to_the_table_at_hand(bench, demo, knowledge, asked):
    class Table:
        def told(self, standing):
            return standing

    bench.effects()
    bench._effects = done(Table())
    bench.hear(start(demo, knowledge, demo.complaint).answer("first-laps", "fine").complaint)
    assert bench.effects().of("exit") == {"fresh": 0, "worn": -1}
    assert len(asked) == 1


def test_what_was_said_before_a_change_stays_until_that_phase_is_spoken_of_again(bench, demo, knowledge):
    everywhere = words("loose all through the corner late in the run", demo, knowledge)
    worse = words("even looser off late", demo, knowledge)
    told = bench.standing_of(everywhere)
    assert bench.standing_of(worse).targets[:2] == (0.0, 0.0)
    bench.keep_said(everywhere)
    assert bench.standing_of(None) == told
    kept = bench.standing_of(worse)
    assert (kept.stages, kept.targets[:2]) == (told.stages, told.targets[:2])
    assert bench.standing_of(words("fine getting in, loose off late", demo, knowledge)).targets[0] == 0.0
    bench.memory = Memory()
    assert bench.standing_of(worse).targets[:2] == (0.0, 0.0)


@pytest.mark.parametrize("values", [{"spring_rr": 0.0}, {"stagger": 0.05, "nose_weight": 7.0}, {"pressure_rf": -1e9}])
def test_a_setup_that_no_file_may_hold_is_not_put_on_the_car(bench, demo, values):
    bench.begin_with(values)
    assert bench.case.setup == demo.setup
