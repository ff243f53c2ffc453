"""Packs: what is read, what is refused and in which words, and that a broken team pack never takes the tool down."""

import gc
import os
import shutil
import time
from pathlib import Path

import pytest
import yaml

from assistant.ground import yaml_file
from assistant.ground.problems import BadInput
from assistant.rules.knowledge import Knowledge, find_coverage
from assistant.rules.models_symptom import Symptom
from assistant.rules.pack import base_folder, check_packs, load_packs
from assistant.rules.pack_files import MOST_FILES
from tests.rules.small_packs import BASE, LEVER, TEAM, write_pack


@pytest.fixture
def base(tmp_path):
    return write_pack(tmp_path / "base", BASE)


def faults(*folders):
    return [problem.text() for problem in check_packs(folders).faults]


def only_fault(base, name, text):
    """Give the only problem of a base pack in which one file is different."""
    write_pack(base, {name: text})
    found = check_packs([base]).faults
    assert len(found) == 1, [one.text() for one in found]
    return f"{os.path.relpath(found[0].file, base)}:{found[0].line}: {found[0].says}; {found[0].hint}"


def replaced(name, old, new):
    assert old in BASE[name]
    return name, BASE[name].replace(old, new)


def test_the_base_pack_of_the_program_has_no_fault():
    assert faults(base_folder()) == []


def test_a_small_pack_has_no_fault(base):
    assert faults(base) == []


def test_everything_is_found_by_its_name(base):
    knowledge = load_packs([base])
    assert list(knowledge.levers) == ["stagger", "track_bar_right"]
    assert knowledge.symptoms["loose off"].remedies[0].name == "stagger less"
    assert knowledge.move_sign("stagger", "less") == -1
    assert knowledge.move_sign("stagger", "+") == 1
    assert knowledge.driving["squeeze-later"].computed.exit_drive == "-10 %"
    assert knowledge.causes["early-throttle"].signs_for[0].condition == "where is exit"
    assert knowledge.holds("where is exit", {"where": "exit"}) is True
    assert knowledge.holds("banking > 8 deg", {}) is None
    assert [(one.says, one.balance) for one in knowledge.phrases.phrases] == [(["loose"], "loose")]
    assert [one.case.case for one in knowledge.cases] == ["The word is found."]
    assert knowledge.packs[0].edition == "2026.1"


def test_every_line_knows_where_it_stands(base):
    knowledge = load_packs([base])
    places = [(remedy.name, origin.line) for remedy, origin in knowledge.where("loose off")]
    assert places == [("stagger less", 8), ("track_bar_right down", 13), ("squeeze-later", 18), ("axle-square", 23)]
    assert knowledge.origin("sources", "book").line == 2
    assert knowledge.origin("lever", "stagger").file.endswith("levers/stagger.yaml")
    assert knowledge.origin("lever", "wing") is None


def test_an_edition_keeps_its_last_nought(tmp_path):
    write_pack(tmp_path, BASE, also={"pack.yaml": BASE["pack.yaml"].replace("2026.1", "2026.10")})
    assert load_packs([tmp_path]).packs[0].edition == "2026.10"


LOOSE, TIGHT, STAGGER = "exit/loose-off.yaml", "exit/tight-off.yaml", "levers/stagger.yaml"
CASES, CAUSE, DRIVING = "exit/loose-off.cases.yaml", "causes/early-throttle.yaml", "driving/squeeze-later.yaml"


