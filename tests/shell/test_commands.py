import io
import json
import re
import shutil
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.commands import runner as run_module
from assistant.commands.own import new_files
from assistant.ground.folders import demo_folder
from assistant.rules.pack import base_folder, check_packs, load_packs
from tests.notebook.talks import leave_few_levers

EVIL = "\x1b[2J\u202e"


@pytest.fixture(autouse=True)
def one_reading_of_the_base_pack(monkeypatch, knowledge, tmp_path):
    """Reading the base pack takes most of a second; every test here may share it."""
    monkeypatch.setattr(
        run_module, "load_with", lambda names: load_packs([base_folder(), *names]) if names else knowledge
    )
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)


def run(capsys, *words):
    code = main(words)
    captured = capsys.readouterr()
    assert not controls(captured.out)
    assert not controls(captured.err)
    return code, " ".join(captured.out.split()), captured.err


def controls(text):
    """What of a text could move a cursor or turn the reading direction."""
    return [letter for letter in text if (ord(letter) < 32 and letter != "\n") or letter in "\x7f\u202e\x9b"]


def answer(capsys, *words):
    code = main(words)
    shown = capsys.readouterr().out
    assert not controls(shown)
    return code, json.loads(shown)


def test_advise_gives_the_answer_the_reason_the_cost_and_how_sure(capsys):
    code, said, _ = run(capsys, "advise", "demo")
    assert code == 0
    assert said.startswith("I read: loose coming off, late in the run")
    assert said.index("Costs:") < said.index("Chance it cures: about")


def test_advise_in_json_holds_the_remedies_in_the_units_asked_for(capsys):
    code, data = answer(capsys, "advise", "demo", "--json")
    assert code == 0
    assert data["complaint"]["cells"]
    assert all(remedy["kind"] in {"lever", "driving", "inspect", "repair"} for remedy in data["remedies"])


def test_advise_takes_words_and_answers(capsys):
    code, data = answer(capsys, "advise", "demo", "--complaint", "tight", "--answer", "where=middle", "--json")
    assert code == 0
    assert {cell["phase"] for cell in data["complaint"]["cells"]} == {"middle"}


def test_a_sign_of_danger_is_done_with_zero(capsys):
    code, said, _ = run(capsys, "advise", "demo", "--complaint", "vibration and loose off")
    assert code == 0
    assert "Stop and inspect before any adjustment" in said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--complaint", "xyzzy"), "the complaint: nobody can read 'xyzzy'"),
        (("--complaint", "car is good"), "the complaint: it is fine in these words, so there is nothing to change"),
        (("--complaint", "good early, fades late"), "that leaves open: fades (loose, tight, or just slow?)"),
        (("--complaint", " "), "the case holds no complaint"),
        (("--answer", "where"), "--answer: 'where' is no answer"),
        (("--answer", "were=exit"), "there is no question 'were'"),
        (("--answer", "where=exot"), "'exot' is no answer to 'where'; did you mean 'exit'?"),
    ],
)
def test_what_advise_cannot_read_is_bad_input(capsys, words, says):
    code, out, err = run(capsys, "advise", "demo", *words)
    assert (code, out) == (2, "")
    assert says in err


def test_a_case_that_is_not_there_gets_the_nearest(capsys):
    code, _, err = run(capsys, "advise", "demo-tigt")
    assert code == 2
    assert "did you mean 'demo-tight'?" in err


