"""What a person may set differently: thresholds of common practice, with their usual values.

Not for: facts of physics, which are no matter of taste, or what belongs to a kit or a species.
"""

from __future__ import annotations

import attrs

from scout.records import fields as f


@attrs.frozen(kw_only=True)
class Settings:
    """One notebook's settings. Defaults are common practice or ours, with no source beyond."""

    id: str | None = f.identity("Id")
    level_perch_deg: float = f.number("Level on a perch, within", "°", low=0, high=30, default=5.0)
    slight_perch_deg: float = f.number(
        "Slightly off level on a perch, within", "°", low=0, high=60, default=15.0
    )
    level_ground_deg: float = f.number(
        "Level on ground and water, within", "°", low=0, high=30, default=2.0
    )
    slight_ground_deg: float = f.number(
        "Slightly off level on ground and water, within", "°", low=0, high=60, default=6.0
    )
    sun_share: float = f.number(
        "Share of time with sun, under sun in and out", low=0, high=1, default=0.5
    )
    leaf_out_day: str = f.season_day("Leaves out from", default="05-01")
    leaf_fall_day: str = f.season_day("Leaves fallen from", default="11-01")
    in_place_before_civil_min: float = f.number(
        "In place before civil dawn", "min", low=0, high=240, default=30.0
    )
    early_before_civil_min: float = f.number(
        "In place before civil dawn, for owls, deer, otter", "min", low=0, high=240, default=60.0
    )
    settle_min: float = f.number(
        "In place before the earliest arrival", "min", low=0, high=240, default=30.0
    )
    dusk_in_place_min: float = f.number(
        "In place before sunset", "min", low=0, high=480, default=90.0
    )
    set_up_min: float = f.number("Set-up at a hide", "min", low=0, high=240, default=5.0)
    set_up_blind_min: float = f.number(
        "Set-up of one's own blind", "min", low=0, high=240, default=15.0
    )
    get_up_min: float = f.number(
        "From getting up to driving off", "min", low=0, high=240, default=30.0
    )
    scent_half_width_deg: float = f.number(
        "Bad winds, to each side", "°", low=1, high=179, default=45.0
    )
    scent_light_half_width_deg: float = f.number(
        "Bad winds when it is light, to each side", "°", low=1, high=179, default=60.0
    )
    rest_days: float = f.number(
        "Visits and reactions count for", "days", low=0, high=365, default=14.0
    )
    rest_reactions: int = f.number(
        "Reactions after which a vantage rests", low=1, high=100, whole=True, default=2
    )
    worth_min: float = f.number(
        "Fewest good minutes worth going for", "min", low=1, high=480, default=10.0
    )
    worth_share: float = f.number(
        "Smallest share of mornings with a stay in good light worth going for",
        low=0,
        high=1,
        default=0.2,
    )
    fewest_watches: int = f.number(
        "Watched mornings below which nothing is said of a routine",
        low=1,
        high=100,
        whole=True,
        default=5,
    )
    routine_season_days: int = f.number(
        "A routine's season, before and after the day",
        "days",
        low=7,
        high=183,
        whole=True,
        default=45,
    )
    quiet_after_min: float = f.number(
        "Not watched after arrival, until quiet again", "min", low=0, high=240, default=20.0
    )
    least_frame_share: float = f.number(
        "Smallest animal worth sitting for, length over the frame's width",
        low=0,
        high=1,
        default=0.05,
    )
    output_px: int = f.number(
        "Wanted picture", "px across", low=100, high=100_000, whole=True, default=2048
    )
    frame_share: float = f.number(
        "Animal's length in the wanted frame", low=0.05, high=1, default=0.33
    )
