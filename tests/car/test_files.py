"""What files may leave out, write differently or name, and what comes of it in SI."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.car.case import Measured
from assistant.car.files import find_case, kind_of, read_car, read_case, read_rulebook, read_setup
from assistant.ground.folders import demo_folder
from assistant.ground.problems import BadInput
from assistant.ground.units import from_unit
from tests.car.samples import changed, complaints, demo_text, written


def test_values_arrive_in_si_units():
    case = read_case("demo")
    assert case.car.mass == pytest.approx(1315.418, rel=1e-6)  # 2900 lb of 0.45359237 kg
    assert case.car.wheelbase == pytest.approx(106 * 0.0254)
    assert case.car.track_bar_axle_y == pytest.approx(15 * 0.0254)
    assert case.car.track_bar_frame_y == pytest.approx(-19 * 0.0254)
    assert case.car.tank_x == pytest.approx(-30 * 0.0254)
    assert case.car.fuel_on_scales == pytest.approx(12 * 6.2 * 0.45359237)  # 12 gal of 6.2 lb
    assert case.setup.values["spring_rr"] == pytest.approx(225 * 175.12683, rel=1e-6)
    assert case.setup.values["cross_weight"] == pytest.approx(0.51)
    assert case.tire.radius[2] == pytest.approx(84 * 0.0254 / 6.283185307)
    assert case.tire.pressure_grip == pytest.approx(0.005 / 0.1**2)
    assert case.rulebook.limits["front_bar"].parts[1] == pytest.approx(0.0254)
    assert case.rulebook.limits["compression_rr"] == case.rulebook.limits["compression_lf"]


def test_bare_numbers_are_in_the_unit_system_of_the_file(tmp_path):
    trade = read_setup(written(tmp_path, changed("setup-demo", ("spring: 225 lb/in", "spring: 225"))))
    assert trade.values["spring_rr"] == pytest.approx(from_unit(225, "lb/in"))
    metric = read_setup(
        written(tmp_path, changed("setup-demo", ("units: trade", "units: si"), ("spring: 225 lb/in", "spring: 40")))
    )
    assert metric.values["spring_rr"] == pytest.approx(40e3)


def test_guessed_values_and_values_left_out_are_marked(tmp_path):
    text = changed("setup-demo", ("stagger: 1 7/8 in", "stagger: 1 7/8 in guessed"), ("  toe: 1/8 in ", "#"))
    assert read_setup(written(tmp_path, text)).guessed == {"stagger", "toe"}
    car = read_car(
        written(tmp_path, changed("car", ("cg height: 16 in", "cg height: 16 in guessed"), ("  ackermann: 0 %", "#")))
    )
    assert car.guessed == {"cg_height", "ackermann"}


def test_a_steering_lock_nobody_knows_may_be_left_out(tmp_path):
    assert read_car(written(tmp_path, changed("car", ("  steering lock:", "#")))).steering_lock is None


def test_four_corner_weights_become_the_three_shares(tmp_path):
    # hotrod.com definitions; readings of a set of race car scales: nose 52.04, left 50.56, cross 50.00 %
    text = changed(
        "setup-demo",
        ("left front: {", "left front: {weight: 710 lb, "),
        ("right front: {", "right front: {weight: 695 lb, "),
        ("left rear: {", "left rear: {weight: 655 lb guessed, "),
        ("right rear: {", "right rear: {weight: 640 lb, "),
        ("  nose weight: 50.5 %", "#"),
        ("  left weight: 56 %", "#"),
        ("  cross weight: 51 %", "#"),
    )
    setup = read_setup(written(tmp_path, text))
    assert setup.values["nose_weight"] == pytest.approx(0.5204, abs=5e-5)
    assert setup.values["left_weight"] == pytest.approx(0.5056, abs=5e-5)
    assert setup.values["cross_weight"] == pytest.approx(0.5, abs=5e-5)
    assert setup.guessed == {"nose_weight", "left_weight", "cross_weight"}


def test_what_was_measured_is_read_with_every_part_optional(tmp_path):
    assert read_case("demo").measured == Measured()
    block = """
measured:
  laps: 20
  temperatures:
    rf: [200, 210, 205 F]
  hot pressure: {rf: 33 psi}
  wear: {rr: 1/32 in}
  lap times: [20.1, 0:19.8]
  steering wheel: 120 deg
  fuel used: 2 gal
  rpm: 6900
