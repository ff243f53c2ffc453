"""The car at its limit, for the engineer: the numbers of the solved corners, and that they fit together."""

import json

import pytest

from assistant.belief.corners import read_corners
from assistant.belief.look_ahead import look_ahead, reach
from assistant.cli import main
from assistant.ground.names import PHASES, STAGES
from assistant.pages.corner import corners_data


def ahead_of(case):
    return reach(case, [case.setup], case.run_laps, ())


@pytest.fixture(scope="module")
def corners(case):
    return read_corners(ahead_of(case), "worn")


def test_every_end_in_every_phase_is_there(corners, case):
    assert [(one.end, one.phase) for one in corners] == [(end.id, phase) for end in case.track.ends for phase in PHASES]


def test_the_loads_carry_the_car_and_what_the_banking_adds(corners, case):
    """On a banked turn the road pushes with more than the weight, by no more than m a sin(bank) and the air on top."""
    weight = case.car.mass * 9.80665
    for one in corners:
        assert weight * 0.95 < sum(one.loads.values()) < weight * 1.6


def test_outside_tires_carry_more_than_inside_ones(corners):
    assert all(one.loads["RF"] > one.loads["LF"] and one.loads["RR"] > one.loads["LR"] for one in corners)


def test_speed_side_acceleration_and_radius_agree(corners, case):
    """Statics of a body on a slope: side, along the road, is v^2/r cos(bank) - g sin(bank)."""
    from math import cos, sin

    for one in (one for one in corners if one.phase == "middle"):  # into and out of it the line is wider
        end = next(end for end in case.track.ends if end.id == one.end)
        centripetal = one.speed**2 / end.radius
        along_road = centripetal * cos(end.bank) - 9.80665 * sin(end.bank)
        assert one.side == pytest.approx(along_road, rel=1e-6)


def test_the_limiting_axle_is_the_one_the_balance_names(corners):
    for one in corners:
        assert one.axle == ("front" if one.balance.value > 0 else "rear")
        assert one.tire in (("LF", "RF") if one.axle == "front" else ("LR", "RR"))


@pytest.mark.parametrize("stage", STAGES)
def test_each_balance_is_the_one_the_forecast_says(case, stage):
    """One source: a rear axle that steers by itself counts on both screens."""
    ends = dict(look_ahead(case).forecast.ends)
    for one in read_corners(ahead_of(case), stage):
        assert one.balance.value == pytest.approx(ends[one.end][one.phase][stage], abs=1e-6)


def test_a_run_that_ends_early_is_worn_where_the_forecast_is(case):
    from dataclasses import replace

    dry = replace(case, setup=replace(case.setup, values={**case.setup.values, "fuel_at_green": 0.006}))
    ahead = look_ahead(dry)
    assert ahead.cut_short
    first = read_corners(ahead_of(dry), "worn")[0]
    assert first.balance.value == pytest.approx(dict(ahead.forecast.ends)[first.end]["entry"]["worn"], abs=1e-6)


def test_in_json_units_are_named_and_nothing_is_left_out(case, corners):
    data = corners_data(ahead_of(case), "worn", system="si")
    assert data["units"] == {"side": "g", "forward": "g", "speed": "km/h", "load": "N", "angle": "deg"}
    first = data["corners"][0]
    assert set(first) == {
        "end", "phase", "side", "forward", "speed", "balance", "loads", "slip", "limit", "steering", "lifted", "steady",
    }  # fmt: skip
    assert first["speed"] == pytest.approx(corners[0].speed * 3.6)


def test_the_command_shows_it_and_gives_it_as_json(capsys):
    assert main(["corner", "demo", "--stage", "settled", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["stage"] == "settled"
    assert len(data["corners"]) == 6


def test_a_wrong_stage_lists_the_right_ones(capsys):
    assert main(["corner", "demo", "--stage", "wonr"]) == 2
    assert "--stage cannot be 'wonr'\n    did you mean 'worn'?" in capsys.readouterr().err


def test_a_row_without_a_steady_state_is_told(corners):
    from dataclasses import replace

    from assistant.pages.corner import corner_screen

    broken = (replace(corners[0], steady=False, lifted=("LF",)), *corners[1:])
    said = " ".join(block.text for block in corner_screen(broken, "worn", "trade") if hasattr(block, "text"))
    assert f"The car has no steady state getting in, {corners[0].end}: nothing of that row counts." in said
    tables = [block for block in corner_screen(broken, "worn", "trade") if hasattr(block, "sentence")]
    assert any(f"Off the ground: LF getting in, {corners[0].end}." in table.sentence for table in tables)
