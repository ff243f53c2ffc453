"""The demo's own table of effects, computed once for all tests of a run."""

from functools import cache

from assistant.advice.habits import habit_changes
from assistant.belief.effects import EffectTable, effect_table
from assistant.car.files import read_case
from assistant.rules.pack import load_packs


@cache
def demo_table() -> EffectTable:
    """What every lever and every habit does on the demo, with no complaint said."""
    return effect_table(read_case("demo"), habits=habit_changes(load_packs()))
