"""docs/write-rules.md, followed word by word: what it tells the reader to type and to write does what it says."""

import io
import re
from dataclasses import replace
from math import exp
from pathlib import Path

import pytest

from assistant.advice.case_runner import CaseBench, run_case, run_cases
from assistant.car.files import read_case
from assistant.cli import main
from assistant.diagnosis.causes import ALONE, MADE, PRIOR, STRENGTH, WRONG, weigh, worth
from assistant.diagnosis.hearing import complaint_of, read
from assistant.diagnosis.session import start
from assistant.ground.folders import knowledge_folder
from assistant.rules.pack import base_folder, check_packs

PAGE = (knowledge_folder().parent / "docs" / "write-rules.md").read_text(encoding="utf-8")
COMPLAINT, CASES, CHANGES, OWN, CAUSE, QUESTION, PHRASES, CAUSE_CASES = re.findall(
    r"```yaml\n(.*?)```", PAGE, re.DOTALL
)
TYPED = re.findall(r"^halfturn (.*)$", PAGE, re.MULTILINE)


@pytest.fixture
def follow(tmp_path, monkeypatch, capsys):
    """Type a line of the page in an empty folder; gives the code and what was shown."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    def type_line(line, says=""):
        monkeypatch.setattr("sys.stdin", io.StringIO(says))
        words = [one or two for one, two in re.findall(r'"([^"]*)"|(\S+)', line)]
        code = main(words)
        return code, " ".join(capsys.readouterr().out.split())

    return type_line


def filled_in(path):
    """The text of a starter, with words in place of all that stands in < >."""
    return re.sub(r"<([^<>\n]+)>", r"our words for \1", path.read_text(encoding="utf-8"))


def written(complaint=COMPLAINT):
    Path("our-team/skates-on-the-patch.yaml").write_text(complaint, encoding="utf-8")
    Path("our-team/skates-on-the-patch.cases.yaml").write_text(CASES, encoding="utf-8")


def test_the_page_is_followed_from_an_empty_folder_to_the_conversation(follow):
    pack, symptom, explain, check, talk, where = TYPED[:6]
    assert follow(pack)[0] == 0
    assert Path("our-team/pack.yaml").is_file()
    assert follow(symptom)[0] == 0
    assert sorted(path.name for path in Path("our-team").iterdir()) == [
        "pack.yaml",
        "skates-on-the-patch.cases.yaml",
        "skates-on-the-patch.yaml",
    ]
    written()
    shown = follow(explain)[1]
    assert "(spring_rr)" in shown
    assert "+ means stiffer" in shown
    code, shown = follow(check)
    assert (code, shown.endswith("no fault.")) == (0, True), shown
    code, shown = follow(talk, "it skates on the patch\n1\nenough\nquit\n")
    assert re.search(r"\b1 Walk the patch and see where it begins", shown), shown
    assert "A look, no change." in shown
    shown = follow(where)[1]
    assert "walk-the-patch: our-team/skates-on-the-patch.yaml:8" in shown


def test_the_mistake_the_page_asks_for_is_shown_with_what_was_meant(follow):
    follow(TYPED[0])
    written(COMPLAINT.replace("balance:", "ballance:"))
    said = [one.text() for one in check_packs([base_folder(), "our-team"]).faults]
    assert any("skates-on-the-patch.yaml:3:1" in one and "did you mean 'balance'?" in one for one in said), said


def test_the_change_on_the_page_is_the_one_of_the_example_team():
    file = knowledge_folder() / "example-team" / "middle" / "tight-in-the-middle.changes.yaml"
    assert CHANGES in file.read_text(encoding="utf-8")


def test_a_lever_of_ones_own_is_started_filled_in_and_offered_on_the_car(follow):
    assert follow("new pack our-team")[0] == 0
    line = re.search(r"`halfturn (new lever .*?)`", PAGE)[1]
    assert follow(line)[0] == 0
    path = Path("our-team/rear_packers.yaml")
    rows = [row for row in filled_in(path).split("\n") if not re.match("unit:|range:|usual_|largest_", row)]
    path.write_text("\n".join([*rows, OWN + "usual_change: 1", "largest_change: 2", ""]), encoding="utf-8")
    assert check_packs([base_folder(), Path("our-team")]).faults == ()
    shown = follow("levers demo rear_packers --pack our-team")[1]
    assert "One step is 1 more. Now 2. Steps left: 2 down, 2 up." in shown


def test_a_cause_of_ones_own_is_started_filled_in_and_weighed(follow):
    assert follow("new pack our-team")[0] == 0
    assert follow(re.search(r"`halfturn (new cause .*?)`", PAGE)[1])[0] == 0
    started = check_packs([base_folder(), Path("our-team")]).faults
    assert {one.says for one in started} == {"this is not filled in yet"}
    for name, text in (("cracked-brace", CAUSE), ("questions", QUESTION), ("cracked-brace.cases", CAUSE_CASES)):
        Path(f"our-team/{name}.yaml").write_text(text, encoding="utf-8")
    checked = check_packs([base_folder(), Path("our-team")])
    assert checked.faults == ()
    assert run_cases(checked.knowledge, only="cracked-brace") == []
    facts = {"contact": "contact", "what_changed": "front"}
    complaint = complaint_of(read("loose all the way", checked.knowledge))
    weighing = weigh(complaint, facts, checked.knowledge, frozenset())
    signs = dict(zip([one.cause for one in weighing.causes], weighing.signs, strict=True))
    assert "It has been hit and nobody has looked since." in [one.sign.text for one in signs["cracked-brace"]]


def test_the_cause_on_the_page_is_the_one_of_the_example_team():
    team = knowledge_folder() / "example-team"
    for text, file in ((CAUSE, "cracked-brace"), (CAUSE_CASES, "cracked-brace.cases")):
        assert text in (team / "causes" / f"{file}.yaml").read_text(encoding="utf-8")
    assert QUESTION in (team / "questions.yaml").read_text(encoding="utf-8")
    assert PHRASES.partition("\n")[2] in (team / "phrases.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "found"), [("cracked brace", "cracked"), ("the brace let go", "cracked"), ("brace is good", "sound")]
)
def test_the_words_on_the_page_for_a_cause_of_ones_own_answer_its_question(team, words, found):
    assert read(f"loose all the way, {words}", team).said.answers == {"brace-looked-at": found}


def test_a_case_of_a_cause_fails_where_another_cause_is_likelier(team):
    one = next(case for case in team.cases if case.case.expect.cause == "cracked-brace")
    turned = replace(one, case=one.case.model_copy(update={"answers": {"safety": "none", "brace-looked-at": "sound"}}))
    assert "the likeliest cause must be cracked-brace" in run_case(turned, team, CaseBench(team))[0].says
    near = next(case for case in team.cases if case.case.expect.not_cause == "cracked-brace")
    told = {name: found for name, found in near.case.answers.items() if name != "brace-looked-at"}
    turned = replace(near, case=near.case.model_copy(update={"answers": told}))
    failed = [one.says for one in run_case(turned, team, CaseBench(team))]
    assert "cracked-brace must not be among the likeliest causes" in failed[0]
    assert "brace-replaced must never be offered" in failed[1]


def test_a_cause_with_no_sign_against_it_has_weaker_signs_for_it_and_check_says_so(team):
    cause = team.causes["cracked-brace"].model_copy(update={"signs_against": []})
    weaker = replace(team, causes={**team.causes, "cracked-brace": cause})
    with_it, without = lead_of_crack(team), lead_of_crack(weaker)
    pair = re.search(r"worth (\S+) points and not (\S+)\.\n", PAGE).groups()
    assert [f"{one.signs_for[0].weight:.1f}" for one in (without, with_it)] == [*pair]
    assert f"so {with_it.prior + with_it.signs_for[0].weight:+.1f} points" in PAGE
    assert 0.2 < with_it.chance < 0.3  # "about a quarter"
    one = next(case for case in team.cases if case.case.expect.cause == "cracked-brace")
    assert "no sign speaks against cracked-brace" in run_case(one, weaker, CaseBench(team))[0].says


def lead_of_crack(knowledge):
    """What the cracked brace is given where the lamp showed the crack."""
    case = replace(read_case("demo"), answers={"safety": "none", "brace-looked-at": "cracked"}, complaint="")
    session = start(case, knowledge, "loose all the way")
    return next(one for one in session.causes if one.id == "cracked-brace")


def test_the_order_of_answers_counts_as_the_page_says(base):
    fade, least = re.search(r"taken for (\d+) % less likely to be right, down to\s+(\d+) %", PAGE).groups()
    assert (int(fade), int(least)) == (100 * base.weights.trade_fade, 100 * base.weights.trade_least)


@pytest.mark.parametrize("way", re.findall(r"`(model: [^`]*)` and\s+`(model_change: [^`]*)`", PAGE))
def test_both_ways_the_page_names_to_compute_a_lever_are_right(follow, way):
    follow("new pack our-team")
    follow(re.search(r"`halfturn (new lever .*?)`", PAGE)[1])
    path = Path("our-team/rear_packers.yaml")
    text = filled_in(path).partition("by_the_book:")[0]
    path.write_text(text + "\n".join([*way, ""]), encoding="utf-8")
    assert check_packs([base_folder(), Path("our-team")]).faults == ()
    assert "What one step does, in percent of grip:" in follow("levers demo rear_packers --pack our-team")[1]


def table_of(heading):
    """The rows of the table with this first head, by their first cell."""
    rows = PAGE.partition(f"| `{heading}` |")[2].split("\n\n")[0].split("\n")[2:]
    return {cells[0]: cells[1:] for cells in ([one.strip() for one in row.strip("|").split("|")] for row in rows)}


def test_what_the_words_of_a_cause_are_worth_is_what_the_program_counts():
    found = {word: float(points) for word, (points, _) in table_of("prior").items()}
    assert found == PRIOR
    rows = table_of("strength")
    assert list(rows) == list(STRENGTH)
    for word, (bare, wrong, points, times) in rows.items():
        assert float(bare) == STRENGTH[word]
        assert float(wrong.removesuffix(" in 100")) == pytest.approx(100 * WRONG[word])
        assert float(points) == pytest.approx(worth(word), abs=0.05)
        assert float(times) == pytest.approx(exp(worth(word)), rel=0.03)
    assert {word: said[0] for word, said in MADE.items()} == {"often": "strong", "seldom": "weak", "never": "strong"}
    assert {word: said for word, said in ALONE.items() if said[1]} == {"seldom": ("fair", -1), "never": ("strong", -1)}
