"""A team pack over the base: four verbs, a place for every line, and nothing merged silently."""

import pytest

from assistant.rules.models_symptom import Cause, Phrase
from assistant.rules.pack import check_packs, load_packs
from assistant.rules.references import check_shifts
from tests.rules.small_packs import BASE, LEVER, TEAM, write_pack

CHANGES = "exit/loose-off.changes.yaml"


@pytest.fixture
def folders(tmp_path):
    return [write_pack(tmp_path / "base", BASE), write_pack(tmp_path / "ours", TEAM)]


def names(knowledge, symptom="loose off"):
    return [remedy.name for remedy in knowledge.symptoms[symptom].remedies]


def fault(folders, old, new):
    """Give the only problem when one thing in the team's file is different."""
    assert old in TEAM[CHANGES]
    write_pack(folders[1], {CHANGES: TEAM[CHANGES].replace(old, new)})
    found = check_packs(folders).faults
    assert len(found) == 1, [one.text() for one in found]
    return f"{found[0].line}:{found[0].column}: {found[0].says}; {found[0].hint}"


def test_a_team_drops_moves_rewords_and_adds(folders):
    knowledge = load_packs(folders)
    assert names(knowledge) == ["axle-square", "stagger less", "track_bar_right up", "squeeze-later"]
    assert knowledge.symptoms["loose off"].remedies[1].because == "Our tires like it."
    assert knowledge.symptoms["loose off"].also_said == ["free off", "wags off"]
    assert names(knowledge, "tight off") == ["stagger more"]
    assert knowledge.notes == ()


def test_a_team_has_its_own_words_for_a_cause_too(folders):
    written = "changes_to: early-throttle\nwhy: We say so.\nwritten_for: base 2026.1\nalso_said: [stabs it]\n"
    write_pack(folders[1], {"causes/early-throttle.changes.yaml": written})
    assert load_packs(folders).causes["early-throttle"].also_said == ["stabs it"]
    write_pack(
        folders[1], {"causes/early-throttle.changes.yaml": written.replace("[stabs it]", "[stabs it, stabs it]")}
    )
    assert load_packs(folders).causes["early-throttle"].also_said == ["stabs it"]


def test_every_line_says_which_pack_it_comes_from(folders):
    where = [
        (remedy.name, origin.pack, origin.line, origin.note)
        for remedy, origin in load_packs(folders).where("loose off")
    ]
    assert where == [
        ("axle-square", "base", 23, "moved by ours: Our bar is already low."),
        ("stagger less", "ours", 8, "reworded: Our bar is already low."),
        ("track_bar_right up", "ours", 10, "added: Our bar is already low."),
        ("squeeze-later", "base", 18, ""),
    ]


def test_a_case_the_team_means_to_break_is_marked(folders):
    (named,) = [one.no_longer for one in load_packs(folders).cases]
    assert (named.pack, named.line) == ("ours", 17)


def test_a_move_may_be_written_with_a_sign(folders):
    write_pack(folders[1], {CHANGES: TEAM[CHANGES].replace("track_bar_right down", "track_bar_right -")})
    assert "track_bar_right down" not in names(load_packs(folders))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "changes_to: loose off",
            "changes_to: lose off",
            None,
        ),
        (
            "drop: [track_bar_right down]",
            "drop: [track_bar_right dwon]",
            "4:8: 'loose off' has no remedy 'track_bar_right dwon'; did you mean 'track_bar_right down'?",
        ),
        (
            "to: first",
            "to: fisrt",
            "6:31: 'fisrt' cannot be used for 'to'; did you mean 'first'?",
        ),
        (
            "to: first",
            "to: after stager less",
            "6:31: 'loose off' has no remedy 'stager less'; did you mean 'stagger less'?",
        ),
        (
            "{remedy: axle-square,",
            "{remedy: axle-squar,",
            "6:14: 'loose off' has no remedy 'axle-squar'; did you mean 'axle-square'?",
        ),
        (
            "{remedy: stagger less, because: Our tires like it.}",
            "{remedy: stagger less}",
            "8:5: this rewords nothing; give a new because, watch_for or undo_if",
        ),
        (
            "    move: up\n    after: stagger less",
            "    move: more\n    after: stagger less",
            "11:11: 'track_bar_right' cannot be moved 'more'; allowed: up, down, +, -",
        ),
        (
            "lever: track_bar_right\n    move: up",
            "lever: stagger\n    move: less",
            "10:5: 'loose off' already has 'stagger less'; use move or reword",
        ),
        (
            "after: stagger less",
            "after: stagger mroe",
            "12:12: 'loose off' has no remedy 'stagger mroe'; did you mean 'stagger less'?",
        ),
        (
            "written_for: base 2026.1",
            "written_for: bse 2026.1",
            "3:14: no pack 'bse 2026.1' is below this one; did you mean 'base'?",
        ),
        (
            "written_for: base 2026.1",
            "written_for: 2026.1",
            "3:14: no pack '2026.1' is below this one; write the pack and its edition, such as 'base 2026.1'",
        ),
        (
            "no_longer: [The word is found.]",
            "no_longer: [The wrod is found.]",
            "17:13: no case of 'loose off' is called 'The wrod is found.'; did you mean 'The word is found.'?",
        ),
        (
            "why: Our bar is already low.\n",
            "",
            "1:1: 'why' is missing in this file; add a line 'why: ...'",
        ),
    ],
)
def test_a_change_to_something_that_is_not_there_says_so(folders, old, new, message):
    if message is None:
        (folders[1] / CHANGES).unlink()
        write_pack(folders[1], {"exit/lose-off.changes.yaml": TEAM[CHANGES].replace(old, new)})
        (one,) = check_packs(folders).faults
        assert one.says == "no earlier pack has 'lose off'"
        assert one.hint == "did you mean 'loose off'?"
        return
    assert fault(folders, old, new) == message


