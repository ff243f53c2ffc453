import json
import re
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise
from typing import get_args

import pytest

from assistant.advice.prices import matters
from assistant.advice.ranking import with_no_telling
from assistant.advice.results import COMPUTES_EVEN, COMPUTES_SMALL, PackageMove
from assistant.belief.model import read_model
from assistant.car.case import Measured
from assistant.car.moves import with_value
from assistant.commands.advise import advised
from assistant.commands.runner import Runner
from assistant.commands.table import read_arguments
from assistant.ground.names import say_number
from assistant.ground.understood import StopReason
from assistant.ground.units import from_unit
from assistant.pages.advice import offers_of
from assistant.pages.amounts import cure_words, say_tires
from assistant.pages.blocks import Charts, Group, Line, Page, PaperBlock, Table
from assistant.pages.data import Way, advice_data
from assistant.pages.lever_facts import facts
from assistant.pages.paper import Format, draw_chart, escape_markdown, page_data, template, write_page
from assistant.pages.sheet_page import MOST_FACTS
from tests.advice.round_numbers import together
from tests.pages.tree import changes_of, filled, part, rows_of, texts_of, tree_of

INJECTIONS = [
    "<script>alert(1)</script>",
    "</script><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    '"><svg onload=alert(1)>',
    "' onmouseover='alert(1)",
    "</title><b>bold</b>",
    "</style><style>*{display:none}</style>",
    "<!-- comment",
    "--><b>out</b>",
    "]]><b>",
    "<![CDATA[<b>]]>",
    "<?xml version='1.0'?>",
    "<!DOCTYPE html>",
    "</li></ol></section>",
    "<iframe src='//example.org'></iframe>",
    "<a href='javascript:alert(1)'>here</a>",
    "<base href='//example.org'>",
    "<meta http-equiv=refresh content=0>",
    "<table><tr><td>",
    "&lt;script&gt;",
    "&#60;b&#62;",
    "{{ 7 * 7 }}",
    "{% include 'page.html.jinja' %}",
    "{# hidden #}",
    "${7*7}",
    "`code` *bold* _low_ [link](//example.org) ![i](x)",
    "# heading",
    "- item",
    "1. first",
    "| a | b |",
    "a\n\n# heading\n<b>",
    "x\u202egnp.exe\u2066\u200b\x1b[2J\x07",
    "\x00\x08\x7f\x9b",
    "javascript:alert(1)",
]
PLAIN = "plain"


def charts_on(page):
    return part(page, "run", Charts)[0].charts


def setup_on(page):
    return part(page, "setup", Group)


@pytest.fixture(scope="module")
def html(page):
    return write_page(page)


@pytest.fixture(scope="module")
def markdown(page):
    return write_page(page, "markdown")


def test_the_page_is_well_formed(html):
    tree = tree_of(html)
    assert tree.faults == []
    assert tree.open == []


def test_the_headings_come_in_order_and_say_what_the_page_is_for(html):
    headings = re.findall(r"<h([1-6])[ >]", html)
    assert headings[0] == "1"
    assert headings.count("1") == 1
    assert all(int(b) <= int(a) + 1 for a, b in pairwise(headings))
    titles = [text for tag, text in tree_of(html).texts if tag == "h2"]
    assert titles[:5] == [
        "What the car does",
        "What to change, in this order",
        "Balance, before and after the first change",
        "The run ahead",
        "How sure this is, and what would change our mind",
    ]
    assert titles[-2:] == ["What the model does not know", "Sources"]


def test_every_id_is_there_once_and_every_label_points_to_one(html):
    attributes = tree_of(html).attributes
    ids = [value for _, name, value in attributes if name == "id"]
    assert len(ids) == len(set(ids))
    assert {one for _, name, value in attributes if name == "aria-labelledby" for one in value.split()} <= set(ids)


def test_the_page_refers_to_nothing_outside_and_runs_nothing(html):
    tree = tree_of(html)
    assert not {tag for _, tag, _ in tree.elements} & {"script", "link", "img", "iframe", "object", "base", "form"}
    names = {name for _, name, _ in tree.attributes}
    assert not names & {"src", "href", "xlink:href", "action", "style"}
    assert not any(name.startswith("on") for name in names)
    assert "url(" not in html
    assert "@import" not in html
    assert "://" not in html


