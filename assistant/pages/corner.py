"""The car at its limit on a screen, for the engineer: three small tables, every end in every phase."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.car.car import CORNERS
from assistant.ground.units import show
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS
from assistant.pages.amounts import state_words
from assistant.pages.blocks import BLANK, Block, Line, Table
from assistant.pages.screen_parts import ALL, CORNER, more_of

if TYPE_CHECKING:
    from assistant.belief.corners import Corner
    from assistant.ground.units import System


WHAT_IT_IS = (
    "At the limit the axle named is at its peak; the other has grip left, about as much as the balance says. "
    "Loads and speeds of the model are not those of your car; how they differ from each other is what counts."
)
SHORT = "The axle and tire named are at their limit. The speeds are the model's: only how they differ counts."
NO_STATE = "The car has no steady state {where}: nothing of that row counts."
WITH_FACTS = ("circle", ALL)
"""Parts that show what else an engineer reads of the car."""


def corner_screen(
    corners: tuple[Corner, ...],
    stage: str,
    system: System,
    facts: Sequence[str] = (),
    part: str = ALL,
    ask: str = "corner",
    doubts: Sequence[str] = (),
) -> list[Block]:
    """Show a part of what is known of the corners at one stage of the run: "" the limits, "all" everything.

    facts: what else an engineer reads of the car. ask: what shows another part. doubts: why it is less sure.
    """
    head: list[Block] = [Line(f"The car at its limit {STAGE_WORDS[stage]}:", mark="heading")]
    head += [Line(text, mark="caution") for text in doubts]
    broken = [Line(NO_STATE.format(where=_where(one)), mark="caution") for one in corners if not one.steady]
    loads: list[Block] = [Line("Load on each tire:"), _loads(corners, system)]
    steering: list[Block] = [Line("Slip angles and steering:"), _steering(corners, system)]
    circle: list[Block] = [Line("How it steers:"), *(Line(text, indent=2) for text in facts)]
    if part == ALL:
        rest = [BLANK, *loads, BLANK, *steering, *([BLANK, *circle, BLANK] if facts else [])]
        return [*head, _limits(corners, system), *rest, Line(WHAT_IT_IS, mark="quiet"), *broken]
    if part:
        return [*head, *{"loads": loads, "steering": steering, "circle": circle}[part], *broken]
    return [*head, _limits(corners, system), Line(f"{SHORT} {more_of(ask, CORNER)}"), *broken]


def _where(one: Corner) -> str:
    return f"{PHASE_WORDS[one.phase]}, {one.end}"


def _lead(one: Corner) -> tuple[str, str]:
    return one.end, one.phase


def _limits(corners: tuple[Corner, ...], system: System) -> Table:
    rows = tuple(
        (
            *_lead(one),
            show(one.side, "acceleration", system=system),
            show(one.forward, "acceleration", system=system),
            show(one.speed, "speed", system=system),
            one.axle,
            one.tire,
            state_words(one.balance),
        )
        for one in corners
    )
    fastest, slowest = max(corners, key=lambda one: one.speed), min(corners, key=lambda one: one.speed)
    said = (
        f"Quickest {_where(fastest)}, {show(fastest.speed, 'speed', system=system)}; "
        f"slowest {_where(slowest)}, {show(slowest.speed, 'speed', system=system)}."
    )
    return Table(("end", "phase", "side", "forward", "speed", "axle", "tire", "balance"), rows, said)


def _loads(corners: tuple[Corner, ...], system: System) -> Table:
    rows = tuple(
        (
            *_lead(one),
            *(show(one.loads[corner], "force", system=system, unit=False) for corner in CORNERS),
            ", ".join(one.lifted) or "none",
        )
        for one in corners
    )
    lifted = [f"{', '.join(one.lifted)} {_where(one)}" for one in corners if one.lifted]
    said = f"In {'pounds' if system == 'trade' else 'newtons'}. "
    said += f"Off the ground: {'; '.join(lifted)}." if lifted else "No wheel is off the ground."
    return Table(("end", "phase", *CORNERS, "lifted"), rows, said)


def _steering(corners: tuple[Corner, ...], system: System) -> Table:
    rows = tuple(
        (
            *_lead(one),
            show(one.slip_front, "angle", system=system),
            show(one.slip_rear, "angle", system=system),
            show(one.steer, "angle", system=system),
            show(one.useful_share, "share", system=system, places=0),
            show(one.lock_share, "share", system=system, places=0),
        )
        for one in corners
    )
    most = max(corners, key=lambda one: one.useful_share)
    share = show(most.useful_share, "share", system=system, places=0)
    said = "Useful is the share of what the front can take, of lock that of the whole lock. "
    said += f"Most of the useful steering is taken {_where(most)}, {share}; above 100 % more wheel only scrubs."
    return Table(("end", "phase", "front slip", "rear slip", "wheels", "useful", "of lock"), rows, said)
