"""From complaint to ranked advice, on a small pack and a made-up table of effects."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from assistant.advice.offers import advise
from assistant.advice.ranking import gain_of
from assistant.advice.results import Note, Timing
from assistant.advice.sizing import Job, fit_lever
from assistant.advice.wanted import derive_scale, want
from assistant.belief.effects import RunChange
from assistant.belief.outcome import Outcome, RunAfter
from assistant.diagnosis.session import start
from assistant.ground.grid import STAGES, Grid
from assistant.ground.understood import CauseFound
from assistant.pages.advice_words import say_beside, say_cost, say_notes, say_physics, say_reason
from assistant.pages.hearing_words import say_stop
from tests.advice.round_numbers import IN, PSI, added_up, effect_table, grid, lever_effect, ranking, session_about
from tests.advice.small_pack import LOOSE_OFF, SYMPTOMS, cause, complaint, line, pack, small_case, symptom


def table(**changes):
    """Effects with the steps that the small car really has left."""
    left = {"spring_lr": {"steps_up": 0, "steps_down": 4}}
    made = {lever: lever_effect(lever, **more) for lever, more in left.items()}
    return effect_table(**(made | changes))


def ask(*cells, other=(), knowledge=None, case=None, effects=None, causes=None, full_model=None, **more):
    """Ask on the small car, with a full model that adds single steps up unless another is given."""
    knowledge, case, effects = knowledge or pack(), case or small_case(), effects or table()
    session = session_about(case, knowledge, complaint(*cells, other=other), causes)
    with pytest.MonkeyPatch.context() as patch:
        model = full_model or added_up(effects, case)
        patch.setattr("assistant.advice.offers.full_model_of", lambda *_: model)
        return advise(case, knowledge, session, effects, **more)


def listing(remedy):
    """Where the trade has it."""
    return next(factor.about for factor in remedy.factors if factor.name == "trade")


def by_id(advice):
    return {remedy.id: remedy for remedy in advice.remedies}


def test_a_loose_car_is_tightened_by_every_remedy_that_is_offered():
    advice = ask(*LOOSE_OFF)
    levers = [remedy for remedy in advice.remedies if remedy.kind == "lever"]
    assert len(levers) >= 4
    assert {remedy.direction for remedy in levers} == {"tighter"}
    assert all(0 < remedy.removes <= 1 for remedy in levers)
    assert [remedy.rank for remedy in advice.remedies] == list(range(1, len(advice.remedies) + 1))


def test_the_mirror_complaint_moves_the_same_levers_the_other_way():
    tight = tuple((phase, stage, "tight", severity) for phase, stage, _, severity in LOOSE_OFF)
    loose, mirrored = by_id(ask(*LOOSE_OFF)), by_id(ask(*tight))
    for lever in ("cross_weight", "track_bar", "stagger"):
        if lever in loose and lever in mirrored:
            assert loose[lever].steps == -mirrored[lever].steps


def test_a_remedy_of_the_trade_comes_with_its_words_and_a_lever_of_our_own_with_its_physics():
    found = by_id(ask(*LOOSE_OFF))
    cross = found["cross_weight"]
    assert (cross.reason, listing(cross).symptom, cross.verdict) == ("Because of cross_weight.", "loose off", "agrees")
    assert cross.sources == ("A writer, A book, 1999, p. 3",)
    assert cross.cautions == ("Car on stands.",)
    own = next(remedy for remedy in found.values() if Note("not listed") in remedy.notes)
    assert own.reason.startswith("Physics of the")


def test_start_finish_and_steps_are_legal_and_belong_together():
    case = small_case()
    for remedy in ask(*LOOSE_OFF, case=case).remedies:
        if remedy.kind != "lever" or remedy.id == "track_bar":
            continue
        limit = case.rulebook.limits[remedy.id]
        assert limit.low - 1e-9 <= remedy.finish <= limit.high + 1e-9
        assert remedy.finish - remedy.start == pytest.approx(remedy.change)
        assert remedy.change == pytest.approx(remedy.steps * limit.step)


def test_a_lever_at_its_stop_is_said_to_be_there_and_passed_over():
    advice = ask(*LOOSE_OFF)
    assert "LR spring is already the stiffest allowed." in say_beside(advice)
    assert "spring_lr" not in by_id(advice)


def test_a_lever_the_rules_fix_is_said_to_be_fixed():
    fixed = replace(lever_effect("cross_weight"), steps_down=0, steps_up=0)
    advice = ask(*LOOSE_OFF, case=small_case(fixed=("cross_weight",)), effects=table(cross_weight=fixed))
    assert "Cross weight is fixed by the rules." in say_beside(advice)
    assert "cross_weight" not in by_id(advice)


def test_levers_of_the_trade_that_do_nothing_useful_here_are_named():
    weak = lever_effect("cross_weight", scale=0.02)
    useless = replace(lever_effect("spring_rr"), effect=grid(-3.0, -3.0, -0.01), ends={})
    notes = say_beside(ask(*LOOSE_OFF, effects=table(cross_weight=weak, spring_rr=useless)))
    assert "In the trade's list, but too small to feel here: cross weight." in notes
    assert "In the trade's list, but on this car no step of it by itself mends more than it spoils: RR spring." in notes


def test_when_the_computed_direction_is_not_the_trades_both_are_shown_and_the_computed_one_decides():
    contrary = replace(
        lever_effect("cross_weight"),
        effect=grid(0, 0, -0.18),
        ends={},
        spread={phase: dict.fromkeys(STAGES, (-0.3, -0.1)) for phase in ("entry", "middle", "exit")},
    )
    cross = by_id(ask(*LOOSE_OFF, effects=table(cross_weight=contrary)))["cross_weight"]
    assert (cross.steps < 0, cross.direction, cross.verdict) == (True, "tighter", "differs")
    assert say_notes(cross) == (
        "For 'loose off' the trade would add it; computed for this car, to take out it is what helps, "
        "on nine of ten plausible cars or more."
    )
    assert say_reason(cross) == "Computed for this car, against the trade's list. Physics of the cross weight."
    assert listing(cross).against


def test_within_the_spread_the_other_direction_differs_and_says_on_how_many_cars():
    unsure = replace(
        lever_effect("cross_weight", sure=0.6),
        effect=grid(0, 0, -0.18),
        ends={},
        spread={phase: dict.fromkeys(STAGES, (-0.3, 0.1)) for phase in ("entry", "middle", "exit")},
    )
    cross = by_id(ask(*LOOSE_OFF, effects=table(cross_weight=unsure)))["cross_weight"]
    assert cross.verdict == "differs"
    assert "on most plausible cars, not on all" in say_notes(cross)
    assert cross.confidence == pytest.approx(0.6)


def test_only_one_of_the_track_bar_moves_is_shown():
    found = by_id(ask(*LOOSE_OFF))
    assert len({"track_bar", "track_bar_left", "track_bar_right"} & set(found)) == 1


def test_a_lever_of_the_book_gets_its_size_from_the_pack_and_says_so():
    toe = replace(
        lever_effect("spring_rf"), id="toe", step=0.03125 * 0.0254, effect=grid(0, 0, 0), ends={}, basis="by the book"
    )
    knowledge = pack(
        symptoms=[symptom("loose in", "loose", "entry", ["lever toe in"])],
        toe={"model": None, "by_the_book": {"per_usual_change": {"entry": -0.4}}},
    )
    remedy = by_id(ask(("entry", "settled", "loose", 3), knowledge=knowledge, effects=table(toe=toe)))["toe"]
    assert (remedy.basis, remedy.confidence) == ("by the book", None)
    assert remedy.steps < 0
    assert remedy.effect["entry"]["settled"] == pytest.approx(0.2 * -remedy.steps)
    low, high = remedy.spread["entry"]["settled"]
    assert (low, high) == (0.0, pytest.approx(2 * remedy.effect["entry"]["settled"]))


def test_a_habit_is_computed_when_the_table_has_it_and_by_the_book_otherwise():
    habit = replace(lever_effect("cross_weight"), id="squeeze-later", effect=grid(0, 0, 0.4), ends={})
    computed = by_id(ask(*LOOSE_OFF, effects=replace(table(), habits={"squeeze-later": habit})))["squeeze-later"]
    assert (computed.basis, computed.direction, computed.when) == ("computed", "tighter", "pit stop")
    assert computed.effect["exit"]["worn"] == 0.4
    assert computed.confidence == pytest.approx(0.97)
    booked = by_id(ask(*LOOSE_OFF, knowledge=pack(habit={"by_the_book": {"exit": 0.3}})))["squeeze-later"]
    assert (booked.basis, booked.effect["exit"]["fresh"]) == ("by the book", 0.3)
    unknown = by_id(ask(*LOOSE_OFF, effects=effect_table(("cross_weight",))))["squeeze-later"]
    assert (unknown.effect, unknown.removes, unknown.title) == (None, None, "squeeze later")
    assert say_reason(unknown) == "squeeze the throttle later. Because of squeeze-later."


def test_a_habit_that_would_make_it_worse_is_not_offered():
    assert "squeeze-later" not in by_id(ask(*LOOSE_OFF, knowledge=pack(habit={"by_the_book": {"exit": -0.3}})))


def found(name, chance, instead=""):
    return CauseFound(name, name, chance, "likely", instead=instead)


EARLY = cause("early-throttle", [{"balance": "loose", "phase": "exit"}], remedies=[line("driving squeeze-later")])
SNAP = cause("snap", [{"balance": "loose", "phase": "exit"}], instead="tight in the middle")
BROKEN = cause("broken", [{"balance": "loose", "phase": "all"}], safety=True)


def test_a_driving_cause_that_leads_is_answered_first():
    advice = ask(*LOOSE_OFF, knowledge=pack(causes=[EARLY]), causes=[found("early-throttle", 0.8)])
    assert advice.remedies[0].id == "squeeze-later"
    assert advice.remedies[0].notes == (Note("driving first"),)
    timid = ask(*LOOSE_OFF, knowledge=pack(causes=[EARLY]), causes=[found("early-throttle", 0.3)])
    assert timid.remedies[0].id != "squeeze-later"


def test_a_cause_that_leads_may_say_to_treat_something_else():
    advice = ask(*LOOSE_OFF, knowledge=pack(causes=[SNAP]), causes=[found("snap", 0.8)])
    levers = [remedy for remedy in advice.remedies if remedy.kind == "lever"]
    assert {remedy.direction for remedy in levers} == {"looser"}
    assert (
        "What is treated here is 'tight in the middle': cure that, and what it brings about goes with it."
        in say_beside(advice)
    )
    assert advice.complaint.cells[0].balance == "loose"  # what the driver said is kept


TIGHT_THEN_LOOSE = (
    ("middle", "settled", "tight", 2),
    ("middle", "worn", "tight", 2),
    ("exit", "settled", "loose", 3),
    ("exit", "worn", "loose", 3),
)


def test_words_that_name_both_halves_of_a_fault_are_answered_by_its_cure_before_its_cause_leads():
    both = symptom(
        "tight middle snaps loose",
        "tight",
        "middle",
        ["lever cross_weight -"],
        also_said=["tight in the middle then snaps loose off"],
    )
    snap = cause("snap", [{"balance": "loose", "phase": "exit"}], instead="tight middle snaps loose")
    knowledge = pack(symptoms=[both, *SYMPTOMS], causes=[snap])
    advice = ask(*TIGHT_THEN_LOOSE, knowledge=knowledge, causes=[found("snap", 0.3)])
    assert {remedy.direction for remedy in advice.remedies if remedy.kind == "lever"} == {"looser"}


def test_two_complaints_that_only_happen_together_are_both_kept():
    knowledge = pack(causes=[SNAP])
    advice = ask(*TIGHT_THEN_LOOSE, knowledge=knowledge, causes=[found("snap", 0.3)])
    assert not any(note.startswith("What is treated here") for note in say_beside(advice))
    assert any(remedy.direction == "tighter" for remedy in advice.remedies)


def test_a_cause_of_safety_stops_everything_but_the_looking():
    advice = ask(*LOOSE_OFF, knowledge=pack(causes=[BROKEN]), causes=[found("broken", 0.8)])
    assert say_stop(advice.stop).startswith("Stop and inspect before any adjustment: broken")
    assert {remedy.kind for remedy in advice.remedies} == {"inspect"}
    assert advice.packages == ()


def test_a_symptom_of_safety_stops_too():
    unsafe = symptom("loose off", "loose", "exit", ["inspect axle-square"], safety=True)
    stop = ask(*LOOSE_OFF, knowledge=pack(symptoms=[unsafe])).stop
    assert stop.signs == ("loose off",)


def test_a_team_that_lets_a_cause_lead_sooner_stops_sooner():
    base = pack(causes=[BROKEN])
    keen = replace(base, ranking=base.ranking.model_copy(update={"cause_leads_at": 0.2}))
    causes = [found("broken", 0.3)]
    assert ask(*LOOSE_OFF, knowledge=base, causes=causes).stop is None
    assert ask(*LOOSE_OFF, knowledge=keen, causes=causes).stop is not None


def test_where_the_trade_looks_first_the_look_stands_first():
    looking = symptom("loose off", "loose", "exit", ["inspect axle-square", "lever cross_weight +"])
    first = ask(*LOOSE_OFF, knowledge=pack(symptoms=[looking])).remedies[0]
    assert (first.kind, first.title) == ("inspect", "look at the axle-square")
    assert say_notes(first) == "Chock it. Measure. Shown first: the trade looks here before it changes anything."


def test_a_complaint_without_a_balance_gets_the_trades_usual_changes_in_the_trades_order():
    advice = ask(other=["wheelspin"])
    assert [remedy.id for remedy in advice.remedies] == ["squeeze-later", "cross_weight", "axle-square"]
    cross = by_id(advice)["cross_weight"]
    assert (cross.steps, cross.change, cross.removes) == (2, pytest.approx(0.005), None)
    assert say_notes(cross) == "The size is the trade's usual change; what it takes away of this is not computed."
    assert advice.packages == ()


def test_nothing_said_gives_no_remedy_and_no_package():
    advice = ask()
    assert (advice.remedies, advice.packages, advice.stop) == ((), (), None)


def test_a_condition_that_does_not_hold_or_is_not_known_takes_its_line_out():
    knowledge = pack(
        symptoms=[
            symptom(
                "loose off",
                "loose",
                "exit",
                [
                    line("lever cross_weight +", only_if="banking > 80 deg"),
                    line("driving squeeze-later", only_if="rpm_max > 1 rpm"),
                ],
            )
        ]
    )
    advice = ask(*LOOSE_OFF, knowledge=knowledge)
    assert "squeeze-later" not in by_id(advice)
    assert Note("not listed") in by_id(advice)["cross_weight"].notes


def test_what_cannot_be_done_in_the_time_at_hand_sinks():
    def factor(at_hand):
        remedies = ask(*LOOSE_OFF, case=small_case(at_hand=at_hand)).remedies
        cross = next(remedy for remedy in remedies if remedy.id == "cross_weight")
        return next(one for one in cross.factors if one.name == "practicality")

    assert factor("pit stop").value < factor("between runs").value
    assert factor("pit stop").about == Timing("between runs", "pit stop")


def test_late_loose_and_early_tight_needs_a_package_and_its_parts_are_explained():
    late = replace(lever_effect("cross_weight"), effect=rising(0.25, 0.25, 0.25), ends={}, spread={})
    early = replace(lever_effect("pressure_rr"), effect=rising(0.25, 0.0, 0.0), ends={}, spread={})
    effects = effect_table(
        (), cross_weight=tight(late), pressure_rr=tight(early), stagger=tight(lever_effect("stagger"))
    )
    advice = ask(
        ("exit", "fresh", "fine", 0), ("exit", "settled", "loose", 2), ("exit", "worn", "loose", 2), effects=effects
    )
    package = advice.packages[0]
    assert {move.lever for move in package.moves} == {"cross_weight", "pressure_rr"}
    assert package.order[0] == "cross_weight"
    assert package.removes - package.spoils > max(gain_of(remedy) for remedy in advice.remedies) + 0.08
    cross = next(move for move in package.moves if move.lever == "cross_weight")
    assert 0 < cross.contributes - cross.spoils < package.removes - package.spoils
    assert cross.finish - cross.start == pytest.approx(0.0025 * cross.steps)
    assert package.gap >= 0


def one_lever_a_stage():
    """Three levers, each of which mends exactly one stage of a car loose off all run long."""
    rows = {"cross_weight": (0.25, 0.0, 0.0), "pressure_rr": (0.0, 0.25, 0.0), "track_bar": (0.0, 0.0, 0.25)}
    changes = {
        lever: tight(replace(lever_effect(lever), effect=rising(*row), ends={}, spread={}))
        for lever, row in rows.items()
    }
    return effect_table((), **changes)


def test_of_two_packages_that_earn_their_place_only_the_larger_is_shown():
    cells = [("exit", stage, "loose", 2) for stage in STAGES]
    (package,) = ask(*cells, effects=one_lever_a_stage()).packages
    assert len(package.moves) == 3
    assert package.order[0] in {move.lever for move in package.moves if move.contributes > 0}


def test_three_levers_whose_first_visit_alone_mends_nothing_give_way_to_two(monkeypatch):
    monkeypatch.setattr("assistant.advice.packages.measure_relief", lambda *_: (0.0, 0.0))
    cells = [("exit", stage, "loose", 2) for stage in STAGES]
    (package,) = ask(*cells, effects=one_lever_a_stage()).packages
    assert len(package.moves) == 2


@pytest.mark.parametrize(("phase", "kept_out"), [("middle", True), ("exit", False)])
def test_a_lever_is_kept_out_of_packages_for_the_phases_its_pack_names(phase, kept_out):
    def only(fresh, settled, worn):
        return Grid.of({**grid(0.0, 0.0, 0.0), phase: {"fresh": fresh, "settled": settled, "worn": worn}})

    late = replace(lever_effect("cross_weight"), effect=only(0.25, 0.25, 0.25), ends={}, spread={})
    early = replace(lever_effect("pressure_rr"), effect=only(0.25, 0.0, 0.0), ends={}, spread={})
    effects = effect_table((), cross_weight=tight(late), pressure_rr=tight(early))
    base = pack()
    knowledge = replace(base, ranking=base.ranking.model_copy(update={"not_in_packages": {"pressure_rr": ["middle"]}}))
    cells = [(phase, "fresh", "fine", 0), (phase, "settled", "loose", 2), (phase, "worn", "loose", 2)]
    assert (ask(*cells, effects=effects, knowledge=knowledge).packages == ()) is kept_out


def test_a_lever_that_spoils_what_is_bad_already_more_than_it_mends_drops_out():
    cross = tight(replace(lever_effect("cross_weight"), effect=grid(0.2, 0.1, 0.2), ends={}, spread={}))
    sides = (("entry", "loose"), ("middle", "tight"), ("exit", "loose"))
    cells = [
        (phase, stage, balance, 5 if phase == "middle" else 1)
        for phase, balance in sides
        for stage in ("fresh", "settled", "worn")
    ]
    effects = effect_table((), cross_weight=cross)
    assert "cross_weight" not in by_id(ask(*cells, effects=effects))
    assert by_id(ask(*cells[3:6], effects=effects))["cross_weight"].steps < 0


def rising(fresh, settled, worn):
    flat = dict.fromkeys(STAGES, 0.0)
    return Grid.of({"entry": flat, "middle": flat, "exit": {"fresh": fresh, "settled": settled, "worn": worn}})


def tight(effect):
    """The same effect without any uncertainty."""
    band = {phase: {stage: (value, value) for stage, value in row.items()} for phase, row in effect.effect.items()}
    return replace(effect, spread=band)


def test_a_package_that_lives_on_uncertain_effects_is_not_shown():
    late = replace(lever_effect("cross_weight"), effect=rising(0.25, 0.25, 0.25), ends={})
    early = replace(lever_effect("pressure_rr"), effect=rising(0.25, 0.0, 0.0), ends={})
    wide = {phase: dict.fromkeys(STAGES, (-2.0, 2.0)) for phase in ("entry", "middle", "exit")}
    effects = effect_table((), cross_weight=tight(late), pressure_rr=replace(early, spread=wide))
    assert ask(("exit", "fresh", "fine", 0), ("exit", "worn", "loose", 2), effects=effects).packages == ()


def doing(*rows):
    """A full model in which each trial does the next of the given changes (the last one from then on)."""
    asked, answers = [], []

    def full_model(trials):
        known = dict(answers)
        for trial in trials:
            if trial not in known:
                row = rows[min(len(answers), len(rows) - 1)]
                known[trial] = Outcome(grid(*row), {})
                answers.append((trial, known[trial]))
        asked.append(tuple(trials))
        return [known[trial] for trial in trials]

    full_model.asked = asked
    return full_model


def test_the_full_model_is_asked_in_one_batch_for_levers_with_their_neighbors_and_for_packages():
    model = doing((0, 0, 0.3))
    ask(*LOOSE_OFF, full_model=model)
    first = model.asked[0]
    assert {len(trial.moves) for trial in first} >= {1, 2, 3}
    cross = sorted(
        steps for trial in first if len(trial.moves) == 1 for lever, steps in trial.moves if lever == "cross_weight"
    )
    assert len(set(cross)) >= 2
    asked_later = {trial for batch in model.asked[1:] for trial in batch} - set(first)
    assert all(len(trial.moves) == 1 for trial in asked_later)  # a package's members alone, or a remedy that moved up


def test_what_does_nothing_or_harm_in_the_full_model_drops_out():
    assert not [one for one in ask(*LOOSE_OFF, full_model=doing((0, 0, 0))).remedies if one.basis == "computed"]
    harmful = ask(*LOOSE_OFF, full_model=doing((0, 0, -0.3)))
    assert not [one for one in harmful.remedies if one.kind == "lever"]
    assert harmful.packages == ()
    says = "In the trade's list, but on this car no step of it by itself mends more than it spoils: "
    assert says in " ".join(say_beside(harmful))


def test_the_numbers_shown_are_those_of_the_full_model():
    for remedy in ask(*LOOSE_OFF, full_model=doing((0.1, 0, 0.3))).remedies:
        if remedy.kind == "lever":
            assert remedy.effect["exit"]["worn"] == 0.3
            assert say_cost(remedy.costs[0], "trade") == "tighter by 0.3 % coming off, on fresh tires"


def test_a_step_less_is_taken_when_the_full_model_says_it_is_better():
    effects = effect_table(("cross_weight",))
    linear = by_id(ask(*LOOSE_OFF, effects=effects))["cross_weight"]

    def full_model(trials):
        moved = {trial: dict(trial.moves).get("cross_weight", 0) for trial in trials}
        return [Outcome(grid(0, 0, 0.4 if steps == linear.steps - 1 else 0.2), {}) for steps in moved.values()]

    exact = by_id(ask(*LOOSE_OFF, effects=effects, full_model=full_model))["cross_weight"]
    assert exact.steps == linear.steps - 1
    assert exact.finish - exact.start == pytest.approx(0.0025 * exact.steps)
    assert exact.limited_by is None


def test_the_spread_moves_with_the_exact_numbers():
    effects = effect_table(("cross_weight",))
    linear = by_id(ask(*LOOSE_OFF, effects=effects))["cross_weight"]
    exact = by_id(ask(*LOOSE_OFF, effects=effects, full_model=doing((0, 0, 0.3))))["cross_weight"]
    low, high = linear.spread["exit"]["worn"]
    steps = exact.steps / linear.steps
    shifted = exact.spread["exit"]["worn"]
    assert shifted[1] - shifted[0] == pytest.approx(steps * (high - low))
    assert shifted[0] < 0.3 < shifted[1]


def test_a_car_without_a_steady_state_is_never_advised():
    def falls_over(trials):
        return [Outcome(grid(0, 0, 0.4), {}, steady=False) for _ in trials]

    advice = ask(*LOOSE_OFF, full_model=falls_over)
    assert not [one for one in advice.remedies if one.basis == "computed"]
    assert advice.packages == ()


def test_a_tire_that_would_not_last_the_run_is_marked_and_falls_in_rank():
    def full_model(trials):
        return [
            Outcome(
                grid(0, 0, 0.35),
                {},
                RunAfter(
                    {"RF": (76.0, -40.0) if dict(trial.moves).get("cross_weight") else (116.0, 0.0)},
                    {"average": 0.0},
                    (150.0, 0.0),
                    {},
                ),
            )
            for trial in trials
        ]

    plain = by_id(ask(*LOOSE_OFF, full_model=doing((0, 0, 0.35))))["cross_weight"]
    short = by_id(ask(*LOOSE_OFF, full_model=full_model)).get("cross_weight")
    assert small_case().run_laps == 80
    if short is not None:
        assert say_cost(short.costs[0], "trade") == "the right front would be done 4 laps before the end"
        assert short.rank > plain.rank


def test_no_more_than_the_packs_number_of_remedies_is_shown():
    base = pack()
    short = replace(base, ranking=base.ranking.model_copy(update={"most_remedies": 2}))
    assert [one.rank for one in ask(*LOOSE_OFF, knowledge=short).remedies] == [1, 2]


def test_a_package_is_held_against_the_levers_that_are_shown_not_against_one_that_takes_the_shop():
    late = replace(lever_effect("cross_weight"), effect=rising(0.25, 0.25, 0.25), ends={}, spread={})
    early = replace(lever_effect("pressure_rr"), effect=rising(0.25, 0.0, 0.0), ends={}, spread={})
    shop = replace(lever_effect("spring_rr"), effect=rising(0.0, 0.8, 0.8), ends={}, spread={}, steps_up=1)
    effects = effect_table((), cross_weight=tight(late), pressure_rr=tight(early), spring_rr=tight(shop))
    base = pack(spring_rr={"when": "shop"})
    knowledge = replace(base, ranking=base.ranking.model_copy(update={"most_remedies": 2}))
    cells = (("exit", "fresh", "fine", 0), ("exit", "settled", "loose", 2), ("exit", "worn", "loose", 2))
    advice = ask(*cells, effects=effects, knowledge=knowledge, case=small_case(at_hand="between runs"))
    assert "spring_rr" not in by_id(advice)
    assert {move.lever for move in advice.packages[0].moves} == {"cross_weight", "pressure_rr"}


def test_quick_advice_asks_nothing_of_the_full_model_and_leaves_packages_out():
    model = doing((0, 0, 0.3))
    advice = ask(*LOOSE_OFF, full_model=model, quick=True)
    assert (model.asked, advice.packages) == ([], ())
    assert advice.remedies


def test_what_is_offered_among_a_few_is_what_is_offered_of_them_among_all():
    base = pack()
    long = replace(base, ranking=base.ranking.model_copy(update={"most_remedies": 30}))

    def offered(among=None):
        found = ask(*LOOSE_OFF, knowledge=long, quick=True, among=among).remedies
        return {remedy.id: replace(remedy, rank=0) for remedy in found}

    every = offered()
    assert len(every) > 4
    for names in ({"cross_weight"}, {"stagger", "squeeze-later"}, {"nobody"}, set()):
        assert offered(names) == {name: remedy for name, remedy in every.items() if name in names}


def test_the_balance_of_today_is_handed_on():
    assert ask(*LOOSE_OFF).balance == table().balance


def test_a_team_that_lets_a_cause_lead_sooner_gets_other_advice():
    base = pack(causes=[EARLY])
    keen = replace(base, ranking=base.ranking.model_copy(update={"cause_leads_at": 0.2}))
    assert ask(*LOOSE_OFF, knowledge=keen, causes=[found("early-throttle", 0.3)]).remedies[0].id == "squeeze-later"


def run_ahead(effects, **laps_per_step):
    """A table that also knows the run: RR lasts 90 laps, fuel 100; given is what one step takes from the RR."""
    made = {
        lever: replace(
            effects.levers[lever],
            run=RunChange({"RR": change}, {"first": 0.0, "average": 0.002, "last": 0.0}, -0.5),
        )
        for lever, change in laps_per_step.items()
    }
    return replace(
        effects, levers={**effects.levers, **made}, forecast=SimpleNamespace(tire_laps={"RR": 90.0}, fuel_laps=100.0)
    )


def test_tire_life_pace_and_fuel_are_told_and_counted_once_the_run_is_computed():
    plain = by_id(ask(*LOOSE_OFF))["cross_weight"]
    assert plain.run is None
    worn = by_id(ask(*LOOSE_OFF, effects=run_ahead(table(), cross_weight=-1.0)))["cross_weight"]
    steps = worn.steps
    assert worn.run.tire_laps["RR"] == pytest.approx((90.0 - steps, -steps))
    assert worn.run.pace["average"] == pytest.approx(0.002 * steps)
    assert worn.run.fuel_laps == pytest.approx((100 - 0.5 * steps, -0.5 * steps))
    assert f"the right rear lasts {90 - steps} laps instead of 90" in [say_cost(cost, "trade") for cost in worn.costs]
    factors = {factor.name: factor.value for factor in worn.factors}
    spare = 90 - small_case().run_laps
    assert factors["tire life"] == pytest.approx(0.5 * steps / spare)
    assert factors["pace"] == pytest.approx(5 * 0.002 * steps)
    assert factors["score"] < {factor.name: factor.value for factor in plain.factors}["score"]


def test_a_lever_that_costs_more_tire_than_it_gives_is_passed_over_aloud():
    advice = ask(*LOOSE_OFF, effects=run_ahead(effect_table(("cross_weight",)), cross_weight=-20.0))
    assert "cross_weight" not in by_id(advice)
    assert "In the trade's list, but it costs more over the run here than it gives: cross weight." in say_beside(advice)


def test_a_size_that_would_cut_the_run_short_is_made_smaller():
    def steps(laps_per_step):
        effects = run_ahead(effect_table(("cross_weight",)), cross_weight=laps_per_step)
        scale = derive_scale(effects, ranking())
        asked = want(complaint(*LOOSE_OFF), effects, scale, ranking())
        return fit_lever("cross_weight", Job(small_case(), pack(), effects, ranking(), asked, asked)).sized.steps

    assert 0 < steps(-3.0) < steps(0.0)


def test_a_severity_that_was_not_given_is_the_packs_usual_one():
    case, knowledge = small_case(), pack()
    session = start(case, knowledge, "loose off late")
    advice = advise(case, knowledge, session, table(), quick=True)
    assert advice.complaint.cells[0].severity == 3
    assert not advice.complaint.cells[0].severity_given


def test_a_spring_comes_with_the_travel_that_decides_what_it_does():
    travel = {phase: dict.fromkeys(STAGES, (1.0 * IN, 1.5 * IN)) for phase in ("entry", "middle", "exit")}
    spring = by_id(ask(*LOOSE_OFF, effects=table(spring_rr=replace(lever_effect("spring_rr"), travel=travel))))[
        "spring_rr"
    ]
    assert say_physics(spring, "trade") == (
        "Physics of the RR spring. Seen from the scales this corner moves +1.00 to +1.50 in, bump +, "
        "coming off once settled on 8 of 10 plausible cars; a spring does its change of rate times that."
    )


def test_a_spring_whose_travel_may_be_either_way_says_on_what_it_depends():
    travel = {phase: dict.fromkeys(STAGES, (-0.5 * IN, 0.5 * IN)) for phase in ("entry", "middle", "exit")}
    spring = by_id(ask(*LOOSE_OFF, effects=table(spring_rr=replace(lever_effect("spring_rr"), travel=travel))))[
        "spring_rr"
    ]
    assert say_physics(spring, "trade").endswith("As it may be either way, the direction depends on banking and roll.")


@pytest.mark.parametrize("factor", [0.4, 1.7, 10.0])
def test_the_advice_does_not_depend_on_the_models_overall_scale(factor):
    scaled = effect_table(scale=factor, spring_lr=lever_effect("spring_lr", scale=factor, steps_up=0, steps_down=4))
    once, other = ask(*LOOSE_OFF), ask(*LOOSE_OFF, effects=scaled)
    assert [(one.id, one.steps) for one in other.remedies] == [(one.id, one.steps) for one in once.remedies]
    assert [one.removes for one in other.remedies] == pytest.approx([one.removes for one in once.remedies])
    assert [one.order for one in other.packages] == [one.order for one in once.packages]


def test_the_small_pack_lists_what_the_tests_rely_on():
    assert [one.symptom for one in SYMPTOMS] == ["loose off", "tight in the middle", "wheelspin"]
    assert small_case().setup.values["pressure_rr"] == pytest.approx(22 * PSI)
