"""The text of a batch of changes, read strictly and change by change.

A batch is an object with the list `changes` in it. Where all of it is strict JSON it is read at
once; where it is not, each change is cut out and read alone, so that one with a number that JSON
has not, a name that stands twice, half of a character or brackets without end delays no other: its
text is kept in quarantine as it came. Not for: what a change may say (`judging`).
"""

from __future__ import annotations

import json
import re
from typing import Any

from scout.notebook.canonical import sha256_of
from scout.notebook.judging import Fault, Judged
from scout.notebook.strict_json import DEEPEST, NotStrictJson, decoded, read_strict
from scout.records.trouble import Refused

_AROUND = 2  # brackets around each change
_STRING_OR_MARK = re.compile(r'"(?:[^"\\]++|\\.)*+(?:"|\\?\Z)|[\[\]{},]', re.DOTALL)
_LIST_FOLLOWS = re.compile(r"\s*+:\s*+\[")

Item = dict[str, Any] | Judged | Any


def read_batch(body: bytes, largest_bytes: int) -> tuple[list[Item], dict[str, Any]]:
    """Read a batch: its changes in order, each plain or judged already, and what stands beside.

    Raises Refused where it is no batch at all.
    """
    try:
        text = decoded(body, largest_bytes)
        try:
            whole = read_strict(text, deepest=DEEPEST + _AROUND, largest_bytes=largest_bytes)
        except NotStrictJson as trouble:
            pieces, rest = _cut(text, trouble)
            beside = _beside(read_strict(rest, largest_bytes=largest_bytes))
            return [_read_alone(piece) for piece in pieces], beside
    except NotStrictJson as trouble:
        raise Refused.one(f"the request {trouble.says} (line {trouble.line})") from None
    beside = _beside(whole)
    return beside.pop("changes"), beside


def _beside(whole: Any) -> dict[str, Any]:
    if not isinstance(whole, dict) or not isinstance(whole.get("changes"), list):
        raise Refused.one('a batch is an object with a list in it: {"changes": [...]}')
    return dict(whole)


def _read_alone(text: str) -> Item:
    try:
        return read_strict(text)
    except NotStrictJson as trouble:
        # Kept as the text that it is: read again it would be another value, or none.
        kept = json.dumps(text.strip(), ensure_ascii=False)
        whole = trouble.says.startswith(("is ", "holds "))
        says = f"{'The' if whole else 'In this'} change {trouble.says}."
        return Judged(_id_in(text), kept, sha256_of(kept), fault=Fault("json", "", says))


def _id_in(text: str) -> str:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return ""
    named = found.get("id") if isinstance(found, dict) else None
    return named if isinstance(named, str) and named.isascii() and len(named) <= 100 else ""


def _cut(text: str, trouble: NotStrictJson) -> tuple[list[str], str]:
    """Cut the changes out of a batch; answer their texts and the batch without them.

    Brackets are counted, not matched: what is wrong inside a change is found when it is read.
    Raises the trouble again where the list cannot be found.
    """
    depth, begin = 0, -1
    pieces: list[str] = []
    start = 0
    for mark in _STRING_OR_MARK.finditer(text):
        sign = mark[0]
        if sign[0] == '"':
            if depth == 1 and begin < 0 and sign == '"changes"':
                follows = _LIST_FOLLOWS.match(text, mark.end())
                begin = start = follows.end() if follows else -1
        elif sign in "[{":
            depth += 1
        elif sign in "]}":
            depth -= 1
            if begin >= 0 and depth == 1 and mark.start() >= begin:
                last = text[start : mark.start()]
                if pieces or last.strip():
                    pieces.append(last)
                return pieces, text[:begin] + text[mark.start() :]
        elif begin >= 0 and depth == _AROUND and mark.start() >= begin:
            pieces.append(text[start : mark.start()])
            start = mark.end()
    raise trouble
