"""JSON read without indulgence: one meaning for every reader, or a sentence with the line to mend.

Python's own parser takes NaN, repeated names (the last one wins, silently) and integers that no
browser can hold. Here all of that is refused, before anything is built from it where it could
exhaust the machine.
Not for: what the values mean (each field's reader judges that).
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

from scout.records.change import LAST_EXACT_INTEGER
from scout.records.trouble import Step, shown

DEEPEST = 30
LARGEST_BYTES = 20_000_000

# Possessive, with an end that always matches: hostile text is walked once and never back again.
_STRING = r'"(?:[^"\\]++|\\.)*+(?:"|\\?\Z)'
_STRING_OR_NOT_BRACKET = re.compile(rf"{_STRING}|[^\[\]{{}}\"]++", re.DOTALL)
_TOKEN = re.compile(rf'{_STRING}|[\[\]{{}}:,]|[^\s\[\]{{}}:,"]++', re.DOTALL)
_COLON = re.compile(r"\s*+:")
_HALF_CHARACTER = re.compile(r"\\u[dD][89a-fA-F]")
_LONGEST_INTEGER = len(str(LAST_EXACT_INTEGER)) + 1  # with its sign

_PARSER_WORDS = {
    "Expecting property name enclosed in double quotes": (
        "a field name in double quotes is wanted here; put it in, or take away a comma too many"
    ),
    "Illegal trailing comma before end of object": "a comma too many stands before }; take it away",
    "Illegal trailing comma before end of array": "a comma too many stands before ]; take it away",
    "Expecting ':' delimiter": "a colon is wanted between a field's name and its value",
    "Expecting ',' delimiter": "a comma or a closing bracket is wanted here",
    "Expecting value": "a value is wanted here; put it in, or take away a comma too many",
    "Extra data": "there is more after the end; take it away or put it inside the brackets",
    "Unterminated string starting at": "a text has no closing quote; add it",
    "Invalid control character at": "a line break or tab stands inside a text; write \\n or \\t",
    "Invalid \\escape": "a backslash in a text stands before the wrong letter; write it twice",
    "Invalid \\uXXXX escape": "\\u in a text wants four hexadecimal digits",
}


class NotStrictJson(ValueError):
    """Text that is not strict JSON: the line (from 1) and the trouble in words."""

    def __init__(self, says: str, line: int) -> None:
        self.says = says
        self.line = line
        super().__init__(f"Line {line}: {says}.")


class _Doubt(Exception):
    """Something that the parser's hooks refuse; the careful scan then finds which and where."""


def read_strict(
    text: str | bytes, *, deepest: int = DEEPEST, largest_bytes: int = LARGEST_BYTES
) -> Any:
    """Read one JSON value (RFC 8259) in which every reader sees the same.

    Refused are: more than `largest_bytes`, bytes that are not UTF-8 (a byte order mark is passed
    over), brackets nested deeper than `deepest`, NaN and Infinity, numbers too large for a float,
    integers beyond ±(2^53 − 1), a name given twice in one object, and half of a surrogate pair.
    Raises NotStrictJson with the line.
    """
    plain = decoded(text, largest_bytes)
    _refuse_deep(plain, deepest)
    try:
        value = json.loads(
            plain,
            object_pairs_hook=_object,
            parse_constant=_refuse_constant,
            parse_int=_whole,
            parse_float=_real,
        )
    except json.JSONDecodeError as error:
        raise _in_words(plain, error) from None
    except _Doubt:
        raise _first_fault(plain) from None
    if _HALF_CHARACTER.search(plain):
        _refuse_half_characters(plain)
    return value


def line_of(text: str, path: Sequence[Step]) -> int:
    """Answer the line (from 1) on which the value at a path of names and places (from 0) begins.

    For a path that is not there, the line of the deepest part of it that is. The text is already
    read strictly.
    """
    best, best_depth = 0, -1
    wanted = tuple(path)
    for found, offset in _values(text):
        depth = len(found)
        if depth > best_depth and found == wanted[:depth]:
            best, best_depth = offset, depth
            if depth == len(wanted):
                break
    return _line(text, best)


def item_offsets(text: str) -> list[int]:
    """Answer where each item of the outermost list begins: one scan serves many faults."""
    return [offset for path, offset in _values(text) if len(path) == 1]


