"""What a lever's file says of the vehicle model with something left out of it is what the model then gives."""

import shutil
from dataclasses import dataclass

import pytest

from assistant.belief.effects import effect_table
from assistant.belief.garage import open_garage
from assistant.belief.look_ahead import compare_ahead
from assistant.belief.picture import believe_told
from assistant.car.files import read_case
from assistant.car.moves import with_steps
from assistant.ground.folders import knowledge_folder
from tests.demo_table import demo_table


@dataclass(frozen=True)
class LeftOut:
    """One line of the demo's files written otherwise."""

    file: str
    line: str
    instead: str


NO_CAMBER = LeftOut("tire.yaml", "lost 1 deg off: 0.3 %", "lost 1 deg off: 0 %")
NO_HEAT = LeftOut("tire.yaml", "lost 20 F off: 0.4 %", "lost 20 F off: 0 %")
NO_WEAR = LeftOut("tire.yaml", "worn out: 25 %", "worn out: 0 %")
OPEN_AXLE = LeftOut("car.yaml", "entry: 100 %, middle: 100 %, exit: 100 %", "entry: 0 %, middle: 0 %, exit: 0 %")
MORE_REVS = LeftOut("car.yaml", "rev limit: 7300 rpm", "rev limit: 8500 rpm")


@pytest.fixture(scope="module")
def on_track(tmp_path_factory):
    """Give the demo case on one of its tracks, with one line of its files written otherwise."""

    def case_of(track="track", left_out=None):
        folder = tmp_path_factory.mktemp("car")
        shutil.copytree(knowledge_folder() / "demo", folder, dirs_exist_ok=True)
        shutil.copy(knowledge_folder() / "demo" / f"{track}.yaml", folder / "track.yaml")
        if left_out is not None:
            path = folder / left_out.file
            text = path.read_text(encoding="utf-8")
            assert left_out.line in text
            path.write_text(text.replace(left_out.line, left_out.instead), encoding="utf-8")
        return read_case(str(folder / "demo.yaml"))

    return case_of


@pytest.fixture(scope="module")
def on_cars(on_track):
    """Give what one step of a lever does to the plausible cars of the demo, of which nobody said anything."""

    def on_cars_of(lever, track="track", left_out=None):
        case = on_track(track, left_out)
        return effect_table(case, believe_told(case, [], open_garage(case)), [lever]).levers[lever]

    return on_cars_of


@pytest.fixture(scope="module")
def effect(on_cars):
    """Give the mean of the same."""
    return lambda *asked: on_cars(*asked).effect


TRACKS = pytest.mark.parametrize("track", ["track", "track-flat", "track-steep"])
WARM = ("settled", "worn")


@TRACKS
def test_without_camber_a_stiffer_right_front_spring_tightens_warm_tires_in_every_phase(effect, track):
    found = effect("spring_rf", track, NO_CAMBER)
    for stage in WARM:
        assert 0.25 * found["middle"][stage] < found["entry"][stage] < 0.85 * found["middle"][stage]
        assert min(found["middle"][stage], found["exit"][stage]) > 0.04


@pytest.mark.parametrize(("track", "way"), [("track-flat", 1), ("track-steep", -1)])
def test_the_lean_of_the_right_front_turns_its_spring_over_in_the_middle_on_steep_banking(effect, track, way):
    assert all(way * change > 0.02 for change in effect("spring_rf", track)["middle"].values())


@TRACKS
def test_more_air_in_the_right_rear_loosens_warm_tires_and_without_wear_the_worn_car_less(effect, track):
    as_it_is, no_wear = effect("pressure_rr", track), effect("pressure_rr", track, NO_WEAR)
    for phase in ("middle", "exit"):
        assert all(found[phase][stage] < -0.1 for found in (as_it_is, no_wear) for stage in WARM)
        assert as_it_is[phase]["worn"] < no_wear[phase]["worn"] - 0.005
        assert abs(as_it_is[phase]["fresh"]) < 0.5 * abs(as_it_is[phase]["settled"])