def test_levers_shows_one_line_for_each_and_fits_eighty_columns(capsys):
    assert main(["levers", "demo", "all"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert any(row.startswith("stagger ") for row in rows)
    assert max(map(len, rows)) <= 80


def test_where_a_lever_stands_has_its_unit_and_a_bar_moved_at_both_ends_its_mean(capsys):
    assert main(["levers", "demo", "all"]) == 0
    rows = [" ".join(row.split()) for row in capsys.readouterr().out.splitlines()]
    assert any(row.startswith("track bar 10 1/4 in 1/4 in up ") for row in rows)
    assert "Now 51.0 %. Steps left: 20 down, 28 up. Usual: 2 legal steps; at most 3 at once." in " ".join(
        run(capsys, "levers", "demo", "cross_weight")[1].split()
    )
    assert main(["levers", "demo", "track_bar"]) == 0
    assert "Now 10 1/4 in (left 10 in, right 10 1/2 in)." in capsys.readouterr().out
    assert any(row.startswith("nose tape 2 strips 1 strip more ") for row in rows)


@pytest.mark.parametrize("name", ["RR spring", "rear axle lead", "fuel at green", "track bar right"])
def test_a_lever_is_shown_in_full_by_the_name_it_has_in_the_table(capsys, name):
    assert main(["levers", "demo", "all"]) == 0
    assert any(row.startswith(f"{name} ") for row in capsys.readouterr().out.splitlines())
    assert main(["levers", "demo", name]) == 0
    assert "_" not in capsys.readouterr().out


def test_one_lever_in_full_has_table_spread_and_trade(capsys):
    code, said, _ = run(capsys, "levers", "demo", "Rear Stagger")
    assert code == 0
    assert "What one step does" in said
    assert "On 8 of 10 plausible cars, all on these tires:" in said
    assert "The trade says of more:" in said


def test_levers_in_json_is_what_the_contract_names(capsys):
    _, data = answer(capsys, "levers", "demo", "stagger", "--json")
    assert set(data["levers"]["stagger"]) >= {
        "title",
        "unit",
        "plus_means",
        "step",
        "from",
        "effect",
        "trade",
        "verdicts",
    }


def test_try_shows_both_and_saves_nothing(capsys, tmp_path):
    code, said, _ = run(capsys, "try", "demo", "stagger+=1/4in")
    assert code == 0
    assert "from 1 7/8 in to 2 1/8 in" in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("stager=2 in", "no lever of this car is in 'stager'; did you mean stagger?"),
        ("stagger", "stagger: which way, or to what?"),
        ("stagger=2 psi", "stagger: psi is"),
    ],
)
def test_a_change_that_cannot_be_read_is_bad_input(capsys, change, says):
    code, _, err = run(capsys, "try", "demo", change)
    assert code == 2
    assert says in err


def test_a_change_outside_the_rules_is_computed_and_said(capsys):
    code, said, _ = run(capsys, "try", "demo", "stagger=3 1/2 in")
    assert code == 0
    assert "Not legal:" in said


def test_where_names_file_and_line_of_a_symptom_and_its_remedies(capsys):
    code, data = answer(capsys, "where", "loose", "off", "--json")
    assert code == 0
    assert data["lines"][0]["file"].endswith("loose-off.yaml")
    assert len(data["lines"]) > 1


def test_where_finds_a_symptom_by_another_name(capsys):
    assert "loose-off.yaml" in run(capsys, "where", "free", "off")[1]


@pytest.mark.parametrize(("word", "lever"), [("stagger", "stagger"), ("cross weight", "cross_weight"), ("toe", "toe")])
def test_a_word_that_is_also_a_lever_is_explained_as_both(capsys, word, lever):
    said = run(capsys, "explain", word)[1]
    assert said.lower().startswith(f"{word} ")
    assert f"({lever}) Unit: " in said
    assert "; + means " in said


def test_a_ratio_is_said_in_words(capsys):
    assert "Unit: ratio, so much to 1; + means shorter." in run(capsys, "explain", "final_drive")[1]


def test_the_lever_screen_says_the_same_time_as_the_advice(capsys):
    assert "When: shop." in run(capsys, "levers", "demo", "nose_weight")[1]


def test_explain_gives_both_sides_of_a_dispute_with_who_says_it(capsys):
    said = " ".join(run(capsys, "explain", "cross_weight")[1].split())
    assert "Disputed: Jacking up the right front against an entry push. One side: It puts load on" in said
    assert "cures the push (" in said
    assert "What decides: Whether the right front was badly short of load" in said
    assert "Disputed" not in run(capsys, "explain", "bar_screw")[1]


@pytest.mark.parametrize("command", ["where", "explain", "help"])
def test_a_word_nobody_knows_is_bad_input_with_the_nearest(capsys, command):
    code, _, err = run(capsys, command, "staggr")
    assert code == 2
    assert "stagger" in err


