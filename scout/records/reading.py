"""From plain JSON values to records and back, every fault at once, each with its field's path.

cattrs does the walking; each register's own reader (in its field) does the judging, because plain
attrs validators under cattrs answer "invalid value @ $" and take "12" and true for numbers.
`group` is here because a group is an object within a record.
Not for: files (that is the notebook's), or meaning across records.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

import attrs
from cattrs import Converter
from cattrs.errors import ClassValidationError, ForbiddenExtraKeysError
from cattrs.gen import make_dict_structure_fn, override

from scout.records.fields import Field, Reader, Writer, field_of, register
from scout.records.trouble import Refused, Trouble, at_field, shown

_converter = Converter(detailed_validation=True, forbid_extra_keys=True)


@cache
def fields_of(cls: type) -> dict[str, Field]:
    """Answer the registers of a record kind or group, by name, in the order of its definition."""
    return {attribute.name: field_of(attribute) for attribute in attrs.fields(cls)}


@cache
def _structure(cls: type) -> Any:
    hooks: dict[str, Any] = {
        attribute.name: override(struct_hook=_absent_as_default(attribute))
        for attribute in attrs.fields(cls)
    }
    return make_dict_structure_fn(cls, _converter, **hooks)


def _absent_as_default(attribute: attrs.Attribute[Any]) -> Any:
    """A null stands for "not known": it reads as if left out, unless the field is needed."""
    read: Reader = field_of(attribute).read
    default = attribute.default

    def hook(raw: object, _: object) -> Any:
        if raw is None and default is not attrs.NOTHING:
            return default
        return read(raw)

    return hook


def read_object(cls: type, raw: object) -> Any:
    """Read a whole record or group from a JSON object.

    Raises Refused with every fault: unknown fields, missing ones, and what each reader said.
    """
    if not isinstance(raw, Mapping):
        raise Refused.one(f"{shown(raw)} is not an object; write it in braces")
    try:
        return _structure(cls)(raw, cls)
    except ClassValidationError as errors:
        raise Refused(_troubles(cls, errors)) from None
    except Refused:
        raise
    except (
        ValueError
    ) as error:  # a rule across the fields of one object, raised by the class itself
        raise Refused.one(str(error)) from None


def _troubles(cls: type, errors: ClassValidationError) -> list[Trouble]:
    troubles: list[Trouble] = []
    for error, note in errors.group_exceptions()[0]:
        if isinstance(error, KeyError):
            troubles.append(
                Trouble((note.name,), "is missing; " + _wanted(fields_of(cls)[note.name]))
            )
        elif isinstance(error, Refused):
            troubles.extend(at_field(note.name, error.troubles))
        else:
            troubles.append(Trouble((note.name,), str(error)))
    for rest in errors.group_exceptions()[1]:
        if isinstance(rest, ForbiddenExtraKeysError):
            known = ", ".join(fields_of(cls))
            for name in sorted(str(key) for key in rest.extra_fields):
                troubles.append(Trouble((name,), f"is not a field here; the fields are: {known}"))
        elif isinstance(rest, Refused):
            troubles.extend(rest.troubles)
        elif isinstance(rest, KeyError):
            name = str(rest.args[0])
            troubles.append(Trouble((name,), "is missing; " + _wanted(fields_of(cls)[name])))
        else:
            troubles.append(Trouble((), str(rest)))
    return troubles


def _wanted(field: Field) -> str:
    if field.choices:
        return f"use one of: {', '.join(field.choices)}"
    return f"give the {field.label.lower()}" + (f" in {field.unit}" if field.unit else "")


def write_object(value: Any) -> dict[str, object]:
    """Write a record or group as a JSON object, leaving out what is not known."""
    written: dict[str, object] = {}
    cls: type = type(value)
    for name, field in fields_of(cls).items():
        part = getattr(value, name)
        if part is None or part == ():
            continue
        written[name] = field.write(part)
    return written


def read_register(cls: type, name: str, raw: object) -> Any:
    """Read one register of a kind alone, as a change carries it; null clears one not needed.

    Raises Refused for a register that the kind has not, or a value that its reader refuses.
    """
    field = fields_of(cls).get(name)
    if field is None or name == "id":
        known = ", ".join(key for key in fields_of(cls) if key != "id")
        raise Refused.one(f"is not a register of this kind; the registers are: {known}", name)
    if raw is None:
        if field.needed:
            raise Refused.one("is needed and cannot be cleared; " + _wanted(field), name)
        return attrs.fields_dict(cls)[name].default
    try:
        return field.read(raw)
    except Refused as refusal:
        raise Refused(at_field(name, refusal.troubles)) from None


def group(
    label: str,
    cls: type,
    *,
    help: str = "",
    needed: bool = False,
    short: Callable[[object], Any] | None = None,
    shorten: Callable[[Any], object] | None = None,
    short_form: str = "",
) -> Any:
    """Make a register of fields that only make sense together.

    `short` reads a plain value that stands for the whole group; `shorten` writes such a value
    where nothing is lost by it, else answers None; `short_form` is an example ("about 12 m").
    """
    return register(
        Field(
            kind="group",
            label=label,
            help=help,
            group=cls,
            short_form=short_form,
            needed=needed,
            read=group_reader(cls, short),
            write=group_writer(shorten),
        )
    )


def group_reader(cls: type, short: Callable[[object], Any] | None = None) -> Reader:
    """Answer a reader of a nested group, from its object or from its short form."""

    def read(raw: object) -> Any:
        if not isinstance(raw, dict) and short is not None:
            return short(raw)
        return read_object(cls, raw)

    return read


def group_writer(shorten: Callable[[Any], object] | None = None) -> Writer:
    """Answer a writer of a nested group, in its short form where that loses nothing."""

    def write(value: Any) -> object:
        brief = None if shorten is None else shorten(value)
        return write_object(value) if brief is None else brief

    return write
