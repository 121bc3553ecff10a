"""Tokens over time: changed without locking anybody out, ended, revoked; roles that change."""

from __future__ import annotations

import json
import random
import threading

import pytest

from scout.notebook import notebook as notebooks
from scout.notebook.notebook import Notebook
from scout.server import sync
from scout.server.app import create_app
from tests.notebook.conftest import NOW_MS, TurnedClock
from tests.notebook.phone import Phone

from .callers import Caller, Household


@pytest.fixture
def home(notebook: Notebook) -> Household:
    return Household(create_app(notebook), notebook)


def changes(count: int = 3) -> list[dict[str, object]]:
    phone = Phone(random.Random(11), NOW_MS)
    for number in range(count):
        phone.edit("species", phone.new_id(), {"name": f"Bird {number}"})
    return phone.outbox


def push(caller: Caller, sent: list[dict[str, object]]) -> int:
    return caller.ask("POST", "/api/v1/push", json.dumps({"changes": sent}).encode()).status


def test_a_token_is_changed_every_month_and_the_old_one_lives_on_for_a_week(
    home: Household, clock: TurnedClock
) -> None:
    phone = home.member("editor")
    first = phone.cookie
    assert phone.get("ping").status == 200
    assert phone.cookie == first
    clock.pass_by(days=31)
    assert phone.get("ping").status == 200
    second = phone.cookie
    assert second != first
    assert phone.get("ping").status == 200, "the new one is used"
    assert phone.cookie == second
    old = home.caller()
    old.cookie = first
    clock.pass_by(days=6)
    assert old.get("ping").status == 200
    clock.pass_by(days=2)
    assert old.get("ping").status == 401
    assert phone.get("ping").status == 200


def test_new_tokens_that_never_arrive_lock_nobody_out(home: Household, clock: TurnedClock) -> None:
    phone = home.member("editor")
    first = phone.cookie
    for _ in range(6):
        clock.pass_by(days=31)
        phone.cookie = first  # the answer that held the new one was lost
        assert phone.get("ping").status == 200
    with home.notebook.store.reading() as db:
        assert db.conn.execute("SELECT count(*) FROM token").fetchone()[0] <= 2
    assert phone.cookie != first
    assert phone.get("ping").status == 200


def test_a_phone_that_was_away_too_long_pairs_again(home: Household, clock: TurnedClock) -> None:
    phone = home.member("viewer")
    clock.pass_by(days=89)
    assert phone.get("ping").status == 200
    clock.pass_by(days=91)
    said = phone.get("ping")
    assert (said.status, said.json["error"]["code"]) == (401, "token_ended")


def test_a_revoked_device_is_told_so_and_asked_to_clear_itself(home: Household) -> None:
    phone, other = home.member("editor"), home.member("editor")
    home.owner.post(f"devices/{phone.device}/revoke", wipe=True)
    said = phone.get("ping")
    assert (said.status, said.json["error"]["code"]) == (401, "device_revoked")
    assert said.json["error"]["wipe"] is True
    assert "asks you to clear this phone" in said.json["error"]["message"]
    assert phone.get("door").json["code"] == "device_revoked"
    assert "rescue file" in phone.get("door").json["message"]
    assert other.get("ping").status == 200


def test_a_device_may_be_paired_anew_after_it_was_revoked(home: Household) -> None:
    anna = home.person("Anna", "editor")
    phone = home.paired(anna)
    home.owner.post(f"devices/{phone.device}/revoke")
    again = home.paired(anna, device=phone.device)
    assert again.get("ping").status == 200
    assert phone.get("ping").status == 401


def test_a_device_that_leaves_is_out(home: Household) -> None:
    phone = home.member("editor")
    held = phone.cookie
    assert phone.post("door/leave").status == 200
    assert phone.cookie is None
    phone.cookie = held
    assert phone.get("ping").status == 401


