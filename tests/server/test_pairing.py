"""How a phone gets in, and how a stranger does not: codes, limits, tokens, revocation.

The shape of a pairing and its answers are those of RFC 8628 (device authorization grant); the
limits are ours, so that guessing 34 bits stays below 2^-30 (its section 5.1 asks for no less).
"""

from __future__ import annotations

import os
import random
import re
from pathlib import Path

import pytest

from scout.notebook.notebook import Notebook, open_notebook
from scout.server import pairing
from scout.server.app import create_app
from scout.server.codes import LETTERS
from tests.notebook.conftest import TurnedClock

from .callers import Caller, Household

FULL = os.environ.get("SCOUT_FULL") == "1"


@pytest.fixture
def home(notebook: Notebook) -> Household:
    return Household(create_app(notebook), notebook)


@pytest.fixture
def anna(home: Household) -> str:
    return home.person("Anna", "editor")


def begun(caller: Caller, name: str = "Anna's phone") -> tuple[str, str]:
    said = caller.post("pair/start", device=caller.device, name=name)
    assert said.status == 200, said.body
    return said.json["device_code"], said.json["user_code"]


# -- the device shows a code


def test_a_phone_shows_a_code_and_an_owner_lets_it_in(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    phone = home.caller()
    assert phone.get("ping").status == 401
    device_code, user_code = begun(phone)
    assert re.fullmatch(f"[{LETTERS}]{{4}}-[{LETTERS}]{{4}}", user_code)
    assert phone.code("pair/poll", device_code=device_code) == "authorization_pending"
    assert phone.code("pair/poll", device_code=device_code) == "slow_down"
    clock.pass_by(seconds=5)
    seen = home.owner.post("pair/look", user_code=user_code.lower().replace("-", " ")).json
    assert (seen["name"], seen["address"]) == ("Anna's phone", "192.168.1.77")
    assert home.owner.post("pair/grant", user_code=user_code, person=anna).status == 200
    said = phone.post("pair/poll", device_code=device_code)
    assert said.json["me"]["role"] == "editor"
    assert phone.get("ping").json["service"] == "scout"
    assert phone.get("door").json["me"]["device"] == phone.device


def test_the_cookie_is_out_of_every_scripts_and_every_other_sites_reach(
    home: Household, anna: str
) -> None:
    # RFC 6265bis, 4.1.3.2: what a name that begins with __Host- demands.
    cookie = home.paired(anna).given["__Host-scout"]
    assert cookie["httponly"]
    assert cookie["secure"]
    assert cookie["samesite"] == "Strict"
    assert cookie["path"] == "/"
    assert not cookie["domain"]
    assert len(cookie.value) >= 43, "256 bits in base 64"


def test_secrets_are_nowhere_in_the_database(home: Household, anna: str) -> None:
    phone = home.paired(anna)
    waiting = home.caller("192.168.1.78")
    device_code, user_code = begun(waiting)
    printed = pairing.print_one(home.notebook, anna)
    home.notebook.close()
    held = (home.notebook.folder / "notebook.db").read_bytes()
    for secret in (phone.cookie, device_code, user_code, printed.secret, printed.code):
        assert secret is not None
        assert secret.encode() not in held
        assert secret.replace("-", "").encode() not in held


def test_an_answer_lost_on_its_way_is_given_again_until_it_was_used(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    phone = home.caller()
    device_code, user_code = begun(phone)
    home.owner.post("pair/grant", user_code=user_code, person=anna)
    assert phone.code("pair/poll", device_code=device_code) == "ok"
    first = phone.cookie
    clock.pass_by(seconds=1)
    assert phone.code("pair/poll", device_code=device_code) == "ok"
    lost = home.caller()
    lost.cookie = first
    assert lost.get("ping").status == 401, "the lost one opens nothing"
    assert phone.get("ping").status == 200
    assert phone.code("pair/poll", device_code=device_code) == "expired_token"


def test_a_code_granted_before_opens_nothing_once_the_device_is_let_in_anew(
    home: Household, anna: str
) -> None:
    """Whoever held the older secret would be given a token, and the device lose its own."""
    phone = home.caller()
    device_code, user_code = begun(phone)
    assert home.owner.code("pair/grant", user_code=user_code, person=anna) == "ok"
    assert phone.code("pair/poll", device_code=device_code) == "ok"
    assert phone.get("ping").status == 200
    anew = home.paired(anna, device=phone.device)
    assert phone.code("pair/poll", device_code=device_code) == "expired_token"
    assert phone.get("ping").status == 401
    assert anew.get("ping").status == 200


def test_a_refused_a_late_and_an_unknown_phone_are_told_apart(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    refused, late = home.caller(), home.caller("192.168.1.78")
    code, user_code = begun(refused)
    assert home.owner.code("pair/deny", user_code=user_code) == "ok"
    assert refused.code("pair/poll", device_code=code) == "access_denied"
    code, user_code = begun(late)
    clock.pass_by(minutes=10, seconds=1)
    assert late.code("pair/poll", device_code=code) == "expired_token"
    assert home.owner.code("pair/grant", user_code=user_code, person=anna) == "no_code"
    assert late.code("pair/poll", device_code="x" * 43) == "expired_token"


def test_a_new_start_ends_the_older_one_of_the_device(home: Household, anna: str) -> None:
    phone = home.caller()
    old, old_code = begun(phone)
    _, new_code = begun(phone)
    assert phone.code("pair/poll", device_code=old) == "access_denied"
    assert home.owner.code("pair/grant", user_code=old_code, person=anna) == "no_code"
    assert home.owner.code("pair/grant", user_code=new_code, person=anna) == "ok"


def test_one_address_cannot_keep_others_out(home: Household, anna: str) -> None:
    for _ in range(5):
        begun(home.caller("192.168.1.66"))
    _, user_code = begun(home.caller("192.168.1.20"))
    assert home.owner.code("pair/grant", user_code=user_code, person=anna) == "ok"


def test_at_most_five_wait_and_six_an_hour_ask(home: Household, clock: TurnedClock) -> None:
    for end in range(5):
        begun(home.caller(f"192.168.1.{10 + end}"))
    late = home.caller("192.168.1.99")
    assert late.code("pair/start", device=late.device, name="x") == "too_many_waiting"
    clock.pass_by(minutes=11)
    eager = home.caller("192.168.1.200")
    for _ in range(6):
        begun(eager)
    said = eager.post("pair/start", device=eager.device, name="x")
    assert (said.status, said.json["error"]["code"]) == (429, "too_many_tries")
    clock.pass_by(seconds=int(said.headers["retry-after"]))
    begun(eager)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("  My \u202e phone\n\t", "My phone"),
        ("x" * 90, "x" * 60),
        ("<b>Anna</b>", "<b>Anna</b>"),
    ],
)
def test_the_name_a_phone_gives_itself_is_made_fit_to_be_shown(
    home: Household, name: str, shown: str
) -> None:
    _, user_code = begun(home.caller(), name)
    assert home.owner.post("pair/look", user_code=user_code).json["name"] == shown


@pytest.mark.parametrize("name", ["", "  ", "\u200b\u200b", 7, None, "x" * 300])
def test_a_phone_without_a_name_is_refused(home: Household, name: object) -> None:
    caller = home.caller()
    assert caller.code("pair/start", device=caller.device, name=name) == "shape"


@pytest.mark.parametrize("device", ["", "x", "0" * 36, 4, None])
def test_a_phone_without_an_id_is_refused(home: Household, device: object) -> None:
    assert home.caller().code("pair/start", device=device, name="x") == "shape"


# -- the machine prints a code


def test_a_printed_secret_and_its_typed_code_let_one_device_in_once(
    home: Household, anna: str
) -> None:
    for typed in ("secret", "code"):
        printed = pairing.print_one(home.notebook, anna)
        phone, other = home.caller(), home.caller()
        held = printed.secret if typed == "secret" else printed.code.lower()
        assert phone.code("pair/claim", typed=held, device=phone.device, name="x") == "ok"
        assert phone.get("ping").status == 200
        assert other.code("pair/claim", typed=held, device=other.device, name="x") == "no_code"


def test_a_printed_code_ends_after_ten_minutes_and_when_another_is_printed(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    phone = home.caller()
    first = pairing.print_one(home.notebook, anna)
    second = pairing.print_one(home.notebook, anna)
    claim = {"device": phone.device, "name": "x"}
    assert phone.code("pair/claim", typed=first.secret, **claim) == "no_code"
    clock.pass_by(minutes=10, seconds=1)
    assert phone.code("pair/claim", typed=second.secret, **claim) == "no_code"


def test_nobody_takes_over_another_persons_device(home: Household, anna: str) -> None:
    annas = home.paired(anna)
    thief = home.person("Ben", "viewer")
    printed = pairing.print_one(home.notebook, thief)
    other = home.caller()
    claim = {"typed": printed.secret, "device": annas.device, "name": "x"}
    assert other.code("pair/claim", **claim) == "device_taken"
    assert annas.get("ping").status == 200
    own = home.notebook.facts.device_id
    assert other.code("pair/claim", **(claim | {"device": own})) == "device_taken"


def test_a_phone_that_pairs_again_stays_the_same_device(home: Household, anna: str) -> None:
    phone = home.paired(anna)
    again = home.paired(anna, device=phone.device, name="new name")
    assert phone.get("ping").status == 401
    assert again.get("ping").status == 200
    listed = home.owner.get("devices").json["devices"]
    assert [one["name"] for one in listed] == ["new name"]


# -- wrong codes


def wrong_codes(count: int, letters: int) -> list[str]:
    rng = random.Random(5)
    return ["".join(rng.choices(LETTERS, k=letters)) for _ in range(count)]


@pytest.mark.parametrize(("way", "letters"), [("printed", 13), ("shown", 8)])
def test_wrong_codes_never_get_in(
    home: Household, anna: str, clock: TurnedClock, way: str, letters: int
) -> None:
    """10,000 tries from many addresses over weeks, and a code always waits to be guessed."""
    tries = 10_000 if FULL else 600
    let_in, compared = 0, 0
    owner = home.owner
    for number, guess in enumerate(wrong_codes(tries, letters)):
        address = f"192.168.{number % 7}.{number % 250 + 1}"
        if number % 5 == 0:
            clock.pass_by(minutes=11 if number % 400 == 0 else 0, seconds=7)
            if way == "printed":
                pairing.print_one(home.notebook, anna)
            elif number % 50 == 0:
                clock.pass_by(minutes=11)
                begun(home.caller(f"10.0.{number // 250 % 250}.{number % 250 + 1}"))
        if way == "printed":
            caller = home.caller(address)
            said = caller.code("pair/claim", typed=guess, device=caller.device, name="x")
        else:
            owner.address = "127.0.0.1"
            said = owner.code("pair/look", user_code=guess)
        let_in += said == "ok"
        compared += said == "no_code"
        assert said in ("no_code", "too_many_tries"), said
    assert let_in == 0
    assert 0 < compared < tries, "some were compared, and the rest not even looked at"
    with home.notebook.store.reading() as db:
        kept = db.conn.execute("SELECT count(*) FROM attempt").fetchone()[0]
    assert kept <= 200, "what is counted is forgotten in time"


def test_five_wrong_tries_burn_a_code(home: Household, anna: str, clock: TurnedClock) -> None:
    printed = pairing.print_one(home.notebook, anna)
    for guess in wrong_codes(5, 13):
        stranger = home.caller("192.168.1.66")
        stranger.code("pair/claim", typed=guess, device=stranger.device, name="x")
        clock.pass_by(seconds=10)
    phone = home.caller()
    assert phone.code("pair/claim", typed=printed.code, device=phone.device, name="x") == "no_code"


def guess_from_everywhere(home: Household) -> None:
    for number, guess in enumerate(wrong_codes(100, 13)):
        stranger = home.caller(f"192.168.{number % 50}.9")
        stranger.code("pair/claim", typed=guess, device=stranger.device, name="x")


def test_after_a_hundred_wrong_codes_from_anywhere_nobody_may_try_for_a_while(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    guess_from_everywhere(home)
    printed = pairing.print_one(home.notebook, anna)
    phone = home.caller("192.168.1.201")
    claim = {"typed": printed.code, "device": phone.device, "name": "x"}
    assert phone.code("pair/claim", **claim) == "too_many_tries"
    _, user_code = begun(home.caller())
    assert home.owner.code("pair/grant", user_code=user_code, person=anna) == "ok", "owners may"
    clock.pass_by(minutes=16)
    assert phone.code("pair/claim", **claim) == "too_many_tries", "the hour is not over yet"
    clock.pass_by(minutes=60)
    printed = pairing.print_one(home.notebook, anna)
    assert phone.code("pair/claim", **(claim | {"typed": printed.code})) == "ok"


def test_limits_survive_a_restart(tmp_path: Path, clock: TurnedClock) -> None:
    def claim(notebook: Notebook, guess: str) -> str:
        home = Household(create_app(notebook), notebook)
        stranger = home.caller("192.168.1.66")
        return stranger.code("pair/claim", typed=guess, device=stranger.device, name="x")

    said = []
    for guess in wrong_codes(12, 13):
        with open_notebook(tmp_path / "n", clock, create=True) as notebook:
            said.append(claim(notebook, guess))
    assert said == ["no_code"] * 10 + ["too_many_tries"] * 2


def test_a_clock_that_is_put_back_locks_nobody_out(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    guess_from_everywhere(home)
    clock.pass_by(days=-400)
    printed = pairing.print_one(home.notebook, anna)
    phone = home.caller("192.168.0.9")
    assert phone.code("pair/claim", typed=printed.code, device=phone.device, name="x") == "ok"


def test_a_thousand_pairings_in_a_row_stay_within_limits(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    count = 1000 if FULL else 120
    for number in range(count):
        clock.pass_by(minutes=2)
        phone = home.caller(f"192.168.{number // 200}.{number % 200 + 1}")
        device_code, user_code = begun(phone, f"phone {number}")
        assert home.owner.code("pair/grant", user_code=user_code, person=anna) == "ok"
        assert phone.code("pair/poll", device_code=device_code) == "ok"
        assert phone.get("ping").status == 200
    with home.notebook.store.reading() as db:
        for table, most in (
            ("pairing", 40),
            ("attempt", 40),
            ("token", count),
            ("device", count + 1),
        ):
            held = db.conn.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
            assert held <= most, table


# -- what the owners see


def test_the_owners_see_all_that_happened_at_the_door(
    home: Household, anna: str, clock: TurnedClock
) -> None:
    phone = home.paired(anna, name="Anna's phone")
    stranger = home.caller("192.168.1.66")
    stranger.code("pair/claim", typed="BCDFGHJK", device=stranger.device, name="x")
    home.owner.post(f"devices/{phone.device}/revoke", wipe=True)
    events = home.owner.get("audit").json["events"]
    assert [one["event"] for one in events] == [
        "device_revoked",
        "wrong_code",
        "paired",
        "pairing_printed",
        "person_added",
    ]
    assert events[0]["device"] == "Anna's phone"
    assert "192.168.1.66" in events[1]["detail"]
    assert events[2]["person"] == "Anna"
    assert phone.cookie is not None
    assert phone.cookie not in str(events)
