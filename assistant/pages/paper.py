"""The document of a page as text: HTML with everything in it, or Markdown. Whatever is put in is escaped."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Literal

from markupsafe import Markup

from assistant.pages.blocks import Charts, Item, Line, Pairs, PaperBlock, Points, Quote, Section, Steps, Strong, Table
from assistant.pages.charts import Chart, draw_chart
from assistant.pages.data import Way, plain
from assistant.pages.sheet_document import foot_sections, main_sections
from assistant.pages.sheet_records import Page

Format = Literal["html", "markdown"]
FORMATS: tuple[Format, ...] = ("html", "markdown")
STYLE = Path(__file__).parent / "page.css"
MOST_TOGETHER = 10
"""Rows of a table that are kept on one sheet of paper."""
_MARKS = re.compile(r"([\\`*_\[\]<>|~&$])")
_AT_START = re.compile(r"^(\d{0,9})([-+#=.)])(?=[-#=\s]|$)")
"""What begins a list, a heading or a rule when it stands first in a line."""


def write_page(page: Page, form: Format = "html") -> str:
    """Write the page as one text: HTML without script or outside reference, or Markdown."""
    return _html(page) if form == "html" else _markdown(page)


def page_data(page: Page) -> dict[str, Any]:
    """Give the page as plain dicts and lists, for JSON."""
    drawn = [draw_chart(chart) for chart in page.charts]
    return dict(plain(page, Way())) | {"charts": plain(drawn, Way())}


def _html(page: Page) -> str:
    written = _put(
        _PAGE,
        title=page.title,
        about=page.about,
        date=page.date,
        made=page.made,
        style=Markup(STYLE.read_text(encoding="utf-8")),  # noqa: S704 - our own file
        main=_joined(map(_section, main_sections(page))),
        foot=_joined(map(_section, foot_sections(page))),
    )
    return f"{written}\n"


_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<style>
{style}</style>
</head>
<body>
<header>
<h1>{title}</h1>
<p class="about">{about} Written on <time datetime="{date}">{date}</time>.</p>
</header>
<main>
{main}
</main>
<footer>
{foot}
<p>{made}</p>
</footer>
</body>
</html>"""


def _put(html: str, **values: object) -> Markup:
    """Put values into HTML of our own, escaped; a number and its percent sign stay on one line."""
    tied = {name: _tied(value) for name, value in values.items()}
    return Markup(html).format(**tied)  # noqa: S704 - the text is ours, format escapes what is put in


def _tied(value: object) -> object:
    return value.replace(" %", "\u00a0%") if isinstance(value, str) and not isinstance(value, Markup) else value


def _joined(pieces: Iterable[Markup], between: str = "\n") -> Markup:
    return Markup(between).join(pieces)  # noqa: S704 - the pieces are escaped


def _section(section: Section) -> Markup:
    pieces: list[Markup] = []
    items = [block for block in section.blocks if isinstance(block, Item)]
    pieces += [_block(block) for block in section.blocks if not isinstance(block, Item)]
    pieces += [_put('<ol class="changes">\n{items}\n</ol>', items=_joined(map(_block, items)))] if items else []
    head = '<section aria-labelledby="{id}">\n<h2 id="{id}">{title}</h2>\n{body}\n</section>'
    return _put(head, id=section.id, title=section.title, body=_joined(pieces))


def _block(block: PaperBlock) -> Markup:
    return _AS_HTML[type(block)](block)


def _quote(quote: Quote) -> Markup:
    return _put("<blockquote><p>{text}</p></blockquote>", text=quote.text)


def _points(points: Points) -> Markup:
    return _put("<ul>\n{points}\n</ul>", points=_joined(_put("<li>{text}</li>", text=text) for text in points.texts))


def _steps(steps: Steps) -> Markup:
    step = '<li>{order} <span class="quiet">({alone})</span></li>'
    written = _joined(_put(step, order=order, alone=alone) for order, alone in steps.rows)
    return _put('<ol class="parts">\n{steps}\n</ol>', steps=written)