def test_the_page_is_small(html):
    assert len(html.encode()) < 100_000


def test_writing_takes_no_time_to_speak_of(page):
    write_page(page)
    times = []
    for _ in range(3):
        begun = time.perf_counter()
        write_page(page)
        times.append(time.perf_counter() - begun)
    assert min(times) < 0.1


def test_every_kind_of_block_can_be_written_as_html():
    macros = template().make_module({"page": Page("", "", "", "")})
    assert set(macros.writers) == {kind.__name__ for kind in get_args(PaperBlock)}


def test_a_page_without_what_the_template_asks_for_is_not_written():
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        template().render()


def test_the_library_of_templates_is_imported_only_when_a_page_is_written():
    code = "import sys; import assistant.pages.paper, assistant.commands.advise; print('jinja2' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "False\n"


def test_the_language_is_said_and_a_phone_is_not_given_a_desk(html):
    assert '<html lang="en">' in html
    assert '<meta name="viewport" content="width=device-width, initial-scale=1">' in html
    assert "prefers-color-scheme: dark" in html
    assert "@media print" in html


def test_a_number_stays_on_the_line_of_its_fraction_and_its_unit(page):
    tied = write_page(replace(page, about="From 10 1/2 in to 9 psi, 0.5 % of it in 3 tires.")).replace("\u00a0", "_")
    assert "From 10_1/2_in to 9_psi, 0.5_% of it in 3 tires." in tied


def test_every_table_names_its_rows_and_columns(html, page):
    tables = re.findall(r"<table.*?</table>", html, re.DOTALL)
    assert len(tables) == 8
    for table in tables:
        assert "<caption>" in table
        assert 'scope="col"' in table
        assert table.count('scope="row"') == table.count("<tr>") - 1


def test_every_chart_can_be_heard_and_is_told_apart_without_color(html, page):
    pictures = re.findall(r"<svg.*?</svg>", html, re.DOTALL)
    assert len(pictures) == len(charts_on(page)) == 2
    for picture in pictures:
        assert 'role="img"' in picture
        assert "<title" in picture
        assert "<desc" in picture
    dashes = re.findall(r"\.line-\d \{[^}]*dasharray: ([^;]+);", html)
    assert len(dashes) == len(set(dashes)) == 3


def test_each_change_is_one_item_with_its_number(html, page):
    items = [text for tag, text in tree_of(html).texts if tag == "span" and re.fullmatch(r"\d+\.", text)]
    assert items == [f"{change.id}." for change in changes_of(page)]


def test_the_changes_are_those_of_the_advice_with_its_numbers(page, demo):
    remedies = advice_data(demo.advice, Way("trade", demo.case))["remedies"]
    for change, remedy in zip(changes_of(page), remedies, strict=True):
        said = change.blocks[0]
        told = remedy["kind"] not in {"lever", "driving"}
        assert told or cure_words(remedy["removes"]) in said.text.lower()
        assert said.lead == (f"{remedy['direction'].capitalize()}:" if remedy["direction"] else "")
        costs = [cost["text"] for cost in remedy["costs"]]
        said = " ".join(texts_of(change.blocks))
        assert told or not costs or any(f"Costs: {text}" in said for text in costs)
        if remedy["kind"] == "lever":
            start, finish = re.search(r"from ([\d. /-]+) to ([\d. /-]+)\.$", change.title).groups()
            assert number(start) == pytest.approx(remedy["from"], abs=0.005)
            assert number(finish) == pytest.approx(remedy["to"], abs=0.005)


def number(text):
    return sum(float(a) / float(b or 1) for a, b in re.findall(r"(-?[\d.]+)(?:/(\d+))?", text))


def test_sizes_are_fractions_where_the_trade_uses_them(page):
    orders = [change.title for change in changes_of(page)]
    assert any(re.fullmatch(r".* [\d /]+ in(, from [\d /]+ to [\d /]+)?\.", order) for order in orders), orders


def test_each_caution_stands_once_and_the_others_point_to_it(page, demo, markdown):
    plain = re.sub(r"\\(.)", r"\1", markdown)
    cautions = {text for offer in demo.advice.offers for text in offer.cautions}
    assert cautions
    assert all(plain.count(text) == 1 for text in cautions)
    for change in changes_of(page):
        heeded = [int(one) for text in texts_of(change.blocks) for one in re.findall(r"stands under (\d+)", text)]
        assert all(number < int(change.id) for number in heeded)


