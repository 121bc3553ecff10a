"""The ground under pins: heights offered where none was measured, and how they compare.

Not for: writing them down (the notebook's), or skylines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import attrs

from scout.records.measured import Elevation
from scout.records.ways import plus_minus
from scout.terrain.model import BARE, Model, order_for
from scout.terrain.patch import heights_at

HOW = "terrain"
"""How an elevation that came from a model is marked; what a person measured never is."""


@attrs.frozen(kw_only=True)
class Pin:
    """A pin whose ground is asked for; `known` is what its record says of it."""

    id: str
    name: str
    lat_deg: float
    lon_deg: float
    accuracy_m: float = 10.0
    known: Elevation | None = None


@attrs.frozen(kw_only=True)
class Ground:
    """What a model says of the ground under a pin.

    `elevation_m` None where no model knows it; `fills`: it is to be written down, for nothing
    measured stands there; `difference_m` model less record, None where the record has none.
    """

    pin: Pin
    elevation_m: float | None
    plus_minus_m: float
    model: Model | None
    fills: bool
    difference_m: float | None

    @property
    def words(self) -> str:
        """One line about it."""
        if self.elevation_m is None or self.model is None:
            return "no model knows the ground here"
        said = f"{self.elevation_m:.1f} m ±{self.plus_minus_m:.1f} from {self.model.words}"
        if self.model.kind != BARE:
            said += ", a surface: trees may stand in it"
        if self.difference_m is None or self.pin.known is None:
            return said
        known = f"{self.pin.known.m:.1f} m ({self.pin.known.how or 'measured'})"
        if self.fills:
            return f"{said}; was {known}"
        return f"{said}; {known} stands, the model is {_apart(self.difference_m)}"


def ground_under(pins: Sequence[Pin], models: Sequence[Model]) -> list[Ground]:
    """Find the ground under pins: from the finest bare-earth model, a surface only for want of one.

    The ± joins the model's own with what the pin's place leaves unsure on a slope [m].
    """
    asked = order_for(models, 0.0)
    found: dict[str, Ground] = {}
    left = list(pins)
    for model in asked:
        if not left:
            break
        reach = [_around(pin) for pin in left]
        flat = heights_at(model, [place for places in reach for place in places])
        waiting = []
        for place, pin in enumerate(left):
            height, *beside = flat[5 * place : 5 * place + 5]
            if math.isfinite(height):
                off = [abs(one - height) for one in beside if math.isfinite(one)]
                found[pin.id] = _ground(pin, float(height), max(off, default=0.0), model)
            else:
                waiting.append(pin)
        left = waiting
    return [found.get(pin.id) or _nothing(pin) for pin in pins]


def _around(pin: Pin) -> list[tuple[float, float]]:
    """The pin and four places on the rim of where it may be."""
    north = pin.accuracy_m / 111_320.0
    east = north / max(0.01, math.cos(math.radians(pin.lat_deg)))
    steps = ((0.0, 0.0), (north, 0.0), (-north, 0.0), (0.0, east), (0.0, -east))
    return [(pin.lat_deg + up, pin.lon_deg + over) for up, over in steps]


def _ground(pin: Pin, height: float, off: float, model: Model) -> Ground:
    known = pin.known
    return Ground(
        pin=pin,
        elevation_m=round(height, 1),
        plus_minus_m=round(math.hypot(model.plus_minus_m, off), 1),
        model=model,
        fills=known is None or known.how == HOW,
        difference_m=None if known is None else round(height, 1) - known.m,
    )


def _nothing(pin: Pin) -> Ground:
    return Ground(
        pin=pin,
        elevation_m=None,
        plus_minus_m=plus_minus(HOW, "elevation"),
        model=None,
        fills=False,
        difference_m=None,
    )


def _apart(difference_m: float) -> str:
    if abs(difference_m) < 0.05:
        return "the same"
    return f"{abs(difference_m):.1f} m {'higher' if difference_m > 0 else 'lower'}"
