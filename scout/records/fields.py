"""What one field of a record is: label, help, unit, bounds, and the one reader that judges it.

A record kind is an attrs class whose attributes are made here. Every attribute is one *register*:
the smallest part that a change can carry, so that each can be read alone. Not for: whole records
(`reading`), or the kinds themselves.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from typing import Any

import attrs

from scout.records.times import read_date as read_date
from scout.records.times import read_season_day as read_season_day
from scout.records.times import read_time as read_time
from scout.records.times import write_time as write_time
from scout.records.trouble import Refused, Trouble, at_field, shown

Reader = Callable[[object], Any]
Writer = Callable[[Any], object]

_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_DIGEST = re.compile(r"[0-9a-f]{64}")


@attrs.frozen(kw_only=True)
class Field:
    """What a form, a reader and a writer need to know of one register."""

    kind: str
    label: str
    read: Reader = attrs.field(repr=False)
    write: Writer = attrs.field(repr=False, default=lambda value: value)
    help: str = ""
    unit: str = ""
    low: float | None = None
    above: float | None = None
    high: float | None = None
    longest: int | None = None
    most: int | None = None
    short_form: str = ""
    choices: tuple[str, ...] = ()
    refers_to: tuple[str, ...] = ()
    group: type | None = None
    item: Field | None = None
    needed: bool = False
    last_writer_wins: bool = False


def register(field: Field, default: Any = None) -> Any:
    """Make the attrs attribute that carries a field; a needed one has no default."""
    if field.needed:
        return attrs.field(metadata={"field": field})
    return attrs.field(default=default, metadata={"field": field})


def field_of(attribute: attrs.Attribute[Any]) -> Field:
    """Answer the field behind an attribute of a record kind."""
    found: Field = attribute.metadata["field"]
    return found


def number(
    label: str,
    unit: str = "",
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    whole: bool = False,
    help: str = "",
    needed: bool = False,
    default: float | None = None,
) -> Any:
    """Make a number register with inclusive bounds, or an exclusive lower bound `above`."""
    field = Field(
        kind="whole" if whole else "number",
        label=label,
        unit=unit,
        low=low,
        above=above,
        high=high,
        help=help,
        needed=needed,
        read=number_reader(low=low, high=high, above=above, unit=unit, whole=whole),
    )
    return register(field, default)


def number_reader(
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    unit: str = "",
    whole: bool = False,
) -> Reader:
    """Answer a reader of finite numbers that takes neither text nor true and false for one."""
    unit_text = f" {unit}" if unit else ""
    if low is not None and high is not None:
        range_text = f"between {low:g} and {high:g}{unit_text}"
    elif low is not None:
        range_text = f"{low:g}{unit_text} or more"
    elif above is not None:
        range_text = f"more than {above:g}{unit_text}" + (
            f" and at most {high:g}" if high is not None else ""
        )
    elif high is not None:
        range_text = f"at most {high:g}{unit_text}"
    else:
        range_text = f"a number{unit_text}"

    def read(raw: object) -> float | int:
        if isinstance(raw, bool) or not isinstance(raw, (int, float)):
            remedy = "write it without quotes" if isinstance(raw, str) else f"give {range_text}"
            raise Refused.one(f"{shown(raw)} is not a number; {remedy}")
        try:
            value = float(raw)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            raise Refused.one(
                f"{shown(raw)} is not a finite number; give {range_text} or leave it out"
            )
        too_low = (low is not None and value < low) or (above is not None and value <= above)
        if too_low or (high is not None and value > high):
            raise Refused.one(f"{shown(raw)} is out of range; give {range_text}")
        if whole:
            if value != int(value):
                raise Refused.one(f"{shown(raw)} is not a whole number; give {range_text}")
            return int(value)
        return value

    return read


def text(
    label: str,
    *,
    help: str = "",
    longest: int = 2000,
    needed: bool = False,
    last_writer_wins: bool = False,
) -> Any:
    """Make a text register of at most `longest` characters; a needed one may not be blank.

    A blank text where none is needed stands for "not known".
    """

    def read(raw: object) -> str | None:
        if not isinstance(raw, str):
            raise Refused.one(f"{shown(raw)} is not text; write it in quotes")
        if not raw.strip():
            if needed:
                raise Refused.one("is blank; write something short")
            return None
        if len(raw) > longest:
            raise Refused.one(f"has {len(raw)} characters; shorten it to {longest}")
        if any(0xD800 <= ord(letter) <= 0xDFFF for letter in raw):
            raise Refused.one("holds half of a character (a lone surrogate); type it again")
        return raw

    return register(
        Field(
            kind="text",
            label=label,
            help=help,
            longest=longest,
            read=read,
            needed=needed,
            last_writer_wins=last_writer_wins,
        )
    )


def choice(
    label: str,
    choices: Sequence[str],
    *,
    help: str = "",
    needed: bool = False,
    default: str | None = None,
) -> Any:
    """Make a register that holds one of a few words."""
    words = tuple(choices)
    return register(
        Field(
            kind="choice",
            label=label,
            help=help,
            choices=words,
            needed=needed,
            read=choice_reader(words),
        ),
        default,
    )


def choice_reader(words: tuple[str, ...]) -> Reader:
    """Answer a reader that takes exactly one of the words."""

    def read(raw: object) -> str:
        if isinstance(raw, str) and raw in words:
            return raw
        raise Refused.one(
            f"{shown(raw)} is not one of the words here; use one of: {', '.join(words)}"
        )

    return read


def flag(label: str, *, help: str = "", default: bool | None = None) -> Any:
    """Make a yes-or-no register."""

    def read(raw: object) -> bool:
        if isinstance(raw, bool):
            return raw
        raise Refused.one(
            f"{shown(raw)} is neither true nor false; write true or false without quotes"
        )

    return register(Field(kind="flag", label=label, help=help, read=read), default)


def identity(
    label: str, *, refers_to: Sequence[str] = (), help: str = "", needed: bool = False
) -> Any:
    """Make a register that holds the id of a record (RFC 9562 form, lower case)."""
    return register(
        Field(
            kind="id",
            label=label,
            help=help,
            refers_to=tuple(refers_to),
            needed=needed,
            read=read_identity,
        )
    )


def read_identity(raw: object) -> str:
    """Read a record id: a UUID in lower case with hyphens."""
    if isinstance(raw, str) and _ID.fullmatch(raw):
        return raw
    raise Refused.one(
        f"{shown(raw)} is not a record id (8-4-4-4-12 hexadecimal digits in lower case)"
    )


def digest(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that names bytes by their SHA-256, 64 hexadecimal digits in lower case."""

    def read(raw: object) -> str:
        if isinstance(raw, str) and _DIGEST.fullmatch(raw):
            return raw
        raise Refused.one(f"{shown(raw)} is not a SHA-256 (64 hexadecimal digits in lower case)")

    return register(Field(kind="digest", label=label, help=help, needed=needed, read=read))


