"""What a change does over the run, on a screen and as data: balance, tires, pace, fuel and what ends it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.belief.whole_run import whole_laps
from assistant.ground.names import CORNERS, PHASE_WORDS, STAGE_WORDS
from assistant.ground.units import System, show
from assistant.pages.amounts import capital, cars_words, cure_words, say_tires
from assistant.pages.balance import basis_words, doubt_blocks, picture_data, then_blocks
from assistant.pages.blocks import Block, Line, Table, lines
from assistant.pages.data import Plain, Way, plain
from assistant.pages.run_words import say_changes, say_end

if TYPE_CHECKING:
    from assistant.belief.cures import Verdict
    from assistant.belief.look_ahead import RunAhead
    from assistant.belief.outcome import RunAfter
    from assistant.belief.picture import Picture
    from assistant.belief.whole_run import Forecast

WRONG_WAY = 0.4
"""Chance of the right direction below which a change is said to be the wrong way. Own judgment, no source."""
LEAST_PACE = 0.0005
"""Seconds a lap below which a change would be written as 0.000."""


def try_screen(before: RunAhead, after: RunAhead, change: Picture, system: System) -> list[Block]:
    """Show what a change does over the run: balance, tires, pace, fuel and what ends it. change: of the balance."""
    old, new = before.forecast, after.forecast
    return [
        *doubt_blocks(before.picture),
        *then_blocks(before.picture, after.picture, change),
        tires_then(old, new, system),
        Line(f"Lap times: {pace_words(old, new)}."),
        Line(_say_fuel(whole_laps(old.fuel_laps), whole_laps(new.fuel_laps))),
        *lines((*say_changes(before, after, system), *say_end(after), *basis_words(before.picture))),
    ]


def verdict_words(verdict: Verdict, run: RunAfter | None) -> list[str]:
    """Say what a change would do to the complaint, how sure, what it harms most, and its price in tire life."""
    right = f"goes the right way in {cars_words(verdict.direction)}"
    said = [f"{capital(cure_words(verdict.removes))}; {right}."]
    if verdict.direction < WRONG_WAY:
        said = [f"It {right} only: it makes the complaint worse."]
    if verdict.harm is not None:
        (_, phase, stage), chance = verdict.harm
        said.append(f"Worst of it: worse {PHASE_WORDS[phase]}, {STAGE_WORDS[stage]}, in {cars_words(chance)}.")
    return [*said, say_tires(run)] if run is not None else said


def tires_then(old: Forecast, new: Forecast, system: System) -> Table:
    """Show what is left of every tire before and after, and its hot pressure at the end."""

    def row(corner: str) -> tuple[str, ...]:
        used, then_used = (f"{100 * one.wear_end[corner]:.1f}" for one in (old, new))
        laps, then_laps = (str(whole_laps(one.tire_laps[corner])) for one in (old, new))
        was, now = (one.hot_pressure[corner]["worn"] for one in (old, new))
        hot = f"{show(was, 'pressure', system=system, unit=False)} -> {show(now, 'pressure', system=system)}"
        return corner, _then(used, then_used, " %"), f"lap {_then(laps, then_laps)}", hot

    return Table(("", "tread used", "gone by", "hot, end"), tuple(map(row, CORNERS)))


def _then(old: str, new: str, unit: str = "") -> str:
    return f"{old}{unit}, stays" if old == new else f"{old} -> {new}{unit}"


def pace_words(old: Forecast, new: Forecast) -> str:
    """Say what happens to lap times."""
    parts = {"first five laps": "first", "mean": "average", "last five": "last"}
    changes = {words: getattr(new.pace, part) - getattr(old.pace, part) for words, part in parts.items()}
    return ", ".join(f"{words} {_seconds(change)}" for words, change in changes.items())


def _seconds(change: float) -> str:
    if abs(change) < LEAST_PACE:
        return "no change"
    return f"{abs(change):.3f} s {'slower' if change > 0 else 'quicker'}"


def _say_fuel(old: int, new: int) -> str:
    return f"Fuel: {old} laps, as before." if old == new else f"Fuel: {old} laps before, {new} after."


_GEAR = ("gear", "final_drive", "overall")
"""What names an entry of `gears`; such values are no change."""
_BAND = "band"
"""The band of a change is not the change of the band."""


def try_data(before: RunAhead, after: RunAhead, change: Picture, way: Way) -> Plain:
    """Give before, after and change, each with the keys of a forecast; change holds numbers only."""
    one, other = plain(before, way), plain(after, way)
    said = one.pop("as_said")
    other.pop("as_said")  # both are judged from the car as it is
    changed = change_between(one, other) | {"balance": picture_data(change)}
    return {"before": one, "after": other, "change": changed, "as_said": said}


def change_between(before: Any, after: Any) -> Any:
    """Subtract number by number; names of ends and gears stay, other words become None, lists are matched by name."""
    if isinstance(before, dict):
        before = {key: None if key == _BAND else value for key, value in before.items()}
        named = {"id": before["id"]} if "id" in before else {}
        if "final_drive" in before:
            named = {key: after[key] for key in _GEAR}
        return named | {key: change_between(before[key], after[key]) for key in before if key not in named}
    if isinstance(before, list):
        return [change_between(old, new) for new in after for old in before if _name_of(old) == _name_of(new)]
    if isinstance(before, int | float) and isinstance(after, int | float):
        return after - before
    return None


def _name_of(entry: Plain) -> tuple[object, ...]:
    return (entry.get("id"), entry.get("gear"), entry.get("final_drive"))