def test_the_same_symptom_in_a_team_pack_is_told_to_use_changes(folders):
    write_pack(folders[1], {"exit/tight-off.yaml": BASE["exit/tight-off.yaml"].replace("More pull", "Our own reason")})
    (one,) = check_packs(folders).faults
    assert (one.says, one.hint) == ("base already has 'tight off'", "write 'changes_to: tight off' to alter it")


def test_the_same_lever_in_a_team_pack_needs_another_name(folders):
    write_pack(folders[1], {"levers/stagger.yaml": BASE["levers/stagger.yaml"]})
    (one,) = check_packs(folders).faults
    assert (one.says, one.hint) == ("base already has 'stagger'", "choose another name")


RANGE = "range: {from: 0, to: 4, step: 1, now: 2}\n"


def test_a_team_may_bring_levers_symptoms_sources_phrases_and_weights(folders):
    lever = LEVER.format(lever="roof_strip", title="strip on the roof", plus="more", minus="less")
    write_pack(
        folders[1],
        {
            "levers/roof_strip.yaml": lever.replace(
                "model: roof_strip\n", RANGE + "by_the_book: {per_usual_change: {exit: 0.1}}\n"
            ),
            "sources.yaml": "sources:\n  our-test: {who: We, title: Test day, read: whole}\n",
            "phrases.yaml": "phrases:\n  - {says: [waggy], balance: loose}\nskipped: [well]\n",
            "ranking.yaml": "ranking: ours\ntire_price: 0.3\nconfidence_words: {guess: 0.4}\n",
        },
    )
    knowledge = check_packs(folders).knowledge
    assert knowledge.packs[-1].pack == "base"  # the small base has no ranking, so a partial one cannot stand
    (folders[1] / "ranking.yaml").unlink()
    knowledge = load_packs(folders)
    assert knowledge.levers["roof_strip"].by_the_book.per_usual_change == {"exit": 0.1}
    assert knowledge.phrases.phrases[0] == Phrase(says=["waggy"], balance="loose")
    assert knowledge.phrases.skipped == ["well", "a"]
    assert set(knowledge.sources) == {"book", "our-test"}


@pytest.mark.parametrize(
    ("unit", "change", "kind"),
    [("in", "1/4 in", "short_length"), ("lb", "10 lb", "mass"), ('""', "1", "count"), ("holes", "1 hole", "holes")],
)
def test_a_lever_a_team_added_is_measured_in_the_quantity_of_its_unit(folders, unit, change, kind):
    text = LEVER.format(lever="roof_strip", title="strip", plus="more", minus="less").replace(
        "unit: in", f"unit: {unit}"
    )
    text = text.replace("model: roof_strip\n", RANGE + "by_the_book: {per_usual_change: {exit: 0.1}}\n")
    write_pack(folders[1], {"levers/roof_strip.yaml": text.replace("1/4 in", change).replace("1/2 in", change)})
    assert load_packs(folders).levers["roof_strip"].quantity == kind


def test_a_lever_a_team_added_needs_a_unit_that_exists(folders):
    text = LEVER.format(lever="roof_strip", title="strip", plus="more", minus="less").replace("unit: in", "unit: blorb")
    text = text.replace("model: roof_strip", "by_the_book: {per_usual_change: {exit: 0.1}}")
    write_pack(folders[1], {"levers/roof_strip.yaml": text})
    (one,) = check_packs(folders).faults
    assert (one.says, one.hint) == ("'blorb' is no unit", "use a unit such as in, lb/in, psi, deg or turns")


def test_a_later_packs_weight_wins_line_by_line(tmp_path):
    from assistant.rules.pack import base_folder

    team = write_pack(
        tmp_path,
        {
            "pack.yaml": TEAM["pack.yaml"],
            "ranking.yaml": "ranking: ours\ntire_price: 0.3\nconfidence_words: {guess: 0.4}\n",
        },
    )
    before, after = load_packs([base_folder()]).ranking, load_packs([base_folder(), team]).ranking
    assert after.tire_price == 0.3
    assert after.confidence_words == {**before.confidence_words, "guess": 0.4}
    changed = {name for (name, old), (_, new) in zip(before, after, strict=True) if old != new}
    assert changed == {"tire_price", "confidence_words"}