def test_a_removed_persons_devices_are_all_out(home: Household) -> None:
    anna = home.person("Anna", "editor")
    one, two = home.paired(anna), home.paired(anna)
    home.owner.post(f"people/{anna}/remove")
    assert [one.get("ping").status, two.get("ping").status] == [401, 401]


def test_a_role_counts_from_the_next_request_on(home: Household) -> None:
    anna = home.person("Anna", "editor")
    phone = home.paired(anna)
    assert push(phone, changes()) == 200
    home.owner.post(f"people/{anna}", role="viewer")
    assert push(phone, changes()) == 200, "what is here already adds nothing"
    assert push(phone, changes(4)) == 403
    assert phone.get("pull").status == 200


def test_the_last_owner_stays(home: Household) -> None:
    listed = home.owner.get("people").json["people"]
    owner = listed[0]["id"]
    assert home.owner.code(f"people/{owner}/remove") == "last_owner"
    assert home.owner.code(f"people/{owner}", role="viewer") == "last_owner"
    assert home.owner.code(f"people/{owner}", name="Me") == "ok"
    other = home.person("Ben", "owner")
    assert home.owner.code(f"people/{owner}/remove") == "ok"
    assert home.owner.code(f"people/{other}/remove") == "last_owner"


@pytest.mark.parametrize(
    "token", ["", "x", "a" * 43, "é", "x" * 4000, "../../x", "' OR 1=1 --", "\x7f"]
)
def test_made_up_tokens_open_nothing(home: Household, token: str) -> None:
    stranger = home.caller()
    stranger.cookie = token
    assert stranger.get("ping").status == 401


def test_a_device_revoked_in_mid_push_lands_whole_or_not_at_all(
    home: Household, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At each point of a push at which the revocation can come in between."""
    landed = set()
    for point in ("before it is judged", "before the transaction", "never"):
        phone = home.member("editor")
        sent = [{**change, "id": _fresh(change["id"])} for change in changes(40)]
        with monkeypatch.context() as patched:

            def revoking(work, phone=phone):  # type: ignore[no-untyped-def]
                def first_revoke(*args, **named):  # type: ignore[no-untyped-def]
                    assert home.owner.code(f"devices/{phone.device}/revoke") == "ok"
                    return work(*args, **named)

                return first_revoke

            if point == "before it is judged":
                patched.setattr(sync, "read_batch", revoking(sync.read_batch))
            elif point == "before the transaction":
                judge_all = notebooks.intake.judge_all
                patched.setattr(notebooks.intake, "judge_all", revoking(judge_all))
            status = push(phone, sent)
        with home.notebook.store.reading() as db:
            ids = [row[0] for row in db.conn.execute("SELECT change_id FROM journal")]
        here = len(set(ids) & {change["id"] for change in sent})
        assert (status, here) in ((200, 40), (401, 0))
        landed.add(status)
    assert landed == {200, 401}


_rng = random.Random(3)


def _fresh(_: object) -> str:
    return Phone(_rng, NOW_MS).new_id()


def test_pushes_and_a_revocation_at_once_leave_whole_batches_only(home: Household) -> None:
    """Real threads: every batch is here wholly or not at all, and what came last was refused."""
    phone = home.member("editor")
    batches = [
        [{**change, "id": _fresh(change["id"])} for change in changes(30)] for _ in range(12)
    ]
    answered: dict[int, int] = {}

    def send() -> None:
        for number, batch in enumerate(batches):
            answered[number] = push(phone, batch)

    thread = threading.Thread(target=send)
    thread.start()
    home.owner.post(f"devices/{phone.device}/revoke")
    thread.join()
    with home.notebook.store.reading() as db:
        ids = {row[0] for row in db.conn.execute("SELECT change_id FROM journal")}
    for number, batch in enumerate(batches):
        here = len(ids & {change["id"] for change in batch})
        assert here == (30 if answered[number] == 200 else 0)
    assert answered[len(batches) - 1] == 401