def decoded(text: str | bytes, largest_bytes: int = LARGEST_BYTES) -> str:
    """Answer text of at most so many bytes from UTF-8, without its byte order mark.

    Raises NotStrictJson.
    """
    size = len(text)  # of bytes, or of characters: fewer, and as good a guard of memory
    if size > largest_bytes:
        raise NotStrictJson(
            f"is {size / 1e6:.1f} MB large; at most {largest_bytes / 1e6:g} MB are read, split it",
            1,
        )
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8")
        except UnicodeDecodeError as error:
            line = error.object.count(b"\n", 0, error.start) + 1
            raise NotStrictJson("is not UTF-8 text; save it as UTF-8", line) from None
    else:
        half = re.search("[\ud800-\udfff]", text)
        if half is not None:
            raise NotStrictJson(
                "holds half of a character (a lone surrogate); type it again",
                _line(text, half.start()),
            )
    return text.removeprefix("\ufeff")


def _refuse_deep(text: str, deepest: int) -> None:
    """Refuse deep nesting before the parser meets it, which goes down one call a bracket."""
    depth = 0
    for bracket in _STRING_OR_NOT_BRACKET.sub("", text):
        if bracket in "[{":
            depth += 1
            if depth > deepest:
                raise NotStrictJson(
                    f"is nested deeper than {deepest} brackets; flatten it",
                    _deep_line(text, deepest),
                )
        else:
            depth -= 1


def _deep_line(text: str, deepest: int) -> int:
    depth = 0
    for token in _TOKEN.finditer(text):
        depth += (token[0] in "[{") - (token[0] in "]}")
        if depth > deepest:
            return _line(text, token.start())
    return 1


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise _Doubt
    return made


def _refuse_constant(_: str) -> Any:
    raise _Doubt


def _whole(digits: str) -> int:
    if len(digits) > _LONGEST_INTEGER or abs(value := int(digits)) > LAST_EXACT_INTEGER:
        raise _Doubt
    return value


def _real(digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise _Doubt
    return value


def _in_words(text: str, error: json.JSONDecodeError) -> NotStrictJson:
    if not text.strip():
        return NotStrictJson("is empty; write [] where there is nothing to say", 1)
    words = _PARSER_WORDS.get(error.msg, error.msg)
    near = text[error.pos : error.pos + 20].split("\n")[0].strip()
    where = f" at {shown(near)}" if near else ""
    return NotStrictJson(f"is not JSON{where}: {words}", error.lineno)


def _first_fault(text: str) -> NotStrictJson:
    """Find what the parser's hooks refused. The text is JSON up to that place."""
    names: list[set[str] | None] = []
    for token in _TOKEN.finditer(text):
        word = token[0]
        trouble = ""
        if word in "[{":
            names.append(set() if word == "{" else None)
        elif word in "]}":
            names.pop()
        elif word[0] == '"':
            seen = names[-1] if names else None
            if seen is not None and _is_name(text, token.end()):
                name = json.loads(word)
                if name in seen:
                    trouble = f"the name {shown(name)} stands twice in one object; keep one of them"
                seen.add(name)
        elif word in ("NaN", "Infinity", "-Infinity"):
            trouble = f"{word} is not a number in JSON; give a finite number or leave it out"
        elif word[0] in "-0123456789":
            trouble = _number_fault(word)
        if trouble:
            return NotStrictJson(trouble, _line(text, token.start()))
    return NotStrictJson("is not strict JSON", 1)  # pragma: no cover (hooks and scan agree)


def _number_fault(word: str) -> str:
    try:
        _real(word) if re.search("[.eE]", word) else _whole(word)
    except _Doubt:
        short = f"{word[:20]}…" if len(word) > 21 else word
        return f"{short} is too large for JSON's numbers; write a smaller one, or put it in quotes"
    except ValueError:
        return ""
    return ""


def _refuse_half_characters(text: str) -> None:
    for token in _TOKEN.finditer(text):
        if token[0][0] == '"' and _HALF_CHARACTER.search(token[0]):
            try:
                json.loads(token[0]).encode("utf-8")
            except UnicodeEncodeError:
                raise NotStrictJson(
                    "holds half of a character (a lone surrogate); type it again",
                    _line(text, token.start()),
                ) from None


def _values(text: str) -> Iterator[tuple[tuple[Step, ...], int]]:
    """Walk the first value of well-formed JSON; answer each value's path and where it begins."""
    path: list[Step] = []
    name = ""
    for token in _TOKEN.finditer(text):
        word = token[0]
        if word == ",":
            last = path[-1]
            if isinstance(last, int):
                path[-1] = last + 1
        elif word == ":":
            path[-1] = name
        elif word in "]}":
            path.pop()
        elif word[0] == '"' and path and isinstance(path[-1], str) and _is_name(text, token.end()):
            name = json.loads(word)
            continue
        else:
            yield tuple(path), token.start()
            if word in "[{":
                path.append(0 if word == "[" else "")
        if not path:
            return


def _is_name(text: str, end: int) -> bool:
    return bool(_COLON.match(text, end))


def _line(text: str, offset: int) -> int:
    return text.count("\n", 0, offset) + 1
