"""The journal over HTTP: what is answered, what is refused, and in which words; I4, I7, I9, I13."""

from __future__ import annotations

import gzip
import json
import random
from pathlib import Path
from typing import Any

import pytest

from scout.notebook.notebook import FILE, Notebook, open_notebook
from scout.notebook.saving import Edit
from scout.records.kinds import SCHEMA
from tests.notebook.phone import Phone

from .linked import API, Client, OverHttp, client_of, listening

PERCH = "01900000-0000-7000-8000-0000000000aa"


def push(link: Client, text: str) -> Any:
    return link.ask("POST", f"{API}push", text.encode())


def refused(said: Any, status: int, code: str) -> str:
    assert said.status == status, said.body
    assert said.headers["content-type"] == "application/json"
    error = said.json["error"]
    assert error["code"] == code
    message: str = error["message"]
    assert message[0].isupper() or message[0] in '"' or message.split(":")[0].islower()
    assert message.endswith((".", ":."))
    assert "Traceback" not in message
    return message


def test_ping_proves_whose_server_it_is(link: Client, notebook: Notebook) -> None:
    assert link.ask("GET", f"{API}ping").json == {
        "service": "scout",
        "epoch": notebook.facts.epoch,
        "time": "2026-05-12T03:45:00.000Z",
        "schema": SCHEMA,
        "durable_seq": 0,
    }


def test_i4_pushing_again_answers_duplicate_with_the_same_seq(link: Client, phone: Phone) -> None:
    batch = [phone.edit("perch", PERCH, {"height_m": n}) for n in range(3)]
    body = json.dumps({"changes": batch})
    first, second = push(link, body).json, push(link, body).json
    assert [one["status"] for one in first["answers"]] == ["ok"] * 3
    assert [one["status"] for one in second["answers"]] == ["duplicate"] * 3
    assert [one["seq"] for one in second["answers"]] == [1, 2, 3]
    assert first["furthest"] == second["furthest"]


BROKEN = {
    '{"id": "x", "height": NaN}': "NaN is not a number in JSON",
    "[-Infinity]": "-Infinity is not a number in JSON",
    '{"wall": 9007199254740993}': "9007199254740993 is too large for JSON's numbers",
    '{"wall": 1e999}': "1e999 is too large",
    '{"note": "\\ud83d"}': "half of a character",
    '{"id": "a", "id": "b"}': 'the name "id" stands twice',
    "[" * 200 + "]" * 200: "nested deeper than 30",
    '{"a": }': "a value is wanted here",
    "": "is empty",
    '"text"': "is not a change",
    "null": "Null is not a change",
    "{}": "is missing",
}