def _charts(charts: Charts) -> Markup:
    return _put(
        '<div class="charts">\n{charts}\n</div>', charts=_joined(_figure(draw_chart(chart)) for chart in charts.charts)
    )


def _item(item: Item) -> Markup:
    head = '<li>\n<h3><span class="number">{number}.</span> {order}</h3>\n{body}\n</li>'
    return _put(head, number=item.number, order=item.order, body=_joined(map(_block, item.blocks)))


def _paragraph(line: Line) -> Markup:
    kind = _put(' class="{kind}"', kind=line.mark) if line.mark else Markup("")
    lead = _put("<strong>{lead}</strong> ", lead=line.lead) if line.lead else Markup("")
    return _put("<p{kind}>{lead}{text}</p>", kind=kind, lead=lead, text=line.text)


def _pairs(pairs: Pairs) -> Markup:
    kind = _put(' class="{kind}"', kind=pairs.kind) if pairs.kind else Markup("")
    row = "<div><dt>{name}</dt><dd>{said}</dd></div>"
    rows = [_put(row, name=name, said=_joined(map(_piece, said), "")) for name, said in pairs.rows]
    return _put("<dl{kind}>\n{rows}\n</dl>", kind=kind, rows=_joined(rows))


def _piece(piece: str | Strong) -> Markup:
    if isinstance(piece, Strong):
        return _put("<strong>{text}</strong>", text=piece.text)
    return _put("{text}", text=piece)


def _table(table: Table) -> Markup:
    heads = [_put('<th scope="col">{name}</th>', name=name) if name else Markup("<td></td>") for name in table.head]
    rows = [
        _put(
            '<tr><th scope="row">{name}</th>{cells}</tr>',
            name=row[0],
            cells=_joined((_put("<td>{cell}</td>", cell=cell) for cell in row[1:]), ""),
        )
        for row in table.rows
    ]
    written = _put(
        '<div class="wide">\n<table{kind}>\n<caption>{caption}</caption>\n<thead><tr>{heads}</tr></thead>\n'
        "<tbody>\n{rows}\n</tbody>\n</table>\n</div>",
        kind=Markup(' class="long"' if len(rows) > MOST_TOGETHER else ""),  # noqa: S704 - ours
        caption=table.caption,
        heads=_joined(heads, ""),
        rows=_joined(rows),
    )
    return _joined([written, _put('<p class="quiet">{text}</p>', text=table.sentence)]) if table.sentence else written


def _figure(chart: Chart) -> Markup:
    return _put(
        "<figure>\n<figcaption><strong>{title}.</strong> {says}</figcaption>\n"
        '<svg viewBox="0 0 {width} {height}" role="img" aria-labelledby="{id}-title {id}-desc">\n'
        '<title id="{id}-title">{title}</title>\n<desc id="{id}-desc">{says}</desc>\n'
        '<g class="grid" aria-hidden="true">\n{grid}\n</g>\n{lines}\n</svg>\n{table}\n</figure>',
        title=chart.title,
        says=chart.says,
        width=chart.width,
        height=chart.height,
        id=chart.id,
        grid=_joined(_grid(chart)),
        lines=_joined(_curves(chart)),
        table=_table(chart.table),
    )


def _grid(chart: Chart) -> Iterable[Markup]:
    """Draw the axes: a line and a number at each tick, the level of zero, and what up and down mean."""
    across = '<path d="M{left} {at}H{right}"/><text x="{x}" y="{y}" class="end">{label}</text>'
    for tick in chart.y_ticks:
        x, y = chart.left - 6, tick.at + 4
        yield _put(across, left=chart.left, right=chart.right, at=tick.at, x=x, y=y, label=tick.label)
    down = '<path d="M{at} {bottom}v4"/><text x="{at}" y="{y}" class="mid">{label}</text>'
    for tick in chart.x_ticks:
        label = f"lap {tick.label}" if tick is chart.x_ticks[-1] else tick.label
        yield _put(down, at=tick.at, bottom=chart.bottom, y=chart.bottom + 18, label=label)
    if chart.level is not None:
        level = '<path class="level" d="M{left} {level}H{right}"/>'
        yield _put(level, left=chart.left, right=chart.right, level=chart.level)
    for text, y in ((chart.over, chart.top - 10), (chart.under, chart.bottom + 18)):
        if text:
            yield _put('<text x="2" y="{y}">{text}</text>', y=y, text=text)


