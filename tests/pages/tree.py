"""The element tree of a page, and the same page with another text in every place where a text may stand."""

from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser

from assistant.pages.blocks import Items

VOID = {"meta", "br", "hr", "img", "link", "input"}
OURS = {
    *(("LineChart", name) for name in ("id", "form", "letters", "over", "under")),
    ("Table", "spoken"),
    *((block, name) for block in ("Section", "Line") for name in ("id", "mark")),
}
"""Texts that are ours alone, whatever a file says, or that are for the screen."""


class Tree(HTMLParser):
    """Collects elements with the names of their attributes; complains about what does not close."""

    def __init__(self):
        super().__init__()
        self.elements, self.open, self.faults, self.texts, self.attributes = [], [], [], [], []

    def handle_starttag(self, tag, attributes):
        self.elements.append((len(self.open), tag, tuple(name for name, _ in attributes)))
        self.attributes += [(tag, name, value) for name, value in attributes]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.elements.append((len(self.open), tag, tuple(name for name, _ in attributes)))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at {self.getpos()}")

    def handle_data(self, data):
        if data.strip():
            self.texts.append((self.open[-1] if self.open else "", " ".join(data.split())))

    def handle_comment(self, data):
        self.faults.append(f"comment {data}")

    def handle_pi(self, data):
        self.faults.append(f"instruction {data}")


def tree_of(html):
    tree = Tree()
    tree.feed(html)
    tree.close()
    return tree


def filled(view, text):
    """The view with `text` in every place where the text of a file, a pack or a person may stand."""
    if isinstance(view, str):
        return text if view else view
    if isinstance(view, tuple | list):
        return tuple(filled(one, text) for one in view)
    if is_dataclass(view):
        kind = type(view).__name__
        changes = {
            field.name: filled(getattr(view, field.name), text)
            for field in fields(view)
            if (kind, field.name) not in OURS
        }
        return replace(view, **changes)
    return view


def part(page, name, kind):
    """The blocks of one kind in a section of a page."""
    return [block for section in page.main if section.id == name for block in section.blocks if isinstance(block, kind)]


def changes_of(page):
    """The numbered changes of a page."""
    return [item for block in part(page, "changes", Items) for item in block.items]


def rows_of(change):
    """What is said under a change, by its name."""
    return {block.lead.rstrip(":"): block.text for block in change.blocks if block.lead}


def texts_of(view):
    """Every text that a page, or a part of it, says."""
    if isinstance(view, str):
        return [view] if view else []
    if isinstance(view, tuple | list):
        return [text for one in view for text in texts_of(one)]
    if is_dataclass(view):
        named = [field.name for field in fields(view) if (type(view).__name__, field.name) not in OURS]
        return [text for name in named for text in texts_of(getattr(view, name))]
    return []
