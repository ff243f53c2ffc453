"""The invented car, tire, tracks, rules and setups: they load, and their sizes are plausible and explained."""

from __future__ import annotations

from math import cos, log, pi

import numpy as np
import pytest

from assistant.car.car import Shares, corner_loads
from assistant.car.files import DEMO_CASES, kind_of, read_case, read_track
from assistant.car.keys import LEVERS
from assistant.car.moves import setup_faults
from assistant.ground.folders import demo_folder
from assistant.ground.names import CORNERS
from assistant.ground.units import from_unit, to_unit
from tests.car.samples import demo_text

CONSTANTS = ("car", "tire", "track", "track-flat", "track-steep", "rulebook")
NOT_NUMBERS = ("car:", "tire:", "track:", "rulebook:", "units:", "- end:")


@pytest.mark.parametrize("name", DEMO_CASES)
def test_each_demo_case_loads_and_is_within_its_rulebook(name):
    case = read_case(name)
    assert case.name == name
    assert set(case.setup.values) == set(LEVERS) - {"track_bar"}
    assert setup_faults(case) == ()
    assert case.complaint
    assert not case.setup.guessed | case.car.guessed | case.tire.guessed | case.track.guessed


def test_the_three_demo_cases_share_one_car_tire_track_and_rulebook():
    first, *others = (read_case(name) for name in DEMO_CASES)
    for other in others:
        assert (other.car, other.tire, other.track, other.rulebook) == (
            first.car,
            first.tire,
            first.track,
            first.rulebook,
        )
        assert other.setup.values != first.setup.values


@pytest.mark.parametrize("name", CONSTANTS)
def test_every_constant_of_the_demo_says_where_it_comes_from(name):
    blocks = 0
    for row in demo_text(name).splitlines():
        value = row.split("#")[0].strip()
        if not value or value.startswith(NOT_NUMBERS) or value.endswith(":"):
            blocks += 1
            continue
        if name == "car" and value.split(":")[0].endswith("rpm"):
            continue  # the lines of the power curve stand under one comment
        assert "#" in row, f"{name}.yaml: no reason behind '{value}'"
        assert len(row.split("#", 1)[1].split()) >= 1
    assert blocks


def test_every_file_of_the_demo_says_what_it_is():
    kinds = {path.stem: kind_of(path) for path in demo_folder().glob("*.yaml")}
    assert set(kinds.values()) == {"car", "tire", "track", "rulebook", "setup", "case"}


def test_the_tire_is_fitted_to_the_published_load_sensitivity():
    # Milliken & Milliken, Race Car Vehicle Dynamics, fig. 2.9, as tabulated in Wikipedia "Tire load sensitivity":
    # peak side force over load at three loads, and the slip angles of the peaks.
    loads, ratios, slips = (900.0, 1350.0, 1800.0), (1.10, 1.08, 0.97), (5.6, 6.0, 6.7)
    tire = read_case("demo").tire
    slope, start = np.polyfit(
        [log(load) for load in loads], [log(f * load) for f, load in zip(ratios, loads, strict=True)], 1
    )
    assert tire.load_exponent == pytest.approx(slope, abs=0.005)
    assert to_unit(tire.load_ref, "lbf") == pytest.approx(loads[1])
    assert tire.grip == pytest.approx(np.exp(slope * log(loads[1]) + start) / loads[1], abs=0.005)
    assert to_unit(tire.peak_slip, "deg") == pytest.approx(slips[1])
    # the peak slip grows in proportion to the load above load_ref: a third less and a third more load here
    grown = (1 + tire.peak_slip_growth / 3) / (1 - tire.peak_slip_growth / 3)
    assert grown == pytest.approx(slips[2] / slips[0], rel=0.005)
    for load, ratio in zip(loads, ratios, strict=True):
        fitted = tire.grip * (load / loads[1]) ** (tire.load_exponent - 1)
        assert fitted == pytest.approx(ratio, rel=0.04)


def test_the_tire_is_as_stiff_as_published_ones():
    # 158 to 213 kN/m, commonroad-vehicle-models 3.0.2, vehicles 1 to 3
    assert 150e3 < read_case("demo").tire.rate < 300e3


def test_the_curve_of_the_tire_starts_as_steep_as_published_ones():
    # cornering stiffness about 20 to 22 per radian of the load: Bakker, Nyborg & Pacejka, SAE 870421, at 6 kN gives
    # 1076 N/deg; the other public set (commonroad-vehicle-models 3.0.2, vehicle 2) 21.9 per radian
    tire = read_case("demo").tire
    stretched = np.linspace(0.1, 5.0, 100001)
    curve = np.sin(tire.shape_c * np.arctan(stretched - tire.shape_e * (stretched - np.arctan(stretched))))
    at_peak = stretched[np.argmax(curve)]
    assert 15 < at_peak / tire.peak_slip * tire.shape_c * tire.grip < 28


@pytest.mark.parametrize("name", DEMO_CASES)
def test_the_stagger_of_each_setup_is_near_what_the_turn_asks_for(name):
    # geometry: both wheels of a spool roll without slip when stagger / circumference = track x cos(bank) / radius
    case = read_case(name)
    end = max(case.track.ends, key=lambda one: one.radius)
    free = 2 * pi * case.tire.radius[2] * case.car.track_rear * cos(end.bank) / end.radius
    assert 0.75 < case.setup.values["stagger"] / free < 1.3


@pytest.mark.parametrize("name", DEMO_CASES)
def test_no_wheel_of_a_demo_setup_is_light_at_rest(name):
    case = read_case(name)
    values = case.setup.values
    loads = corner_loads(case.car.mass, *Shares(values["nose_weight"], values["left_weight"], values["cross_weight"]))
    assert min(loads) > from_unit(500, "lb"), dict(zip(CORNERS, loads, strict=True))


@pytest.mark.parametrize(
    ("name", "least", "most"), [("track", 2600, 2680), ("track-flat", 1900, 2000), ("track-steep", 2600, 2680)]
)
def test_each_track_is_as_long_as_it_says(name, least, most):
    track = read_track(demo_folder() / f"{name}.yaml")
    assert least < to_unit(track.lap_length, "ft") < most
    assert sum(end.length / end.radius for end in track.ends) == pytest.approx(2 * pi, rel=0.01)


def test_an_end_alone_stands_for_two_alike(tmp_path):
    text = demo_text("track")
    path = tmp_path / "one.yaml"
    path.write_text(text[: text.index("  - end: turns 3-4")], encoding="utf-8")
    first, second = read_track(path).ends
    assert (first.radius, first.bank, first.length, first.straight) == (
        second.radius,
        second.bank,
        second.length,
        second.straight,
    )
    assert (first.id, second.id) == ("turns 1-2", "turns 3-4")