MISTAKES = yaml.safe_load((Path(__file__).parent / "mistakes.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("name", "row"), [(name, row) for name, rows in MISTAKES.items() for row in rows])
def test_what_points_at_nothing_is_one_problem_with_the_nearest_name(base, name, row):
    (change,) = row["change"].items()
    write_pack(base, dict([replaced(name, *change)]))
    # what follows elsewhere is right, too
    (found,) = (one for one in check_packs([base]).faults if one.file.endswith(name))
    said = f"{found.line}: {found.says}; {found.hint}"
    assert said == row["says"] or (row["says"].endswith("see") and said.startswith(row["says"]))


def test_the_ranking_of_the_first_pack_states_every_weight(base):
    write_pack(base, {"ranking.yaml": "ranking: base\ntire_price: 0.4\n"})
    says = [one.says for one in check_packs([base]).faults]
    assert "'step_price' is missing in this file" in says
    assert "'tire_price' is missing in this file" not in says


def test_an_own_lever_is_told_in_one_of_two_ways_not_in_both(base):
    text = LEVER.format(lever="rear_packers", title="p", plus="more", minus="less")
    text = text.replace("model: rear_packers", "model: car.cg_height\nmodel_change: 1/8 in")
    text += "range: {from: 0, to: 1, step: 1/4, now: 0}\nby_the_book: {per_usual_change: {exit: 0.1}}\n"
    assert only_fault(base, "levers/rear_packers.yaml", text) == (
        "levers/rear_packers.yaml:21: 'model' and 'by_the_book' both say what this lever does; keep one"
    )


def test_a_slip_in_a_name_is_not_answered_by_the_name_of_the_file(base):
    text = BASE[TIGHT].replace("More pull", "Even more pull")
    for slip in ("tight of", "Tight Off"):
        (base / TIGHT).unlink(missing_ok=True)
        said = only_fault(base, TIGHT, text.replace("symptom: tight off", f"symptom: {slip}"))
        assert f"did you mean 'tight off'? Else call the file {slip.replace(' ', '-')}.yaml" in said


def test_a_text_that_is_not_filled_in_is_told(base):
    assert only_fault(base, *replaced(LOOSE, "Less load.", "<why it helps>")) == (
        f"{LOOSE}:15: this is not filled in yet; write your own words in its place, without the < >"
    )


def test_a_file_that_cannot_be_read_does_not_make_others_look_wrong(base):
    assert only_fault(base, STAGGER, BASE[STAGGER].replace("unit", "unti")) == (
        f"{STAGGER}:4: unknown field 'unti'; did you mean 'unit'?"
    )


@pytest.mark.parametrize(
    "name",
    ["levers/stagger.yaml", "driving/squeeze-later.yaml", "causes/early-throttle.yaml", "exit/tight-off.yaml"],
)
def test_what_stands_in_a_file_that_cannot_be_read_is_not_missed_elsewhere(base, name):
    assert ": unknown field 'zzz'; " in only_fault(base, name, BASE[name] + "zzz: 1\n")


def test_another_thing_that_is_missing_is_told_beside_a_file_that_cannot_be_read(base):
    write_pack(base, {"levers/stagger.yaml": BASE["levers/stagger.yaml"] + "zzz: 1\n"})
    write_pack(base, dict([replaced("exit/loose-off.yaml", "driving: squeeze-later", "driving: squeeze-late")]))
    assert [one.says for one in check_packs([base]).faults] == [
        "no driving habit is called 'squeeze-late'",
        "unknown field 'zzz'",
    ]


def test_a_broken_list_of_sources_is_the_only_problem(base):
    assert only_fault(base, "sources.yaml", "sources: [book]\n") == (
        "sources.yaml:1: 'sources' must be a block of names and values, not a list; "
        "write 'name: value' lines below it, indented by two spaces"
    )


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("notes.txt", "x", "notes.txt:0: this file is not read; a pack holds .yaml files only; move it elsewhere"),
        ("exit/LOOSE.YAML", "x", "exit/LOOSE.YAML:0: this file is not read; end its name in .yaml, in small letters"),
        ("loose.yaml~", "x", "loose.yaml~:0: this file is not read; a pack holds .yaml files only; move it elsewhere"),
        ("empty.yaml", "", "empty.yaml:0: the file is empty; the first line says what kind of file it is"),
        (
            "exit/other-name.yaml",
            BASE["exit/tight-off.yaml"].replace("tight off", "slow off").replace("More pull", "Even more pull"),
            "exit/other-name.yaml:1: 'slow off' stands in a file called other-name.yaml; call the file slow-off.yaml",
        ),
        (
            "levers/wing.yaml",
            LEVER.format(lever="wing_angle", title="w", plus="up", minus="down").replace("model: wing_angle\n", ""),
            "levers/wing.yaml:1: 'wing_angle' stands in a file called wing.yaml; call the file wing_angle.yaml",
        ),
        (
            "levers/toe.yaml",
            LEVER.format(lever="toe", title="t", plus="out", minus="in").replace("model: toe\n", ""),
            "levers/toe.yaml:1: nothing says what this lever does; add 'model: ...' or a 'by_the_book:' block",
        ),
        (
            "exit/pack.yaml",
            BASE["pack.yaml"],
            "exit/pack.yaml:1: 'base' is written twice in this pack; first in",
        ),
        (
            "more.yaml",
            "sources:\n  book: {who: B, title: C, read: memory}\n",
            "sources.yaml:2: 'book' is written twice in this pack; first in",
        ),
    ],
)
def test_what_does_not_belong_into_a_pack_is_said(base, name, text, message):
    said = only_fault(base, name, text)
    assert said == message or (message.endswith("first in") and said.startswith(message))


