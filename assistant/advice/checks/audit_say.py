"""An audit in words and as data: counts by verdict, and each disagreement with the pack's reason for it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from assistant.advice.checks.audit import Audit, Finding, count_verdicts, is_miss, name_claim
from assistant.advice.offers.trade import AGREES, DIFFERS, NIL, NOTHING, TRADE_DEPENDS, VERDICTS

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge

MEANINGS = {
    DIFFERS: "this car does the other thing",
    AGREES: "this car bears it out",
    NOTHING: "no size, or by the book",
    TRADE_DEPENDS: "no direction to hold against",
}


def audit_rows(audit: Audit) -> tuple[tuple[str, ...], ...]:
    """Give the counts: verdict, lever lines, remedies, what the verdict means."""
    levers, remedies = count_verdicts(audit.levers), count_verdicts(audit.remedies)
    return tuple((one, str(levers[one]), str(remedies[one]), MEANINGS[one]) for one in VERDICTS)


def audit_lines(audit: Audit, knowledge: Knowledge) -> Iterator[str]:
    """Say every claim the model does not bear out, with the figures and the pack's reasons."""
    for finding in (*audit.levers, *audit.remedies):
        if is_miss(finding):
            yield say_finding(finding, knowledge)


def say_finding(finding: Finding, knowledge: Knowledge) -> str:
    """Say one claim, what became of it and with which figures, and the kind of reason the pack gives."""
    claim = finding.claim
    kinds = " and ".join(dict.fromkeys(reason.kind for reason in claim.reasons)) or "no reason given"
    if abs(finding.change) < NIL:
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


def _finding_json(finding: Finding, knowledge: Knowledge) -> dict[str, Any]:
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
