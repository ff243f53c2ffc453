"""A cause that can be computed speaks for itself where the car does what it would do, and against itself elsewhere."""

import numpy as np
import pytest

from assistant.belief.believe import USUAL, weigh_belief
from assistant.belief.driven import drive_on, read_values
from assistant.belief.garage import Garage, spread_off
from assistant.belief.known import Known, gauge_row, rows_of_complaint, stagger_row, usual_rows
from assistant.belief.suspects import Suspect, facts_read, shift, weigh_suspects
from assistant.belief.weigh import add_logs
from assistant.car.files import read_case
from assistant.ground.understood import Cell, Complaint
from tests.conftest import DRIVEN

INCH = 0.0254
TOO_MUCH = Suspect({"stagger": (0.1 * INCH, 0.4 * INCH)})
TOO_LITTLE = Suspect({"stagger": (-0.4 * INCH, -0.1 * INCH)})
NOTHING = Suspect({"stagger": (0.0, 1e-9)})


@pytest.fixture(scope="module")
def garage():
    return Garage(read_case("demo"), folder=DRIVEN, size=64)


def believe_word(garage, balance, severity=4.0, rows=()):
    cells = tuple(Cell(phase, "settled", balance, severity, True) for phase in ("middle", "exit"))
    return weigh_belief(garage, Known((*usual_rows(USUAL), *rows_of_complaint(Complaint("", cells)), *rows)), "")


def weigh_both(belief):
    found = weigh_suspects(belief, {"much": TOO_MUCH, "little": TOO_LITTLE})
    return found["much"], found["little"]


def test_a_loose_car_speaks_for_too_much_stagger_and_against_too_little(garage):
    much, little = weigh_both(believe_word(garage, "loose"))
    assert little < -0.5
    assert much > little + 1.0


def test_a_tight_car_speaks_the_other_way(garage):
    much, little = weigh_both(believe_word(garage, "tight"))
    assert much < -0.5
    assert little > much + 0.7


def test_a_cause_that_moves_nothing_says_nothing(garage):
    found = weigh_suspects(believe_word(garage, "loose"), {"nothing": NOTHING})
    assert found["nothing"] == pytest.approx(0.0, abs=1e-3)


def test_a_stagger_taped_hot_decides_between_more_and_less(garage):
    hot = float(np.median(garage.drive().read("stagger", 80.0)))
    much, little = weigh_both(believe_word(garage, "loose", rows=[stagger_row(80.0, hot + 0.1 * INCH)]))
    assert much > little + 2.0


def test_what_a_shift_does_is_straight(garage):
    batch = garage.batches[0]
    run = drive_on(batch.cars, garage.course, next(iter(batch.rests.values())), spread_off(TOO_MUCH.off, batch))
    driven = garage.drive()
    shifted = shift(driven, TOO_MUCH, {"stagger": 0.4 * INCH}, garage, None)
    balance = slice(0, 3)
    off = (shifted.values - read_values(run))[balance][..., shifted.usable]
    moved = (shifted.values - driven.values)[balance][..., shifted.usable]
    assert np.sqrt(np.mean(off**2)) < 0.1 * np.sqrt(np.mean(moved**2))


def test_a_stagger_no_car_has_as_it_is_thought_to_be_speaks_for_the_cause_all_the_same(garage):
    hot = float(np.median(garage.drive().read("stagger", 80.0)))
    belief = believe_word(garage, "loose", rows=[stagger_row(80.0, hot + 0.4 * INCH)])
    assert belief.gate_is_shut
    assert weigh_suspects(belief, {"much": TOO_MUCH})["much"] > 1.0


def test_stagger_that_grows_with_the_laps_is_told_by_a_car_that_is_loose_late(garage):
    cells = (
        *(Cell("exit", stage, "loose", 4.0, True) for stage in ("settled", "worn")),
        Cell("exit", "fresh", "fine", 0.0, False),
    )
    belief = weigh_belief(garage, Known((*usual_rows(USUAL), *rows_of_complaint(Complaint("", cells)))), "")
    half = {"stagger": (0.25 * INCH, 0.75 * INCH)}
    found = weigh_suspects(belief, {"grown": Suspect(half, comes=True), "mounted": Suspect(half)})
    assert found["grown"] > found["mounted"] + 0.05


def test_no_car_speaks_where_no_plausible_car_does_what_is_known(garage):
    belief = believe_word(garage, "loose", rows=[gauge_row("tread RF", 80.0, 900.0, 1.0)])
    assert belief.gate_is_shut
    assert weigh_suspects(belief, {"much": TOO_MUCH}) == {}


def test_what_was_read_and_believed_is_counted_by_the_cars(garage):
    rows = [stagger_row(80.0, 0.05), gauge_row("pressure RR", 80.0, 160_000.0, 2500.0)]
    assert facts_read(believe_word(garage, "loose", rows=rows)) == {"stagger_hot", "hot_pressure_rr"}


def test_logs_are_added_without_running_out_of_numbers():
    assert add_logs(np.array([-1000.0, -1000.0])) == pytest.approx(-1000.0 + np.log(2.0))
    assert add_logs(np.array([-np.inf, -np.inf])) == -np.inf
