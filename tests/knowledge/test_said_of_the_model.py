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


def test_without_camber_a_stiffer_right_front_spring_tightens_the_way_in_as_much_as_the_middle(without):
    effect = without("spring_rf", "tire.yaml", "lost 1 deg off: 0.3 %", "lost 1 deg off: 0 %")
    assert abs(effect["entry"]["fresh"]) < 0.02
    for stage in ("settled", "worn"):
        assert effect["middle"][stage] > 0.05
        assert effect["entry"][stage] == pytest.approx(effect["middle"][stage], rel=0.3)


def test_without_wear_more_air_in_the_right_rear_loosens_the_exit_on_steep_banking_too(without):
    for wear, sign in (("worn out: 0 %", -1), ("worn out: 25 %", 1)):
        effect = without("pressure_rr", "tire.yaml", "worn out: 25 %", wear, "track-steep")
        assert all(sign * effect["exit"][stage] > 0 for stage in ("settled", "worn")), wear


def test_without_wear_more_air_in_the_right_front_tightens_once_the_tires_are_warm(without):
    for wear, sign in (("worn out: 0 %", 1), ("worn out: 25 %", -1)):
        effect = without("pressure_rf", "tire.yaml", "worn out: 25 %", wear)
        assert all(sign * effect["middle"][stage] > 0 for stage in ("settled", "worn")), wear


def test_with_an_open_axle_the_front_bar_tightens_the_way_in(without):
    open_axle = "entry: 0 %, middle: 0 %, exit: 0 %"
    effect = without("front_bar", "car.yaml", "entry: 100 %, middle: 100 %, exit: 100 %", open_axle)
    assert all(change > 0 for change in effect["entry"].values())