@pytest.mark.parametrize(
    ("edition", "last_changed", "noted"),
    [
        ("2026.1", "", False),
        ("2026.2", "", True),
        ("2026.10", "", True),
        ("2026.2", "last_changed: 2026.1\n", False),
        ("2026.2", "last_changed: 2026.2\n", True),
    ],
)
def test_a_change_over_something_that_changed_since_is_noted(tmp_path, edition, last_changed, noted):
    loose = BASE["exit/loose-off.yaml"].replace("balance: loose", f"{last_changed}balance: loose")
    cover = BASE["pack.yaml"].replace("2026.1", edition)
    base = write_pack(tmp_path / "base", BASE, also={"pack.yaml": cover, "exit/loose-off.yaml": loose})
    knowledge = load_packs([base, write_pack(tmp_path / "ours", TEAM)])
    says = f"'loose off' changed in base {edition}, after this was written for base 2026.1"
    assert [note.says for note in knowledge.notes] == ([says] if noted else [])
    assert names(knowledge)[0] == "axle-square"
    for note in knowledge.notes:
        assert note.hint.startswith("its answers there are now ")
        assert note.hint.endswith(f"; look again, then set written_for to 'base {edition}'")


def test_a_third_pack_changes_what_the_second_left(folders, tmp_path):
    third = {
        "pack.yaml": "pack: mine\ntitle: Mine\nedition: 1\nrule_format: 1\nbuilds_on: ours\n",
        CHANGES: "changes_to: loose off\nwhy: I like it so.\nwritten_for: ours 1\ndrop: [axle-square]\n",
    }
    assert names(load_packs([*folders, write_pack(tmp_path / "mine", third)])) == [
        "stagger less",
        "track_bar_right up",
        "squeeze-later",
    ]


FAULTS = (
    ("", 1, "nothing says how far this lever goes and where it stands"),
    ("range: {from: 0, to: 4, step: 0, now: 2}", 9, "the step must be more than nothing"),
    (
        "range: {from: 0, to: 4, step: 0.001, now: 2}",
        9,
        "the step is too fine: more than 250 of them lie between 'from' and 'to'",
    ),
    ("range: {from: 0, to: 0.5, step: 1, now: 0}", 9, "there is not one step between 'from' and 'to'"),
    ("range: {from: 0, to: 4, step: 1, now: 5}", 9, "it stands outside its own range"),
    ("range: {from: 0, to: 4 psi, step: 1, now: 2}", 9, "psi is a pressure, a length is wanted"),
    (RANGE + "model: car.cg_hight\nmodel_change: 0.1 in", 10, "the vehicle model has no 'car.cg_hight'"),
    (RANGE + "model: toe\nmodel_change: 0.1 in", 10, "the vehicle model does not compute 'toe'"),
    (RANGE + "model: car.cg_height", 10, "nothing says how far one step moves 'car.cg_height'"),
    (RANGE + "model: car.cg_height\nmodel_change: 0 in", 11, "a change of nothing does nothing"),
    (RANGE + "model: car.cg_height\nmodel_change: 5 lb", 11, "lb is a weight, a length is wanted"),
    (RANGE + "model_change: 1", 10, "'model_change' stands without 'model'"),
)


@pytest.mark.parametrize(("lines", "row", "says"), FAULTS)
def test_what_a_lever_of_a_teams_own_lacks_is_said(folders, lines, row, says):
    text = LEVER.format(lever="roof_strip", title="strip", plus="more", minus="less")
    book = "" if "model:" in lines else "by_the_book: {per_usual_change: {exit: 0.1}}\n"
    write_pack(folders[1], {"levers/roof_strip.yaml": text.replace("model: roof_strip", lines.strip()) + book})
    (fault,) = check_packs(folders).faults
    assert (fault.line, fault.says) == (row, says)


@pytest.mark.parametrize(
    ("band", "says"),
    [
        ({"stagger": ["1/4 in", "1 psi"]}, "psi is a pressure, a length is wanted"),
        ({"stagger": ["1 in", "1/4 in"]}, "the band ends before it begins"),
        ({"toe": ["1/4 in", "1 in"]}, "the vehicle model does not compute 'toe'"),
        ({"staggr": ["1/4 in", "1 in"]}, "the vehicle model does not compute 'staggr'"),
    ],
)
def test_how_far_a_lever_is_off_under_a_cause_is_checked(band, says):
    cause = Cause.model_validate(
        {"cause": "a", "title": "A", "prior": "rare", "explains": [{"balance": "loose", "phase": "all"}]}
        | {"signs_for": [{"if": "where is all", "strength": "weak", "text": "T."}], "test": "T.", "backed_by": ["ours"]}
        | {"model": band}
    )
    assert [mistake.says for mistake in check_shifts(cause)] == [says]


def test_a_lever_of_every_setup_has_no_range_of_its_own(folders):
    text = BASE["levers/stagger.yaml"] + RANGE + "model_change: 1\n"
    write_pack(folders[0], {"levers/stagger.yaml": text})
    says = [fault.says for fault in check_packs(folders[:1]).faults]
    assert says == [
        "'range' is for levers of a team's own; 'stagger' is a lever of every setup",
        "'model_change' is for levers of a team's own; 'stagger' is a lever of every setup",
    ]
