"""What `check` shows beside the faults: the packs held against the model, and what the packs hold at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from assistant.advice.audit import count_verdicts, is_miss
from assistant.advice.trade import AGREES, DIFFERS, LEAST_CHANGE, NOTHING, TRADE_DEPENDS, VERDICTS, flip
from assistant.ground.problems import Problem
from assistant.pages.blocks import BLANK, Block, Line, Table
from assistant.rules.coverage import ENOUGH

if TYPE_CHECKING:
    from assistant.advice.audit import Audit, Audited, PackClaim
    from assistant.rules.coverage import Coverage, Hole
    from assistant.rules.knowledge import Knowledge

MEANINGS = {
    DIFFERS: "this car does the other thing",
    AGREES: "this car bears it out",
    NOTHING: "no size, or by the book",
    TRADE_DEPENDS: "no direction to hold against",
}
_HOLES = {
    "no own symptom": "no symptom of its own",
    "few remedies": f"fewer than {ENOUGH} remedies",
    "no case": "no case",
    "not found": "no case finds it",
    "no near miss": "no near miss",
    "said twice": "said for two symptoms",
    "no remedy": "no remedy moves it",
}
"""What a hole in the packs is."""


def audit_screen(audited: Audit, knowledge: Knowledge) -> list[Block]:
    """Show the counts by verdict, then every claim the model does not bear out."""
    head = Line(f"What the packs say, held against {audited.case} and {audited.cars} plausible cars", "heading")
    rows = audit_rows(audited)
    said = "; ".join(f"{verdict}: {levers} of levers, {remedies} of remedies" for verdict, levers, remedies, _ in rows)
    table = Table(("verdict", "levers", "remedies", "meaning"), rows, f"{said}.")
    return [head, table, BLANK, *(Line(line, indent=2) for line in audit_lines(audited, knowledge))]


def name_claim(claim: PackClaim, knowledge: Knowledge) -> str:
    """Write what a claim is about: "right front camber, more positive, entry" or "loose off: stagger less"."""
    lever = knowledge.levers[claim.lever]
    word = lever.plus_word if claim.sign > 0 else lever.minus_word
    where = " and ".join((", ".join(claim.phases[:-1]), claim.phases[-1])) if len(claim.phases) > 1 else claim.phases[0]
    return f"{claim.topic}: {claim.lever} {word}" if claim.topic else f"{claim.lever} {word}, {where}"


def audit_rows(audit: Audit) -> tuple[tuple[str, ...], ...]:
    """Give the counts: verdict, lever lines, remedies, what the verdict means."""
    levers, remedies = count_verdicts(audit.levers), count_verdicts(audit.remedies)
    return tuple((one, str(levers[one]), str(remedies[one]), MEANINGS[one]) for one in VERDICTS)


def audit_lines(audit: Audit, knowledge: Knowledge) -> Iterator[str]:
    """Say every claim the model does not bear out, with the figures and the pack's reasons."""
    for finding in (*audit.levers, *audit.remedies):
        if is_miss(finding):
            yield say_finding(finding, knowledge)


def say_finding(finding: Audited, knowledge: Knowledge) -> str:
    """Say one claim, what became of it and with which figures, and the kind of reason the pack gives."""
    claim = finding.claim
    kinds = " and ".join(dict.fromkeys(reason.kind for reason in claim.reasons)) or "no reason given"
    if abs(finding.change) < LEAST_CHANGE:
        figures = f"nothing computed ({finding.change:+.4f} % a step)"
    else:
        share = f", borne out by {finding.share:.0%} of cars" if finding.share is not None else ""
        figures = f"{finding.change:+.3f} % a step{share}"
    return f"{name_claim(claim, knowledge)}: {finding.verdict}; {claim.says} said, {figures} ({kinds})"


def audit_json(audit: Audit, knowledge: Knowledge) -> dict[str, Any]:
    """Give an audit as plain data for programs."""
    return {
        "case": audit.case,
        "plausible_cars": audit.cars,
        "counts": {"levers": count_verdicts(audit.levers), "remedies": count_verdicts(audit.remedies)},
        "levers": [_finding_json(one, knowledge) for one in audit.levers],
        "remedies": [_finding_json(one, knowledge) for one in audit.remedies],
    }


def _finding_json(finding: Audited, knowledge: Knowledge) -> dict[str, Any]:
    claim = finding.claim
    return {
        "claim": name_claim(claim, knowledge),
        "symptom": claim.topic or None,
        "lever": claim.lever,
        "steps": claim.sign,
        "phases": list(claim.phases),
        "stages": list(claim.stages),
        "trade_says": claim.says,
        "confidence": claim.confidence,
        "verdict": finding.verdict,
        "percent_per_step": round(finding.change, 4),
        "share_of_cars": None if finding.share is None else round(finding.share, 3),
        "reasons": [{"kind": reason.kind, "why": reason.why} for reason in claim.reasons],
        "file": claim.origin.file if claim.origin else None,
        "line": claim.origin.line if claim.origin else None,
    }


def fault_of(finding: Audited, knowledge: Knowledge) -> Problem:
    """Make the fault of a disagreement without a reason."""
    claim, origin = finding.claim, finding.claim.origin
    computed = (
        "nothing" if abs(finding.change) < LEAST_CHANGE else f"{flip(claim.says)}" if claim.says != "none" else "more"
    )
    cars = f" on {1 - finding.share:.0%} of plausible cars" if finding.share is not None else ""
    says = f"{name_claim(claim, knowledge)}: the trade says {claim.says}, the model {computed}"
    says += f" ({finding.change:+.3f} % a step{cars})"
    hint = "say why with 'differs: {kind: ..., why: ...}', or mend the entry"
    return Problem(origin.file if origin else "packs", origin.line if origin else 0, 1, says, hint)


def coverage_screen(coverage: Coverage) -> list[Block]:
    """Show what the packs hold for every kind of complaint, and where there are holes."""
    head = ("complaint", "symptoms", "remedies", "cases", "sources")
    rows = tuple(
        (
            f"{one.balance}, {one.phase}, {one.stage}",
            *map(str, (len(one.symptoms), one.remedies, one.cases, one.sources)),
        )
        for one in coverage.cells
    )
    said = "; ".join(
        f"{row[0]}: {row[1]} symptoms, {row[2]} remedies, {row[3]} cases, {row[4]} sources" for row in rows
    )
    others = ", ".join(f"{name} ({count})" for name, count in coverage.others)
    return [
        Table(head, rows, f"{said}."),
        Line(f"Without a balance, with the cases that find them: {others or 'none'}."),
        Line(f"Holes: {len(coverage.holes) or 'none'}."),
        *(Line(say_hole(hole), indent=2) for hole in coverage.holes),
        *([Line("No remedy moves these, with the reason:")] if coverage.left_out else []),
        *(Line(f"{title}: {why}", indent=2) for title, why in coverage.left_out),
    ]


def say_hole(hole: Hole) -> str:
    """Say where the packs hold too little."""
    return f"{hole.of}: {_HOLES[hole.kind]}"


def coverage_data(coverage: Coverage) -> dict[str, Any]:
    """Give what the packs hold as plain data for programs."""
    holes, left_out = map(say_hole, coverage.holes), (f"{title}: {why}" for title, why in coverage.left_out)
    return asdict(coverage) | {"holes": list(holes), "left_out": list(left_out)}