def test_explaining_how_a_lever_is_moved_comes_with_its_cautions(capsys, knowledge):
    code, data = answer(capsys, "explain", "track_bar_right", "--json")
    assert code == 0
    gravest_first = [key for key in knowledge.cautions if key in knowledge.levers["track_bar_right"].cautions]
    wanted = [knowledge.cautions[key].says for key in gravest_first]
    assert wanted
    assert data["cautions"] == wanted
    said = " ".join(run(capsys, "explain", "track_bar_right")[1].split())
    assert all(text in said for text in wanted)


@pytest.mark.parametrize("word", ["wedge", "track_bar_right", "loose off", "tight-middle-snap", "squeeze-later"])
def test_explain_knows_words_levers_symptoms_causes_and_habits(capsys, word):
    code, data = answer(capsys, "explain", *word.split(), "--json")
    assert code == 0
    assert data["says"]


def test_help_without_a_topic_lists_commands_and_pages(capsys):
    code, said, _ = run(capsys, "help")
    assert code == 0
    assert "Pages: " in said


def test_help_shows_a_page(capsys):
    assert "# Commands" in run(capsys, "help", "commands")[1]


TO_FILL_IN = re.compile(r"<([^<>\n]+)>")


def start_pack(folder, kind, change=lambda text: text):
    """Write the starters of a pack and of one kind of file into a folder, each text changed like this."""
    files = {**new_files("pack", "ours", folder, "trade"), **new_files(kind, "over the bump", None, "trade")}
    for path, text in files.items():
        (folder / path.name).write_text(change(text), encoding="utf-8")
    return check_packs([base_folder(), folder])


@pytest.mark.parametrize("kind", ["symptom", "lever", "cause"])
def test_a_starter_passes_the_check_once_it_is_filled_in(kind, tmp_path):
    checked = start_pack(tmp_path, kind, lambda text: TO_FILL_IN.sub(r"our words for \1", text))
    assert [fault.text() for fault in checked.faults] == []
    shelf = {
        "symptom": checked.knowledge.symptoms,
        "lever": checked.knowledge.levers,
        "cause": checked.knowledge.causes,
    }[kind]
    assert shelf.keys() & {"over the bump", "over_the_bump", "over-the-bump"}


@pytest.mark.parametrize("kind", ["symptom", "lever", "cause"])
def test_a_starter_nobody_filled_in_is_told_line_by_line(kind, tmp_path):
    checked = start_pack(tmp_path, kind)
    body = "".join(new_files(kind, "over the bump", None, "trade").values())
    rows = [row for row in body.splitlines() if TO_FILL_IN.search(row) and not row.startswith("#")]
    assert rows
    assert [fault.says for fault in checked.faults] == ["this is not filled in yet"] * len(rows)


def test_new_offers_no_kind_of_file_that_nothing_reads(capsys):
    code, _, err = run(capsys, "new", "lesson", "over the bump")
    assert code == 2
    assert "lesson" in err


def test_new_never_writes_over_a_file(capsys, tmp_path):
    assert run(capsys, "new", "setup", "mine")[0] == 0
    before = (tmp_path / "mine.yaml").read_text()
    code, _, err = run(capsys, "new", "setup", "mine")
    assert code == 2
    assert err == "mine.yaml: is there already\n    give another name, or -o FILE\n"
    assert (tmp_path / "mine.yaml").read_text() == before


def test_a_new_case_can_be_advised_on_at_once(capsys):
    assert run(capsys, "new", "case", "mine", "--starter")[0] == 0
    assert run(capsys, "advise", "mine/case.yaml")[0] == 0


def test_new_car_asks_and_takes_every_default_at_the_end_of_the_input(capsys, monkeypatch, tmp_path):
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    code, said, _ = run(capsys, "new", "car", "speedy")
    assert code == 0
    assert "halfturn talk speedy/case.yaml opens it again." in said
    assert (tmp_path / "speedy" / "setup.yaml").is_file()


def test_check_refuses_a_folder_that_is_not_there(capsys):
    code, _, err = run(capsys, "check", "nowhere")
    assert (code, err) == (2, "nowhere: there is no such folder\n    the folder with a pack.yaml\n")


