"""The audit: claims held against made-up effects with round numbers, and the demo car held against the base pack."""

import json
from dataclasses import replace
from types import SimpleNamespace

import pytest

from assistant.advice.audit import (
    audit,
    count_verdicts,
    is_miss,
    is_unexplained,
    lever_claims,
    remedy_claims,
    share_of_cars,
)
from assistant.advice.trade import VERDICTS
from assistant.belief.effects import effect_table
from assistant.car.files import read_case
from assistant.cli import main
from assistant.ground.names import PHASES, STAGES
from assistant.pages.blocks import Line
from assistant.pages.packs import audit_json, audit_lines, audit_rows, audit_screen, fault_of
from tests.advice.round_numbers import STEPS, grid
from tests.demo_table import believe_case
from tests.generators.audit_page import audit_tracks


def lever_effect(lever, *, scale=1.0, sure=0.97, row=None):
    """What one step of a lever does, by the orientation numbers unless a row is given."""
    step, usual = STEPS[lever]
    row = usual if row is None else row
    moved, shares = grid(*(scale * value for value in row)), grid(sure, sure, sure)
    return SimpleNamespace(id=lever, step=step, effect=moved, sign_share=shares, basis="computed")


def made_up(levers, **changes):
    """A table of made-up effects."""
    found = {lever: lever_effect(lever) for lever in levers} | changes
    return SimpleNamespace(levers=found, stages=STAGES, phases=PHASES, cars=64)


@pytest.fixture(scope="module")
def audits(base):
    """The demo car on the three tracks."""
    return audit_tracks(base)


def small(base, *levers, **fields):
    """The base pack with these levers only, and no symptoms."""
    kept = {name: base.levers[name].model_copy(update=fields) for name in levers}
    return replace(base, levers=kept, symptoms={})


@pytest.mark.parametrize(
    ("scale", "sure", "misses", "unexplained"),
    [
        (1.0, 0.9, False, False),
        (1.0, 0.54, True, False),  # this car bears it out, too few others do
        (-1.0, 0.54, True, False),
        (-1.0, 0.55, True, True),
        (0.0, 1.0, True, True),  # the trade has a direction, and the model nothing
    ],
)
def test_a_claim_is_missed_on_this_car_or_on_too_few_and_needs_a_reason_where_most_differ(
    base, scale, sure, misses, unexplained
):
    effects = made_up(("cross_weight",), cross_weight=lever_effect("cross_weight", scale=scale, sure=sure))
    found = audit(read_case("demo"), small(base, "cross_weight", differs=[]), effects=effects).levers
    assert {is_miss(one) for one in found} == {misses}
    assert {is_unexplained(one) for one in found} == {unexplained}


def test_a_claim_the_model_bears_out_agrees_with_its_figures(base):
    found = audit(read_case("demo"), small(base, "cross_weight"), effects=made_up(("cross_weight",)))
    entry = found.levers[0]
    assert (entry.verdict, entry.change) == ("agrees", 0.085)
    assert entry.share == pytest.approx(0.97)
    assert found.faults == ()


def test_a_disagreement_without_a_reason_is_a_fault_at_the_file_of_the_lever(base):
    knowledge = small(base, "spring_rr", differs=[])
    effects = made_up(("spring_rr",), spring_rr=lever_effect("spring_rr", scale=-1.0))
    found = audit(read_case("demo"), knowledge, effects=effects).faults
    faults = sorted(fault_of(one, knowledge) for one in found)
    assert len(faults) == 2
    fault = faults[1]
    assert fault.file.endswith("levers/spring_rr.yaml")
    assert fault.says == (
        "spring_rr stiffer, middle: the trade says looser, the model tighter (+0.270 % a step on 97% of plausible cars)"
    )
    assert fault.hint == "say why with 'differs: {kind: ..., why: ...}', or mend the entry"


