"""What `try` says besides the balance: steering, engine speeds, braking, each only where a change moves it."""

from assistant.belief.look_ahead import compare_ahead
from assistant.car.moves import with_value
from assistant.pages.run_words import say_changes


def said(case, **values):
    setup = case.setup
    for lever, value in values.items():
        setup = with_value(setup, lever, value)
    return say_changes(*compare_ahead(case, setup), "trade")


def test_a_change_to_the_same_values_says_nothing(case):
    assert said(case, stagger=case.setup.values["stagger"]) == []


def test_a_shorter_rear_gear_says_its_revs_and_its_time_on_the_limiter(case):
    lines = said(case, final_drive=6.86)
    assert any(line.startswith("Engine: 7,2") and line.endswith("s a lap on the limiter.") for line in lines)


def test_brake_share_says_which_end_locks_before_and_after(case):
    lines = said(case, brake_bias=0.64)
    (line,) = (line for line in lines if line.startswith("Braked"))
    assert line.endswith("until something locks: the front at 1.13 g before, the rear at 1.05 g after.")


def test_more_stagger_says_that_less_of_the_front_is_used(case):
    lines = said(case, stagger=case.setup.values["stagger"] + 0.00635)
    assert lines[0].startswith("Share of what the front can take, once settled: getting in ")
    assert not any(line.startswith(("Engine", "Braked")) for line in lines)
