"""The land over HTTP: elevation models, and what is worked out from them, as pieces of work.

Results are records, which reach the phones by the sync like any other. Not for: the work itself
(`land_records`, `land_sights`, `land_search`, `land_layers`), or the plain page (`land_page`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

from flask import Blueprint, Response, jsonify, request

from scout.server import land_layers, land_places, land_records, land_sights
from scout.server.bodies import body, json_body
from scout.server.errors import Problem
from scout.server.land_files import LARGEST_PIECE_BYTES, Incoming
from scout.server.land_jobs import Job
from scout.server.land_works import WORKS, jobs, kind_of, text_of, word_of
from scout.server.who import notebook
from scout.terrain.model import BARE, KINDS, SURFACE
from scout.terrain.taking_in import Progress, take_in

_MOST_JSON: Final = 64 * 1024

routes = Blueprint("land", __name__, url_prefix="/api/v1/land")


@routes.after_request
def _fresh(answer: Response) -> Response:
    answer.headers["Cache-Control"] = "no-store"  # bounds are positions
    return answer


@routes.get("")
def overview() -> Response:
    """Give the models with what they cover, and the pieces of work."""
    return jsonify({"models": models_told(), "jobs": [job.as_json() for job in jobs().listed()]})


def models_told() -> list[dict[str, Any]]:
    """Answer every model with its edges and the sites it covers."""
    places = land_records.site_places(land_records.records_of(notebook()))
    return [
        {
            "id": one.id,
            "name": one.name,
            "kind": one.kind,
            "words": one.words,
            "cell_m": one.cell_m,
            "low_m": one.low_m,
            "high_m": one.high_m,
            "unknown_share": one.unknown_share,
            "was_feet": one.was_feet,
            "size_bytes": one.size_bytes,
            "bounds": {
                "south_deg": one.south_deg,
                "west_deg": one.west_deg,
                "north_deg": one.north_deg,
                "east_deg": one.east_deg,
            },
            "covers": [name for name, lat, lon in places if one.covers(lat, lon)],
        }
        for one in land_records.shelf_of(notebook()).models()
    ]


@routes.post("/uploads")
def begin_upload() -> tuple[Response, int]:
    """Begin to send a model: `name` and `size`; answers the id to send pieces to."""
    asked = json_body(_MOST_JSON)
    name, size = asked.get("name"), asked.get("size")
    if not isinstance(name, str) or not isinstance(size, int) or isinstance(size, bool):
        raise Problem(400, "shape", "Give the file's name and its size in bytes.")
    mark = _incoming().begin(name, size)
    return jsonify({"upload": mark, "piece": LARGEST_PIECE_BYTES}), 201


@routes.put("/uploads/<mark>")
def append(mark: str) -> Response:
    """Join one piece on at `offset`; answers where the next one belongs."""
    typed = request.args.get("offset", "")
    if not typed.isascii() or not typed.isdigit() or len(typed) > 12:
        raise Problem(400, "shape", "offset: give a whole number.")
    piece = body(LARGEST_PIECE_BYTES, "application/octet-stream")
    return jsonify({"offset": _incoming().append(mark, int(typed), piece)})


@routes.post("/models")
def add_model() -> tuple[Response, int]:
    """Take a file that was sent in as a model; answers the piece of work."""
    asked = json_body(_MOST_JSON)
    mark, kind = text_of(asked, "upload"), word_of(asked, "kind", KINDS)
    crs, name = text_of(asked, "crs", needed=False), text_of(asked, "name", needed=False)
    feet = asked.get("feet")
    if feet not in (None, True, False):
        raise Problem(400, "shape", "feet: give true, false or nothing.")
    book, incoming = notebook(), _incoming()
    path: Path = incoming.file(mark or "")

    def work(progress: Progress) -> dict[str, Any]:
        try:
            places = land_records.site_places(land_records.records_of(book))
            model, said = take_in(
                land_records.shelf_of(book),
                path,
                kind=kind,
                name=name,
                crs=crs,
                feet=feet,
                places=places,
                progress=progress,
            )
        finally:
            incoming.drop(mark or "")
        return {"model": model.id, "sentences": [f"Taken in: {model.words}.", *said]}

    return _begun(jobs().begin(f"Take in {path.name}", work))


@routes.delete("/models/<model_id>")
def remove_model(model_id: str) -> Response:
    """Remove a model; what was made from it stays."""
    shelf = land_records.shelf_of(notebook())
    model = next((one for one in shelf.models() if one.id == model_id), None)
    if model is None:
        raise Problem(404, "no_model", "There is no such elevation model here (any more).")
    shelf.remove(model)
    return jsonify({"removed": model.words})


@routes.delete("/layers/<layer>")
def forget(layer: str) -> Response:
    """Remove a picture of the land, from the phones as well; one undo brings it back."""
    return jsonify({"group": land_layers.forget(notebook(), layer).group})


@routes.get("/jobs/<job_id>")
def job(job_id: str) -> Response:
    """Give one piece of work: how far it is, or what came of it."""
    return jsonify(_job(job_id).as_json())


@routes.delete("/jobs/<job_id>")
def stop_job(job_id: str) -> Response:
    """Stop one piece of work."""
    found = _job(job_id)
    jobs().stop(found)
    return jsonify(found.as_json())


@routes.post("/jobs")
def begin() -> tuple[Response, int]:
    """Begin a piece of work: `do` is ground, skyline, relief, first light or find."""
    asked = json_body(_MOST_JSON)
    what = word_of(asked, "do", tuple(WORKS))
    return _begun(WORKS[what](asked))


@routes.get("/sight/<sightline>")
def sight(sightline: str) -> Response:
    """Follow a sightline over the land: what blocks it, the gap, and its side view."""
    kind = SURFACE if request.args.get("kind") == SURFACE else BARE
    return jsonify(land_sights.follow(notebook(), sightline, kind).as_json())


@routes.post("/sight/<sightline>/gap")
def keep_gap(sightline: str) -> Response:
    """Note the gap that the land gives, for the person said so."""
    saved = land_sights.take_gap(notebook(), sightline, kind_of(json_body(_MOST_JSON)))
    return jsonify({"group": saved.group})


@routes.post("/places")
def sit() -> Response:
    """Make a place of a layer a vantage with its sightline."""
    asked = json_body(_MOST_JSON)
    place = asked.get("place")
    if not isinstance(place, int) or isinstance(place, bool):
        raise Problem(400, "shape", "place: give its number in the list, from 0 on.")
    saved = land_places.sit_there(notebook(), text_of(asked, "layer") or "", place)
    vantage, line = saved.records
    return jsonify({"group": saved.group, "vantage": vantage, "sightline": line})


def _begun(job: Job) -> tuple[Response, int]:
    return jsonify(job.as_json()), 202


def _job(job_id: str) -> Job:
    found = jobs().find(job_id)
    if found is None:
        raise Problem(404, "no_job", "This piece of work is not known (any more); begin it again.")
    return found


def _incoming() -> Incoming:
    return Incoming(notebook().folder)