def test_i7_every_way_of_being_broken_is_answered_by_position_and_delays_no_other(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    good = [phone.edit("perch", phone.new_id(), {"height_m": n}) for n in range(len(BROKEN) + 1)]
    texts = [json.dumps(good[0])]
    for text, change in zip(BROKEN, good[1:], strict=True):
        texts += [text, json.dumps(change)]
    said = push(link, '{"furthest": null, "changes": [' + ", ".join(texts) + "]}")
    assert said.status == 200, said.body
    answers = said.json["answers"]
    assert [one["status"] for one in answers[::2]] == ["ok"] * len(good)
    for answer, words in zip(answers[1::2], BROKEN.values(), strict=True):
        assert answer["status"] == "quarantined"
        assert words in answer["message"]
    kept = notebook.quarantine()
    assert len(kept) == len(BROKEN)
    for text, row in zip(BROKEN, kept, strict=True):
        assert text in json.loads(row["body_json"]) if row["code"] == "json" else True


@pytest.mark.parametrize("text", BROKEN)
def test_broken_alone_it_is_answered_alike_again_and_kept_once(
    link: Client, notebook: Notebook, text: str
) -> None:
    body = f'{{"changes": [{text}, {text}]}}'
    first, second = push(link, body), push(link, body)
    assert first.status == second.status == 200
    assert first.body == second.body
    assert len(notebook.quarantine()) == 1
    listed = link.ask("GET", f"{API}quarantine").json
    assert listed["more"] is False
    assert [row["message"] for row in listed["quarantine"]] == [first.json["answers"][0]["message"]]


def test_1_bad_among_500_and_499_are_accepted_in_the_same_answer(
    link: Client, phone: Phone
) -> None:
    batch = [phone.edit("perch", phone.new_id(), {"height_m": 1}) for _ in range(500)]
    batch[250]["set"] = {"height_m": -3}
    statuses = [one["status"] for one in push(link, json.dumps({"changes": batch})).json["answers"]]
    assert statuses.pop(250) == "quarantined"
    assert statuses == ["ok"] * 499


WHOLE = {
    " ": "is empty",
    "[": "is not JSON",
    "[]": "a batch is an object",
    '{"changes": {}}': "a batch is an object",
    '{"changes": [}': "is not JSON",
    '{"changes": [1, 2': "is not JSON",
    '{"changes": [], "changes": []}': "stands twice",
    '{"changes": [NaN], "furthest": NaN}': "NaN",
    '{"change": ["changes"]}': "a batch is an object",
    '{"x": {"changes": [NaN]}}': "NaN",
}


@pytest.mark.parametrize("text", WHOLE)
def test_what_is_no_batch_is_refused_whole(link: Client, notebook: Notebook, text: str) -> None:
    said = link.ask("POST", f"{API}push", text.encode())
    assert said.status == 400
    assert WHOLE[text].lower() in said.json["error"]["message"].lower()
    assert notebook.quarantine() == []


def test_not_utf8_and_too_many_and_too_large(link: Client, phone: Phone) -> None:
    said = link.ask("POST", f"{API}push", b'{"changes": ["\xff"]}')
    assert "UTF-8" in refused(said, 400, "refused")
    many = json.dumps({"changes": [1] * 501}).encode()
    assert "at most 500" in refused(link.ask("POST", f"{API}push", many), 413, "too_many")
    large = b'{"changes": ["' + b"x" * 1_060_000 + b'"]}'
    refused(link.ask("POST", f"{API}push", large), 413, "too_large")
    full = phone.edit("note", phone.new_id(), {"text": "x"})
    full["set"]["text"] = "x" * (1_048_576 - len(json.dumps(full)))
    said = push(link, json.dumps({"changes": [full]}))
    assert said.status == 200, "the largest change fits, and is judged"


def test_from_a_newer_schema_is_told_to_wait_and_not_quarantined(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    change = phone.edit("perch", PERCH, {"height_m": 1}) | {"schema": SCHEMA + 1}
    said = push(link, json.dumps({"changes": [change]})).json
    assert said["answers"] == [{"status": "retry", "code": "server_older"}]
    assert notebook.quarantine() == []


@pytest.mark.parametrize("schema", range(1, SCHEMA + 1))
def test_i13_the_recorded_batch_of_every_schema_is_taken(
    link: Client, notebook: Notebook, schema: int
) -> None:
    recorded = Path(__file__).parents[1] / "reference" / "batches" / f"schema_{schema}.json"
    changes = json.loads(recorded.read_text("utf-8"))["changes"]
    assert {change["schema"] for change in changes} == {schema}
    answers = push(link, json.dumps({"changes": changes})).json["answers"]
    assert [one["status"] for one in answers] == ["ok"] * len(changes)
    assert [row["change"] for row in link.ask("GET", f"{API}pull").json["changes"]] == changes
    assert notebook.contents().incomplete == ()


def test_pull_goes_on_from_a_cursor_and_is_packed_when_large(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    batch = [phone.edit("perch", phone.new_id(), {"name": f"P{n}"}) for n in range(40)]
    notebook.push(batch)
    cursor, got = "", []
    for _ in range(4):
        asked = f"{API}pull?limit=10" + (f"&cursor={cursor}" if cursor else "")
        said = link.ask("GET", asked, Accept_Encoding="gzip")
        assert said.headers["content-encoding"] == "gzip"
        page = json.loads(gzip.decompress(said.body))
        cursor = page["cursor"]
        got += [row["change"] for row in page["changes"]]
        assert page["more"] is (len(got) < 40)
    assert got == batch
    plain = link.ask("GET", f"{API}pull?limit=10&furthest={cursor}")
    assert "content-encoding" not in plain.headers
    assert len(plain.json["changes"]) == 10
    for bad in ("limit=0", "limit=x", "limit=5001", "limit=9" + "9" * 400):
        refused(link.ask("GET", f"{API}pull?{bad}"), 400, "shape")


@pytest.mark.parametrize("where", ["cursor", "furthest"])
def test_i9_a_place_of_another_journal_is_told_so(
    link: Client, notebook: Notebook, where: str
) -> None:
    notebook.save([Edit(kind="perch", set={"name": "A"})])
    epoch, seq, chain = notebook.furthest().split(":")
    for place in (f"x:{seq}:{chain}", f"{epoch}:2:{chain}", f"{epoch}:1:{'0' * 16}", "", "::", "é"):
        said = link.ask("GET", f"{API}pull?{where}={place}")
        if where == "cursor" or place:
            refused(said, 409, "cursor_invalid")


def test_i9_a_push_to_a_journal_copied_back_by_hand_is_told_so(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    notebook.push([phone.edit("perch", PERCH, {"height_m": 1})])
    body = {"changes": [phone.edit("perch", PERCH, {"height_m": 2})], "furthest": "x:9:y"}
    refused(push(link, json.dumps(body)), 409, "cursor_invalid")
    assert len(notebook.pull().rows) == 1, "nothing was kept"


def test_offer_tells_what_is_missing(link: Client, notebook: Notebook, phone: Phone) -> None:
    here, there = (phone.edit("perch", PERCH, {"height_m": n}) for n in (1, 2))
    notebook.push([here])
    body = {"changes": [here["id"], there["id"]], "blobs": ["ab" * 32]}
    assert link.ask("POST", f"{API}offer", json.dumps(body).encode()).json == {
        "missing": [there["id"]],
        "present": {here["id"]: 1},
        "furthest": notebook.furthest(),
        "blobs": {"ab" * 32: "missing"},
    }
    for bad, status in (({"changes": "x"}, 400), ({"changes": [1]}, 400), ({"blobs": [None]}, 400)):
        refused(link.ask("POST", f"{API}offer", json.dumps(bad).encode()), status, "shape")
    many = json.dumps({"changes": ["x"] * 5001}).encode()
    refused(link.ask("POST", f"{API}offer", many), 413, "too_many")


def test_history_conflicts_and_quarantine_are_looked_up(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    one = phone.edit("perch", PERCH, {"name": "A"})
    other = phone.edit("perch", PERCH, {"name": "B"}) | {"base": {"name": []}}
    bad = phone.edit("perch", PERCH, {"height_m": -1})
    notebook.push([one, other, bad])
    history = link.ask("GET", f"{API}history/{PERCH}").json["changes"]
    assert [row["change"] for row in history] == [one, other]
    assert [row["seq"] for row in history] == [1, 2]
    (conflict,) = link.ask("GET", f"{API}conflicts").json["conflicts"]
    assert {head["value"] for head in conflict["heads"]} == {"A", "B"}
    listed = link.ask("GET", f"{API}quarantine?limit=1").json["quarantine"]
    assert [row["change"] for row in listed] == [bad]
    after = listed[0]["number"]
    assert link.ask("GET", f"{API}quarantine?after={after}").json["quarantine"] == []
    refused(link.ask("GET", f"{API}history/no-id"), 404, "no_record")


# -- who may ask


def test_a_page_of_another_site_is_kept_out(link: Client, notebook: Notebook, phone: Phone) -> None:
    body = json.dumps({"changes": [phone.edit("perch", PERCH, {"name": "A"})]}).encode()

    def said(**headers: str) -> Any:
        return link.ask("POST", f"{API}push", body, **headers)

    for site in ("cross-site", "same-site", "none"):
        refused(said(Sec_Fetch_Site=site), 403, "another_site")
    refused(said(X_Scout=""), 403, "header_missing")
    refused(said(Content_Type="text/plain"), 415, "wrong_type")
    refused(said(Content_Type="application/x-www-form-urlencoded"), 415, "wrong_type")
    for host in ("evil.example", "evil.example:80", "127.0.0.1.evil.example", ""):
        assert said(Host=host or " ").status in (400, 421)
    refused(link.ask("GET", f"{API}pull", Sec_Fetch_Site="cross-site"), 403, "another_site")
    assert notebook.pull().rows == ()
    for host in ("localhost", "localhost:8391", "127.0.0.1:8391", "[::1]:8391", "LOCALHOST"):
        assert link.ask("GET", f"{API}ping", Host=host).status == 200
    assert said(Sec_Fetch_Site="same-origin", Content_Type="application/json; charset=utf-8").status
    assert len(notebook.pull().rows) == 1


def test_another_machine_is_not_answered(notebook: Notebook) -> None:
    link = client_of(notebook)
    link.client.environ_base["REMOTE_ADDR"] = "192.168.1.7"
    for path in ("api/v1/ping", "api/v1/pull", "plain", "paper"):
        assert link.ask("GET", f"/{path}").status == 401


def test_the_owner_is_made_known_once(notebook: Notebook) -> None:
    client_of(notebook)
    client_of(notebook)
    with notebook.store.reading() as db:
        assert db.conn.execute("SELECT name, role FROM person").fetchall() == [("owner", "owner")]


# -- every route


def test_every_route_has_the_headers_and_no_error_shows_a_trace(
    link: Client, sample: dict[str, str]
) -> None:
    app = link.client.application
    for rule in app.url_map.iter_rules():
        path = rule.rule
        for argument in rule.arguments:
            path = path.replace(f"<path:{argument}>", "x").replace(f"<{argument}>", PERCH)
        for method in ("GET", "POST", "PATCH", "PUT", "DELETE", "HEAD", "OPTIONS"):
            said = link.ask(method, path, b"{}" if method in ("POST", "PATCH") else None)
            assert said.status < 500, (method, path, said.body)
            assert said.headers["x-content-type-options"] == "nosniff"
            assert said.headers["referrer-policy"] == "no-referrer"
            assert "default-src 'none'" in said.headers["content-security-policy"]
            assert "access-control-allow-origin" not in said.headers
            assert b"Traceback" not in said.body


def test_a_fault_of_the_program_is_said_in_words_and_logged_without_content(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    link = client_of(notebook)
    monkeypatch.setattr(notebook, "conflicts", lambda: {}["the secret place"])
    said = link.ask("GET", f"{API}conflicts")
    assert "fault of the server" in refused(said, 500, "fault")
    assert "KeyError" in caplog.text
    assert "secret" not in caplog.text + said.body.decode()


# -- over a real port


def test_a_phone_syncs_over_a_real_port(notebook: Notebook, phone: Phone) -> None:
    for number in range(700):
        phone.edit("perch", phone.new_id(), {"height_m": number % 90})
    with listening(notebook) as line:
        phone.sync(OverHttp(line))
    assert phone.outbox == []
    assert len(phone.seqs) == 700
    assert notebook.check().faults == []


def test_too_large_a_body_is_refused_in_words_over_a_real_port(notebook: Notebook) -> None:
    with listening(notebook) as line:
        for size, path in ((2_000_000, "push"), (12_000_000, "engine/engine"), (9_000_000, "nix")):
            said = line.ask("POST", API + path, b"x" * size)
            refused(said, 413, "too_large")
            line.close()
        assert line.ask("GET", f"{API}ping").status == 200


def test_a_body_in_chunks_or_cut_short_is_refused_in_words(notebook: Notebook) -> None:
    with listening(notebook) as line:
        said = line.ask("GET", f"{API}ping")
        assert said.status == 200
        assert line._line is not None
        line._line.request(
            "POST",
            f"{API}push",
            body=iter([b'{"changes"', b": []}"]),
            headers={"X-Scout": "1", "Content-Type": "application/json"},
            encode_chunked=True,
        )
        answer = line._line.getresponse()
        assert answer.status == 411
        assert json.loads(answer.read())["error"]["code"] == "no_length"


def test_bit_flip_in_the_file_is_told_over_http(tmp_path: Path, notebook: Notebook) -> None:
    notebook.save([Edit(kind="perch", set={"name": f"P{number}"}) for number in range(300)])
    notebook.close()
    path = tmp_path / "notebook" / FILE
    held = bytearray(path.read_bytes())
    spot = held.index(b'{"name":"P150"}')
    held[spot + 9] ^= 1
    path.write_bytes(held)
    with open_notebook(tmp_path / "notebook", notebook.clock) as damaged:
        link = client_of(damaged)
        given = link.ask("GET", f"{API}pull")
        assert given.status == 200, "what is sound is still given"
        assert len(given.json["changes"]) == 300
        assert any("not what its hash says" in one for one in damaged.check().faults)


def test_what_a_phone_carries_for_another_is_marked_so_at_the_machine_itself(
    link: Client, notebook: Notebook, phone: Phone
) -> None:
    """The batch names who sends it; each change names who wrote it."""
    other = Phone(random.Random(8), 1_778_557_500_000)
    batches: list[tuple[list[Any], str | None]] = [
        ([phone.edit("note", phone.new_id(), {"text": "mine"})], phone.device),
        ([other.edit("note", other.new_id(), {"text": "carried"})], phone.device),
        ([other.edit("note", other.new_id(), {"text": "nobody says"})], None),
    ]
    for changes, device in batches:
        named = {} if device is None else {"device": device}
        said = push(link, json.dumps({"changes": changes} | named))
        assert [one["status"] for one in said.json["answers"]] == ["ok"]
    vias = [notebook.history(changes[0]["record"])[0]["received_via"] for changes, _ in batches]
    assert vias == ["push", "relay", "push"]
    for wrong in (7, [], "a phone"):
        said = push(link, json.dumps({"changes": batches[0][0], "device": wrong}))
        assert said.status == 400, wrong
        assert "id" in said.json["error"]["message"] or "device" in said.json["error"]["message"]
