"""Pins, lines and skylines written with the server dead, and synced later."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playwright.sync_api import Playwright, expect

from tests.server import served as server_process

from .app_page import PHONE
from .field_page import FEELS, FIX, FieldPage
from .shell_page import KEPT


def test_with_the_server_dead_all_of_it_is_written_and_synced_later(
    playwright: Playwright, chromium: Path, tmp_path: Path
) -> None:
    process, address = server_process.start(tmp_path / "notebook")
    given: Any = {
        "executable_path": chromium,
        "viewport": PHONE,
        "has_touch": True,
        "permissions": [*FEELS, "geolocation"],
        "geolocation": FIX,
    }
    profile = tmp_path / "profile"
    try:
        with playwright.chromium.launch_persistent_context(profile, **given) as context:
            one = FieldPage(context, f"{address}/").open("write")
            one.page.evaluate(KEPT)
    finally:
        server_process.kill(process)
    with playwright.chromium.launch_persistent_context(profile, **given) as context:
        one = FieldPage(context, f"{address}/").open("write")
        one.tap(one.link("Vantage here").last).heading("Vantage here")
        one.button("Save vantage").tap()
        one.saved()
        one.turn(90)
        one.tap(one.link("A perch from here")).heading("Perch here")
        one.button("12 m").first.tap()
        one.page.get_by_role("button", name="Hold 90° E and save").tap()
        one.saved()
        one.link("Skyline here").tap()
        one.button("Sun off it").tap()
        expect(one.page.locator(".snack")).to_contain_text("Sun off it: saved on this phone")
        assert [len(one.all(kind)) for kind in ("perch", "sightline", "measurement")] == [1, 1, 1]
        read = one.only("measurement")["bearing"]
        assert (read["read_deg"], read["reference"]) == (90, "magnetic")
        assert one.only("perch")["position"]["source"] == "from a vantage"
        assert one.faults == []
