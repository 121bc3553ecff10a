"""A kit's reckoning at the terminal: what it makes of a distance and a gap, and where to stand.

Not for: light at a place (`light`).
"""

from __future__ import annotations

import click

from scout.commands.asking import answered
from scout.commands.opened import found, ids_of, opened
from scout.commands.options import (
    examples,
    folder_option,
    json_option,
    kit_option,
    species_option,
)
from scout.commands.refusal import Refusal
from scout.commands.typed import Metres, Number, metres_or_sky
from scout.notebook.asking import settings_of
from scout.records.kinds import write_record
from scout.records.places import BACKGROUNDS, TONES
from scout.records.rough import Rough
from scout.terminal.kit import print_kits, print_stand

_MOST_KITS = 3
_KITS_AS = {"distance_m": "--distance", "gap_m": "--gap", "speed_mps": "--speed", "kits": "--kit"}
_STAND_AS = {
    "distance_m": "--distance",
    "gap_m": "--gap",
    "like": "--like",
    "like_distance_m": "--like-distance",
    "like_gap_m": "--like-gap",
    "times_animal": "--blur",
}
_distance = click.option(
    "--distance",
    type=Metres(),
    required=True,
    metavar="METRES",
    help='From the lens to the animal: 12, "about 12 m".',
)
_gap = click.option(
    "--gap",
    type=Metres(sky=True),
    required=True,
    metavar="METRES",
    help='From the animal to what is behind it: 30, "30 to 40 m", sky.',
)


@click.command(
    epilog=examples(
        "scout kit --folder sample_site --species stonechat --distance 12 --gap 30",
        'scout kit --folder sample_site --kit long --species roe --distance "about 60 m" \\',
        "    --gap sky --speed 5",
    )
)
@folder_option
@click.option(
    "--kit",
    "kits",
    metavar="NAME",
    multiple=True,
    help="A kit; given again, the next beside it. All kits where left out.",
)
@species_option
@_distance
@_gap
@click.option(
    "--background",
    type=click.Choice(BACKGROUNDS, case_sensitive=False),
    help="What stands behind the animal.",
)
@click.option("--tone", type=click.Choice(TONES, case_sensitive=False), help="How bright that is.")
@click.option("--in-shade", is_flag=True, help="It lies in shade when the animal is lit.")
@click.option(
    "--speed",
    type=Number("metres a second", low=0, high=100),
    default=0.0,
    metavar="M/S",
    help="How fast the animal crosses the frame, for smear.",
)
@json_option
def kit(
    path: str,
    kits: tuple[str, ...],
    species: str | None,
    distance: Rough,
    gap: Rough,
    background: str | None,
    tone: str | None,
    in_shade: bool,
    speed: float,
    as_json: bool,
) -> None:
    """Set out what a kit makes of a distance and a gap.

    Blur, size in the frame, reach, what is sharp, and the shutter at the ISO ceiling in each light;
    one kit, or two beside each other.
    """
    folder = opened(path)
    chosen = (
        [found(folder, "kit", one, "--kit") for one in kits]
        if kits
        else list(folder.records["kit"].values()) or [found(folder, "kit", None, "--kit")]
    )
    if len(chosen) > _MOST_KITS:
        names = ", ".join(one.name for one in chosen)
        raise Refusal(f"--kit: name up to {_MOST_KITS} of these kits: {names}.")
    request = {
        "kits": [write_record(one) for one in chosen],
        "species": write_record(found(folder, "species", species, "--species")),
        "settings": settings_of(folder.records),
        "distance_m": distance.value,
        "gap_m": metres_or_sky(gap),
        "background": background,
        "tone": tone,
        "in_shade": in_shade,
        "speed_mps": speed,
    }
    answer = answered("kit_table", request, _KITS_AS)
    answer.show(as_json, print_kits)


@click.command(
    epilog=examples(
        "scout stand --folder sample_site --kit 300 --like long --species stonechat \\",
        "    --distance 18 --gap 30",
        "scout stand --folder sample_site --kit 300 --blur 0.5 --species stonechat \\",
        "    --distance 18 --gap 30 --from-hide",
    )
)
@folder_option
@kit_option
@click.option("--like", metavar="NAME", help="Another kit, whose blur from here you want.")
@click.option(
    "--blur",
    type=Number(low=0.001, high=100),
    metavar="TIMES",
    help="Instead of --like: the blur you want, over the animal's length.",
)
@species_option
@_distance
@_gap
@click.option("--like-distance", type=Metres(), metavar="METRES", help="If it stands elsewhere.")
@click.option("--like-gap", type=Metres(sky=True), metavar="METRES", help="If its gap differs.")
@click.option("--from-hide", is_flag=True, help="Keep the distance that holds from a settled hide.")
@json_option
def stand(
    path: str,
    kit: str | None,
    like: str | None,
    blur: float | None,
    species: str | None,
    distance: Rough,
    gap: Rough,
    like_distance: Rough | None,
    like_gap: Rough | None,
    from_hide: bool,
    as_json: bool,
) -> None:
    """Find where to stand, or what gap to look for, for a blur.

    With your kit, for the blur that another kit gives from here, or for a blur of your own wish.
    Never nearer than the animal's keep-distance.
    """
    folder = opened(path)
    if (like is None) == (blur is None):
        raise Refusal("--like: name another kit to match, or give --blur, and not both.")
    if like is None and (like_distance is not None or like_gap is not None):
        raise Refusal("--like-distance: and --like-gap go with --like.")
    ids = ids_of(folder, kit=kit, species=species)
    request = {
        **{kind: write_record(folder.records[kind][one]) for kind, one in ids.items()},
        "distance_m": distance.value,
        "gap_m": metres_or_sky(gap),
        "in_hide": from_hide,
    }
    if like is not None:
        request["like"] = write_record(found(folder, "kit", like, "--like"))
    if blur is not None:
        request["times_animal"] = blur
    if like_distance is not None:
        request["like_distance_m"] = like_distance.value
    if like_gap is not None:
        request["like_gap_m"] = metres_or_sky(like_gap)
    answer = answered("stand_where", request, _STAND_AS)
    answer.show(as_json, print_stand)