def test_a_reason_in_the_pack_makes_a_disagreement_no_fault(base):
    effects = made_up(("spring_rr",), spring_rr=lever_effect("spring_rr", scale=-1.0))
    reasons = [
        base.levers["camber_rf"].differs[0].model_copy(update={"phase": phase}) for phase in ("entry", "middle", "exit")
    ]
    found = audit(read_case("demo"), small(base, "spring_rr", differs=reasons), effects=effects)
    assert [one.verdict for one in found.levers] == ["trade says it depends", "differs", "differs"]
    assert found.faults == ()


def test_a_claim_of_no_effect_is_measured_by_what_a_driver_feels(base):
    knowledge = small(base, "brake_bias", differs=[])
    quiet = made_up(("brake_bias",))
    assert [one.verdict for one in audit(read_case("demo"), knowledge, effects=quiet).levers] == ["agrees"] * 3
    loud = made_up(("brake_bias",), brake_bias=lever_effect("brake_bias", row=(0.175, 0.2, 0.0)))
    found = audit(read_case("demo"), knowledge, effects=loud)
    assert [one.verdict for one in found.levers] == ["agrees", "differs", "agrees"]
    assert "the trade says none, the model more (+0.200 % a step)" in fault_of(found.faults[0], knowledge).says


def test_a_remedy_has_to_answer_its_complaint_in_its_phase(base):
    symptom = base.symptoms["loose off"].model_copy(
        update={"remedies": [one for one in base.symptoms["loose off"].remedies if one.lever == "stagger"]}
    )
    knowledge = replace(small(base, "stagger", differs=[], trade={}), symptoms={"loose off": symptom})
    found = audit(read_case("demo"), knowledge, effects=made_up(("stagger",)))
    assert [(one.claim.topic, one.verdict, one.change) for one in found.remedies] == [("loose off", "agrees", 0.485)]
    wrong = made_up(("stagger",), stagger=lever_effect("stagger", scale=-1.0))
    fault = fault_of(audit(read_case("demo"), knowledge, effects=wrong).faults[0], knowledge)
    assert fault.file.endswith("exit/loose-off.yaml")
    assert fault.line > 1
    assert fault.says.startswith("loose off: stagger less: the trade says tighter, the model looser (-0.485 % a step")


def test_a_remedy_whose_condition_fails_on_the_car_is_not_asked(base):
    remedies = [one for one in base.symptoms["loose off"].remedies if one.lever == "stagger"]
    never = [one.model_copy(update={"only_if": "banking > 80 deg"}) for one in remedies]
    for kept, count in ((remedies, 1), (never, 0)):
        symptom = base.symptoms["loose off"].model_copy(update={"remedies": kept})
        knowledge = replace(base, symptoms={"loose off": symptom})
        assert len(list(remedy_claims(knowledge, read_case("demo")))) == count


def test_cells_count_by_what_the_lever_does_there(base):
    (claim,) = (one for one in lever_claims(small(base, "brake_bias")) if one.phases == ("entry",))
    whole = replace(claim, phases=("entry", "middle", "exit"))
    effect = lever_effect("brake_bias", row=(0.3, 0.0, 0.0))
    effect.sign_share = {phase: dict.fromkeys(STAGES, share) for phase, share in SHARES.items()}
    assert share_of_cars(whole, effect) == 1.0


SHARES = {"entry": 1.0, "middle": 0.0, "exit": 0.0}


def test_the_base_pack_has_no_disagreement_without_a_reason_on_any_of_the_three_tracks(base, audits):
    assert [fault_of(one, base).says for found in audits.values() for one in found.faults] == []


def by_the_book(findings):
    return sum(not one.stages and one.claim.says != "depends" for one in findings)


def test_most_of_what_the_trade_says_is_borne_out_on_the_demo_car(audits):
    for findings in (audits["demo"].levers, audits["demo"].remedies):
        counts = count_verdicts(findings)
        assert counts["agrees"] > 5 * (counts["differs"] + counts["nothing computed"] - by_the_book(findings))


def test_every_reason_of_a_lever_is_needed_on_some_track(base, audits):
    """A reason nobody needs is an excuse; `needed` goes by identity, since two reasons may read alike."""
    findings = [one for found in audits.values() for one in (*found.levers, *found.remedies)]
    needed = {id(reason) for one in findings if is_miss(one) for reason in one.claim.reasons}
    spare = [
        f"{name}, {one.phase}" for name, lever in base.levers.items() for one in lever.differs if id(one) not in needed
    ]
    assert spare == []


