"""Makes docs/trade-comparison.md: what the trade says of every lever, beside what the model computes on three tracks.

`python -m tests.generators.audit_page` writes the page. A test compares the digest of its inputs and recomputes
the demo car; when it fails, write the page anew and look at what changed.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.advice.audit import LIKELY, Audit, Audited, audit, count_verdicts, is_miss
from assistant.advice.trade import AGREES, LEAST_CHANGE, LEAST_FELT, VERDICTS
from assistant.ground.folders import demo_folder
from assistant.ground.names import STAGES

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge


PAGE = Path(__file__).resolve().parents[2] / "docs" / "trade-comparison.md"
TRACKS: Mapping[str, str] = {"demo": "track", "flat": "track-flat", "steep": "track-steep"}
"""The three tracks: what the page calls each, and its file. The car, the tire and the setup are the demo's on all."""
COUNTED = ("lever lines", "remedies")
DIGEST = "Digest of the inputs: "


def write_page(knowledge: Knowledge, audits: Mapping[str, Audit]) -> str:
    """Write the whole page from the audits of the three tracks."""
    parts = (
        _head(knowledge),
        _counts(audits),
        _stages_table(audits),
        _carried_list(knowledge, audits),
        _lever_table(knowledge, audits),
        _miss_list(knowledge, audits),
        _remedy_list(knowledge, audits),
        f"## Inputs\n\n{DIGEST}`{digest_inputs(knowledge)}`\n",
    )
    return "\n".join(parts)


def audit_tracks(knowledge: Knowledge) -> dict[str, Audit]:
    """Audit the demo car on each of the three tracks."""
    return {name: audit(case, knowledge) for name, case in demo_cases().items()}


def demo_cases() -> dict[str, Case]:
    """Give the demo case on each of the three tracks."""
    from assistant.car.files import read_case, read_track

    demo, folder = read_case("demo"), demo_folder()
    return {name: replace(demo, track=read_track(folder / f"{file}.yaml")) for name, file in TRACKS.items()}


def digest_inputs(knowledge: Knowledge) -> str:
    """Digest what the comparison is made from: the demo's files, and what the packs claim of levers."""
    text = sha256()
    for path in sorted(demo_folder().glob("*.yaml")):
        text.update(path.name.encode() + path.read_bytes())
    for name, lever in sorted(knowledge.levers.items()):
        claims = {phase: line.balance for phase, line in lever.trade.items()}
        reasons = [one.model_dump() for one in lever.differs]
        text.update(json.dumps([name, lever.model, claims, reasons], sort_keys=True).encode())
    for name, symptom in sorted(knowledge.symptoms.items()):
        moves = [(one.name, one.differs and one.differs.model_dump()) for one in symptom.remedies if one.lever]
        text.update(json.dumps([name, symptom.balance, symptom.phase, symptom.stages, moves]).encode())
    return text.hexdigest()[:16]


def _head(knowledge: Knowledge) -> str:
    edition = knowledge.packs[0].edition
    return f"""# The trade beside the model

Made by `python -m tests.generators.audit_page`; do not edit by hand.

What common practice says that raising a lever by one step does (`trade:` in `knowledge/base/levers`), beside what the
model computes for the demo car on three invented tracks: the demo half mile, a flat one and a steep one.
The car, tire and setup are the same on all three; all their constants are those in `knowledge/demo` at edition
{edition}, stated with their sources or as assumptions before this page was made.
No constant and no line of the trade was changed to win a row.

Percent of balance per legal step at the settled stage, + is tighter; the size is that of the demo car, the share that
of plausible cars that bear the claim out.

- **agrees**: the demo car goes the way the trade says; **differs**: it goes the other way.
- **nothing computed**: no size (under {LEAST_CHANGE} % a step), or the lever is by the book and the model has no say.
- **trade says it depends**: there is no direction to hold against.
- That a lever does *nothing* in a phase holds when its usual change does less than {LEAST_FELT} %, which nobody feels.
- A claim that fewer than {LIKELY:.0%} of plausible cars bear out is listed below, with its reason.
"""


def _counts(audits: Mapping[str, Audit]) -> str:
    rows = [
        "## Counts\n",
        f"| track | {' | '.join(f'{what} {word}' for what in COUNTED for word in VERDICTS)} |",
        "|---" * (1 + 2 * len(VERDICTS)) + "|",
    ]
    for name, one in audits.items():
        levers, remedies = count_verdicts(one.levers), count_verdicts(one.remedies)
        cells = [str(count) for found in (levers, remedies) for count in found.values()]
        rows.append(f"| {name} | {' | '.join(cells)} |")
    return "\n".join(rows) + "\n"


def _stages_table(audits: Mapping[str, Audit]) -> str:
    head = """The trade seldom says at which point of a run it means.
The same lever lines that claim tighter or looser, counted by the sign of the demo car alone, at each stage:
"""
    rows = [
        head,
        "| track | fresh | settled | end of the run |",
        "|---|---|---|---|",
    ]
    for name, one in audits.items():
        cells = [f"{hits} of {total}" for hits, total in (_hits(one, stage) for stage in STAGES)]
        rows.append(f"| {name} | {' | '.join(cells)} |")
    return "\n".join(rows) + "\n"