def test_what_a_change_moves_is_marked_in_words_in_the_setup(page):
    notes = {(group.title, value): note for group in setup_on(page) for value, note in group.values}
    number = next(change.id for change in changes_of(page) if "cross weight" in change.title)
    assert notes["middle", "cross weight 51.0 %"].startswith(f"number {number} makes it ")
    assert all(not note for (place, value), note in notes.items() if place == "left front" and "air" in value)


def test_the_first_balance_is_what_is_believed(page, demo):
    from assistant.pages.balance import believed_table

    before = believed_table(demo.advice.picture)
    assert any('"loose" ' in cell for row in before.rows for cell in row)
    for told, was in zip(part(page, "balance-now", Table)[0].rows, before.rows, strict=True):
        assert told[0] == was[0]
        known = [pair for pair in zip(told[1:], was[1:], strict=True) if pair[1].startswith(('"', "not"))]
        assert all(cell.split()[:2] == old.split()[:2] for cell, old in known)


def test_the_two_setups_are_laid_side_by_side_and_every_difference_does_something(page):
    differences = part(page, "against", Table)[0]
    assert differences.head == ("what", "demo-quick", "demo-safe", "each alone")
    assert differences.rows[0][0] == "right front spring"
    assert all(here != there and does for _, here, there, does in differences.rows)
    said = texts_of(page)
    assert "All of it together, going over from demo-quick to demo-safe:" in said
    assert any(text.startswith("Lap times: first five laps ") for text in said)
    assert "Only the two setups are compared: car, tire, track and air are those of this page." in said


def test_one_setup_against_itself_has_no_differences(demo, page_of):
    from assistant.pages.paper import read_other

    made = page_of(demo, against=read_other("demo", demo.case))
    assert part(made, "against", Table) == []
    assert "The two setups are the same." in texts_of(made)


def test_a_package_is_one_change_with_its_parts(demo, page_of):
    moves = (
        PackageMove("cross_weight", "cross weight", 2, 0.51, 0.515, 0.4, ("Level pads.",)),
        PackageMove("stagger", "rear stagger", -1, from_unit(1.875, "in"), from_unit(1.75, "in"), 0.1, (), 0.3),
    )
    effect = {phase: dict.fromkeys(("fresh", "settled", "worn"), 0.1) for phase in ("entry", "middle", "exit")}
    package = together(moves, removes=0.66, effect=effect, order=("stagger", "cross_weight"), cautions=("Level pads.",))
    made = page_of(demo, offers=(package,))
    (change,) = changes_of(made)
    first, second, share = change.blocks[:3]
    said = "Reduce the rear stagger 1/8 in, from 1 7/8 to 1 3/4 (alone it spoils more than it cures)."
    assert first == Line(said, lead="a")
    said = "Raise the cross weight 0.5 %, from 51.0 to 51.5 (alone it cures about a third of the complaint)."
    assert second == Line(said, lead="b")
    assert share.text.startswith("Cures about two thirds of the complaint. ")
    assert change.blocks[-1].text == "Level pads."
    assert part(made, "run", Table)[0].caption.endswith(": now, then with number 1 made")


def test_a_car_to_be_looked_at_first_gets_no_change_and_no_run(demo, page_of):
    stopped = page_of(replace(demo, advice=replace(demo.advice, stop=StopReason(("a loose wheel",)))))
    html = write_page(stopped)
    assert "Stop: look at the car first" in html
    assert "a loose wheel" in html
    assert [section.id for section in stopped.main] == ["changes", "says"]
    assert "What to change, in this order" not in html
    assert tree_of(html).faults == []


def test_where_nothing_helps_the_page_says_so(demo, page_of):
    nothing = page_of(replace(demo, advice=replace(demo.advice, offers=())))
    for form in get_args(Format):
        assert "No lever, no habit and no package I know of takes this away on this car." in write_page(nothing, form)


def test_what_is_not_legal_stands_before_everything_else(demo, page, page_of):
    case = replace(demo.case, setup=with_value(demo.case.setup, "cross_weight", 0.6))
    illegal = page_of(replace(demo, case=case, advice=replace(demo.advice, case=case)))
    for form in get_args(Format):
        text = write_page(illegal, form)
        assert text.index("Not legal: cross weight is 60") < text.index(demo.session.text)
    assert not any("Not legal" in text for text in texts_of(page))


