"""Small invented packs for tests: a base with two levers and two symptoms, and a team pack over it."""

LEVER = """lever: {lever}
title: {title}
also_said: []
unit: in
plus_word: {plus}
minus_word: {minus}
plus_verb: raise
minus_verb: lower
model: {lever}
usual_change: 1/4 in
largest_change: 1/2 in
when: between runs
how: [Turn it.]
cautions: [stands]
trade:
  exit: {{balance: looser, confidence: good, backed_by: [book]}}
physics: It moves the load.
backed_by: [book, common practice]
"""
REMEDY = """  - lever: {lever}
    move: {move}
    because: {because}
    confidence: good
    backed_by: ["book, p. 4"]
"""
BASE = {
    "pack.yaml": "pack: base\ntitle: Small base\nedition: 2026.1\nrule_format: 1\n",
    "sources.yaml": "sources:\n  book: {who: A writer, title: A book, read: memory}\n",
    "cautions.yaml": "cautions:\n  stands: {says: Car on stands., backed_by: [common practice]}\n",
    "glossary.yaml": "glossary:\n  loose: {means: The rear goes first., see: [stagger]}\n",
    "questions.yaml": """questions:
  where:
    asks: Where?
    topic: feel
    how_to_tell: Count.
    choices: [{id: entry, says: getting in}, {id: exit, says: coming off}]
""",
    "phrases.yaml": "phrases:\n  - {says: [loose], balance: loose}\nskipped: [a]\nlaps: {fresh_until: 5}\n",
    "levers/stagger.yaml": LEVER.format(lever="stagger", title="rear stagger", plus="more", minus="less"),
    "levers/track_bar_right.yaml": LEVER.format(
        lever="track_bar_right", title="right end of the track bar", plus="up", minus="down"
    ),
    "driving/squeeze-later.yaml": """driving: squeeze-later
title: squeeze later
says: Wait.
helps: {balance: loose, phase: exit}
computed: {exit_drive: -10 %}
because: The tire has less to do.
confidence: fair
backed_by: [memory]
""",
    "causes/early-throttle.yaml": """cause: early-throttle
title: the throttle comes too early
prior: usual
explains: [{balance: loose, phase: exit}]
signs_for: [{if: where is exit, strength: fair, text: It is coming off.}]
test: Wait one length.
instead: tight off
backed_by: [memory]
""",
    "exit/loose-off.yaml": """symptom: loose off
also_said: [free off]
balance: loose
phase: exit
feels_like: The back steps out.
not_to_mix_up_with: [{cause: early-throttle, tell_apart: Wait.}]
remedies:
"""
    + REMEDY.format(lever="stagger", move='"-"', because="Less pull.")
    + REMEDY.format(lever="track_bar_right", move="down", because="Less load.")
    + """  - driving: squeeze-later
    because: It costs nothing.
    only_if: banking > 8 deg
    confidence: fair
    backed_by: [memory]
  - inspect: axle-square
    title: measure the axle
    how: [Measure.]
    because: A crooked axle looks like this.
    confidence: fair
    backed_by: [memory]
""",
    "exit/tight-off.yaml": """symptom: tight off
balance: tight
phase: exit
feels_like: It pushes.
remedies:
"""
    + REMEDY.format(lever="stagger", move="more", because="More pull."),
    "exit/loose-off.cases.yaml": """cases_for: loose off
cases:
  - case: The word is found.
    driver_says: loose off
    answers: {where: exit}
    expect: {found: loose off, never: [stagger more], first: stagger less, moves: {stagger less: tighter}}
""",
}
TEAM = {
    "pack.yaml": "pack: ours\ntitle: Ours\nedition: 1\nrule_format: 1\nbuilds_on: base\n",
    "exit/loose-off.changes.yaml": """changes_to: loose off
why: Our bar is already low.
written_for: base 2026.1
drop: [track_bar_right down]
move:
  - {remedy: axle-square, to: first}
reword:
  - {remedy: stagger less, because: Our tires like it.}
add:
  - lever: track_bar_right
    move: up
    after: stagger less
    because: We found it so.
    confidence: guess
    backed_by: [common practice]
also_said: [wags off]
no_longer: [The word is found.]
""",
}


def write_pack(folder, files, **changes):
    """Write a pack; a change maps a file name, with its dots and slashes, to new text or None to leave it out."""
    for name, text in {**files, **changes.get("also", {})}.items():
        if text is not None:
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return folder