def test_the_audit_of_a_case_counts_and_says_each_disagreement(base, audits):
    rows = audit_rows(audits["demo"])
    assert [row[0] for row in rows] == ["differs", "agrees", "nothing computed", "trade says it depends"]
    lines = list(audit_lines(audits["demo"], base))
    assert len(lines) >= sum(int(number) for number in rows[0][1:3])
    assert any(line.startswith("spring_lr stiffer, exit: differs; tighter said, -0.0") for line in lines)
    assert any("nothing computed (" in line for line in lines)
    assert not any("no reason given" in line for line in lines if ": differs;" in line)


def test_the_audit_as_data_has_the_figures_and_the_reasons(base, audits):
    data = audit_json(audits["steep"], base)
    assert (data["case"], data["plausible_cars"]) == ("demo", audits["steep"].cars)
    (row,) = (one for one in data["levers"] if one["claim"] == "camber_rf positive, entry")
    assert (row["verdict"], row["trade_says"], row["steps"]) == ("differs", "tighter", 1)
    assert row["percent_per_step"] < -0.1
    assert row["reasons"][0]["kind"] == "depends on"


def test_a_case_may_be_audited_with_effects_that_are_there_already(base):
    effects = effect_table(read_case("demo"), believe_case(read_case("demo")), ["stagger"])
    found = audit(read_case("demo"), small(base, "stagger"), effects=effects)
    assert found.cars == effects.cars
    assert {one.verdict for one in found.levers} == {"agrees"}


@pytest.fixture
def check(monkeypatch, capsys):
    """`halfturn check` without the example cases, which have tests of their own, and with an audit that is done."""

    def run_check(audited, *words):
        monkeypatch.setattr("assistant.commands.packs.run_cases", lambda *_: ())
        monkeypatch.setattr("assistant.commands.packs._audit", lambda *_: audited)
        code = main(["check", *words])
        return code, capsys.readouterr().out

    return run_check


def test_check_prints_the_audit_and_the_coverage(audits, check):
    code, shown = check(audits["demo"], "--audit", "demo", "--coverage")
    assert code == 0
    assert "held against demo and " in shown
    assert "spring_lr stiffer, exit: differs;" in shown
    assert "loose, exit, worn" in shown
    assert "Holes: " in shown


def test_check_leaves_with_1_when_a_disagreement_has_no_reason(audits, check):
    code, shown = check(replace(audits["demo"], faults=audits["demo"].levers[:1]), "--audit")
    assert code == 1
    assert "1 fault to mend." in shown


def test_check_gives_the_audit_as_data(audits, check):
    code, shown = check(audits["flat"], "--audit", "demo", "--json")
    data = json.loads(shown)
    assert code == 0
    assert data["faults"] == []
    assert data["audit"]["counts"]["levers"]["agrees"] > 40
    assert len(data["coverage"]["cells"]) == 18


def test_lines_of_a_later_pack_stand_first_and_bear_its_name(audits, base):
    demo = audits["demo"]
    at, last = [(at, one) for at, one in enumerate(demo.remedies) if is_miss(one)][-1]
    ours = replace(last, claim=replace(last.claim, origin=replace(last.claim.origin, pack="our-team")))
    marked = replace(demo, remedies=(*demo.remedies[:at], ours, *demo.remedies[at + 1 :]))
    before, after = list(audit_lines(demo, base)), list(audit_lines(marked, base))
    assert after == [f"our-team: {before[-1]}", *before[:-1]]
    team = replace(base, packs=(*base.packs, base.packs[0].model_copy(update={"pack": "our-team"})))
    said = " ".join(one.text for one in audit_screen(marked, team) if isinstance(one, Line))
    assert f"Of these from our-team: {', '.join(f'{word} {int(word == ours.verdict)}' for word in VERDICTS)}." in said
