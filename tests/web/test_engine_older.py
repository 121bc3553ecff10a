"""An older engine on the phone beside a newer shell, and a newer one that does not come whole."""

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import Any

import pytest

from scout.engine.calls import ENGINE_VERSION
from scout.installed import web_folder
from scout.packing import Pack, engine_packs
from scout.server import packs
from scout.server.shell import ENGINE_FOLDER
from tests.conftest import only_full
from tests.parity.cases import all_cases

from .engine_page import EngineOpen, EnginePage, kits_request


def changed_packs(monkeypatch: pytest.MonkeyPatch, *changes: tuple[str, str]) -> packs.Packed:
    """Make the packs of another engine: what stands in its calls changed."""

    def other() -> tuple[Pack, Pack]:
        ours, libraries = engine_packs()
        made = io.BytesIO()
        with (
            zipfile.ZipFile(io.BytesIO(ours.content)) as given,
            zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as written,
        ):
            for name in given.namelist():
                text = given.read(name).decode("utf-8")
                if name == "scout/engine/calls.py":
                    for now, then in changes:
                        assert now in text
                        text = text.replace(now, then)
                written.writestr(name, text)
        mark = hashlib.sha256(made.getvalue()).hexdigest()[:16]
        return Pack(f"scout-{mark}.zip", made.getvalue()), libraries

    with monkeypatch.context() as patched:
        patched.setattr(packs, "engine_packs", other)
        return packs.packed(web_folder() / ENGINE_FOLDER)


OLDER = (
    (f'ENGINE_VERSION: Final = "{ENGINE_VERSION}"', 'ENGINE_VERSION: Final = "0"'),
    ('    "stand_where": stand_where,\n', ""),
)


def answered_by(page: EnginePage) -> tuple[str, str]:
    """Answer who answers now, and with which engine."""
    said = page.ask("kit_table", kits_request())
    return said["from"], said["answer"]["engine"]


def stand_request() -> dict[str, Any]:
    """Answer a request that the older engine does not know."""
    cases = [one for one in all_cases() if one.call == "stand_where" and not one.refused]
    return dict(cases[0].request)


@pytest.fixture
def old(engine_phone: EngineOpen, monkeypatch: pytest.MonkeyPatch) -> EnginePage:
    """Answer a phone that holds an older engine and an answer of it."""
    page = engine_phone()
    page.app.extensions["scout_packs"] = changed_packs(monkeypatch, *OLDER)
    page.open("phone")
    page.run("await navigator.serviceWorker.ready")
    page.started()
    said = page.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["answer"]["engine"]) == ("phone", "0")
    del page.app.extensions["scout_packs"]
    return page


def test_an_older_engine_beside_a_new_shell_gives_way(old: EnginePage) -> None:
    (kept,) = old.caches()
    old.faulty.asked.clear()
    old.page.reload()
    old.awake()
    # What the older one does not know is never the person's fault while the server knows it.
    assert "answer" in old.ask("stand_where", stand_request())
    old.until(
        """const here = (await import('/engine/engine.js')).engine();
        const names = (await caches.keys()).filter((name) => name.startsWith('engine-'));
        return here.is_ready && names.length === 1 && names[0] !== given;""",
        kept,
    )
    # Only what had changed was fetched.
    asked = [path for path in old.faulty.asked if path.endswith((".zip", ".wasm", ".mjs"))]
    assert len(asked) == 1
    assert "scout-" in asked[0]
    said = old.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["answer"]["engine"]) == ("phone", ENGINE_VERSION)


@only_full
def test_an_older_engine_answers_where_there_is_no_server(old: EnginePage) -> None:
    old.kill_server()
    old.page.reload()
    old.started()
    said = old.ask("kit_table", kits_request(), {"subject": "kit/one"})
    assert (said["from"], said["is_current"]) == ("stored", True)
    assert old.ask("kit_table", kits_request())["from"] == "phone"
    refused = old.ask("stand_where", stand_request())
    assert refused["trouble"] == "Refusal"
    assert "The engine has no call" in refused["sentences"][0]


@only_full
def test_half_a_newer_engine_leaves_the_older_one(old: EnginePage) -> None:
    kept = old.caches()
    old.faulty.cut = ("engine/scout-",)
    old.page.reload()
    old.started()
    old.page.wait_for_timeout(1500)
    assert answered_by(old) == ("phone", "0")
    assert set(kept) <= set(old.caches())
    # The rest comes with the next start.
    old.faulty.cut = ()
    old.page.reload()
    old.awake()
    old.until(
        """const { state } = (await import('/engine/engine.js')).engine();
        return state.phase === 'ready' && !(await caches.keys()).includes(given);""",
        kept[0],
    )
    assert answered_by(old) == ("phone", ENGINE_VERSION)


@only_full
def test_a_newer_engine_that_does_not_start_is_let_go(
    old: EnginePage, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = old.caches()
    broken = changed_packs(monkeypatch, ("import json\n", "import no_such_module\n"))
    old.app.extensions["scout_packs"] = broken
    old.page.reload()
    old.awake()
    old.until("return localStorage.getItem('engine_unfit') !== null")
    old.until("return (await import('/engine/engine.js')).engine().is_ready")
    assert answered_by(old) == ("phone", "0")
    assert old.caches() == kept
    # It is not fetched again at the next start.
    old.faulty.asked.clear()
    old.page.reload()
    old.awake()
    old.page.wait_for_timeout(1000)
    assert not [path for path in old.faulty.asked if path.endswith(".zip")]