def test_values_are_in_the_units_asked_for(demo, page_of):
    places = {group.title: group.values for group in setup_on(page_of(demo, system="si"))}
    values = {said.split()[0]: said for said, _ in places["right rear"]}
    assert values["air"].endswith(" kPa")
    assert values["spring"].endswith(" N/mm")


@pytest.mark.parametrize("text", INJECTIONS)
def test_no_text_of_others_makes_an_element(page, text):
    plain = tree_of(write_page(filled(page, PLAIN)))
    nasty = tree_of(write_page(filled(page, text)))
    assert nasty.faults == []
    assert nasty.elements == plain.elements


@pytest.mark.parametrize("text", INJECTIONS)
def test_no_text_of_others_makes_anything_in_markdown(page, text):
    def skeleton(said):
        bare = re.sub(r"\\.", "", write_page(filled(page, said), "markdown"))
        marks = [re.findall(r"[*_`\[\]<>|~&]|^#+ |^- |^\d+\. ", line) for line in bare.splitlines()]
        return len(bare.splitlines()), marks

    assert skeleton(text) == skeleton(PLAIN)


@pytest.mark.parametrize("form", get_args(Format))
def test_control_characters_and_direction_marks_are_shown_not_sent(page, form):
    written = write_page(filled(page, "a\x1b[2J\u202eb\u200b\x07"), form)
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", written)
    assert "U+202E" in written


def test_what_a_case_file_says_is_gated_when_the_page_is_written(demo, page_of):
    setup = replace(demo.case.setup, name="<b>\u202e")
    made = page_of(replace(demo, case=replace(demo.case, setup=setup)))
    assert r"\<b\>\<U+202E\>" in write_page(made, "markdown")
    assert "&lt;b&gt;&lt;U+202E&gt;" in write_page(made)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("a*b_c", r"a\*b\_c"),
        ("- no list", r"\- no list"),
        ("-3.0 deg", "-3.0 deg"),
        ("+0.5", "+0.5"),
        ("# no heading", r"\# no heading"),
        ("1. no list", r"1\. no list"),
        ("1.5 psi", "1.5 psi"),
        ("a | b", r"a \| b"),
        ("<b>", r"\<b\>"),
    ],
)
def test_markdown_is_escaped_only_where_it_would_mean_something(text, written):
    assert escape_markdown(text) == written


def test_markdown_says_all_that_html_says(page, markdown):
    said = " ".join(re.sub(r"\\(.)", r"\1", markdown).split())
    assert len(texts_of(page)) > 250
    assert [text for text in texts_of(page) if " ".join(text.split()).lower() not in said.lower()] == []
    for table in (draw_chart(chart).table for chart in charts_on(page)):
        assert all(" ".join(f"| {' | '.join(row)} |".split()) in said for row in table.rows)


def test_the_document_is_plain_json(page):
    data = json.loads(json.dumps(page_data(page), allow_nan=False))
    (changes,) = [section for section in data["main"] if section["id"] == "changes"]
    (items,) = [block["items"] for block in changes["blocks"] if block["block"] == "Items"]
    assert [item["title"] for item in items] == [change.title for change in changes_of(page)]
    assert data["date"] == "2026-05-04"


def test_a_stop_stands_first_and_alone(page_of):
    done = advised(Runner(read_arguments(["sheet", "demo", "--complaint", "loose off", "--answer", "safety=yes"])))
    made = page_of(done)
    assert made.title == "Stop: demo-car"
    for form in get_args(Format):
        text = write_page(made, form)
        assert text.index("Stop and inspect before any adjustment") < text.index("loose off")
        for word in ("hidden cause", "changes below", "What to change", "list above", "run ahead", "percent of grip"):
            assert word not in text, word
    assert tree_of(write_page(made)).faults == []


def test_a_change_says_its_price_in_tires_as_the_list_does_and_gains_no_less_than_a_cost_must_be(page, demo):
    for change, offer in zip(changes_of(page), demo.advice.offers, strict=True):
        rows, said = rows_of(change), " ".join(texts_of(change.blocks))
        assert say_tires(offer.run) in said
        assert not say_tires(offer.run) or " lasts " not in said.partition("Costs: ")[2].partition(". ")[0]
        for corner, (after, more) in ({} if offer.run is None else offer.run.tire_laps).items():
            told = f"more of {corner} tire" in rows.get("It gives besides", "")
            assert not told or matters(after, more, demo.case.run_laps)


