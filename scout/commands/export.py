"""What leaves the notebook for other eyes, written to one file, whole or not at all.

Not for: the folder of records (`write`), or the page of a card (`card --paper`).
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from scout.commands.asking import answered
from scout.commands.notebooks import in_words
from scout.commands.opened import found, is_notebook, opened
from scout.commands.options import examples, folder_option, kit_option, site_option, species_option
from scout.commands.refusal import Refusal
from scout.commands.to_file import target_of, written
from scout.commands.typed import day_typed, now
from scout.notebook.asking import card_request, noted_most
from scout.notebook.folder import Folder
from scout.notebook.leaving import sound_only
from scout.notebook.notebook import open_notebook
from scout.notebook.sharing import bundles
from scout.notebook.sharing.calendar import Entry, calendar_of
from scout.notebook.sharing.geojson import geojson_of
from scout.notebook.sharing.gpx import gpx_of
from scout.notebook.sharing.let_out import Outgoing
from scout.notebook.sharing.outgoing import outgoing
from scout.notebook.sharing.ranger import rangers_page
from scout.notebook.sharing.sheets import sheets_of
from scout.server.printed import filled
from scout.terrain.aside import aside_words
from scout.terrain.shelf import Shelf

SUFFIXES = {
    "geojson": ".geojson",
    "gpx": ".gpx",
    "csv": ".zip",
    "photos": ".zip",
    "calendar": ".ics",
    "ranger": ".html",
    "everything": ".zip",
}
_DAYS_AHEAD = 14


@click.command(
    epilog=examples(
        "scout export geojson pins.geojson --folder sample_site",
        "scout export csv sheets.zip --folder sample_site",
        "scout export ranger pellwick.html --folder sample_site --site pellwick",
        "scout export calendar mornings.ics --folder sample_site --site pellwick --kit long",
    )
)
@click.argument("what", type=click.Choice(tuple(SUFFIXES), case_sensitive=False))
@click.argument("file", metavar="FILE")
@folder_option
@site_option
@species_option
@kit_option
@click.option(
    "--from", "first", default=None, metavar="DAY", help="First day, for ranger and calendar."
)
@click.option("--until", "last", default=None, metavar="DAY", help="Last day, for ranger.")
@click.option(
    "--full-precision",
    "is_exact",
    is_flag=True,
    help="Let everything out exactly as recorded, sensitive places too; asks once more.",
)
@click.option("--yes", is_flag=True, help="Answer that question with yes.")
def export(
    what: str,
    file: str,
    path: str,
    site: str | None,
    species: str | None,
    kit: str | None,
    first: str | None,
    last: str | None,
    is_exact: bool,
    yes: bool,
) -> None:
    """Write what may leave the notebook to a file.

    Pins and sightings as GeoJSON, GPX or CSV; pictures; the coming mornings that are worth it, for
    a calendar; a ranger's page of a site's visits; or everything, for your own keeping. FILE ends
    in .geojson, .gpx, .ics or .html; csv, photos and everything are bundles of files, and end in
    .zip. Sensitive places go coarsened or not at all, and what stands beside one goes with it.
    """
    target = target_of(Path(file), SUFFIXES[what], "FILE")
    folder = opened(path)
    chosen = (
        found(folder, "site", site, "--site") if site or what in ("ranger", "calendar") else None
    )
    if what == "everything":
        _sure("Everything leaves: exact positions, notes and original photos.", yes)
        folder = sound_only(folder)
        for warning in folder.warnings:
            click.echo(f"Left out: {warning.sentence}", err=True)
        stream = io.BytesIO()
        beside = aside_words(Shelf(folder.path).models())
        count = bundles.everything_into(stream, folder, beside)
        written(target, stream.getvalue(), "FILE")
        said = f"{count} records and {len(folder.photo_paths)} photos, exactly as they are."
        if beside is not None:
            click.echo(beside)
    elif what == "ranger":
        days = _span(chosen, first, last)
        page = rangers_page(folder.records, chosen, *days)
        written(target, filled("ranger.html", page=page).encode(), "FILE")
        said = f"{len(page.rows)} visits from {days[0]} to {days[1]}; no positions."
    elif what == "calendar":
        entries = _mornings(folder, chosen, species, kit, first)
        written(target, calendar_of(entries, now()), "FILE")
        said = f"{len(entries)} mornings worth it, by name and time alone."
    else:
        leaving = outgoing(
            folder.records, site=None if chosen is None else chosen.id, is_exact=is_exact
        )
        if is_exact:
            _sure(leaving.statement, yes)
        said = _FORMATS[what](leaving, folder, target)
    _write_down(path, f"{what}: {said}")
    click.echo(said)
    click.echo(f"File: {target.resolve()}")


def _geojson(leaving: Outgoing, folder: Folder, target: Path) -> str:
    written(target, geojson_of(leaving).encode(), "FILE")
    return leaving.statement


def _gpx(leaving: Outgoing, folder: Folder, target: Path) -> str:
    written(target, gpx_of(leaving), "FILE")
    return leaving.statement


def _csv(leaving: Outgoing, folder: Folder, target: Path) -> str:
    stream = io.BytesIO()
    bundles.sheets_into(stream, sheets_of(leaving))
    written(target, stream.getvalue(), "FILE")
    return leaving.statement


def _photos(leaving: Outgoing, folder: Folder, target: Path) -> str:
    paths = {
        photo.blob: folder.photo_paths.get(id_) for id_, photo in folder.records["photo"].items()
    }
    here = [path for blob in leaving.photos if (path := paths.get(blob)) is not None]
    stream = io.BytesIO()
    went, unread = bundles.pictures_into(stream, here)
    written(target, stream.getvalue(), "FILE")
    kept = leaving.withheld.get("photo", 0)
    rest = f"; {unread} could not be read" if unread else ""
    return f"{went} photos, small and without what their files say; {kept} withheld{rest}."


_FORMATS: dict[str, Callable[[Outgoing, Folder, Path], str]] = {
    "geojson": _geojson,
    "gpx": _gpx,
    "csv": _csv,
    "photos": _photos,
}


def _mornings(
    folder: Folder, site: Any, species: str | None, kit: str | None, first: str | None
) -> list[Entry]:
    """Work out the coming dawns and keep those that the card calls worth it under some sky."""
    records = folder.records
    animal = found(folder, "species", species, "--species") if species else None
    animal = animal or noted_most(records, site.id) or found(folder, "species", None, "--species")
    camera = found(folder, "kit", kit, "--kit")
    begin = day_typed(first or "tomorrow", site.zone, "--from")
    entries = []
    for ahead in range(_DAYS_AHEAD):
        request = card_request(
            records,
            site=site.id,
            species=animal.id,
            kit=camera.id,
            on=begin + dt.timedelta(days=ahead),
            session="dawn",
            discreet=True,
        )
        card = answered("outing_card", request, {}).read
        entry = _entry(card)
        if entry is not None:
            entries.append(entry)
    return entries


def _entry(card: dict[str, Any]) -> Entry | None:
    times = {one["what"]: one["at"]["utc"] for one in card["timeline"] if one["at"]}
    start = times.get("get up") or times.get("in place and quiet")
    end = times.get("leave")
    if not card["worth"] or start is None or end is None:
        return None
    instants = [dt.datetime.fromisoformat(at.replace("Z", "+00:00")) for at in (start, end)]
    return Entry(name=f"{card['title']['site']}, dawn", start=instants[0], end=instants[1])


def _span(site: Any, first: str | None, last: str | None) -> tuple[dt.date, dt.date]:
    end = day_typed(last or "today", site.zone, "--until")
    begin = day_typed(first, site.zone, "--from") if first else end - dt.timedelta(days=365)
    if begin > end:
        raise Refusal(f"--from: {begin} is after --until {end}; turn them round.")
    return begin, end


def _sure(what: str, yes: bool) -> None:
    click.echo(what)
    if not yes and not click.confirm("Let it leave?", default=False):
        raise Refusal("Nothing was written.")


def _write_down(path: str, what: str) -> None:
    """Note in the notebook that something left; a folder has no such book."""
    if is_notebook(path):
        with in_words(), open_notebook(Path(path), now) as notebook:
            notebook.note_export(what)
