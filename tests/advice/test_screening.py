"""A list made by way of a few cars is the one that all cars make; `python -m tests.advice.screening` asks for more."""

import pytest

from assistant.belief.garage import Garage
from assistant.car.files import read_case
from tests.advice.screening import both_lists
from tests.conftest import DRIVEN


@pytest.fixture(scope="module")
def garage():
    return Garage(read_case("demo"), folder=DRIVEN, size=64)


@pytest.mark.parametrize("words", ["loose off late", "a little tight in", "loose on entry and tight in the middle"])
def test_what_is_shown_is_what_is_shown_with_everything_driven_on_all_cars(garage, words):
    quick, full = both_lists("demo", words, garage)
    assert len(quick) >= 5
    assert [one[:2] for one in quick] == [one[:2] for one in full]  # of sizes about as good either may be chosen
