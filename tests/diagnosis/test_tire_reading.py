"""Reading the tires: the published rules come out, sizes become legal steps, air comes before camber and balance.

Sources: northstarmotorsports.com/tech.tips2 (middle against the mean of the edges, up to 20 F across is fine, 2 lb at a
time, pressure before camber); Raytek AutoPro manual, p. 21 (stricter: middle above or below both edges).
The right rear's rule (middle against inside) is common practice, no source. Readings are examples made for these tests.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.car.case import Measured
from assistant.car.files import read_case
from assistant.car.moves import with_value
from assistant.diagnosis.tire_reading import camber_rate, has_readings, pressure_rate, read_tires
from assistant.ground.units import from_unit, to_unit
from assistant.pages.data import Way, plain
from assistant.pages.readings import NOT_WEIGHED, say_besides, tires_screen

DEMO = read_case("demo")
PSI = from_unit(1.0, "psi")
DEGREE = from_unit(1.0, "deg")


def case(levers=None, **corners):
    """The demo with temperatures (inside, middle, outside in F) by corner, and levers set."""
    temperatures = {name.upper(): tuple(from_unit(v, "F") for v in zones) for name, zones in corners.items()}
    setup = DEMO.setup
    for lever, value in (levers or {}).items():
        setup = with_value(setup, lever, value)
    return replace(DEMO, setup=setup, measured=Measured(temperatures=temperatures))


def said(found):
    return [(one.id, one.when) for one in found.findings]


def move_of(found, rule):
    return next(one.move for one in found.findings if one.id == rule)


@pytest.mark.parametrize(
    ("zones", "wanted"),
    [
        ((200, 215, 205), [("rf-too-much-air", "now"), ("rf-outside-hot", "later")]),
        ((205, 190, 200), [("rf-too-little-air", "now")]),
        ((220, 208, 196), [("rf-inside-hot", "now")]),
    ],
    ids=["air down", "air up", "camber"],
)
def test_the_handbooks_rule_gives_air_down_air_up_or_camber(knowledge, zones, wanted):
    assert said(read_tires(case(rf=zones), knowledge)) == wanted


def test_where_the_stricter_rule_is_silent_the_handbooks_rule_is_used_with_less_confidence(knowledge):
    found = read_tires(case(rf=(220, 208, 190)), knowledge)
    assert said(found) == [("rf-too-much-air", "now"), ("rf-inside-hot", "later")]
    assert found.findings[0].strict is False
    assert found.findings[0].confidence == "fair"  # good by the handbook, one word less
    both = read_tires(case(rf=(200, 215, 205)), knowledge).findings[0]
    assert both.strict is True
    assert both.confidence == "good"


def test_the_size_comes_from_degrees_per_psi_and_is_not_more_than_two_psi_at_a_time(knowledge):
    small = move_of(read_tires(case(rf=(205, 207, 193)), knowledge), "rf-too-much-air")
    assert small.wanted == pytest.approx(8 / 2.5 * PSI)  # middle 8 F above the mean of the edges, 2.5 F a psi
    assert (small.low, small.high) == (pytest.approx(8 / 5 * PSI), pytest.approx(8 / 1 * PSI))
    assert small.change == pytest.approx(-2 * PSI)
    little = move_of(read_tires(case(rf=(212, 203, 189)), knowledge), "rf-too-much-air")
    assert little.steps == -2  # 2.5 F: 1 psi, in half psi as the rulebook has it
    assert little.change == pytest.approx(-1.0 * PSI)


def test_a_move_stops_where_the_rulebook_does(knowledge):
    low = DEMO.rulebook.limits["pressure_rf"].low
    move = move_of(read_tires(case({"pressure_rf": low}, rf=(200, 215, 205)), knowledge), "rf-too-much-air")
    assert move.steps == 0
    assert move.change == 0.0
    assert move.stop is not None
    assert move.stop.end == "min"


def test_the_right_rear_is_read_by_its_middle_against_its_inside(knowledge):
    hot = read_tires(case(rr=(200, 206, 185)), knowledge)
    assert said(hot) == [("rr-too-much-air", "now")]
    assert hot.findings[0].by == pytest.approx(from_unit(6, "F", "temperature_change"))
    cold = read_tires(case(rr=(206, 200, 180)), knowledge)  # by the mean of the edges it would have too much
    assert said(cold) == [("rr-too-little-air", "now")]
    assert cold.findings[0].rule.backed_by == ["common practice"]
    assert any("Common practice, no source" in rule.says for rule in cold.besides)


def test_an_even_tread_is_left_alone(knowledge):
    found = read_tires(case(rf=(205, 208, 199)), knowledge)  # 9 F across
    assert found.findings == ()


def test_camber_is_taken_out_or_put_in_by_the_rule_of_each_side(knowledge):
    right = move_of(read_tires(case(rf=(220, 208, 196)), knowledge), "rf-inside-hot")
    assert right.change > 0  # top out: negative is taken out
    assert right.wanted == pytest.approx((24 - 10) / 10 * DEGREE)  # 10 F of inside bias may stay, 10 F a degree
    assert right.change == pytest.approx(1.0 * DEGREE)
    left = move_of(read_tires(case(lf=(180, 168, 156)), knowledge), "lf-inside-hot")
    assert left.change > 0  # positive is added


def test_both_inside_edges_hot_is_toe_and_no_camber(knowledge):
    found = read_tires(case(lf=(190, 178, 166), rf=(220, 208, 196)), knowledge)
    assert said(found) == [("toe-out-scrub", "look")]


def test_axles_and_diagonals_speak_after_air_and_camber(knowledge):
    found = read_tires(case(lf=(160, 160, 160), rf=(225, 225, 225), lr=(180, 180, 180), rr=(200, 200, 200)), knowledge)
    assert said(found) == [("front-hotter", "look"), ("rf-hottest", "look"), ("cross-too-high", "look")]
    loose = read_tires(case(lf=(160, 160, 160), rf=(195, 210, 195), lr=(160, 160, 160), rr=(235, 235, 232)), knowledge)
    assert said(loose) == [
        ("rf-too-much-air", "now"),
        ("rear-hotter", "later"),
        ("rr-hottest", "later"),
        ("cross-too-low", "later"),
    ]


def test_pressure_builds_are_held_against_the_usual_ones(knowledge):
    measured = Measured(hot_pressure={"RF": 30.5 * PSI, "RR": 29 * PSI}, cold_pressure={"RF": 24 * PSI, "RR": 22 * PSI})
    found = read_tires(replace(DEMO, measured=measured), knowledge)
    assert [(one.tire, round(to_unit(one.gained, "psi"), 1), one.much) for one in found.builds] == [
        ("RF", 6.5, False),
        ("RR", 7.0, True),
    ]


def test_tires_that_were_not_probed_are_named(knowledge):
    found = read_tires(case(rf=(200, 200, 200), rr=(200, 200, 200)), knowledge)
    assert found.not_probed == ("LF", "LR")
    assert "Not probed: LF, LR." in say_besides(found)


def test_a_case_without_readings_has_nothing_to_read():
    assert not has_readings(Measured(laps=30))
    assert has_readings(Measured(wear={"RF": 0.001}))


def test_one_reading_leaves_the_assumed_rates(knowledge):
    rate = pressure_rate(knowledge, [case(rf=(200, 215, 205))])
    assert rate.told == "assumption"
    assert rate.value == pytest.approx(2.5 * from_unit(1, "F", "temperature_change") / PSI)


def test_readings_at_other_pressures_measure_the_degrees_per_psi(knowledge):
    first = case(rf=(200, 215, 205), lf=(170, 176, 172))
    second = case({"pressure_rf": 20 * PSI, "pressure_lf": 12 * PSI}, rf=(202, 199, 204), lf=(172, 162, 172))
    rate = pressure_rate(knowledge, [first, second])
    # 4 psi less moved the RF by 16.5 F and the LF by 15 F: 3.94 F a psi; the assumption pulls it a little down
    measured = to_unit(rate.value * PSI, "F", "temperature_change")
    assert rate.told == "measured"
    assert rate.pairs == 2
    assert 3.0 < measured < 3.94
    assert rate.low < rate.value < rate.high


def test_readings_at_one_pressure_or_against_all_sense_do_not_count(knowledge):
    same = [case(rf=(200, 215, 205)), case(rf=(200, 205, 205))]
    assert pressure_rate(knowledge, same).told == "assumption"
    turned = [case(rf=(200, 200, 200)), case({"pressure_rf": 14 * PSI}, rf=(200, 240, 200))]
    assert pressure_rate(knowledge, turned).told == "assumption"


def test_readings_at_other_cambers_measure_the_degrees_per_degree(knowledge):
    first = case(rf=(220, 208, 196))
    second = case({"camber_rf": -1.0 * DEGREE}, rf=(206, 206, 206))  # 2 deg less negative took 24 F away
    rate = camber_rate(knowledge, [first, second])
    assert rate.told == "measured"
    assert 10.0 < to_unit(rate.value * DEGREE, "F", "temperature_change") < 12.0


def test_the_data_say_the_same_in_either_system(knowledge):
    found = read_tires(case(rf=(200, 215, 205)), knowledge)
    trade, metric = plain(found, Way()), plain(found, Way("si"))
    first = trade["findings"][0]
    assert first["lever"] == "pressure_rf"
    assert first["move"]["change"] == pytest.approx(-2)
    assert first["difference"] == pytest.approx(12.5)
    assert trade["rates"]["air"]["value"] == pytest.approx(2.5)
    assert trade["rates"]["camber"]["value"] == pytest.approx(10)
    assert metric["findings"][0]["move"]["change"] == pytest.approx(-13.79, abs=0.01)
    assert metric["rates"]["air"]["value"] == pytest.approx(2.5 / 1.8 / 6.894757, rel=1e-6)


def test_a_spread_that_is_called_fine_is_called_so_once(knowledge):
    read = case(rf=(210, 205, 190))
    found = read_tires(read, knowledge)
    assert [one.rule.about for one in found.findings] == ["pressure"]
    told = [getattr(block, "text", "") for block in tires_screen(found, read, knowledge, "trade")]
    assert any(text.endswith("No tire is over it.") for text in told)
    assert NOT_WEIGHED.format("try", "RF pressure", "22.0 psi") in told
