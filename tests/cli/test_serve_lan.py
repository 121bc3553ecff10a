"""`scout serve --lan` at the terminal: what it says, and what it refuses."""

from __future__ import annotations

import shlex
import signal
import ssl
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from tests.server.house import free_ports

from .conftest import Run

# The command as it is, on a machine whose house ends at itself: a test opens no door to others.
_ALONE = """
import sys, attrs
from scout.server import lan
from scout.cli import main
found = lan.place_at
def alone(home, **asked):
    place = found(home, **asked, addresses=lambda: ["127.0.0.1"])
    return attrs.evolve(place, bound_to="127.0.0.1")
lan.place_at = alone
main(sys.argv[1:])
"""


def test_it_says_where_the_phone_begins_and_what_to_compare(place: Path) -> None:
    port, help_port, own = free_ports(3)
    folder = place / "mine" / "door"
    folder.mkdir(parents=True)
    (folder / "place.json").write_text(
        f'{{"name": "heath", "address": "192.168.7.7", "port": {port}, "help_port": {help_port}}}'
    )
    script = Path(sys.executable).with_name("scout")
    (place / "mine" / "door").rename(place / "door")
    subprocess.run([script, "load", "sample_site", "--notebook", "mine"], check=True, cwd=place)
    (place / "door").rename(folder)
    process = subprocess.Popen(
        [sys.executable, "-c", _ALONE, *shlex.split(f"serve mine --lan --no-browser --port {own}")],
        stdout=subprocess.PIPE,
        encoding="utf-8",
        cwd=place,
    )
    assert process.stdout is not None
    try:
        said = ""
        while "Open the notebook by its name" not in said:
            line = process.stdout.readline()
            assert line, said
            said += line
        assert f"http://127.0.0.1:{help_port}" in said
        assert f"https://heath.local:{port}" in said
        assert "changed from 192.168.7.7 to 127.0.0.1" in said
        assert "█" in said
        trust = ssl.create_default_context(cafile=folder / "scout-root.pem")
        with urllib.request.urlopen(f"https://127.0.0.1:{port}/padlock", context=trust) as answer:
            assert answer.status == 204
    finally:
        process.send_signal(signal.SIGINT)
        rest, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert "Stopped" in rest


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("serve mine --lan --address 8.8.8.8", "no address of a house"),
        ("serve mine --lan --address 127.0.0.1", "no phone reaches it"),
        ("serve mine --name heath", "add it"),
        ("serve mine --lan --name 'a b'", "no name of a machine"),
        ("serve mine --lan --proxy 127.0.0.1 --host a.example", "--proxy"),
        ("serve mine --proxy 127.0.0.1", "--host"),
        ("serve mine --proxy here --host a.example", "--proxy"),
    ],
)
def test_what_does_not_fit_together_is_refused(run: Run, asked: str, words: str) -> None:
    result = run(*shlex.split(asked))
    assert result.exit_code == 2
    assert words in " ".join(result.output.split())
    assert "Traceback" not in result.output