def test_what_was_read_and_what_changes_did_stands_with_what_the_car_does(demo, page_of):
    read = replace(demo.case, measured=Measured(hot_pressure={"RR": from_unit(24.5, "psi")}))
    made = page_of(replace(demo, case=read), felt=[("Raise the cross weight 0.5 %", "better")])
    told = [block.text for block in made.main[0].blocks[2:4]]
    assert told == ["Read: hot pressure RR 24.5 psi.", "Changed: Raise the cross weight 0.5 %. Felt: Better."]
    said = write_page(made, "markdown")
    assert said.index("Felt: Better.") < said.index("What to change, in this order")


def test_every_lever_on_the_page_tells_its_first_facts_and_nothing_else_does(page, demo):
    model = read_model(demo.case)
    for change, offer in zip(changes_of(page), demo.advice.offers, strict=True):
        wanted = facts(model, offer.id, offer.change)[:MOST_FACTS] if offer.kind == "lever" else ()
        assert rows_of(change).get("On this car", "") == " ".join(wanted)
    assert any("On this car" in rows_of(change) for change in changes_of(page))


def test_what_cannot_be_told_has_no_empty_line_and_warns_of_scaling(demo, page_of):
    first, *_ = with_no_telling((), "no sheet", demo.knowledge)
    (change,) = changes_of(page_of(demo, offers=(first,)))
    assert change.title.startswith("Scale and measure all of it")
    assert change.blocks[0].text.startswith("It cannot be told from this what to change.")
    assert "Car on stands on level ground" in change.blocks[-1].text
    assert "Weigh on level pads" in change.blocks[-1].text
    assert "\n\n\n" not in write_page(page_of(demo, offers=(first,)), "markdown")


def test_the_first_change_that_is_shown_is_one_of_which_is_said_how_much_goes(demo, page_of):
    levers = [offer for offer in offers_of(demo.advice) if offer.effect is not None][:2]
    silent = replace(levers[0], removes=None)
    made = page_of(demo, offers=(silent, levers[1]))
    assert part(made, "run", Table)[0].caption.endswith("with number 2 made")
    assert "Number 2 is shown: it is the first of which is known how much goes." in texts_of(made)


def test_the_page_says_what_a_change_is_meant_for_and_how_likely_it_cures_as_the_list_does(page, demo):
    for change, offer in zip(changes_of(page), offers_of(demo.advice), strict=True):
        only_if = {note.kind for note in offer.notes} & {COMPUTES_EVEN, COMPUTES_SMALL}
        named = [one.title for one in offer.worth.treats if not (only_if and one.is_balance)]
        assert all(title in " ".join(texts_of(change.blocks[:2])) for title in named)
        said = " ".join(texts_of(change.blocks))
        chance = f"Chance it cures, every cause weighed: {say_number(offer.worth.sure)}."
        assert ("hance it cures" in said) == (chance in said)


def test_nothing_is_shown_before_and_after_for_a_change_that_is_not_computed(demo, page_of):
    lever = next(offer for offer in offers_of(demo.advice) if offer.effect is not None and offer.removes is not None)
    made = page_of(demo, offers=(replace(lever, basis="by the book"),))
    assert part(made, "balance-now", Table)[0].caption == "Balance in percent of grip"
    assert "What a change does to it cannot be computed here." in texts_of(made)


def test_facts_that_rest_on_a_guessed_value_say_so(demo, page_of):
    lever = next(offer for offer in offers_of(demo.advice) if offer.kind == "lever")
    (change,) = changes_of(page_of(demo, offers=(replace(lever, guessed=True),)))
    assert "On this car, from a guess of where it stands now" in rows_of(change)


def test_where_the_driver_tells_the_ends_apart_the_page_does_so_too(page_of):
    done = advised(Runner(read_arguments(["sheet", "demo", "--complaint", "tight in turns 1 and 2, loose off turn 4"])))
    ends, *_ = part(page_of(done), "balance-now", Table)
    assert ends.caption == "Balance at each end, in percent of grip"
    assert {row[0] for row in ends.rows} == {end.id for end in done.case.track.ends}
