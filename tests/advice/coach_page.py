"""Write the tables and the sum of docs/coach.md anew: python -m tests.advice.coach_page.

The page's own words stay; between `<!-- table: NAME -->` and `<!-- end -->` stands what `halfturn try demo ...`
answers today, behind `<!-- sum -->` and `<!-- shares -->` what a cause of SUMMED gets. A test keeps them fresh.
"""

import re
from dataclasses import replace
from functools import cache
from math import exp
from pathlib import Path

from assistant.belief.look_ahead import RunAhead, compare_ahead
from assistant.car.files import read_case
from assistant.commands.on_a_car import changed
from assistant.diagnosis.session import start
from assistant.ground.names import CORNERS, PHASES, STAGES, say_number
from assistant.ground.understood import CauseFound
from assistant.pages.why import causes_screen
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import base_folder, load_packs

PAGE = Path(__file__).parents[2] / "docs" / "coach.md"
TABLES = {
    "right-rear air": ("pressure_rr-=2psi", "pressure_rr+=2psi"),
    "cross weight": ("cross_weight+=0.5%", "cross_weight+=1%"),
    "stagger": ("stagger-=1/4in", "stagger+=1/4in"),
    "brake share": ("brake_bias=65%", "brake_bias=73%"),
    "gear": ("final_drive=4.86", "final_drive=6.00", "gear=1.30 final_drive=5.14"),
}
HEAD = (
    "| `halfturn try demo ...` | getting in | in the middle | coming off | LF RF LR RR | mean lap |\n"
    "|---|---|---|---|---|---|"
)
PART = re.compile(r"(<!-- (?:table: )?([^>]+?) -->\n).*?(<!-- end -->)", re.DOTALL)
SUMMED = "tight only behind other cars"


def write_page(text: str) -> str:
    """Return the page with its tables and its sum as they are today."""
    return PART.sub(lambda found: f"{found[1]}{_part(found[2])}\n{found[3]}", text)


def _part(name: str) -> str:
    return table(TABLES[name]) if name in TABLES else {"sum": the_sum, "shares": the_shares}[name]()


@cache
def summed() -> tuple[CauseFound, ...]:
    """The causes of the complaint that is worked through."""
    case = replace(read_case("demo"), answers={"safety": "none"}, complaint="")
    return tuple(start(case, rules(), SUMMED).causes)


def the_sum() -> str:
    """The sum behind the likeliest cause, as the talk shows it."""
    rows = [one.text for one in causes_screen(summed())[1:5]]
    return "\n".join(["```", *rows, "```"])


def the_shares() -> str:
    """How its points become a chance."""
    lead, *others = (
        exp(one.prior + sum(sign.weight for sign in (*one.signs_for, *one.signs_against))) for one in summed()
    )
    rest = sum(others)
    chance = say_number(lead / (lead + rest)).removeprefix("about ")
    return (
        f"- The other {len(others)} causes of this complaint have {rest:.0f} shares together: most of them none of "
        "their own signs, and the rare ones less than one.\n"
        f"- {lead:.0f} of {lead + rest:.0f} shares are about {chance}. One more such sign would make it nearly sure."
    )


def table(changes: tuple[str, ...]) -> str:
    """One table: change of balance fresh / settled / worn, of tread used by the end in points, of the mean lap."""
    rows = []
    for change in changes:
        before, after = both_runs(change)
        old, new = before.forecast, after.forecast
        balance = [
            " / ".join(signed(new.balance[phase][stage] - old.balance[phase][stage], 2) for stage in STAGES)
            for phase in PHASES
        ]
        tread = " ".join(signed(100 * (new.wear_end[corner] - old.wear_end[corner]), 1) for corner in CORNERS)
        pace = f"{signed(new.pace.average - old.pace.average, 3)} s"
        rows.append(f"| `{change}` | {' | '.join([*balance, tread, pace])} |")
    return "\n".join([HEAD, *rows])


@cache
def both_runs(change: str) -> tuple[RunAhead, RunAhead]:
    """Drive the run before and after, as the command does."""
    case, knowledge = read_case("demo"), rules()
    setup = case.setup
    for one in change.split():
        setup, _ = changed(setup, one, replace(case, setup=setup), knowledge, "trade")
    return compare_ahead(case, setup)


@cache
def rules() -> Knowledge:
    """The base pack."""
    return load_packs([base_folder()])


def signed(number: float, places: int) -> str:
    """Write a number with its sign; what rounds to nothing has a plus."""
    return f"{round(number, places) + 0.0:+.{places}f}"


if __name__ == "__main__":
    PAGE.write_text(write_page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