answers: {where: exit, severity: 3}
"""
    case = read_case(written(tmp_path, demo_text("demo") + block))
    measured = case.measured
    assert measured.laps == 20
    assert measured.temperatures["RF"] == pytest.approx((366.483, 372.039, 369.261), abs=1e-3)
    assert measured.hot_pressure == {"RF": pytest.approx(from_unit(33, "psi"))}
    assert measured.wear == {"RR": pytest.approx(0.0254 / 32)}
    assert measured.lap_times == (20.1, 19.8)
    assert measured.steering == pytest.approx(from_unit(120, "deg") / case.setup.values["steering_box"])
    assert measured.fuel_used == pytest.approx(2 * 6.2 * 0.45359237)
    assert measured.rpm_max == 6900
    assert case.answers == {"where": "exit", "severity": "3"}


def test_a_case_finds_its_files_beside_itself_before_the_demo(tmp_path):
    written(tmp_path, changed("car", ("car: demo-car", "car: mine"), ("2900 lb", "3000 lb")), "car")
    written(tmp_path, changed("setup-demo", ("car: demo-car", "car: mine")), "setup-demo")
    case = read_case(written(tmp_path, demo_text("demo"), "here"))
    assert case.car.name == "mine"
    assert case.tire.name == "demo-tire"
    assert case.file == str(tmp_path / "here.yaml")


def test_a_case_of_the_user_is_found_by_name(tmp_path, monkeypatch):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    written(tmp_path, demo_text("demo"), "sunday")
    assert find_case("sunday") == tmp_path / "sunday.yaml"
    assert find_case("demo") == demo_folder() / "demo.yaml"


def test_a_name_of_digits_stays_as_it_was_written(tmp_path):
    assert read_car(written(tmp_path, changed("car", ("car: demo-car", "car: 07")))).name == "07"


def test_a_lever_the_rulebook_leaves_out_has_no_limit(tmp_path):
    text = "rulebook: short\nright rear:\n  air: {from: 16 psi, to: 30 psi, step: 1/2 psi, when: pit stop}\n"
    rulebook = read_rulebook(written(tmp_path, text))
    assert set(rulebook.limits) == {"pressure_rr"}
    assert rulebook.limits["pressure_rr"].step == pytest.approx(from_unit(0.5, "psi"))


def test_parts_are_sorted_whatever_order_they_are_written_in(tmp_path):
    text = "rulebook: short\nright rear:\n  spring: {parts: [250 lb/in, 200 lb/in, 225 lb/in]}\n"
    limit = read_rulebook(written(tmp_path, text)).limits["spring_rr"]
    assert limit.parts == tuple(sorted(limit.parts))
    assert limit.when == "shop"


def test_the_kind_of_a_file_is_its_first_word(tmp_path):
    assert kind_of(demo_folder() / "tire.yaml") == "tire"
    assert complaints(kind_of, written(tmp_path, "setupp: x\n")) == [
        "setupp: the first line says 'setupp' / did you mean 'setup'?"
    ]
    assert complaints(kind_of, written(tmp_path, "[]\n")) == [
        (
            "[]: the first line does not say what kind of file it is / it starts with 'car: name',"
            " 'setup: name', 'case: name' ..."
        )
    ]


def test_a_missing_file_is_a_problem_and_not_a_traceback(tmp_path):
    with pytest.raises(BadInput) as bad:
        read_car(tmp_path / "no.yaml")
    assert bad.value.problems[0].says == "there is no such file"


def test_a_limit_for_every_corner_gives_way_to_that_of_one(tmp_path):
    text = (
        "rulebook: mine\nevery corner: {rebound: {from: 0 clicks, to: 12 clicks, step: 1 click}}\n"
        "right rear: {rebound: {from: 0 clicks, to: 8 clicks, step: 1 click}}\n"
    )
    limits = read_rulebook(written(tmp_path, text)).limits
    assert {lever: limit.high for lever, limit in limits.items()} == {
        "rebound_lf": 12,
        "rebound_rf": 12,
        "rebound_lr": 12,
        "rebound_rr": 8,
    }


def test_older_spellings_of_names_are_read_as_the_newer_ones(tmp_path):
    car = changed(
        "car", ("\nshocks:", "\ndampers:"), ("shock ratio:", "damper ratio:"), ("centerline: 3", "centreline: 3")
    )
    written(tmp_path, car, "car")
    written(tmp_path, changed("tire", ("\ntire: ", "\ntyre: ")), "tyre")
    case = read_case(written(tmp_path, changed("demo", ("\ntire: tire", "\ntyre: tyre")), "here"))
    assert replace(case, file="", name="demo") == replace(read_case("demo"), file="")


def test_a_mistake_under_an_older_name_is_told_where_it_stands(tmp_path):
    text = changed(
        "car", ("\nshocks:", "\ndampers:"), ("rate at click 0: {lf: 9 lb s/in", "rate at click 0: {lf: 9 psi")
    )
    assert complaints(read_car, written(tmp_path, text))[0].startswith("rate at click 0: 'lf': psi is a pressure")
    twice = changed("demo", ("\ntire: tire", "\ntire: tire\ntyre: tire"))
    assert complaints(read_case, written(tmp_path, twice)) == [
        "tyre: 'tire' is written twice here / first on line 5; keep one"
    ]