def _curves(chart: Chart) -> Iterable[Markup]:
    curve = '<path class="line line-{number}" d="{path}"/><text x="{x}" y="{y}" class="name-{number}">{name}</text>'
    for one in chart.lines:
        x, y = chart.right + 5, one.label_at + 4
        yield _put(curve, number=one.number, path=one.path, x=x, y=y, name=one.name)


_AS_HTML: Mapping[type, Callable[[Any], Markup]] = {
    Line: _paragraph,
    Quote: _quote,
    Points: _points,
    Steps: _steps,
    Pairs: _pairs,
    Table: _table,
    Charts: _charts,
    Item: _item,
}


def escape_markdown(value: object) -> str:
    """Write a text so that Markdown shows it as it is, and no HTML in it is HTML.

    A mark that means something only at the start of a line is escaped there; no text of others is written in the
    middle of a word.
    """
    return _AT_START.sub(r"\1\\\2", _MARKS.sub(r"\\\1", str(value)))


def _markdown(page: Page) -> str:
    title, about, date, made = map(escape_markdown, (page.title, page.about, page.date, page.made))
    sections = (*main_sections(page), *foot_sections(page))
    told = [text for section in sections for text in _section_marked(section)]
    return "\n\n".join([f"# {title}", f"{about} Written on {date}.", *told, made]) + "\n"


def _section_marked(section: Section) -> list[str]:
    """Write each block as a paragraph of its own."""
    return [f"## {escape_markdown(section.title)}", *_all_marked(section.blocks)]


def _all_marked(blocks: Iterable[PaperBlock]) -> list[str]:
    return [text for block in blocks for text in _AS_MARKDOWN[type(block)](block) if text]


def _line_marked(line: Line) -> list[str]:
    lead = f"**{escape_markdown(line.lead)}** " if line.lead else ""
    return [f"{lead}{escape_markdown(line.text)}".strip()]


def _steps_marked(steps: Steps) -> list[str]:
    rows = [f"{escape_markdown(order)} ({escape_markdown(alone)})" for order, alone in steps.rows]
    return ["\n".join(f"{number}. {row}" for number, row in enumerate(rows, 1))]


def _pairs_marked(pairs: Pairs) -> list[str]:
    colon = "" if pairs.kind == "asked" else ":"
    rows = [(escape_markdown(name), "".join(map(_piece_marked, said))) for name, said in pairs.rows]
    return ["\n".join(f"- {name}{colon} {said}" for name, said in rows)]


def _piece_marked(piece: str | Strong) -> str:
    return f"**{escape_markdown(piece.text)}**" if isinstance(piece, Strong) else escape_markdown(piece)


def _table_marked(table: Table) -> list[str]:
    head, *rows = (tuple(map(escape_markdown, row)) for row in (table.head, *table.rows))
    written = [f"| {' | '.join(row)} |" for row in (head, ("---",) * len(head), *rows)]
    return [f"{escape_markdown(table.caption)}:", "\n".join(written), escape_markdown(table.sentence)]


def _charts_marked(charts: Charts) -> list[str]:
    drawn = map(draw_chart, charts.charts)
    told = [(f"**{escape_markdown(one.title)}.** {escape_markdown(one.says)}", one.table) for one in drawn]
    return [text for said, table in told for text in (said, *_table_marked(table))]


def _item_marked(item: Item) -> list[str]:
    return [f"### {item.number}. {escape_markdown(item.order)}", *_all_marked(item.blocks)]


_AS_MARKDOWN: Mapping[type, Callable[[Any], list[str]]] = {
    Line: _line_marked,
    Quote: lambda quote: [f"> {escape_markdown(quote.text)}"],
    Points: lambda points: ["\n".join(f"- {escape_markdown(text)}" for text in points.texts)],
    Steps: _steps_marked,
    Pairs: _pairs_marked,
    Table: _table_marked,
    Charts: _charts_marked,
    Item: _item_marked,
}
