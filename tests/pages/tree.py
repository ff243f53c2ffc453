"""The element tree of a page, and the same page with another text in every place where a text may stand."""

from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "link", "input"}
OURS = {("LineChart", "id"), ("LineChart", "form"), ("LineChart", "letters"), ("Change", "kind"), ("Change", "id")}
"""Texts that are ours alone, whatever a file says."""


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
    if isinstance(view, tuple):
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
