"""Commands at the door: let a device in, list and take off devices, add and remove people.

They work on the notebook's file and may be used while it is served. Not for: serving (`serve`).
"""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

import attrs
import click

from scout.commands.notebooks import in_words, notebook_at
from scout.commands.options import examples
from scout.commands.refusal import Refusal
from scout.commands.typed import now
from scout.notebook.clock import milliseconds, new_id, written
from scout.notebook.notebook import Notebook
from scout.notebook.store import people
from scout.notebook.store.people import Device, Person
from scout.records.trouble import shown
from scout.server import audit, pairing
from scout.server.certificates import FOLDER
from scout.server.codes import named
from scout.server.errors import Problem
from scout.server.house import drawn
from scout.server.lan import NAME, PORT
from scout.server.roles import ROLES


@click.command(epilog=examples("scout pair mine", 'scout pair mine --person "Anna"'))
@click.argument("path", metavar="NOTEBOOK", default=".")
@click.option("--person", metavar="NAME", help="Whose device it will be; yours where left out.")
@click.option(
    "--at",
    metavar="ADDRESS",
    help="The address phones open, like https://notebook.example.org; as last served where left "
    "out.",
)
def pair(path: str, person: str | None, at: str | None) -> None:
    """Print a one-time code that lets one device in, within ten minutes.

    For the first device, or where no browser at the machine can type a phone's code.
    """
    with notebook_at(path) as notebook:
        whose = _person(notebook, person)
        printed = pairing.print_one(notebook, whose.id)
        address = (at or _address(notebook.folder)).rstrip("/")
        link = f"{address}/#/pair?once={printed.secret}"
        click.echo(f"One device of {whose.name} ({whose.role}), once, within ten minutes:")
        click.echo(drawn(link))
        click.echo(link)
        click.echo(f"Or type in the app, under Pair this phone:  {printed.code}")
        click.echo("On an iPhone, type it in the app on the Home Screen; the link opens Safari.")


@click.command(
    epilog=examples("scout devices mine", "scout devices mine --revoke 'Old phone' --wipe")
)
@click.argument("path", metavar="NOTEBOOK", default=".")
@click.option("--revoke", metavar="NAME", help="Take this device off, at once; a name or an id.")
@click.option("--wipe", is_flag=True, help="With --revoke: also ask its holder to clear it.")
def devices(path: str, revoke: str | None, wipe: bool) -> None:
    """List the devices that are paired, take one off, or ask for it to be cleared.

    What a device wrote stays in the notebook, and what it holds stays on it. With --wipe its holder
    is asked to clear it: the next time that phone reaches the notebook it says so under Sync, and
    clears itself under Pair this phone, once its holder taps there.
    """
    if wipe and revoke is None:
        raise Refusal("--wipe: say which device with --revoke.")
    with notebook_at(path) as notebook:
        if revoke is not None:
            _revoke(notebook, revoke, wipe=wipe)
            return
        with notebook.store.reading() as db:
            names = {one.id: one.name for one in people.persons(db)}
            listed = people.devices(db)
        if not listed:
            click.echo("No device is paired. scout pair lets one in, or the browser here does.")
        for one in listed:
            state = _state(one)
            click.echo(f"{one.name} · {names.get(one.person_id or '', '?')} · {state} · {one.id}")


@click.command(
    epilog=examples(
        "scout people mine",
        "scout people mine --add Anna --role editor",
        "scout people mine --add Ben --role viewer --site Pellwick",
        "scout people mine --remove Ben",
    )
)
@click.argument("path", metavar="NOTEBOOK", default=".")
@click.option("--add", metavar="NAME", help="Add a person.")
@click.option("--role", type=click.Choice(ROLES), default="viewer", help="With --add: their role.")
@click.option(
    "--site", "sites", multiple=True, metavar="NAME", help="With --add: only these sites."
)
@click.option("--remove", metavar="NAME", help="Remove a person and take their devices off.")
def persons(
    path: str, add: str | None, role: str, sites: tuple[str, ...], remove: str | None
) -> None:
    """List the people of a notebook with their roles; add or remove one.

    An owner may do everything, an editor write, a viewer look; with --site only at those sites.
    Animals, kits and settings belong to no site: everybody sees them.
    """
    if add is not None and remove is not None:
        raise Refusal("--add and --remove: one after the other, please.")
    if add is None and sites:
        raise Refusal("--site: with --add only; change it later in the app under People.")
    with notebook_at(path) as notebook:
        if add is not None:
            _add(notebook, add, role, sites)
        elif remove is not None:
            _remove(notebook, remove)
        with notebook.store.reading() as db:
            listed = [one for one in people.persons(db) if one.removed_at is None]
        for one in listed:
            count = len(one.sites or ())
            scope = "all sites" if one.sites is None else f"{count} site{'s' * (count != 1)}"
            click.echo(f"{one.name} · {one.role} · {scope}")


