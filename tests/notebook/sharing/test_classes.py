"""Who gives whom away: the strictest of a group rules all of it (common practice, no source)."""

from __future__ import annotations

import attrs

from scout.notebook.sharing.classes import classes_of

from .places import EXACT, OTTER, SITE, note_otter, notebook_records, perch_id, record, vantage_id

OTHER = "00000000-0000-4000-8000-0000000000f1"


def test_a_vantage_takes_the_class_of_the_perch_it_looks_at() -> None:
    classes = classes_of(notebook_records())
    assert {mark: classes.of[vantage_id(mark)] for mark in EXACT} == {mark: mark for mark in EXACT}


def test_an_unmarked_nest_or_den_is_withheld() -> None:
    records = notebook_records()
    perch = records["perch"][perch_id("open")]
    records["perch"][perch.id] = attrs.evolve(perch, kind="nest or den", sensitivity=None)
    assert classes_of(records).of[perch.id] == "withheld"


def test_the_animals_own_mark_counts_at_every_perch_where_it_was_seen() -> None:
    records = notebook_records()
    (animal,) = records["species"].values()
    records["species"][animal.id] = attrs.evolve(animal, places="high")
    classes = classes_of(records)
    assert classes.of[perch_id("open")] == "high"
    assert classes.of[perch_id("withheld")] == "withheld"


def test_a_sighting_by_position_is_a_pin_without_a_name() -> None:
    records = notebook_records()
    lat, lon = OTTER
    vantage, stile = note_otter(records, position={"lat": lat, "lon": lon})
    classes = classes_of(records)
    assert classes.of[vantage] == classes.of[stile] == "withheld"
    assert classes.at(records["landmark"][stile].position) == "withheld"
    assert classes.of[perch_id("open")] == "open"


def test_seen_at_no_noted_place_it_was_at_one_of_the_watched_perches() -> None:
    records = notebook_records()
    vantage, _ = note_otter(records)
    classes = classes_of(records)
    assert classes.of[vantage] == classes.of[perch_id("open")] == "withheld"


def test_what_lies_beside_a_withheld_place_is_withheld() -> None:
    lat, lon = EXACT["withheld"]
    records = notebook_records()
    for metres, mark in ((60, "withheld"), (260, "open")):
        gate = record(
            "landmark",
            id=OTHER,
            site=SITE,
            name="Gate",
            position={"lat": lat - metres / 111_200, "lon": lon},
        )
        records["landmark"] = {OTHER: gate}
        assert classes_of(records).of[OTHER] == mark


def test_a_site_marks_all_that_is_in_it() -> None:
    records = notebook_records()
    site = records["site"][SITE]
    records["site"][SITE] = attrs.evolve(site, sensitivity="high")
    classes = classes_of(records)
    assert classes.of[perch_id("open")] == "high"


def test_a_visit_is_as_secret_as_the_most_secret_place_it_saw() -> None:
    records = notebook_records()
    classes = classes_of(records)
    marks = [classes.of[one.id] for one in records["visit"].values()]
    assert marks == list(EXACT)


def test_an_outline_around_a_hidden_place_is_hidden() -> None:
    lat, lon = EXACT["withheld"]
    records = notebook_records()
    corners = [(lat - 0.01, lon - 0.01), (lat - 0.01, lon + 0.01), (lat + 0.01, lon)]
    area = record(
        "area",
        id=OTHER,
        site=SITE,
        kind="watched",
        outline=[{"lat": y, "lon": x} for y, x in corners],
    )
    records["area"] = {OTHER: area}
    assert classes_of(records).of[OTHER] == "withheld"