def test_check_finds_a_fault_and_says_no(capsys, tmp_path, monkeypatch):
    monkeypatch.setattr("assistant.commands.packs.run_cases", lambda _: ())
    (tmp_path / "ours").mkdir()
    (tmp_path / "ours" / "pack.yaml").write_text(
        "pack: ours\ntitel: Ours\nedition: 2026.1\nrule_format: 1\nbuilds_on: base\n"
    )
    code, said, _ = run(capsys, "check", "ours")
    assert code == 1
    assert "ours/pack.yaml:2:1:" in said
    assert "did you mean 'title'?" in said


def test_the_base_pack_has_no_fault_of_form(capsys, monkeypatch):
    monkeypatch.setattr("assistant.commands.packs.run_cases", lambda _: ())
    code, said, _ = run(capsys, "check")
    assert code == 0
    assert "no fault." in said


def test_nothing_a_file_holds_reaches_the_terminal(capsys, tmp_path, monkeypatch):
    """A case, a pack, words and a file name with control letters in them; `run` looks at all that comes out."""
    monkeypatch.setattr("assistant.commands.packs.run_cases", lambda _: ())
    code, *_ = run(capsys, "new", "case", "mine", "--starter")
    assert code == 0
    case = tmp_path / "mine" / "case.yaml"
    case.write_text(
        case.read_text().replace("case: mine", 'case: "a\\e[2J\\u202eb"').replace("late in the run", "\\u202e")
    )
    for words in (("advise", str(case)), ("levers", str(case), "stagger"), ("try", str(case), "stagger=2 in")):
        assert run(capsys, *words)[0] in {0, 2}
    assert run(capsys, "advise", "demo", "--complaint", f"loose off {EVIL}")[0] == 0
    assert run(capsys, "explain", EVIL)[0] == 2
    assert run(capsys, "where", EVIL)[0] == 2
    for path, text in {
        **new_files("pack", "ours", Path("ours"), "trade"),
        **new_files("symptom", "over it", None, "trade"),
    }.items():
        Path("ours").mkdir(exist_ok=True)
        said = text.replace("Say in one or two sentences what the driver feels.", '"feels a\\e[2J\\u202eb"')
        (Path("ours") / path.name).write_text(said, encoding="utf-8")
    assert run(capsys, "--pack", "ours", "explain", "over it")[0] in {0, 2}
    assert run(capsys, "check", "ours")[0] in {0, 1}
    evil = Path(f"ev{EVIL}il")
    shutil.copytree(tmp_path / "mine", tmp_path / evil)
    assert run(capsys, "advise", str(evil / "nothing.yaml"))[0] == 2


def test_levers_shows_how_severities_are_measured_on_this_car(capsys):
    code, said, _ = run(capsys, "levers", "demo", "--severity")
    assert code == 0
    assert said.startswith("How bad, in percent of grip: 1 is 0.2, 2 is 0.4, 3 is 0.8, 4 is 1.3, 5 is 2.0;")
    assert "this driver's measure is" in said
    low, high = answer(capsys, "levers", "demo", "--severity", "--json")[1]["severity"]["driver_factor"]
    assert 0.3 < low < 1.0 < high < 3.0


def test_advise_names_three_open_questions_at_most_and_how_many_are_left(capsys):
    _, said, _ = run(capsys, "advise", "demo", "all")
    assert said.count("(--answer ") == 3
    assert "that would tell less; halfturn talk asks what is worth asking." in said


def test_advise_is_short_and_all_shows_every_change_with_every_cost(capsys):
    _, short, _ = run(capsys, "advise", "demo")
    assert short.count("(--answer ") == 1
    said = " ".join(short.split())
    assert "see why" not in said
    assert "halfturn advise demo all shows the whole list with every cost; halfturn talk demo asks, compares" in said
    _, whole, _ = run(capsys, "advise", "demo", "all")
    assert " smaller" not in whole
    offers = re.split(r" (?=\d [A-Z][a-z]+ )", whole)[1:]
    assert len(offers) == 7
    free = "A look, no change|A repair|Free, no wrench|Right only for"
    assert all("Costs:" in one for one in offers if not re.search(free, one))


