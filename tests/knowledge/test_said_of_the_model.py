"""What a lever's file says of the vehicle model with something left out of it is what the model then gives."""

import shutil

import pytest

from assistant.belief.effects import effect_table
from assistant.car.files import read_case
from assistant.ground.folders import knowledge_folder


@pytest.fixture(scope="module")
def without(tmp_path_factory):
    """Give what a lever does on the demo, without a complaint, when one line of one of its files is another."""

    def effect_of(lever, file, line, instead, track="track"):
        folder = tmp_path_factory.mktemp("car")
        shutil.copytree(knowledge_folder() / "demo", folder, dirs_exist_ok=True)
        shutil.copy(knowledge_folder() / "demo" / f"{track}.yaml", folder / "track.yaml")
        for name, old, new in ((file, line, instead), ("demo.yaml", "driver says:", "#")):
            text = (folder / name).read_text(encoding="utf-8")
            assert old in text
            (folder / name).write_text(text.replace(old, new), encoding="utf-8")
        return effect_table(read_case(str(folder / "demo.yaml")), [lever]).levers[lever].effect

    return effect_of


TRACKS = pytest.mark.parametrize("track", ["track", "track-flat", "track-steep"])
WARM = ("settled", "worn")
WORN_OUT = "worn out: 25 %"


@TRACKS
def test_without_camber_a_stiffer_right_front_spring_tightens_in_every_phase(without, track):
    effect = without("spring_rf", "tire.yaml", "lost 1 deg off: 0.3 %", "lost 1 deg off: 0 %", track)
    for stage in ("fresh", *WARM):
        assert effect["entry"][stage] > 0.4 * effect["middle"][stage] > 0.01
        assert effect["exit"][stage] > 0.05


@pytest.mark.parametrize(("track", "way"), [("track-flat", 1), ("track-steep", -1)])
def test_the_lean_of_the_right_front_turns_its_spring_over_in_the_middle_on_steep_banking(without, track, way):
    effect = without("spring_rf", "tire.yaml", WORN_OUT, WORN_OUT, track)
    assert all(way * change > 0.02 for change in effect["middle"].values())


@TRACKS
def test_more_air_in_the_right_rear_loosens_the_exit_of_warm_tires_and_without_wear_still_more(without, track):
    as_it_is, no_wear = (
        without("pressure_rr", "tire.yaml", WORN_OUT, wear, track) for wear in (WORN_OUT, "worn out: 0 %")
    )
    assert all(no_wear["exit"][stage] < as_it_is["exit"][stage] - 0.01 < -0.03 for stage in WARM)
    assert all(as_it_is["middle"][stage] < 0 < as_it_is["middle"]["fresh"] for stage in WARM)


@TRACKS
def test_without_wear_more_air_in_the_right_front_tightens_the_worn_car(without, track):
    for wear, sign in (("worn out: 0 %", 1), (WORN_OUT, -1)):
        effect = without("pressure_rf", "tire.yaml", WORN_OUT, wear, track)
        assert sign * effect["middle"]["worn"] > 0.02, wear
        assert effect["middle"]["fresh"] < -0.1


GEAR_REASON = ("final_drive", "tire.yaml", "lost 20 F off: 0.4 %")


@pytest.mark.parametrize("track", ["track", "track-flat"])
def test_a_shorter_gear_loosens_the_exit_only_where_heat_gives_the_rear_no_grip(without, track):
    cold, as_it_is = (without(*GEAR_REASON, instead, track) for instead in ("lost 20 F off: 0 %", GEAR_REASON[2]))
    assert all(cold["exit"][stage] < -0.01 for stage in WARM)
    assert as_it_is["exit"]["settled"] > cold["exit"]["settled"] + 0.02


def test_with_an_open_axle_the_front_bar_tightens_the_way_in(without):
    open_axle = "entry: 0 %, middle: 0 %, exit: 0 %"
    effect = without("front_bar", "car.yaml", "entry: 100 %, middle: 100 %, exit: 100 %", open_axle)
    assert all(change > 0 for change in effect["entry"].values())