def test_a_file_ending_in_yml_is_read_like_the_others(base):
    (base / "levers" / "stagger.yaml").rename(base / "levers" / "stagger.yml")
    assert faults(base) == []


def test_the_same_thing_in_two_files_is_said_once(base):
    shutil.copy(base / "levers" / "stagger.yaml", base / "exit" / "stagger.yaml")
    says = [one.says for one in check_packs([base]).faults]
    assert says.count("'stagger' is written twice in this pack") == len(says) == 1


def test_hidden_files_and_a_readme_are_left_alone(base):
    write_pack(base, {".hidden": "x", ".git/config": "x", "README.md": "x"})
    assert faults(base) == []


def test_a_link_that_leads_out_of_the_pack_is_refused(base, tmp_path):
    (tmp_path / "secret.yaml").write_text("symptom: secret\n")
    (base / "secret.yaml").symlink_to(tmp_path / "secret.yaml")
    (base / "loop").symlink_to(base)
    assert [one.says for one in check_packs([base]).faults] == [
        "this link to a folder is not followed",
        "this link leads out of the pack",
    ]


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "..", "a/b", "stagger\\..\\x"])
def test_a_path_in_place_of_a_name_is_refused(base, name):
    found = only_fault(base, *replaced(LOOSE, "lever: track_bar_right", f"lever: {name}"))
    assert f"'{name}' cannot be used for 'lever'" in found


def test_a_folder_that_is_no_pack_says_so(tmp_path):
    assert faults(tmp_path)[0].endswith(
        "this folder is no pack: it has no pack.yaml\n    write one with pack, title, edition and rule_format"
    )
    assert "there is no such folder" in faults(tmp_path / "nowhere")[0]


def test_a_folder_with_thousands_of_files_is_taken_for_a_mistake(tmp_path):
    write_pack(tmp_path, {"pack.yaml": BASE["pack.yaml"]} | {f"{number}.txt": "" for number in range(MOST_FILES)})
    began = time.perf_counter()
    assert faults(tmp_path) == [f"{tmp_path}: more than 2000 files stand here\n    is it a pack?"]
    assert time.perf_counter() - began < 2


def test_a_folder_of_huge_files_is_given_up_early(tmp_path):
    write_pack(tmp_path, {"pack.yaml": BASE["pack.yaml"]})
    for number in range(40):
        (tmp_path / f"{number}.yaml").write_bytes(b"#" * 990_000)
    began = time.process_time()
    assert any("all files together are larger than 20 MB" in text for text in faults(tmp_path))
    assert time.process_time() - began < 5


def test_a_base_with_a_fault_stops_the_program_with_all_of_them(base):
    write_pack(base, {LOOSE: BASE[LOOSE].replace("balance: loose", "balance: lose").replace("phase: exit", "phase: x")})
    with pytest.raises(BadInput) as caught:
        load_packs([base])
    assert [one.line for one in caught.value.problems] == [3, 4]


def test_a_broken_team_pack_is_left_out_with_one_line(base, tmp_path):
    team = write_pack(tmp_path / "ours", TEAM, also={"exit/bad.yaml": "symptom: x\n", "exit/worse.yaml": "{"})
    knowledge = load_packs([base, team])
    assert [pack.pack for pack in knowledge.packs] == ["base"]
    assert knowledge.symptoms == load_packs([base]).symptoms
    (note,) = knowledge.notes
    count = len(check_packs([base, team]).faults)
    assert (
        note.text()
        == f"{team}: this pack is left out: it has {count} problems\n    'halfturn check {team}' shows what is wrong"
    )