def _carried_list(knowledge: Knowledge, audits: Mapping[str, Audit]) -> str:
    """List the hits that are none on fresh tires: there the answer of the tires is what agrees."""
    head = """Later in a run the answer of the tires is in the size: what a change does to heat and tread is added.
It can decide the sign.
These rows are counted as hits above, and on fresh tires the computed car goes the other way or nowhere.
Trust them less:
"""
    lines = [head]
    for name, one in audits.items():
        carried = [
            f"{knowledge.levers[found.claim.lever].title}, {found.claim.phases[0]} ({found.stages['fresh']:+.3f} fresh)"
            for found in one.levers
            if found.share is not None and found.verdict == AGREES and not _holds(found, "fresh")
        ]
        lines.append(f"- {name}: {'; '.join(carried) or 'none'}.")
    return "\n".join(lines) + "\n"


def _holds(found: Audited, stage: str) -> bool:
    return found.stages[stage] * (1 if found.claim.says == "tighter" else -1) >= LEAST_CHANGE


def _hits(one: Audit, stage: str) -> tuple[int, int]:
    claims = [found for found in one.levers if found.stages and found.claim.says in {"tighter", "looser"}]
    return sum(_holds(found, stage) for found in claims), len(claims)


def _lever_table(knowledge: Knowledge, audits: Mapping[str, Audit]) -> str:
    names = list(audits)
    rows = [
        "## Every lever and phase\n",
        f"| lever, one step + | phase | the trade says | {' | '.join(names)} |",
        "|---|---|---|" + "---|" * len(names),
    ]
    for found in zip(*(one.levers for one in audits.values()), strict=True):
        claim = found[0].claim
        title = f"{knowledge.levers[claim.lever].title}, {knowledge.levers[claim.lever].plus_word}"
        cells = " | ".join(_cell(one) for one in found)
        rows.append(f"| {title} | {claim.phases[0]} | {claim.says} ({claim.confidence}) | {cells} |")
    return "\n".join(rows) + "\n"


def _cell(finding: Audited) -> str:
    if not finding.stages:
        return finding.verdict
    share = f", {finding.share:.0%}" if finding.share is not None else ""
    return f"{finding.verdict} {finding.change:+.3f}{share}".strip()


def _miss_list(knowledge: Knowledge, audits: Mapping[str, Audit]) -> str:
    lines = ["## Where the model does not bear the trade out, and why\n"]
    for found in zip(*(one.levers for one in audits.values()), strict=True):
        missed = _missed_on(audits, found)
        if missed:
            claim = found[0].claim
            lever = knowledge.levers[claim.lever]
            lines.append(f"- **{lever.title}, {lever.plus_word}, {claim.phases[0]}** ({claim.says}): {missed}.")
            lines += [f"  {reason.kind.capitalize()}: {reason.why}" for reason in claim.reasons]
    return "\n".join(lines) + "\n"


def _remedy_list(knowledge: Knowledge, audits: Mapping[str, Audit]) -> str:
    lines = [
        "## Remedies the model does not bear out\n",
        "The reason is that of the lever above, unless one is given.\n",
    ]
    by_name: dict[tuple[str, str], dict[str, Audited]] = {}
    for track, one in audits.items():
        for finding in one.remedies:
            word = knowledge.levers[finding.claim.lever]
            move = word.plus_word if finding.claim.sign > 0 else word.minus_word
            by_name.setdefault((finding.claim.topic, f"{word.title}, {move}"), {})[track] = finding
    for (topic, move), found in by_name.items():
        said = "; ".join(f"{track} {_cell(one)}" for track, one in found.items() if is_miss(one))
        if said:
            lines.append(f"- {topic}: {move}: {said}.{_own_reason(found.values(), knowledge)}")
    return "\n".join(lines) + "\n"


def _own_reason(found: Iterable[Audited], knowledge: Knowledge) -> str:
    claim = next(iter(found)).claim
    own = [one for one in claim.reasons if one not in knowledge.levers[claim.lever].differs]
    return "".join(f" {one.kind.capitalize()}: {one.why}" for one in own)


def _missed_on(audits: Mapping[str, Audit], found: Iterable[Audited]) -> str:
    return "; ".join(_missed(audits, found))


def _missed(audits: Mapping[str, Audit], found: Iterable[Audited]) -> Iterator[str]:
    for track, finding in zip(audits, found, strict=True):
        if is_miss(finding):
            yield f"{track} {_cell(finding)}"


def main() -> int:
    """Write the page."""
    from assistant.rules.pack import load_packs

    knowledge = load_packs()
    PAGE.write_text(write_page(knowledge, audit_tracks(knowledge)), encoding="utf-8")
    sys.stdout.write(f"Written: {PAGE}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
