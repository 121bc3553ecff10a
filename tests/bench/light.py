"""Cost of the light on a card: 270 minutes x 20 sightlines x 3 skies, against plain formulas.

Run: python tests/bench/light.py. The peer evaluates the published formulas anew for every sightline
and sky, in the same process.
"""

from __future__ import annotations

from math import cos, radians
from time import perf_counter

from scout.engine.daylight import (
    beam_lux,
    circular_171_lux,
    level_sky_lux,
    sky_direction,
    upright_sky_lux,
)
from scout.engine.light import Daylight, Face

MINUTES, SIGHTLINES, SKIES = 270, 20, ("clear", "partly", "overcast")
ALTITUDES = [-12.0 + 42.0 * minute / MINUTES for minute in range(MINUTES)]
COSINES = [cos(radians(9.0 * number)) for number in range(SIGHTLINES)]
FACES = [Face(sky_factor=0.5 + number / 40) for number in range(SIGHTLINES)]


def ours() -> float:
    total = 0.0
    for altitude in ALTITUDES:
        moment = Daylight(altitude, 120)
        for face, cosine in zip(FACES, COSINES, strict=True):
            total += moment.upright_lux(face, cosine, True)[0]
    return total


def peer() -> float:
    total = 0.0
    for altitude in ALTITUDES:
        for face, cosine in zip(FACES, COSINES, strict=True):
            for sky in SKIES:
                known = max(altitude, 1.0)
                amount = circular_171_lux(altitude) / level_sky_lux(known, "clear")
                beam = beam_lux(altitude, sky, 120) * max(0.0, cosine) * cos(radians(altitude))
                seen = upright_sky_lux(known, sky) * sky_direction(cosine, sky) * face.sky_factor
                ground = face.bounce * level_sky_lux(known, sky)
                total += amount * (beam + seen + ground)
    return total


def best(run: object, rounds: int = 7) -> float:
    times = []
    for _ in range(rounds):
        start = perf_counter()
        run()  # type: ignore[operator]
        times.append(perf_counter() - start)
    return min(times)


if __name__ == "__main__":
    mine, other = best(ours), best(peer)
    each = mine / (MINUTES * SIGHTLINES * len(SKIES))
    print(f"card's light: {1000 * mine:.1f} ms, {1e6 * each:.2f} µs a sightline, minute and sky")
    print(f"plain re-evaluation: {1000 * other:.1f} ms; ratio {other / mine:.1f}")
