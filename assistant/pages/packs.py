"""What the packs know: one word looked up in all of it, the packs held against the model, and what they hold at all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from assistant.advice.audit import count_verdicts, is_miss
from assistant.advice.trade import AGREES, DIFFERS, LEAST_CHANGE, NOTHING, TRADE_DEPENDS, VERDICTS, flip
from assistant.diagnosis.stems import nearest_word, stem
from assistant.ground.names import PHASE_WORDS, listed
from assistant.ground.problems import Problem
from assistant.pages.amounts import capital, say_sources, sentence
from assistant.pages.blocks import BLANK, Block, Line, Table, lines, under
from assistant.rules.knowledge import ENOUGH, Coverage, Hole, Knowledge, cite

if TYPE_CHECKING:
    from assistant.advice.audit import Audit, Audited, PackClaim
    from assistant.rules.models import Dispute, Lever


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
    """Show the counts by verdict, those of later packs again by themselves, then every claim that is not borne out."""
    every = (*audited.levers, *audited.remedies)
    own = []
    for pack in knowledge.packs[1:]:
        counts = count_verdicts(one for one in every if _later_pack(one, knowledge) == pack.pack)
        told = ", ".join(f"{verdict} {count}" for verdict, count in counts.items())
        own.append(f"Of these from {pack.pack}: {told}.")
    return [
        Line(f"What the packs say, held against {audited.case} and {audited.cars} plausible cars", "heading"),
        Table(("verdict", "levers", "remedies", "meaning"), audit_rows(audited)),
        *lines(own),
        BLANK,
        *lines(audit_lines(audited, knowledge), indent=2),
    ]


def name_claim(claim: PackClaim, knowledge: Knowledge) -> str:
    """Write what a claim is about: "right front camber, more positive, entry" or "loose off: stagger less"."""
    lever = knowledge.levers[claim.lever]
    word = lever.plus_word if claim.sign > 0 else lever.minus_word
    return f"{claim.topic}: {claim.lever} {word}" if claim.topic else f"{claim.lever} {word}, {listed(claim.phases)}"


def audit_rows(audit: Audit) -> tuple[tuple[str, ...], ...]:
    """Give the counts: verdict, lever lines, remedies, what the verdict means."""
    levers, remedies = count_verdicts(audit.levers), count_verdicts(audit.remedies)
    return tuple((one, str(levers[one]), str(remedies[one]), MEANINGS[one]) for one in VERDICTS)


def audit_lines(audit: Audit, knowledge: Knowledge) -> Iterator[str]:
    """Say every claim the model does not bear out, with figures and reasons; first those of later packs, by name."""
    misses = [(_later_pack(one, knowledge), one) for one in (*audit.levers, *audit.remedies) if is_miss(one)]
    for pack, finding in sorted(misses, key=lambda one: not one[0]):
        yield f"{pack}: {say_finding(finding, knowledge)}" if pack else say_finding(finding, knowledge)


def _later_pack(finding: Audited, knowledge: Knowledge) -> str:
    origin = finding.claim.origin
    return "" if origin is None or origin.pack == knowledge.packs[0].pack else origin.pack


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
    computed = "more" if claim.says == "none" else flip(claim.says)
    computed = "nothing" if abs(finding.change) < LEAST_CHANGE else computed
    cars = f" on {1 - finding.share:.0%} of plausible cars" if finding.share is not None else ""
    says = f"{name_claim(claim, knowledge)}: the trade says {claim.says}, the model {computed}"
    says += f" ({finding.change:+.3f} % a step{cars})"
    hint = "say why with 'differs: {kind: ..., why: ...}', or mend the entry"
    return Problem(origin.file if origin else "packs", origin.line if origin else 0, 1, says, hint)


def coverage_screen(coverage: Coverage) -> list[Block]:
    """Show what the packs hold for every kind of complaint, and where there are holes."""
    rows = tuple(
        (
            f"{one.balance}, {one.phase}, {one.stage}",
            *map(str, (len(one.symptoms), one.remedies, one.cases, one.sources)),
        )
        for one in coverage.cells
    )
    others = ", ".join(f"{name} ({count})" for name, count in coverage.others)
    return [
        Table(("complaint", "symptoms", "remedies", "cases", "sources"), rows),
        Line(f"Without a balance, with the cases that find them: {others or 'none'}."),
        Line(f"Holes: {len(coverage.holes) or 'none'}."),
        *lines(map(say_hole, coverage.holes), indent=2),
        *under("No remedy moves these, with the reason:", [f"{title}: {why}" for title, why in coverage.left_out]),
    ]


def say_hole(hole: Hole) -> str:
    """Say where the packs hold too little."""
    return f"{hole.of}: {_HOLES[hole.kind]}"


def coverage_data(coverage: Coverage) -> dict[str, Any]:
    """Give what the packs hold as plain data for programs."""
    holes, left_out = map(say_hole, coverage.holes), (f"{title}: {why}" for title, why in coverage.left_out)
    return asdict(coverage) | {"holes": list(holes), "left_out": list(left_out)}


_MEANS = ("means", "physics", "feels_like", "test", "says", "title")
"""Where an entry says in a line what it is, whichever kind it is of."""
_SHELVES = {"word": "glossary", "lever": "levers", "symptom": "symptoms", "cause": "causes", "driving": "driving"}
"""Kinds of what can be explained, and what knowledge calls all of them."""
TELLS_ALL = "help {} tells all of it."


@dataclass(frozen=True)
class Found:
    """What is known about a word, for the screen and as data. kind: word, lever, symptom, cause or driving."""

    kind: str
    name: str
    blocks: list[Block]
    data: dict[str, Any]


def explain(word: str, knowledge: Knowledge) -> Found | None:
    """Find the word by its id, its title or another name for it; None when nobody knows it.

    A word of the glossary that is also a lever is shown as both, since who writes a rule needs the lever's words.
    """
    wanted = _plain(word)
    found = _find(wanted, knowledge)
    lever = _find(wanted, knowledge, {"lever"})
    if found is None or found.kind != "word" or lever is None:
        return found
    return replace(found, blocks=[*found.blocks, BLANK, *lever.blocks], data={**found.data, "lever": lever.data})


def explain_shortly(word: str, knowledge: Knowledge) -> list[Block] | None:
    """Say in a line or two what a word means, and what tells all of it; None when nobody knows it."""
    found = explain(word, knowledge)
    if found is None:
        return None
    entry = _shelves(knowledge)[found.kind][found.name]
    means = next(str(getattr(entry, name)) for name in _MEANS if getattr(entry, name, ""))
    return [found.blocks[0], Line(sentence(means)), Line(TELLS_ALL.format(word.strip()), mark="quiet")]


def how_screen(lever: str, knowledge: Knowledge) -> list[Block]:
    """Say how a lever is moved, step by step, when, what is looked at again, and what to heed."""
    entry = knowledge.levers[lever]
    steps = [Line(sentence(step), lead=str(number)) for number, step in enumerate(entry.how, 1)]
    cautions = knowledge.cautions_for(entry.cautions)
    return [
        Line(f"How to move the {entry.title}:", mark="heading"),
        *steps,
        Line(_say_when(entry)),
        *lines(cautions, "caution"),
    ]


def find_known(words: Sequence[str], knowledge: Knowledge) -> str:
    """Find the longest run of words that can be explained, with other endings or a slip in it; "" for none."""
    counts = range(len(words), 0, -1)
    runs = [" ".join(words[at : at + count]) for count in counts for at in range(len(words) - count + 1)]
    exact = next((run for run in runs if explain(run, knowledge) is not None), "")
    return exact or next((name for run in runs if (name := _name_near(run, knowledge))), "")


def _name_near(typed: str, knowledge: Knowledge) -> str:
    """Find the name that differs in its endings, or one of a word by a slip of the pen; "" for none."""
    shelves = _shelves(knowledge).values()
    names = [one for shelf in shelves for name, entry in shelf.items() for one in sorted(_names(name, entry))]
    same = next((name for name in names if _stems(name) == _stems(_plain(typed))), "")
    return same or nearest_word(_plain(typed), (name for name in names if " " not in name)) or ""


def _stems(name: str) -> list[str]:
    return [stem(word) for word in name.split()]


def _find(wanted: str, knowledge: Knowledge, kinds: Iterable[str] = ()) -> Found | None:
    for kind, entries in _shelves(knowledge).items():
        for name, entry in entries.items():
            if wanted in _names(name, entry) and (not kinds or kind in kinds):
                return _found(kind, name, entry, knowledge)
    return None


def causes_named(word: str, knowledge: Knowledge) -> list[str]:
    """Find a cause by its id, its title or another name, else all that have these words in their title."""
    wanted = _plain(word)
    if (found := _find(wanted, knowledge, {"cause"})) is not None:
        return [found.name]
    return [name for name, one in knowledge.causes.items() if f" {wanted} " in f" {_plain(one.title)} "]


def _names(name: str, entry: Any) -> set[str]:
    called = (name, getattr(entry, "title", ""), *getattr(entry, "also_said", ()))
    return {_plain(one) for one in called} - {""}


def known_words(knowledge: Knowledge) -> tuple[str, ...]:
    """Return every word that can be explained, by the name it is best known by."""
    return tuple(
        dict.fromkeys(_title(name, entry) for shelf in _shelves(knowledge).values() for name, entry in shelf.items())
    )


def _title(name: str, entry: Any) -> str:
    return getattr(entry, "title", "") or name


def what_can_be_explained(knowledge: Knowledge) -> list[Block]:
    """List every word of the glossary, and a few of each other kind with how many there are."""
    shelves = _shelves(knowledge)
    several = {"lever": "levers", "symptom": "symptoms", "cause": "causes", "driving": "driving habits"}
    few = {called: [_title(*one) for one in shelves[kind].items()] for kind, called in several.items()}
    return [
        Line("Type explain and one of these, such as explain stagger."),
        Line(f"Words of the trade: {', '.join(knowledge.glossary)}."),
        *lines(f"{len(names)} {called}, such as: {'; '.join(names[:3])}." for called, names in few.items()),
        Line("Tab completes them; a slip gets the nearest word.", mark="quiet"),
    ]


def _shelves(knowledge: Knowledge) -> Mapping[str, Mapping[str, Any]]:
    return {kind: getattr(knowledge, shelf) for kind, shelf in _SHELVES.items()}


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())


def _found(kind: str, name: str, entry: Any, knowledge: Knowledge) -> Found:
    title, *rest = _SAY[kind](name, entry)
    disputes = [_say_dispute(one, knowledge) for one in getattr(entry, "disputed", ())]
    says = [text for text in (*rest, *disputes) if text]
    sources = say_sources(cite(getattr(entry, "backed_by", None) or (), knowledge))
    cautions = knowledge.cautions_for(getattr(entry, "cautions", ()))
    blocks: list[Block] = [
        Line(title, mark="heading"),
        *lines(says),
        *lines(cautions, "caution"),
        *lines([f"Sources: {'; '.join(sources)}."] if sources else [], "quiet"),
    ]
    told = {"title": title, "says": says, "sources": sources, "cautions": cautions}
    return Found(kind, name, blocks, {"kind": kind, "name": name} | told)


def _say_dispute(dispute: Dispute, knowledge: Knowledge) -> str:
    """Say both sides of a dispute, each with who says it, and what decides."""
    sides = [
        f"{side.says.rstrip('.')} ({'; '.join(say_sources(cite(side.backed_by, knowledge)))})"
        for side in (dispute.side_a, dispute.side_b)
    ]
    return f"Disputed: {dispute.topic}. One side: {sides[0]}. The other: {sides[1]}. What decides: {dispute.decides}"


def _say_lever(name: str, entry: Any) -> list[str]:
    views = ", ".join(f"{view.balance} {PHASE_WORDS[phase]}" for phase, view in (entry.trade or {}).items())
    return [
        f"{capital(entry.title)} ({name})",
        f"Unit: {'ratio, so much to 1' if entry.unit == ':1' else entry.unit or 'none'}; + means {entry.plus_word}.",
        f"Usual change {entry.usual_change}, largest sensible in one go {entry.largest_change}.",
        f"The trade says of {entry.plus_word}: {views}." if views else "",
        entry.physics,
        "How: " + " ".join(sentence(step) for step in entry.how),
        _say_when(entry),
    ]


def _say_when(lever: Lever) -> str:
    again = f" Check again afterward: {', '.join(lever.recheck)}." if lever.recheck else ""
    return f"When: {lever.when}, unless the rules say otherwise.{again}"


def _say_symptom(name: str, entry: Any) -> list[str]:
    apart = [f"Not {getattr(one, 'cause', None) or one.symptom}: {one.tell_apart}" for one in entry.not_to_mix_up_with]
    return [
        capital(name),
        entry.feels_like,
        f"Also said: {', '.join(entry.also_said)}." if entry.also_said else "",
        *apart,
    ]


def _say_cause(name: str, entry: Any) -> list[str]:
    for_it = "; ".join(sign.text.rstrip(".") for sign in entry.signs_for)
    against = "; ".join(sign.text.rstrip(".") for sign in entry.signs_against)
    return [
        f"{capital(entry.title)} ({name})",
        f"For it: {for_it}." if for_it else "",
        f"Against it: {against}." if against else "",
        f"How to tell: {entry.test}" if entry.test else "",
    ]


_SAY: Mapping[str, Callable[[str, Any], list[str]]] = {
    "word": lambda name, entry: [capital(name), entry.means, f"See also: {', '.join(entry.see)}." if entry.see else ""],
    "lever": _say_lever,
    "symptom": _say_symptom,
    "cause": _say_cause,
    "driving": lambda name, entry: [f"{capital(entry.title)} ({name})", entry.says, entry.because],
}


def left_out(knowledge: Knowledge) -> list[Block]:
    """Say which packs were left out, and how to see why."""
    rows = [row.strip() for note in knowledge.notes for row in note.text().split("\n")]
    return [Line(row) for row in rows]
