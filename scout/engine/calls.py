"""The front door of the engine: a table of named calls, each JSON in, JSON out.

The server offers this table at one HTTP route, the web worker offers the same table to the page,
and both hand over and hand back text, so that the same request has the same answer in both, to
the last character. A call is a plain function in the module that knows its subject; it becomes
public by one line in `CALLS`. Not for computing anything here.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, Final

from scout.engine.after_outings import after_outings
from scout.engine.choice import choice_table
from scout.engine.habits import routine
from scout.engine.kept_places import kept_places
from scout.engine.kit_table import kit_table
from scout.engine.light_day import light_day
from scout.engine.outing import outing_card
from scout.engine.placing import compass, place_perch, sector
from scout.engine.presence import presence_of
from scout.engine.season import season_strip
from scout.engine.site_map import site_map
from scout.engine.standing import stand_where
from scout.records.trouble import Refused

ENGINE_VERSION: Final = "5"
"""Raise it whenever the answer to some request changes: stored answers are kept beside it."""

Call = Callable[[dict[str, Any]], dict[str, Any]]

_UNKNOWN_CALL = "The engine has no call {name!r}. It has: {known}."
_NOT_AN_OBJECT = "A request is a JSON object, like {{}}; this one is a {kind}."
_NOT_JSON = "The request is not JSON: {trouble} (line {line}, column {column})."
_NOT_A_NUMBER = "The request has {text} where a number belongs, and JSON has no such number"
_TOO_LONG = (
    "The request has a whole number of thousands of digits. Send numbers as they are measured."
)
_TOO_DEEP = "The request is nested too deeply to be a request. Send it flat."


def engine(request: dict[str, Any]) -> dict[str, Any]:
    """Name the calls this engine has.

    The request is empty. The answer has `calls`, the names in alphabetical order; the engine's
    version is in it as in every answer.
    """
    return {"calls": sorted(CALLS)}


CALLS: Final[dict[str, Call]] = {
    "engine": engine,
    "after_outings": after_outings,
    "choice_table": choice_table,
    "compass": compass,
    "kit_table": kit_table,
    "kept_places": kept_places,
    "light_day": light_day,
    "outing_card": outing_card,
    "place_perch": place_perch,
    "presence": presence_of,
    "routine": routine,
    "season_strip": season_strip,
    "sector": sector,
    "site_map": site_map,
    "stand_where": stand_where,
}


def call(name: str, request: dict[str, Any]) -> dict[str, Any]:
    """Answer one named request.

    The answer has `engine`, the engine's version, and what the call returns. A request that is
    refused has `error` instead, an object whose `sentences` say what is wrong and what would be
    right, one trouble each. A call refuses by raising `Refused` with all it found, or ValueError
    with one sentence.
    """
    if name not in CALLS:
        return _refused(_UNKNOWN_CALL.format(name=name, known=", ".join(sorted(CALLS))))
    if not isinstance(request, dict):
        return _refused(_NOT_AN_OBJECT.format(kind=type(request).__name__))
    try:
        return {"engine": ENGINE_VERSION, **CALLS[name](request)}
    except Refused as refusal:
        return _refused(*(trouble.sentence for trouble in refusal.troubles))
    except ValueError as error:
        return _refused(str(error))


def call_text(name: str, request: str) -> str:
    """Answer one named request given as JSON text with JSON text, in ASCII and on one line.

    Text that is not JSON is refused like any other bad request. An answer with NaN or infinity
    in it is a fault of the engine and raises ValueError.
    """
    try:
        given = json.loads(request, parse_constant=_refuse_constant)
    except json.JSONDecodeError as error:
        trouble = _NOT_JSON.format(trouble=error.msg, line=error.lineno, column=error.colno)
        return _written(_refused(trouble))
    except RecursionError:
        return _written(_refused(_TOO_DEEP))
    except Refused as refusal:
        return _written(_refused(*(trouble.sentence for trouble in refusal.troubles)))
    except ValueError:
        # All that json lets through besides: Python's limit on the digits of an integer.
        return _written(_refused(_TOO_LONG))
    return _written(call(name, given))


def _refuse_constant(text: str) -> None:
    raise Refused.one(_NOT_A_NUMBER.format(text=text))


def _refused(*sentences: str) -> dict[str, Any]:
    return {"engine": ENGINE_VERSION, "error": {"sentences": list(sentences)}}


def _written(answer: dict[str, Any]) -> str:
    return json.dumps(answer, allow_nan=False, separators=(",", ":"))
