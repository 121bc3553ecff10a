"""Commands that ask the land: a line of sight, places to sit, first light, the relief.

Not for: models in and out, or skylines (`land`).
"""

from __future__ import annotations

from pathlib import Path

import click
from PIL import Image

from scout.commands.land import kind_option, shown_progress
from scout.commands.notebooks import in_words, notebook_at, notebook_option
from scout.commands.opened import found, is_folder
from scout.commands.options import (
    day_option,
    examples,
    picture_options,
    session_option,
    sight_options,
    site_option,
)
from scout.commands.refusal import Refusal
from scout.commands.typed import Number, day_typed
from scout.notebook.asking import noted_most
from scout.notebook.leaving import folder_of
from scout.notebook.notebook import Notebook
from scout.server import land_layers, land_places, land_search, land_sights
from scout.server.land_picture import as_file, pins_shown
from scout.server.land_records import records_of
from scout.terrain.model import BARE
from scout.terrain.spots import Spot
from scout.terrain.wanted import POSTURES


@click.command(
    epilog=examples(
        'scout land sight "pump house to ditch post" --notebook mine --picture sight.svg'
    )
)
@click.argument("line", metavar="SIGHTLINE")
@kind_option
@click.option("--picture", metavar="FILE", help="Also write its side view; the name ends in .svg.")
@click.option("--keep-gap", is_flag=True, help="Note the gap on the sightline, over what is there.")
@notebook_option
def sight(line: str, kind: str | None, picture: str | None, keep_gap: bool, home: str) -> None:
    """Follow a sightline over the land: what blocks it, and what stands behind the perch."""
    with notebook_at(home) as notebook, in_words():
        of = found(folder_of(notebook, standing_only=True), "sightline", line, "SIGHTLINE")
        seen = land_sights.follow(notebook, of.id, kind or BARE)
        click.echo(seen.name)
        click.echo(seen.sighted.sight_words)
        click.echo(seen.sighted.gap_words)
        click.echo(seen.noted_words)
        for sentence in seen.sighted.remarks:
            click.echo(sentence)
        if picture is not None:
            path = _named(picture, ".svg")
            path.write_text(seen.svg, "utf-8")
            click.echo(f"Side view: {path.resolve()}")
        if keep_gap:
            land_sights.take_gap(notebook, of.id, kind or BARE, "cli")
            click.echo("The gap is noted on the sightline.")


@click.command(
    epilog=examples(
        'scout land find "gorse bank" --on 2026-08-12 --species stonechat --kit 300 --notebook mine'
    )
)
@click.argument("perches", metavar="PERCH...", nargs=-1, required=True)
@picture_options
@day_option()
@session_option()
@sight_options
@click.option(
    "--light",
    "light_wanted",
    type=click.Choice(("any", "front", "side", "back"), case_sensitive=False),
    default="any",
    show_default=True,
    help="The light wanted on the animal.",
)
@click.option(
    "--posture",
    type=click.Choice(tuple(POSTURES), case_sensitive=False),
    default="sitting",
    show_default=True,
    help="How you sit: it sets the height of the lens.",
)
@click.option("--hide", "in_hide", is_flag=True, help="Use the keep-distance from a settled hide.")
@click.option(
    "--gap",
    "least_gap_m",
    type=Number("m", low=0, high=2000),
    default=5.0,
    show_default=True,
    help="The least gap behind the perch, in metres.",
)
@kind_option
@click.option("--sit", type=click.IntRange(1, 6), metavar="N", help="Make place N a vantage.")
@notebook_option
def find(
    perches: tuple[str, ...],
    species: str | None,
    kit: str | None,
    on: str,
    session: str,
    behaviour: str,
    sky: str | None,
    light_wanted: str,
    posture: str,
    in_hide: bool,
    least_gap_m: float,
    kind: str | None,
    sit: int | None,
    home: str,
) -> None:
    """Find places to sit round a perch: free, level, lit as wanted, none nearer than you may be.

    Every place meets every condition: the line of sight is free in this posture and level, the
    animal fills the frame, the gap is large enough, the light is as wanted while the shutter is
    reached, the ground allows sitting, and you do not stand against the sky. Keeps the result as a
    layer with its best places. Without a keep-distance there is no answer.
    """
    with notebook_at(home) as notebook, in_words():
        folder = folder_of(notebook, standing_only=True)
        chosen = [found(folder, "perch", one, "PERCH") for one in perches]
        site = folder.records["site"][chosen[0].site]
        animal = (
            noted_most(folder.records, site.id)
            if species is None
            else found(folder, "species", species, "--species")
        )
        wanted = land_search.Search(
            perches=tuple(one.id for one in chosen),
            species=animal.id,
            kit=found(folder, "kit", kit, "--kit").id,
            on=day_typed(on, site.zone, "--on"),
            session=session,
            behaviour=behaviour,
            sky=sky or "in and out",
            light_wanted=light_wanted,
            posture=posture,
            in_hide=in_hide,
            least_gap_m=least_gap_m,
            kind=kind or BARE,
        )
        with shown_progress() as progress:
            searched, kept = land_search.search(notebook, wanted, progress)
        click.echo(f"{searched.title}.")
        for number, spot in enumerate(searched.spots, 1):
            click.echo(f"{number}  {_told(spot)}")
        for sentence in searched.sentences:
            click.echo(sentence)
        if kept is not None:
            click.echo("Kept as a layer under that title.")
            if sit is not None:
                land_places.sit_there(notebook, kept.record, sit - 1, "cli")
                click.echo(f"Place {sit} is a vantage now, with its sightline.")


