"""The demo's own cars as believed before anything is said, and what their levers do, worked out once for all tests."""

from functools import cache

from assistant.belief.effects import effect_table
from assistant.belief.garage import open_garage
from assistant.belief.picture import Told, believe_told
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.rules.pack import load_packs


def believe_case(case, complaint=None):
    """Believe what a driver says of the car of a case, or the complaint of the case."""
    said = start(case, load_packs()).complaint if complaint is None else complaint
    return believe_told(case, [Told(case.setup, said)], open_garage(case))


@cache
def demo_table():
    """What every lever does on the demo, with no complaint said."""
    case = read_case("demo")
    return effect_table(case, believe_told(case, [], open_garage(case)))
