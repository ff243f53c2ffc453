"""A cause that can be computed speaks for itself where the car does what it would do, and against itself elsewhere."""

import pytest

from assistant.belief.believe import USUAL, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import Known, rows_of_complaint, usual_rows
from assistant.belief.suspects import log_likelihood
from assistant.belief.weigh import add_logs
from assistant.car.files import read_case
from assistant.ground.understood import Cell, Complaint

INCH = 0.0254
TOO_MUCH = {"stagger": (0.1 * INCH, 0.4 * INCH)}
TOO_LITTLE = {"stagger": (-0.4 * INCH, -0.1 * INCH)}
NOTHING = {"stagger": (0.0, 0.0)}


@pytest.fixture(scope="module")
def garage():
    return Garage(read_case("demo"), size=64)


def believe_word(garage, balance, severity=4.0):
    cells = tuple(Cell(phase, "settled", balance, severity, True) for phase in ("middle", "exit"))
    return weigh_belief(garage, Known((*usual_rows(USUAL), *rows_of_complaint(Complaint("", cells)))), "")


def test_a_loose_car_speaks_for_too_much_stagger_and_against_too_little(garage):
    belief = believe_word(garage, "loose")
    assert log_likelihood(belief, TOO_LITTLE) < -0.5
    assert log_likelihood(belief, TOO_MUCH) > log_likelihood(belief, TOO_LITTLE) + 1.0


def test_a_tight_car_speaks_the_other_way(garage):
    belief = believe_word(garage, "tight")
    assert log_likelihood(belief, TOO_MUCH) < -0.5
    assert log_likelihood(belief, TOO_LITTLE) > log_likelihood(belief, TOO_MUCH) + 0.7


def test_a_cause_that_moves_nothing_says_nothing(garage):
    assert log_likelihood(believe_word(garage, "loose"), NOTHING) == pytest.approx(0.0, abs=1e-6)


def test_logs_are_added_without_running_out_of_numbers():
    import numpy as np

    assert add_logs(np.array([-1000.0, -1000.0])) == pytest.approx(-1000.0 + np.log(2.0))
    assert add_logs(np.array([-np.inf, -np.inf])) == -np.inf