@click.command("light", epilog=examples("scout land light --site pellwick --notebook mine"))
@site_option
@day_option()
@session_option("First light, or the last of the day.")
@click.option("--picture", metavar="FILE", help="Also write the picture; the name ends in .png.")
@notebook_option
def first_light(site: str | None, on: str, session: str, picture: str | None, home: str) -> None:
    """Draw when direct light reaches every spot of a site: lines in minutes after sunrise.

    The map a scout walks by to find new perches. Kept as a layer, which the phones fetch.
    """
    with notebook_at(home) as notebook, in_words():
        of = found(folder_of(notebook, standing_only=True), "site", site, "--site")
        day = day_typed(on, of.zone, "--on")
        with shown_progress() as progress:
            kept = land_layers.light(notebook, of.id, day, session, progress=progress)
        _say_kept(notebook, kept, picture)


@click.command(epilog=examples("scout land relief --site pellwick --notebook mine"))
@site_option
@click.option("--picture", metavar="FILE", help="Also write the picture; the name ends in .png.")
@notebook_option
def relief(site: str | None, picture: str | None, home: str) -> None:
    """Draw the relief of a site, as the map's base and for paper; kept as a layer."""
    with notebook_at(home) as notebook, in_words():
        of = found(folder_of(notebook, standing_only=True), "site", site, "--site")
        with shown_progress() as progress:
            kept = land_layers.relief(notebook, of.id, progress=progress)
        _say_kept(notebook, kept, picture)


def _say_kept(notebook: Notebook, kept: land_layers.LayerKept, picture: str | None) -> None:
    click.echo(f"Kept as a layer: {kept.title}.")
    if picture is not None:
        records = records_of(notebook)
        layer = records["layer"][kept.record]
        path = _named(picture, ".png")
        pins = pins_shown(records, records["site"][layer.site])
        with Image.open(notebook.blobs.path_of(layer.blob)) as bare:
            as_file(bare.convert("RGB"), kept, pins).save(path, "PNG")
        click.echo(f"Picture: {path.resolve()}")
        if not pins:
            click.echo("No pins on it: the site is sensitive, or has none that may be named.")


def _named(typed: str, suffix: str) -> Path:
    """Answer the file to write: of this kind alone, so that no record is written over."""
    path = Path(typed)
    if path.suffix.lower() != suffix:
        raise Refusal(f"--picture: name a file that ends in {suffix}.")
    if not is_folder(path.parent):
        raise Refusal(f"--picture: there is no folder {path.parent}; make it first.")
    return path


def _told(spot: Spot) -> str:
    said = spot.as_json()
    gap = "sky behind" if said["sky_behind"] else f"gap {said['gap_m']} m"
    if said["gap_at_least"]:
        gap = f"gap at least {said['gap_m']} m"
    good = spot.good_min
    walk = said["walk_seen_percent"]
    share = "" if walk is None else f", of which the perch sees {walk} %,"
    way = "" if said["walk_by"] is None else f"; way in {said['walk_m']} m{share} {said['walk_by']}"
    return (
        f"{spot.perch_name}: {said['distance_m']} m (±{said['plus_minus_m']} m: measure "
        f"before you sit), bearing {said['bearing_deg']}°, tilt "
        f"{said['tilt_deg']}°, {gap}; good minutes {good['clear']} clear, {good['in and out']} in "
        f"and out, {good['overcast']} overcast; slope {said['slope_deg']}°; bad winds "
        f"{spot.bad_winds}{way}; at {said['lat']}, {said['lon']}"
    )