@TRACKS
def test_more_air_in_the_right_rear_saves_the_right_front_more_tread_than_the_right_rear(on_track, track):
    case = on_track(track)
    before, after = (one.forecast.wear_end for one in compare_ahead(case, with_steps(case, [("pressure_rr", 2)])))
    assert before["RF"] - after["RF"] > 1.05 * (before["RR"] - after["RR"]) > 0


@TRACKS
def test_without_wear_more_air_in_the_right_front_tightens_the_warm_car(effect, track):
    as_it_is, no_wear = effect("pressure_rf", track), effect("pressure_rf", track, NO_WEAR)
    for stage in WARM:
        assert no_wear["middle"][stage] > 0.08
        assert as_it_is["middle"][stage] < no_wear["middle"][stage] - 0.03
        assert (as_it_is["middle"][stage] < 0) == (track == "track-steep")
    assert max(as_it_is["middle"]["fresh"], no_wear["middle"]["fresh"]) < -0.03


@pytest.mark.parametrize("track", ["track", "track-flat"])
def test_a_shorter_gear_loosens_the_exit_of_warm_tires_by_a_trifle(effect, track):
    found = effect("final_drive", track)
    assert all(-0.1 < found["exit"][stage] < -0.005 for stage in WARM)


def test_on_a_flat_track_heat_gives_back_most_of_what_a_shorter_gear_loosens(effect):
    as_it_is, no_heat = (effect("final_drive", "track-flat", left_out) for left_out in (None, NO_HEAT))
    assert all(as_it_is["exit"][stage] > 0.6 * no_heat["exit"][stage] for stage in WARM)


def test_on_a_steep_track_a_shorter_gear_is_more_time_on_the_limiter_and_with_more_revs_nothing(on_track, effect):
    case = on_track("track-steep")
    before, after = (one.forecast for one in compare_ahead(case, with_steps(case, [("final_drive", 1)])))
    assert after.limiter_s > before.limiter_s + 0.5 > 3.0
    assert after.wear_end["RR"] < before.wear_end["RR"] - 0.01
    limited, free = effect("final_drive", "track-steep"), effect("final_drive", "track-steep", MORE_REVS)
    assert all(limited["exit"][stage] > max(0.1, 10 * abs(free["exit"][stage])) for stage in WARM)


def test_on_a_steep_track_the_brakes_are_hardly_used_and_with_more_revs_their_share_counts_again(effect):
    limited, free = (effect("brake_bias", "track-steep", left_out) for left_out in (None, MORE_REVS))
    assert abs(limited["entry"]["settled"]) < 0.01
    assert all(free["entry"][stage] > limited["entry"][stage] + 0.01 for stage in WARM)


def test_on_a_steep_track_weight_to_the_left_saves_the_right_front_and_without_wear_frees_less(on_track, effect):
    case = on_track("track-steep")
    before, after = (one.forecast.wear_end for one in compare_ahead(case, with_steps(case, [("left_weight", 2)])))
    assert before["RF"] - after["RF"] > 5 * abs(before["RR"] - after["RR"])
    as_it_is, no_wear = (effect("left_weight", "track-steep", left_out) for left_out in (None, NO_WEAR))
    assert all(as_it_is["middle"][stage] < min(-0.03, 1.5 * no_wear["middle"][stage]) for stage in WARM)


@TRACKS
def test_a_raised_tail_loosens_by_the_track_bar_and_what_goes_up_with_it_gives_that_back(on_track, track):
    case = on_track(track)
    belief = believe_told(case, [], open_garage(case))
    up = demo_table().levers["ride_height_rear"].step
    tail, bar = (belief.move({name: up}) for name in ("ride_height_rear", "track_bar_right"))
    for phase in ("middle", "exit"):
        by_bar, whole = (belief.mean(one.read(f"balance {phase}", "settled")) for one in (bar, tail))
        assert by_bar < -0.03
        assert abs(whole) < 0.25 * abs(by_bar)


@TRACKS
@pytest.mark.parametrize("lever", ["front_bar", "bar_screw"])
def test_with_an_open_axle_the_front_bar_and_its_screw_tighten_most_cars_on_the_way_in(on_cars, track, lever):
    found = on_cars(lever, track, OPEN_AXLE)
    assert min(found.effect["entry"].values()) > 0
    assert min(found.sign_share["entry"].values()) > 0.7
