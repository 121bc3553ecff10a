"""On what a verdict hangs: size, skyline, wind. Rules of common practice, no source."""

from __future__ import annotations

from scout.engine.calls import call

from .cards import bird, card, mammal, measurement, request, sightline


def test_a_small_animal_is_said_with_the_verdict() -> None:
    plain = card()["verdict"]
    small = card(settings={"output_px": 6000})["verdict"]
    assert small.startswith(plain.split(" But")[0])
    assert "But the bird stays small there: cropped to " in small
    assert " of the 6000 px wanted." in small
    assert "stays small" not in card(settings={"output_px": 100})["verdict"]


def test_no_skyline_is_said_with_the_verdict() -> None:
    assert "No skyline is recorded" not in card()["verdict"]
    assert card(skylines=[])["verdict"].endswith(
        "No skyline is recorded where the sun stands: trees make it less."
    )


def test_an_untyped_wind_binds_the_verdict_for_a_nose() -> None:
    untyped = card(species=mammal())
    assert (
        f"Not if the wind comes from {untyped['sightlines'][0]['bad_winds']}" in untyped["verdict"]
    )
    assert "wind" not in card(species=mammal(), wind="W 3")["verdict"]
    assert "wind" not in card(species=bird())["verdict"]


def test_a_strong_wind_is_said() -> None:
    blown = card(wind="N 7")
    assert "But force 7: perches sway" in blown["verdict"]
    assert any(said.startswith("Wind force 7: keep from under trees") for said in blown["cautions"])
    assert "force" not in card(wind="N 5")["verdict"]


def test_a_few_minutes_are_not_worth_it() -> None:
    every = card(settings={"worth_min": 400})["verdict"]
    assert every.startswith("Not for the light: Bank → Stump has ")
    assert card(settings={"worth_min": 1})["verdict"].startswith("Worth it")


def test_the_wrong_side_is_named() -> None:
    """A sun full on the perch from the wrong side is no good minute, and the words say why."""
    words = card(sightlines=[sightline(light_wanted="back")])["sightlines"][0]["best_words"]
    assert words.startswith("no good minute, sun in and out: back light is wanted, the sun gives ")
    grey = card(sightlines=[sightline(light_wanted="back")], sky="overcast")["sightlines"][0]
    assert "the sun is not on it while the shutter is reached" in grey["best_words"]


def test_what_a_person_demands_puts_sightlines_aside() -> None:
    assert (
        len(
            card(demands=["level", "background", "size"], settings={"output_px": 100})["sightlines"]
        )
        == 1
    )
    small = card(demands=["size"], settings={"output_px": 6000})
    assert small["sightlines"] == []
    assert small["barred"][0]["barred"][0].startswith("You ask for 6000 px: cropped to the bird")
    tilted = {**measurement(), "tilt": {"deg": -12, "how": "clinometer"}}
    slanted = card(demands=["level"], measurements=[tilted])["barred"][0]["barred"]
    assert slanted == ["You ask for a level line: the lens is slightly above."]
    touching = card(demands=["background"], sightlines=[sightline(gap={"m": 0.2})])
    assert touching["barred"][0]["barred"] == ["You ask for a quiet background: it is busy."]
    # Nothing of it takes away a minute where it was not asked for.
    assert len(card(sightlines=[sightline(gap={"m": 0.2})])["sightlines"]) == 1
    refused = call("outing_card", {**request(), "demands": ["colour"]})
    assert refused["error"]["sentences"] == [
        "demands: must be a list of these words: level, background, size."
    ]