def _person(notebook: Notebook, typed: str | None) -> Person:
    with notebook.store.reading() as db:
        listed = [one for one in people.persons(db) if one.removed_at is None]
    if typed is None:
        owners = [one for one in listed if one.role == "owner"]
        if owners:
            return owners[0]
        with in_words(), notebook.store.writing() as db:
            at = written(now())
            people.store_owner(db, new_id(milliseconds(now())), "owner", at)
        return _person(notebook, None)
    found = [one for one in listed if typed.casefold() in (one.name.casefold(), one.id)]
    if len(found) == 1:
        return found[0]
    names = ", ".join(one.name for one in listed) or "nobody yet"
    raise Refusal(f"{shown(typed)}: there are {len(found)} people of this name; known: {names}.")


def _device(notebook: Notebook, typed: str) -> Device:
    with notebook.store.reading() as db:
        listed = [one for one in people.devices(db) if one.revoked_at is None]
    found = [one for one in listed if typed.casefold() in (one.name.casefold(), one.id)]
    if len(found) == 1:
        return found[0]
    if found:
        raise Refusal(f"{shown(typed)}: {len(found)} devices have this name; give the id instead.")
    names = ", ".join(one.name for one in listed) or "none"
    raise Refusal(f"{shown(typed)}: there is no such device; paired now: {names}.")


def _revoke(notebook: Notebook, typed: str, *, wipe: bool) -> None:
    found = _device(notebook, typed)
    with in_words(), notebook.store.writing() as db:
        people.revoke(db, found.id, written(now()), wipe=wipe)
        detail = "asked to clear itself" if wipe else ""
        audit.note(db, now(), "device_revoked", device=found.id, detail=detail)
    click.echo(f"{found.name} is off. What it holds it can still write to a rescue file.")
    if wipe:
        click.echo("Its holder is asked to clear it; a phone that stays offline never hears it.")


def _add(notebook: Notebook, name: str, role: str, sites: tuple[str, ...]) -> None:
    if role == "owner" and sites:
        raise Refusal("--site: an owner has all sites; choose another role.")
    records = notebook.contents().records["site"].values()
    ids = set()
    for typed in sites:
        fits = [one for one in records if one.name.casefold().startswith(typed.casefold())]
        if len(fits) != 1:
            known = ", ".join(one.name for one in records) or "none"
            raise Refusal(f"--site: {len(fits)} sites begin with {shown(typed)}; known: {known}.")
        ids.add(fits[0].id)
    try:
        called = named(name)
    except Problem as problem:
        raise Refusal(f"--add: {problem.message}") from None
    at = now()
    made = Person(
        id=new_id(milliseconds(at)),
        name=called,
        role=role,
        added_at=written(at),
        removed_at=None,
        sites=frozenset(ids) if sites else None,
    )
    with in_words(), notebook.store.writing() as db:
        people.store_person(db, made)
        audit.note(db, at, "person_added", detail=f"{called}, {role}")


def _remove(notebook: Notebook, name: str) -> None:
    found = _person(notebook, name)
    with in_words(), notebook.store.writing() as db:
        owners = [
            one for one in people.persons(db) if one.role == "owner" and one.removed_at is None
        ]
        if owners == [found]:
            raise Refusal("--remove: this is the last owner; add another one first.")
        at = written(now())
        people.store_person(db, attrs.evolve(found, removed_at=at))
        for device in people.devices(db):
            if device.person_id == found.id:
                people.revoke(db, device.id, at, wipe=False)
        audit.note(db, now(), "person_removed", detail=found.name)


def _state(device: Device) -> str:
    if device.revoked_at is not None:
        asked = ", its holder asked to clear it" if device.wipe_asked_at else ""
        return f"taken off {device.revoked_at[:10]}{asked}"
    return f"seen {device.seen_at[:10]}" if device.seen_at else f"paired {device.paired_at[:10]}"


def _address(home: Path) -> str:
    """Answer the address under which the notebook was last served to phones."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = json.loads((home / FOLDER / "place.json").read_text(encoding="utf-8"))
        return f"https://{kept['name']}.local:{int(kept['port'])}"
    return f"https://{NAME}.local:{PORT}"
