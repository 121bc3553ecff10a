"""Photos between phone and server: whole, once, and none delays another."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from scout.notebook import backups
from scout.notebook.notebook import Notebook

from .conftest import Opener
from .phones import put_photo
from .small_server import Answered, Asked, SmallServer, lost, refused


def test_i11_photos_arrive_whole_and_no_piece_is_sent_twice(
    phone: Opener, server: SmallServer, notebook: Notebook, tmp_path: Path
) -> None:
    one = phone()
    sha256, content = put_photo(one, 300_000, 1)
    large, large_content = put_photo(one, 2_500_000, 2)
    photos = one.run("return notebook.all('photo')")
    assert {rec["state"] for rec in photos} == {"phone"}
    state = one.run("return notebook.state()")
    assert (state["waiting_photos"], state["waiting_bytes"]) == (2, 2_800_000)
    pieces: list[int] = []

    def bad_link(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        if asked.method != "PATCH":
            return None
        pieces.append(len(asked.body))
        if len(pieces) == 2:
            return Answered(0, b"", lost=True)  # the piece is lost
        return lost(asked, work) if len(pieces) == 3 else None  # its answer is lost

    server.fault = bad_link
    for _ in range(3):
        state = one.sync()
    assert (state["waiting_photos"], state["sync"]["trouble"]) == (0, None)
    assert notebook.blobs.path_of(sha256).read_bytes() == content
    assert notebook.blobs.path_of(large).read_bytes() == large_content
    # The lost piece once more, and the one whose answer was lost, by the browser's own retry.
    assert sum(pieces) <= 2_800_000 + 2 * 1_048_576
    assert {rec["state"] for rec in one.run("return notebook.all('photo')")} == {"server"}
    assert one.run("return notebook.freeBlob(given)", large) is False
    elsewhere = iter(range(1, 100))
    backups.back_up(notebook, tmp_path / "other disk", disk=lambda path: next(elsewhere))
    one.sync()
    assert {rec["state"] for rec in one.run("return notebook.all('photo')")} == {"backed up"}
    assert one.run("return notebook.freeBlob(given)", large) is True
    assert one.run("return (await notebook.blob(given)) === undefined", large)
    assert one.run("return (await notebook.fetchBlob(given)).size", large) == 2_500_000
    assert one.run("return (await notebook.blob(given)).size", large) == 2_500_000


def test_a_torn_piece_is_not_taken(phone: Opener, server: SmallServer, notebook: Notebook) -> None:
    one = phone()
    sha256, content = put_photo(one, 100_000, 3)

    def torn(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        if asked.method == "PATCH":
            asked.body = asked.body[:500] + b"\0" + asked.body[501:]
            server.fault = None
        return None

    server.fault = torn
    one.sync()
    state = one.sync()
    assert state["waiting_photos"] == 0
    assert notebook.blobs.path_of(sha256).read_bytes() == content


def test_a_photo_that_the_server_will_not_have_delays_no_other(
    phone: Opener, server: SmallServer, notebook: Notebook
) -> None:
    one = phone()
    photos = [put_photo(one, 1000, seed) for seed in (5, 6)]
    bad = photos[0][0]

    def picky(asked: Asked, work: Callable[[], Answered]) -> Answered | None:
        refusing = asked.method == "PATCH" and asked.path.endswith(bad)
        return refused(422, "unreadable", "No.") if refusing else None

    server.fault = picky
    state = one.sync()
    assert (state["waiting_photos"], state["sync"]["trouble"]) == (0, None)
    assert notebook.blobs.path_of(photos[1][0]).read_bytes() == photos[1][1]
    states = {
        rec["values"]["blob"]: rec["state"] for rec in one.run("return notebook.all('photo')")
    }
    assert states == {bad: "phone", photos[1][0]: "server"}