def date(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that holds a calendar date."""
    return register(
        Field(
            kind="date",
            label=label,
            help=help,
            needed=needed,
            read=read_date,
            write=lambda day: day.isoformat(),
        )
    )


def season_day(
    label: str, *, help: str = "", needed: bool = False, default: str | None = None
) -> Any:
    """Make a register that holds a day of every year, written 02-29 (month-day)."""

    return register(
        Field(kind="season_day", label=label, help=help, needed=needed, read=read_season_day),
        default,
    )


def time(label: str, *, help: str = "", needed: bool = False) -> Any:
    """Make a register that holds an instant with its offset."""
    return register(
        Field(kind="time", label=label, help=help, needed=needed, read=read_time, write=write_time)
    )


def many(label: str, item: Any, *, help: str = "", most: int = 500, needed: bool = False) -> Any:
    """Make a list register; `item` is what a function above answers for one entry."""
    inner: Field = item.metadata["field"]

    def read(raw: object) -> tuple[Any, ...]:
        if not isinstance(raw, list):
            raise Refused.one(f"{shown(raw)} is not a list; write it in square brackets")
        if len(raw) > most:
            raise Refused.one(f"has {len(raw)} entries; at most {most} fit")
        if needed and not raw:
            raise Refused.one("is an empty list; give at least one entry")
        values: list[Any] = []
        troubles: list[Trouble] = []
        for place, one in enumerate(raw):
            try:
                values.append(inner.read(one))
            except Refused as refusal:
                troubles.extend(at_field(place, refusal.troubles))
        if troubles:
            raise Refused(troubles)
        return tuple(values)

    def write(values: tuple[Any, ...]) -> object:
        return [inner.write(one) for one in values]

    return register(
        Field(
            kind="list",
            label=label,
            help=help,
            item=inner,
            most=most,
            needed=needed,
            read=read,
            write=write,
        ),
        default=(),
    )
