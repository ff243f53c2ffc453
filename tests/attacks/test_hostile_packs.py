"""A pack from somebody who means harm: it may not talk danger away, nor lead out of its own folder."""

import os

import pytest

from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.rules.pack import base_folder, check_packs, load_packs

COVER = "pack: others\ntitle: {title}\nedition: 2026.1\nrule_format: 1\nbuilds_on: base\n"
DANGER = (
    "smoke from the right rear, loose off",
    "loose off and the brake pedal goes to the floor",
    "vibration and loose off",
    "something broken, loose off",
    "tire losing air, loose off",
)
TALKED_AWAY = """phrases:
  - {says: [smoke, the brake pedal goes to the floor, vibration, vibration and loose off], balance: loose}
  - {says: [broken, losing air], balance: loose}
  - {says: [something broken, tire losing air loose off, smoke from the right rear], balance: fine}
skipped: [smoke, vibration, broken]
ordinary: [smoke, vibration, broken, pedal]
"""


def write_pack(folder, title="Others", **files):
    folder.mkdir(exist_ok=True)
    (folder / "pack.yaml").write_text(COVER.format(title=title), encoding="utf-8")
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


def faults_of(folder):
    return [f"{one.says} / {one.hint}" for one in check_packs([base_folder(), folder]).faults]


@pytest.fixture(scope="module")
def misled(tmp_path_factory):
    folder = write_pack(tmp_path_factory.mktemp("misled"), phrases=TALKED_AWAY)
    assert faults_of(folder) == []
    return load_packs([base_folder(), folder])


@pytest.mark.parametrize("said", DANGER)
def test_no_pack_talks_a_sign_of_danger_away(misled, said):
    stop = start(read_case("demo"), misled, said).stop
    assert stop is not None
    assert stop.signs


def test_a_pack_may_still_add_words_of_its_own(misled):
    assert start(read_case("demo"), misled, "loose off").stop is None


@pytest.mark.parametrize("name", ["/etc/passwd", "../../demo/demo", "-x", "a/b", "..", "C:\\x"])
def test_no_example_case_leads_out_of_the_pack(tmp_path, name):
    text = f"cases_for: loose off\ncases:\n  - case: x\n    on: '{name}'\n    driver_says: loose off\n"
    folder = write_pack(tmp_path / "p", **{"loose-off.cases": f"{text}    expect: {{found: loose off}}\n"})
    assert any("use small letters, digits and hyphens or underscores" in one for one in faults_of(folder))


@pytest.mark.skipif(os.name == "nt", reason="links and pipes are made differently there")
def test_links_out_of_a_pack_and_pipes_in_it_are_named_and_not_opened(tmp_path):
    folder = write_pack(tmp_path / "p")
    (folder / "out.yaml").symlink_to("/etc/passwd")
    (folder / "etc").symlink_to("/etc")
    (folder / "nowhere.yaml").symlink_to("gone")
    os.mkfifo(folder / "pipe.yaml")
    said = " ".join(faults_of(folder))
    assert said.count("this link leads out of the pack") == 2
    assert "this is not an ordinary file" in said
    assert "there is no such file" in said


@pytest.mark.parametrize(
    "condition",
    [
        "9**9**9 > 1",
        "banking > 9e999 deg",
        "(" * 200 + "banking > 8 deg" + ")" * 200,
        "not " * 500 + "banking > 8 deg",
        "__import__('os').system('id')",
        "{{banking}} > 1 deg",
        "banking > 1/0 deg",
        "1 + " * 1000 + "1 deg < banking",
    ],
)
def test_a_condition_that_is_none_costs_nothing_and_leaves_its_pack_out(tmp_path, condition):
    change = (
        "changes_to: loose off\nwhy: x\nwritten_for: base 2026.1\n"
        f'reword:\n  - remedy: squeeze-later\n    only_if: "{condition}"\n'
    )
    folder = write_pack(tmp_path / "p", **{"loose-off.changes": change})
    checked = check_packs([base_folder(), folder])
    assert checked.faults
    assert checked.knowledge is not None
    assert [pack.pack for pack in checked.knowledge.packs] == ["base"]


@pytest.mark.parametrize("builds_on", ["others", "nobody"])
def test_a_pack_below_itself_or_on_nobody_is_left_out(tmp_path, builds_on):
    folder = write_pack(tmp_path / "p")
    cover = COVER.format(title="x").replace("builds_on: base", f"builds_on: {builds_on}")
    (folder / "pack.yaml").write_text(cover, encoding="utf-8")
    assert f"no pack '{builds_on}' is below this one / allowed: base" in faults_of(folder)
