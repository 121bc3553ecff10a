"""Commands on the land: elevation models in and out, the ground under pins, skylines from it.

Not for: computing (`scout.terrain`) or what is kept (`scout.server.land_records`).
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from scout.commands.notebooks import in_words, notebook_at, notebook_option
from scout.commands.opened import found
from scout.commands.options import examples, site_option
from scout.commands.refusal import Refusal
from scout.engine.angles import compass_letters
from scout.notebook.leaving import folder_of
from scout.notebook.notebook import Notebook
from scout.records.sizes import size_words
from scout.records.trouble import Refused
from scout.server import land_records
from scout.terrain.incoming import FOOT_M
from scout.terrain.model import BARE, SURFACE, Model
from scout.terrain.taking_in import Progress, take_in

kind_option: Callable[[Callable[..., Any]], Callable[..., Any]] = click.option(
    "--surface",
    "kind",
    flag_value=SURFACE,
    help="Take the surface model, with trees in it, where one reaches.",
)


@click.group(epilog=examples("scout land add heath.tif --bare --notebook mine"))
def land() -> None:
    """What the land itself says: skylines, lines of sight, places to sit, first light.

    Begins with an elevation model of the place, taken in once with `scout land add`.
    """


@land.command(
    epilog=examples(
        "scout land add heath.tif --bare --notebook mine",
        "scout land add N52W001.hgt --surface --notebook mine",
        "scout land add heath.asc --bare --crs EPSG:25830 --notebook mine",
    )
)
@click.argument("path", metavar="FILE")
@click.option("--bare", "kind", flag_value=BARE, help="It shows the bare earth, without trees.")
@click.option("--surface", "kind", flag_value=SURFACE, help="It shows the surface, trees and all.")
@click.option("--name", metavar="TEXT", help="What to call it; the file's name where left out.")
@click.option("--crs", metavar="EPSG:N", help="Its coordinate system, where it does not say.")
@click.option("--feet/--metres", "feet", default=None, help="Its heights, where it does not say.")
@notebook_option
def add(
    path: str, kind: str | None, name: str | None, crs: str | None, feet: bool | None, home: str
) -> None:
    """Take an elevation model in: GeoTIFF, SRTM tile (.hgt) or ESRI ASCII grid (.asc).

    Say whether it is bare earth or a surface: trees are in the one and not in the other. It is
    copied; the file itself may go.
    """
    if kind is None:
        raise Refusal("Say --bare for the bare earth or --surface for one with trees in it.")
    with notebook_at(home) as notebook, in_words():
        places = land_records.site_places(land_records.records_of(notebook))
        with shown_progress() as progress:
            model, said = take_in(
                land_records.shelf_of(notebook),
                Path(path),
                kind=kind,
                name=name,
                crs=crs,
                feet=feet,
                places=places,
                progress=progress,
            )
    click.echo(f"Taken in: {_line(model)}")
    for sentence in said:
        click.echo(sentence)


@land.command("list", epilog=examples("scout land list --notebook mine"))
@notebook_option
def list_models(home: str) -> None:
    """List the elevation models, and which sites each covers."""
    with notebook_at(home) as notebook:
        models = land_records.shelf_of(notebook).models()
        places = land_records.site_places(land_records.records_of(notebook))
    if not models:
        click.echo("There is none yet; scout land add FILE takes one in.")
    for model in models:
        click.echo(_line(model))
        covered = [name for name, lat, lon in places if model.covers(lat, lon)]
        click.echo(f"  covers {', '.join(covered) if covered else 'no site: it is for the far'}")


@land.command(epilog=examples("scout land remove heath --notebook mine"))
@click.argument("name")
@notebook_option
def remove(name: str, home: str) -> None:
    """Remove an elevation model. What was made from it stays."""
    with notebook_at(home) as notebook, in_words():
        shelf = land_records.shelf_of(notebook)
        model = shelf.named(name)
        shelf.remove(model)
    click.echo(f"Removed: {model.words}. Skylines and pictures made from it stay.")


@land.command(epilog=examples("scout land ground --notebook mine"))
@site_option
@click.option("--only-show", is_flag=True, help="Show what would be filled in, and write nothing.")
@notebook_option
def ground(site: str | None, only_show: bool, home: str) -> None:
    """Fill in the height of the ground under every perch and vantage that has none.

    A height that somebody measured stays; how far the model is from it is shown.
    """
    with notebook_at(home) as notebook, in_words():
        of = None
        if site is not None:
            of = found(folder_of(notebook, standing_only=True), "site", site, "--site").id
        rows = land_records.grounds(notebook, of)
        saved = None if only_show else land_records.fill_in(notebook, rows)
    for _, one in rows:
        click.echo(f"{one.pin.name}: {one.words}")
    count = 0 if saved is None else len(saved.changes)
    click.echo(f"{count} filled in." if not only_show else "Nothing was written.")


@land.command(
    epilog=examples(
        'scout land skyline "ditch post" --notebook mine',
        "scout land skyline --site pellwick --surface --notebook mine",
    )
)
@click.argument("pin", required=False)
@site_option
@kind_option
@click.option("--only-show", is_flag=True, help="Show it and write nothing.")
@notebook_option
def skyline(
    pin: str | None, site: str | None, kind: str | None, only_show: bool, home: str
) -> None:
    """Find the skyline of a perch or vantage from the land, and keep it.

    Without a name, of every one of a site. A skyline that was measured counts before it; how far
    the two differ is shown.
    """
    with notebook_at(home) as notebook, in_words():
        for record_id in _pins(notebook, pin, site):
            with shown_progress() as progress:
                try:
                    kept = land_records.land_skyline(
                        notebook,
                        record_id,
                        kind=kind or BARE,
                        keep=not only_show,
                        progress=progress,
                    )
                except Refused as refusal:
                    if pin is not None:
                        raise
                    click.echo(f"{record_id}: {refusal}", err=True)
                    continue
            _tell(kept)


def _pins(notebook: Notebook, pin: str | None, site: str | None) -> list[str]:
    folder = folder_of(notebook, standing_only=True)
    if pin is not None:
        for kind in land_records.PIN_KINDS[:-1]:
            try:
                return [found(folder, kind, pin, "PIN").id]
            except Refusal:
                continue
        return [found(folder, land_records.PIN_KINDS[-1], pin, "PIN").id]
    of = found(folder, "site", site, "--site")
    return [
        record.id
        for kind in land_records.PIN_KINDS
        for record in folder.records[kind].values()
        if record.site == of.id
    ]


def _tell(kept: land_records.SkylineKept) -> None:
    found_line = kept.found
    click.echo(f"{kept.name}: {len(found_line.azimuths_deg)} azimuths, from {found_line.made_from}")
    line = found_line.line()
    for azimuth in range(0, 360, 45):
        reading = line.at(float(azimuth))
        if reading is not None:
            word = compass_letters(azimuth, 8)
            click.echo(f"  {word:<2} {reading.altitude_deg:5.1f}° ±{reading.plus_minus_deg:.1f}")
    for sentence in kept.sentences:
        click.echo(f"  {sentence}")


def _line(model: Model) -> str:
    heights = f"{model.low_m:.0f} to {model.high_m:.0f} m"
    feet = f", from feet (1 ft = {FOOT_M} m)" if model.was_feet else ""
    return f"{model.words}, {heights}{feet}, {size_words(model.size_bytes)}, id {model.id}"


@contextmanager
def shown_progress() -> Iterator[Progress]:
    """Show how far the work is, at a terminal alone; rub it out afterwards."""
    shown = sys.stderr.isatty()

    def tell(share: float, words: str) -> None:
        if shown:
            click.echo(f"\r{100 * share:3.0f} % {words:<40}", nl=False, err=True)

    try:
        yield tell
    finally:
        if shown:
            click.echo("\r" + " " * 50 + "\r", nl=False, err=True)
