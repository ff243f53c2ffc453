"""How often the advice is right on cases others wrote: python -m tests.diagnosis [HALF] [--entries].

Totals of each sixty, or of one. --entries lists every case of one that is built on;
of the others nobody is shown more than totals, so that they stay judges. "sure" holds "how sure" against cars with a
known fault.
"""

import argparse
import sys
from collections.abc import Mapping, Sequence

from tests.diagnosis import sure
from tests.diagnosis.program import Played
from tests.diagnosis.score import play_all, tally, verdicts
from tests.diagnosis.vignettes import Offer, read_half

TO_BUILD_ON = ("building", "practice", "claim", "proof", "trial", "drill", "race", "heat", "night")
HALVES = (*TO_BUILD_ON, "judging", "further")


def table(ways: Mapping[str, Sequence[Played]]) -> list[str]:
    """Lay out the totals, one column for each way of playing."""
    columns = {way: tally(played) for way, played in ways.items()}
    rows = next(iter(columns.values()))
    head = f"{'':<22}" + "".join(f"{way:<20}" for way in columns)
    return [
        head.rstrip(),
        *(f"{row:<22}{''.join(f'{one[row]:<20}' for one in columns.values())}".rstrip() for row in rows),
    ]


def entries(told: Sequence[Played]) -> list[str]:
    """List each case: the verdict of the first offer, the questions, and the offers."""
    return [
        f"{next(iter(verdicts(one)), 'nothing'):<10}{one.vignette.id:<42}{one.asked:2d}  "
        + " | ".join(map(_say, one.offers))
        for one in told
    ]


def _say(offer: Offer) -> str:
    return " + ".join(f"{move.kind}: {'/'.join(move.objects)} {move.direction}".rstrip() for move in offer)


def main(words: Sequence[str]) -> int:
    """Print the totals; 2 when cases of a judging half are asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.diagnosis", description=__doc__)
    parser.add_argument("half", nargs="?", choices=(*HALVES, "sure"), help="only this half")
    parser.add_argument("--entries", action="store_true", help="list the cases, of those to build on only")
    options = parser.parse_args(words)
    if options.entries and options.half not in TO_BUILD_ON:
        print("Only cases to build on are listed: one that is looked at judges no more.", file=sys.stderr)
        return 2
    if options.half == "sure":
        print("\n".join(sure.table()))
        return 0
    for half in [options.half] if options.half else HALVES:
        ways = play_all(read_half(half))
        lines = [f"{half}: {len(ways['as told'])} cases", *table(ways), ""]
        print("\n".join([*lines, *(entries(ways["as told"]) if options.entries else [])]), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
