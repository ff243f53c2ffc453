"""What is wanted: the unit of severity, our own rule, checked by hand; every weight is the packs'."""

from dataclasses import replace
from statistics import median

import pytest

from assistant.advice.wanted import asked_of, derive_scale
from assistant.ground.grid import PHASES, Grid
from assistant.pages.advice_words import say_asked
from assistant.pages.levers import severity_screen, steps_words
from assistant.rules.knowledge import Knowledge
from tests.advice.round_numbers import UNIT_CHANGES, effect_table, lever_effect, ranking
from tests.advice.small_pack import complaint, pack


def test_one_unit_is_the_middle_one_of_the_usual_changes_on_this_car():
    scale = derive_scale(effect_table(), ranking())
    # exit: cross 0.65 % = 2.6 steps x 0.18, bar 0.25, RR spring 0.46, RR 1 psi 0.26, camber 0.36; middle one 0.36
    assert scale.unit("exit") == pytest.approx(median([2.6 * 0.18, 0.25, 0.46, 0.26, 0.36]))
    assert scale.unit("exit") == pytest.approx(0.36)


def test_severities_are_1_2_3_5_5_and_8_units_with_straight_lines_between():
    scale = derive_scale(effect_table(), ranking())
    unit = scale.unit("middle")
    assert [scale.percent("middle", number) / unit for number in (0, 1, 2, 3, 4, 5)] == pytest.approx(
        [0, 1, 2, 3.5, 5, 8]
    )
    assert scale.percent("middle", 2.5) == pytest.approx(2.75 * unit)
    assert scale.percent("middle", 9) == pytest.approx(8 * unit)


def test_the_scale_follows_the_model_when_every_effect_is_doubled():
    once, twice = derive_scale(effect_table(), ranking()), derive_scale(effect_table(scale=2), ranking())
    assert [twice.unit(phase) for phase in PHASES] == pytest.approx([2 * once.unit(phase) for phase in PHASES])


def test_with_fewer_than_three_known_changes_the_absolute_figures_are_used():
    scale = derive_scale(effect_table(("cross_weight", "stagger", "spring_rr")), ranking())
    assert not scale.units
    assert [scale.percent("exit", number) for number in range(1, 6)] == pytest.approx([0.2, 0.4, 0.8, 1.3, 2.0])


def test_a_car_on_which_nothing_works_in_a_phase_uses_the_absolute_figures_there():
    dead = {lever: lever_effect(lever, scale=0) for lever in UNIT_CHANGES}
    assert derive_scale(effect_table(**dead), ranking()).percent("entry", 3) == pytest.approx(0.8)


def lines(table, system="trade"):
    return [line.text for line in severity_screen(table, pack(), system)]


def test_the_derivation_can_be_checked_by_hand():
    shown = lines(effect_table())
    assert "RR spring, 25 lb/in (1 legal step): getting in 0.19, in the middle 0.27, coming off 0.46" in shown
    assert any(line.startswith("RR spring, 4.38 N/mm (1 legal step)") for line in lines(effect_table(), "si"))
    assert shown[-1].startswith("One unit coming off: 0.36 % (the middle one of these); severities 1 to 5: 0.36, 0.72")


def test_the_derivation_says_when_the_usual_figures_were_taken():
    assert lines(effect_table(()))[-1] == (
        "One unit coming off: 0.20 % (not computed, the usual figures are taken); "
        "severities 1 to 5: 0.20, 0.40, 0.80, 1.30, 2.00 %."
    )


def test_the_unit_is_taken_once_the_car_has_settled():
    drifting = {lever: replace(lever_effect(lever), effect=Grid(((9.0, 0.3, 9.0),) * 3)) for lever in UNIT_CHANGES}
    scale = derive_scale(effect_table(**drifting), ranking())
    assert scale.unit("entry") == pytest.approx(0.6)  # 0.3 x 2.6, 1, 1, 2, 2 steps: the middle one is 2


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (2.6, "between 2 and 3 legal steps"),
        (-2.0, "2 legal steps"),
        (1.0, "1 legal step"),
        (0.4, "less than a legal step"),
    ],
)
def test_a_usual_change_is_said_in_the_legal_steps_of_this_car(steps, says):
    table = effect_table()
    assert steps_words(steps * table.levers["spring_rr"].step, table, "spring_rr") == says


def test_what_a_complaint_asks_for_is_said_phase_by_phase_at_its_worst():
    scale = derive_scale(effect_table(), ranking())
    cells = (("exit", "fresh", "loose", 2), ("exit", "worn", "loose", 3), ("entry", "worn", "fine", 0))
    said = say_asked(asked_of(complaint(*cells), scale))
    assert said.startswith(f"Asked for: coming off {scale.percent('exit', 3):.2f} % of grip (severity 3, 3.5 units of ")
    assert "getting in" not in said
    assert said.endswith("In a talk severity, else halfturn levers CASE --severity, shows where a unit comes from.")
    assert say_asked(asked_of(complaint(), scale)) == ""


def test_the_usual_changes_of_the_base_pack_are_read_in_si():
    changes = {one.lever: one.change for one in derive_scale(effect_table(), ranking()).changes}
    assert changes == pytest.approx(UNIT_CHANGES)


def test_severities_are_read_in_order():
    assert ranking().severity_units == [1, 2, 3.5, 5, 8]
    assert ranking().severity_fallback == [0.2, 0.4, 0.8, 1.3, 2.0]


def test_a_missing_weight_is_never_replaced_by_a_hidden_one():
    with pytest.raises(ValueError, match="no pack states these weights of the ranking: unit_changes, severity_units"):
        _ = Knowledge().weights
