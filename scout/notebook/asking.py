"""From a notebook's records to a request of the engine: all that an answer needs, and no more.

Not for: reading files (`folder`) or computing (`scout.engine`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from scout.engine.asked import LISTS
from scout.engine.calls import call
from scout.records.kinds import write_record

Records = Mapping[str, Mapping[str, Any]]

_OF_ROUTINE = (
    *("perches", "vantages", "sightlines", "measurements", "permissions"),
    *("visits", "watches", "sightings", "reactions"),
)


def card_request(
    records: Records,
    *,
    site: str,
    species: str,
    kit: str,
    on: date,
    session: str,
    behaviour: str = "perched",
    sky: str | None = None,
    wind: str | None = None,
    discreet: bool = False,
    demands: Sequence[str] = (),
    also: Sequence[str] = (),
    with_presence: bool = True,
) -> dict[str, Any]:
    """Build the request for one outing card from records by kind and id.

    also: ids of other animals that will do. with_presence: also count what the log says of when
    each comes, which only a card, a choice and a season need.
    """
    request: dict[str, Any] = {
        "site": write_record(records["site"][site]),
        "species": write_record(records["species"][species]),
        "kit": write_record(records["kit"][kit]),
        "settings": settings_of(records),
        "date": on.isoformat(),
        "session": session,
        "behaviour": behaviour,
        "sky": sky,
        "wind": wind,
        "presence": None,
        "discreet": discreet,
        "demands": list(demands),
        **{name: _written(kept) for name, kept in at_site(records, site).items()},
    }
    if also:
        request["also"] = [
            {"species": write_record(records["species"][one]), "presence": None} for one in also
        ]
    if with_presence:
        request["presence"] = presence_in(request)
        for other in request.get("also", ()):
            other["presence"] = presence_in({**request, "species": other["species"]})
    return request


def routine_request(
    records: Records,
    *,
    site: str,
    species: str,
    on: date,
    discreet: bool = False,
    **narrowed: Any,
) -> dict[str, Any]:
    """Build the request for an animal's habits at a site.

    narrowed: `perch` or `area` (ids), `season`, `sky`, `wind_from`, `tag`, `width`, as the call
    routine reads them.
    """
    lists = at_site(records, site)
    here = {one.id for name in lists for one in lists[name]}
    tags = [one for one in records.get("tag", {}).values() if one.record in here]
    areas = [one for one in records.get("area", {}).values() if one.site == site]
    return {
        "site": write_record(records["site"][site]),
        "species": write_record(records["species"][species]),
        "settings": settings_of(records),
        "date": on.isoformat(),
        "discreet": discreet,
        **{name: _written(lists[name]) for name in _OF_ROUTINE},
        "areas": _written(areas),
        "tags": _written(tags),
        **narrowed,
    }


def season_request(
    records: Records, *, sightline: str, first: date, weeks: int, **asked: Any
) -> dict[str, Any]:
    """Build the request for the season of a sightline; `asked` is a card's without its day."""
    request = card_request(records, on=first, **asked)
    del request["date"]
    return {**request, "sightline": sightline, "first": first.isoformat(), "weeks": weeks}


def after_request(records: Records, *, on: date, **asked: Any) -> dict[str, Any]:
    """Build the request for what a site's outings have taught."""
    request = card_request(records, on=on, session="dawn", with_presence=False, **asked)
    del request["session"]
    return request


def presence_in(request: Mapping[str, Any]) -> dict[str, Any] | None:
    """Answer what the log in a card's request says of its animal; None where nobody watched.

    A request that is refused says nothing here: whoever asks with it is told why.
    """
    answer = call("presence", dict(request))
    answer.pop("engine")
    return None if "error" in answer or answer["watched"] == 0 else answer


def settings_of(records: Records) -> dict[str, Any]:
    """Answer the notebook's settings as they are sent to the engine, empty for the usual ones."""
    kept = records.get("settings", {})
    for one in kept.values():
        return write_record(one)
    return {}


def at_site(records: Records, site: str) -> dict[str, list[Any]]:
    """Answer the records of a site, list by list as a request has them."""
    kept: dict[str, list[Any]] = {}
    perches = _ids(records, "perch", "site", {site})
    vantages = _ids(records, "vantage", "site", {site})
    visits = _ids(records, "visit", "site", {site})
    watches = {
        one.id
        for one in records.get("watch", {}).values()
        if one.vantage in vantages or one.visit in visits or set(one.perches) & perches
    }
    sightlines = {
        one.id
        for one in records.get("sightline", {}).values()
        if one.vantage in vantages or one.perch in perches
    }
    belongs = {
        "measurement": ("sightline", sightlines),
        "skyline": ("pin", perches | vantages),
        "canopy": ("perch", perches),
        "walk_in": ("vantage", vantages),
        "sighting": ("watch", watches),
        "reaction": ("watch", watches),
        "sightline": ("id", sightlines),
        "watch": ("id", watches),
    }
    for name, kind in LISTS.items():
        field, owners = belongs.get(kind, ("site", {site}))
        kept[name] = [
            one for one in records.get(kind, {}).values() if getattr(one, field) in owners
        ]
    return kept


def noted_most(records: Records, site: str) -> Any:
    """Answer the animal noted most often at a site; the first one where none was, None without."""
    noted = Counter(one.species for one in at_site(records, site)["sightings"])
    return max(records["species"].values(), key=lambda animal: noted[animal.id], default=None)


def _ids(records: Records, kind: str, field: str, owners: set[str]) -> set[str]:
    return {one.id for one in records.get(kind, {}).values() if getattr(one, field) in owners}


def _written(records: Iterable[Any]) -> list[dict[str, object]]:
    return [write_record(one) for one in records]