def test_a_pack_over_a_broken_one_is_left_out_too(base, tmp_path):
    one = write_pack(tmp_path / "one", TEAM, also={"exit/worse.yaml": "{"})
    two_files = {"pack.yaml": "pack: two\ntitle: Two\nedition: 1\nrule_format: 1\nbuilds_on: ours\n"}
    two = write_pack(tmp_path / "two", two_files)
    knowledge = load_packs([base, one, two])
    assert [pack.pack for pack in knowledge.packs] == ["base"]
    assert [note.says for note in knowledge.notes] == [
        "this pack is left out: it has 1 problem",
        "this pack is left out: a pack it needs is left out",
    ]


def test_two_packs_of_one_name_are_refused(base, tmp_path):
    other = write_pack(tmp_path / "other", {"pack.yaml": BASE["pack.yaml"]})
    assert [one.says for one in check_packs([base, other]).faults] == ["two packs are called 'base'"]


def test_a_pack_must_stand_on_the_one_it_builds_on(base, tmp_path):
    team = write_pack(tmp_path / "ours", {"pack.yaml": TEAM["pack.yaml"].replace("builds_on: base", "builds_on: bse")})
    assert [(one.says, one.hint) for one in check_packs([base, team]).faults] == [
        ("no pack 'bse' is below this one", "did you mean 'base'?")
    ]


def test_holes_are_told_and_stop_nothing(base):
    write_pack(base, {TIGHT: BASE[TIGHT].replace("balance: tight", "also_said: [Free  off]\nbalance: tight")})
    coverage = find_coverage(load_packs([base]))
    assert [(one.of, one.kind) for one in coverage.holes if one.of in {"loose off", "tight off", "free off"}] == [
        ("loose off", "no near miss"),
        ("tight off", "not found"),
        ("tight off", "no near miss"),
        ("free off", "said twice"),
    ]


def test_without_libyaml_the_same_pack_is_read(base, monkeypatch):
    expected = load_packs([base])
    monkeypatch.setattr(yaml_file, "LOADER", yaml.SafeLoader)
    assert load_packs([base]).symptoms == expected.symptoms


def test_time_to_load_grows_in_step_with_the_number_of_files(tmp_path):
    def seconds(count):
        base = write_pack(tmp_path / str(count), BASE)
        for number in range(count):
            text = BASE[TIGHT].replace("tight off", f"tight {number}").replace("More pull", f"Reason {number}")
            write_pack(base, {f"exit/tight-{number}.yaml": text})
        began = time.process_time()
        assert check_packs([base]).faults == ()
        return time.process_time() - began

    seconds(10)
    assert seconds(400) < 25 * seconds(40)  # ten times the files; the rest is for a busy machine


def test_what_is_made_of_knowledge_is_made_once_and_held_by_it():
    one, other = Knowledge(), Knowledge()

    def make(knowledge):
        return [len(knowledge.levers)]

    assert one.once(make) == [0]
    assert one.once(make) is one.once(make)
    assert one.once(make) is not other.once(make)


def test_packs_loaded_again_and_again_leave_nothing_behind(base):
    def held():
        gc.collect()
        return sum(type(one) in {Knowledge, Symptom} for one in gc.get_objects())

    load_packs([base]).once(lambda knowledge: knowledge.symptoms)
    before = held()
    for _ in range(5):
        load_packs([base]).once(lambda knowledge: knowledge.symptoms)
    assert held() == before


LOOK = """remedies:
  - {inspect: watch-pedal, title: watch, how: [Look.], because: It tells., confidence: fair, backed_by: [book]}
"""


def test_what_a_file_with_faults_names_is_not_unknown_elsewhere(base):
    """A look stands in the file of its cause: where that cannot be read, nobody may say that there is none."""
    cause, cases = "causes/early-throttle.yaml", "exit/loose-off.cases.yaml"
    more = "  - {case: Look., driver_says: loose off, expect: {first: watch-pedal, never: [gremlins]}}\n"
    write_pack(base, {cause: BASE[cause].replace("prior:", "priorr:") + LOOK, cases: BASE[cases] + more})
    said = [one.says for one in check_packs([base]).faults]
    assert said == ["unknown field 'priorr'", "no remedy is called 'gremlins'"]


def test_a_wrong_word_that_is_a_name_is_said_to_be_one(base):
    assert only_fault(base, *replaced(STAGGER, "  exit:", "  exti:")) == (
        f"{STAGGER}:16: 'exti' cannot be a name here; did you mean 'exit'?"
    )
