"""A driving habit is computed as it is told: one for the first third of the run is that third."""

import numpy as np
import pytest

from assistant.advice.habits import changes_of_habit
from assistant.belief.driven import keep_up
from assistant.belief.garage import Garage
from assistant.car.files import read_case
from assistant.physics.heat_and_wear import place_knots
from assistant.rules.pack import base_folder, load_packs
from tests.conftest import DRIVEN

LESS = {"exit_drive": -0.08}


@pytest.fixture(scope="module")
def garage():
    return Garage(read_case("demo"), folder=DRIVEN, size=16)


@pytest.mark.parametrize("laps", [12, 40, 80, 140])
@pytest.mark.parametrize("until", [0.2, 1 / 3, 0.5, 1.0])
def test_a_habit_does_the_work_of_the_laps_it_is_for(laps, until):
    knots, _ = place_knots(laps)
    kept = keep_up(laps, until)[:, 0, 0]
    assert kept.max() == pytest.approx(1.0)
    assert np.trapezoid(kept, knots) == pytest.approx(until * laps, rel=0.03)


def test_kept_up_to_the_end_is_the_whole_run(garage):
    usable = garage.drive().usable
    whole, told = (
        garage.move(changes).read("balance exit", "worn")[usable] for changes in (LESS, {**LESS, "until": 1.0})
    )
    assert told == pytest.approx(whole, abs=1e-6)


def test_a_third_of_the_run_helps_then_and_leaves_only_the_spared_tires_later(garage):
    usable = garage.drive().usable
    whole, third = garage.move(LESS), garage.move({**LESS, "until": 1 / 3})
    fresh = [one.read("balance exit", "fresh")[usable] for one in (whole, third)]
    assert fresh[1] == pytest.approx(fresh[0], rel=0.1, abs=0.05)
    worn = [np.median(one.read("balance exit", "worn")[usable]) for one in (whole, third)]
    assert 0.0 < worn[1] < 0.6 * worn[0]
    assert np.median(third.read("wear RR", "worn")[usable]) < 0.0


def test_the_pack_says_for_how_long():
    changes = changes_of_habit(load_packs([base_folder()]).driving["save-the-right-rear"])
    assert changes["until"] == pytest.approx(1 / 3, abs=0.001)
