"""Order: which levers the believed cars confirm for "loose off late, first laps fine"."""

from __future__ import annotations

import numpy as np

from assistant.belief.believe import Belief, believe
from assistant.belief.cures import Verdict, judge, want
from assistant.belief.driven import Effect
from assistant.belief.garage import Garage
from assistant.belief.known import Known, rows_of_complaint
from assistant.car.case import Case, is_computed, levers_of, numbers_moved
from assistant.car.files import read_case
from assistant.car.moves import neighbors
from assistant.ground.understood import Cell, Complaint

STORY = Complaint("", (Cell("exit", "worn", "loose", 3.0, False), Cell("exit", "fresh", "fine", 0.0, False)))
CONFIRMED = 0.7
MOST_STEPS = 4
ASKED = (
    "stagger", "cross_weight", "spring_rr", "track_bar", "track_bar_right", "pressure_lr", "pressure_rr", "front_bar",
    "spring_rf", "link_angle_rr", "rear_spoiler", "camber_lf",
)  # fmt: skip


def told(case: Case, garage: Garage | None = None) -> Belief:
    """Believe the story on a case."""
    return believe(case, Known(rows_of_complaint(STORY)), garage)


def judge_effect(belief: Belief, effect: Effect) -> Verdict:
    """Judge a change by the story."""
    wanted = want(belief, STORY)
    return judge(wanted, wanted.read(effect))


def share_helped(belief: Belief, effect: Effect) -> float:
    """Chance that the complained cells come nearer to neutral together."""
    wanted = want(belief, STORY)
    before, moved = wanted.before[wanted.wrong], wanted.read(effect)[wanted.wrong]
    return belief.chance(np.abs(before + moved).sum(axis=0) < np.abs(before).sum(axis=0))


Judged = tuple[float, str, int, float, Verdict]
"""What a lever removes at its best size, the lever, that size, share of the cars that one step helps, its verdict."""


def judge_order(belief: Belief, case: Case, levers: tuple[str, ...]) -> list[Judged]:
    """Judge the best size of each lever."""
    found: list[Judged] = []
    for lever in levers:
        if lever not in levers_of(case.setup) or not is_computed(lever, case.setup):
            continue
        down, up = neighbors(case.setup, case.rulebook, case.car, lever)
        effect = belief.move(numbers_moved(lever, up or down, case.setup))
        sizes = [times for times in range(-MOST_STEPS, MOST_STEPS + 1) if times]
        best = max(sizes, key=lambda times: judge_effect(belief, effect.times(float(times))).removes)
        verdict = judge_effect(belief, effect.times(float(best)))
        found.append((verdict.removes, lever, best, share_helped(belief, effect.times(float(np.sign(best)))), verdict))
    return found


def prove_order(case: Case, garage: Garage, levers: tuple[str, ...] = ASKED) -> list[str]:
    """List the best size of each lever, by what it removes on the mean of the cars."""
    found = judge_order(told(case, garage), case, levers)
    lines = []
    for removes, lever, best, helped, verdict in sorted(found, key=lambda row: -row[0]):
        mark = "confirmed" if helped >= CONFIRMED else "not confirmed"
        lines.append(
            f"  {lever:16s} {best:+d} steps: removes {removes:.2f}, cures {verdict.cures:.2f}, direction "
            f"{verdict.direction:.2f}; one step helps {helped:.2f} of the cars: {mark}"
        )
    return lines


def read_demo() -> Case:
    """Read the demo."""
    return read_case("demo")
