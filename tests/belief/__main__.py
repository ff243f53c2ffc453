"""Proofs of the belief: `python -m tests.belief [PROOF ...]`; all when none is named."""

from __future__ import annotations

import sys
from functools import cache

from assistant.belief.garage import Garage
from tests.belief.causes import prove_causes
from tests.belief.demand import prove_demand
from tests.belief.felt import prove_felt
from tests.belief.laws import prove_laws
from tests.belief.log import prove_log
from tests.belief.order import prove_order, read_demo
from tests.belief.speed import prove_speed
from tests.belief.story import prove_story


def main(asked: list[str]) -> None:
    """Run the proofs that are asked for."""
    case = read_demo()
    garage = cache(lambda: Garage(case))
    proofs = {
        "story": prove_story,
        "order": lambda: prove_order(case, garage()),
        "felt": lambda: prove_felt(case, garage()),
        "log": lambda: prove_log(case),
        "laws": lambda: prove_laws(case),
        "demand": prove_demand,
        "causes": lambda: prove_causes(case, garage()),
        "speed": lambda: prove_speed(case),
    }
    for name in asked or proofs:
        print(name, *proofs[name](), sep="\n", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
