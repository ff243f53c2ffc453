"""What the two YAML parsers complain about, said in words for people.

libyaml and PyYAML's own parser word the same mistake differently; both lead to one sentence here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import yaml


@dataclass(frozen=True)
class ParserComplaint:
    """A sentence with its place: line and column from 1."""

    line: int
    column: int
    says: str
    hint: str


_SECOND = "a second ':' on this line"
_NOT_IN_LINE = "this line does not line up with the ones above it"
_SPACES = "use the same number of spaces"
_QUOTES = "put quotes around the whole text"
_WORDS: tuple[tuple[str, str, str, bool], ...] = (
    # words of the parser, what it says to people, hint, whether the place is where the block began
    ("maximum nesting", "too many brackets stand inside one another", "our files need two at most", False),
    ("mapping values are not allowed", _SECOND, _QUOTES, False),
    ("could not find expected ':'", "a ':' is missing after this name", "write 'name: value'", True),
    ("cannot start any token", "a text cannot start with this sign", _QUOTES, False),
    ("unknown escape character", "a '\\' in this text has no meaning inside double quotes", "use single quotes", True),
    ("escape sequence", "a '\\' in this text lacks its digits", "use single quotes", True),
    ("hexdecimal number", "a '\\' in this text lacks its digits", "use single quotes", True),
    ("Unicode character escape", "a '\\' in this text names no character", "use single quotes", True),
    ("alphabetic or numeric character", "a text cannot start with '*' or '&'", _QUOTES, False),
    ("unexpected end of stream", "a quote is opened here and never closed", "close it, or leave it out", True),
    ("unexpected document separator", "a quote is opened here and never closed", "close it, or leave it out", True),
    ("',' or ']'", "a list in [ ] is not closed, or a comma is missing in it", "check what follows the '['", True),
    ("',' or '}'", "a block in { } is not closed, or a comma is missing in it", "check what follows the '{'", True),
    ("sequence entries are not allowed", "a list cannot start here", "start it on a line of its own", False),
    ("undefined tag handle", "a text cannot start with '!'", _QUOTES, True),
    ("tag", "a text cannot start with '!'", _QUOTES, True),
    ("<document start>", "this stands outside of everything above it", "line it up with the lines above", False),
    ("comment or a line break", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("comment or line break", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("chomping or indentation", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("block end", _NOT_IN_LINE, _SPACES, False),
    ("'-' indicator", _NOT_IN_LINE, _SPACES, False),
    ("expected key", _NOT_IN_LINE, _SPACES, False),
    ("invalid indentation", _NOT_IN_LINE, _SPACES, False),
    ("directive", "a line cannot start with '%'", _QUOTES, True),
    ("flow node", "something is missing or too much between these brackets", "check commas and brackets", False),
    ("node content", "something is missing or too much here", "check commas, dashes and brackets", False),
)
UNKNOWN = "this is not YAML that can be read"
UNKNOWN_HINT = "often a quote, a bracket or a space is missing just before"


def explain_parser(error: yaml.YAMLError, rows: tuple[str, ...]) -> ParserComplaint:
    """Say a parser's error in plain words, at the most useful place."""
    if not isinstance(error, yaml.MarkedYAMLError):
        return ParserComplaint(1, 1, UNKNOWN, UNKNOWN_HINT)
    problem = error.problem or ""
    says, hint, at_start = next(
        ((says, hint, at_start) for words, says, hint, at_start in _WORDS if words in problem),
        (UNKNOWN, UNKNOWN_HINT, False),
    )
    mark = (error.context_mark if at_start else None) or error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    line = min(line, len(rows))
    return _look_at_row(ParserComplaint(line, column, says, hint), rows[line - 1])


def _look_at_row(wrong: ParserComplaint, row: str) -> ParserComplaint:
    """Say it better where the row itself shows what happened."""
    before = row[: wrong.column - 1].strip()
    if wrong.says == _SECOND and ":" not in before:
        return replace(wrong, says="this ':' does not fit here", hint="check the spaces before it and the line above")
    if wrong.says == _NOT_IN_LINE and before[-1:] in {'"', "'"}:
        return replace(wrong, says="something stands behind the closing quote", hint="put the whole text in one pair")
    if wrong.says == _NOT_IN_LINE and row[wrong.column - 1 : wrong.column] == ":":
        return replace(wrong, says="a name is missing before this ':'", hint="write 'name: value'")
    return wrong