TEAM = ("--pack", str(base_folder().parent / "example-team"))


def test_levers_shows_one_of_the_teams_own_with_what_the_book_says(capsys):
    code, said, _ = run(capsys, "levers", "demo", "rear_packers", *TEAM)
    assert code == 0
    assert (
        "One step is 1 more. Now 2. Steps left: 2 down, 2 up. Usual: 1 legal step; at most 2 at once. "
        "The model does not compute this lever. By the book "
        "one step does, in percent of grip, on any tires: getting in 0.00; in the middle 0.00; coming off -0.10. "
        "The size is an assumption, anything from nothing to double."
    ) in said


def test_try_says_that_a_lever_of_the_teams_own_is_not_computed_and_out_of_its_range(capsys):
    code, said, _ = run(capsys, "try", "demo", "rear_packers=9", *TEAM)
    assert code == 0
    assert said.startswith(
        "Packers on the right rear bump rubber: from 2 to 9. The model does not compute this lever, so both runs are "
        "driven alike; halfturn levers CASE LEVER says what it does by the book. "
        "Not legal: packers on the right rear bump rubber is 9, more than its own range, 4; nearest legal: 4."
    )


@pytest.fixture
def long_list(tmp_path):
    """A pack that shows a longer list."""
    folder = tmp_path / "long"
    folder.mkdir()
    head = "pack: long\ntitle: A longer list\nedition: 2026.1\nrule_format: 1\nbuilds_on: base\nabout: For a test.\n"
    (folder / "pack.yaml").write_text(head, encoding="utf-8")
    (folder / "ranking.yaml").write_text("ranking: long\nmost_remedies: 30\n", encoding="utf-8")
    return ("--pack", str(folder))


def test_advise_offers_a_lever_of_the_teams_own_marked_by_the_book(capsys, long_list):
    words = ("all", "--complaint", "loose off in turns 1-2, 1")
    code, said, _ = run(capsys, "advise", "demo-tight", *words, *TEAM, *long_list)
    assert code == 0
    assert "Take out the packers on the right rear bump rubber, from 2 to 0: tighter" in said
    assert "By the book, not computed; its size is an assumption." in said


def test_the_sheet_has_a_lever_of_the_teams_own_among_the_changes_and_in_the_setup(capsys, long_list):
    words = ("--complaint", "loose off in turns 1-2, 1", "-o", "-", "--format", "markdown")
    code, said, _ = run(capsys, "sheet", "demo-tight", *words, *TEAM, *long_list)
    assert code == 0
    assert "Take out the packers on the right rear bump rubber, from 2 to 0." in said
    assert re.search(r"\*\*packers on the right rear bump rubber 2\*\* \(number \d+ makes it 0\)", said)


def test_levers_and_forecast_warn_of_a_tire_that_runs_away_hot(capsys, tmp_path):
    for path in (base_folder().parent / "demo").glob("*.yaml"):
        shutil.copy(path, tmp_path / path.name)
    case, tire, track = (tmp_path / f"{name}.yaml" for name in ("demo", "tire", "track-steep"))
    case.write_text(case.read_text().replace("track: track", "track: track-steep"))
    track.write_text(track.read_text().replace("temperature: 75 F", "temperature: 120 F"))
    text = tire.read_text().replace("heat share: 50 %", "heat share: 58 %")
    tire.write_text(re.sub(r"(?m)^(  rate: )[\d.]+ mm per MJ", r"\g<1>0 mm per MJ", text))
    leave_few_levers(case)
    hot = "The right front runs away hot: "
    for words in (("levers", str(case), "stagger"), ("levers", str(case)), ("forecast", str(case))):
        said = run(capsys, *words)[1]
        assert hot in said
        assert "Every size is uncertain here, late in the run most of all." in said
    assert hot not in run(capsys, "forecast", "demo")[1]


