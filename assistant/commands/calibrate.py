"""`halfturn calibrate`: fit a run log, show measured against fitted, and keep what it taught beside the case."""

from __future__ import annotations

import argparse

from assistant.commands.common import answer, work
from assistant.pages.blocks import BLANK, Block, Line

NOTHING_TAUGHT = "Nothing to keep."
DRY = "Nothing was written (--dry-run)."


def run(options: argparse.Namespace) -> int:
    """Calibrate; the code is 1 when the fit may not be kept, and 2 when it could not be."""
    from assistant.belief.log_fit import calibrate  # noqa: PLC0415 - imports numpy
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.car.run_log import read_run_log  # noqa: PLC0415 - same
    from assistant.pages.calibrate import calibration_screen, remarks_of  # noqa: PLC0415 - same
    from assistant.pages.data import Way, plain  # noqa: PLC0415 - same
    from assistant.shell.keep_fit import NOT_KEPT, fit_name, keep_fit  # noqa: PLC0415 - same

    case = read_case(options.case, use_fit=False)
    log = read_run_log(options.run_log)
    found = work("Fitting the run log", lambda: calibrate(case, log, fit_name(case)), options)
    said: list[str] = []
    if found.fit is None:
        said = [] if found.refused else [NOTHING_TAUGHT]
    elif options.dry_run:
        said = [DRY]
    else:
        said = keep_fit(case, found.fit, options.units, remarks_of(found, options.units))
    blocks: list[Block] = [*calibration_screen(found, options.units), BLANK, *map(Line, said)]
    data = {**plain(found, Way(options.units)), "written": said}
    answer(blocks, data, options)
    if any(one.startswith(NOT_KEPT) for one in said):
        return 2
    return 1 if found.refused else 0