@pytest.mark.parametrize("words", [("--complaint", "it smokes, loose off"), ("--answer", "safety=yes")])
def test_a_stop_stands_alone_in_every_form(capsys, words):
    code, said, _ = run(capsys, "advise", "demo", *words)
    assert code == 0
    assert said.startswith("Stop and inspect before any adjustment")
    assert "I read" not in said
    _, data = answer(capsys, "advise", "demo", *words, "--json")
    assert data["stop"]["reason"].startswith("Stop and inspect")
    assert data["causes"] == data["remedies"] == data["packages"] == data["open_questions"] == []
    _, page = answer(capsys, "sheet", "demo", *words, "--json")
    assert page["title"].startswith("Stop: ")
    stop, said = page["main"]
    assert stop["blocks"][0]["text"].startswith("Stop and inspect")
    assert (said["title"], page["foot"]) == ("What was said", [])


def test_a_sign_of_danger_stops_where_the_words_cannot_be_read(capsys):
    code, said, _ = run(capsys, "advise", "demo", "--complaint", "it feels weird", "--answer", "safety=yes")
    assert code == 0
    assert said.startswith("Stop and inspect before any adjustment")


@pytest.mark.parametrize("words", [["explain", "wedge"], ["explain", "stagger"], ["levers", "demo", "cross_weight"]])
def test_no_screen_tells_how_much_of_a_source_was_read(capsys, words):
    said = " ".join(run(capsys, *words)[1].split())
    assert "(read:" not in said
    assert "opening only" not in said


def test_an_explanation_names_its_sources(capsys, knowledge):
    source = knowledge.sources["hsw"]
    assert source.title in " ".join(run(capsys, "explain", "wedge")[1].split())


def test_a_lever_the_rules_fix_has_no_step(tmp_path, capsys):
    for file in demo_folder().glob("*.yaml"):
        rows = file.read_text(encoding="utf-8").splitlines(keepends=True)
        kept = (row for row in rows if file.stem != "rulebook" or "caster" not in row)
        (tmp_path / file.name).write_text("".join(kept), encoding="utf-8")
    assert main(["levers", str(tmp_path / "demo.yaml"), "caster_split"]) == 0
    said = capsys.readouterr().out
    assert "Now 2.5 deg. It cannot be moved: fixed by the rules, or at both ends." in said
    assert "One step is" not in said


def test_new_names_the_pack_around_a_file_or_how_to_make_one(capsys, tmp_path):
    said = run(capsys, "new", "cause", "bent arm", "-o", "ours/causes/bent-arm.yaml")[1]
    assert "halfturn new pack -o ours/causes makes it one" in " ".join(said.split())
    assert run(capsys, "new", "pack", "ours")[0] == 0
    said = run(capsys, "new", "cause", "slow leak", "-o", "ours/causes/slow-leak.yaml")[1]
    assert said.rstrip().endswith("halfturn check ours")


def test_levers_say_first_what_of_the_setup_is_not_legal(capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    setup = (demo_folder() / "setup-demo.yaml").read_text(encoding="utf-8")
    (tmp_path / "setup-demo.yaml").write_text(setup.replace("air: 22 psi", "air: 40 psi"), encoding="utf-8")
    (tmp_path / "mine.yaml").write_text((demo_folder() / "demo.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    leave_few_levers(tmp_path / "mine.yaml")
    code, said, _ = run(capsys, "levers", str(tmp_path / "mine.yaml"))
    assert code == 0
    assert said.startswith("Not legal: RR pressure is 40.0 psi, more than 'demo-rules' allows, 32.0 psi;")


def test_help_shows_a_page_of_the_documentation_as_outside_of_the_talk(talk):
    assert "For a coach: five conflicts, tried by hand" in talk.type("help coach")
    assert "There is no help on 'nothing at all'." in talk.type("help nothing at all")


# A spring swap with its seat left alone, as a command.


def test_try_with_seats_alone_says_so_and_answers_otherwise_than_with_the_car_scaled_again(capsys):
    shown = []
    for more in ([], ["--seats-alone"]):
        assert main(["try", "demo", "spring_lr=225", *more]) == 0
        shown.append(" ".join(capsys.readouterr().out.split()))
    says = "Springs swapped, seats left alone: the car is not scaled again, so a stiffer one adds load at its corner."
    assert says not in shown[0]
    assert says in shown[1]
    assert shown[0] != shown[1].replace(says + " ", "")
