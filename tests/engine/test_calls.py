"""The front door answers in JSON, with its version, and refuses in sentences."""

from __future__ import annotations

import json
from typing import Any

import pytest

from scout.engine import calls
from scout.records.trouble import Refused, Trouble


def sentences(name: str, request: str) -> list[str]:
    """Return the sentences with which a request is refused."""
    answer = json.loads(calls.call_text(name, request))
    assert set(answer) == {"engine", "error"}
    found: list[str] = answer["error"]["sentences"]
    return found


def test_engine_names_its_calls() -> None:
    assert calls.call("engine", {}) == {
        "engine": calls.ENGINE_VERSION,
        "calls": sorted(calls.CALLS),
    }


@pytest.mark.parametrize(
    ("name", "request_text", "words"),
    [
        ("engin", "{}", "no call 'engin'"),
        ("engine", "[]", "this one is a list"),
        ("engine", "{", "not JSON"),
        ("engine", '{"altitude_deg": NaN}', "NaN"),
        ("engine", '{"altitude_deg": -Infinity}', "-Infinity"),
        ("engine", "[" * 200_000, "nested too deeply"),
        ("engine", "9" * 5000, "digits"),
    ],
)
def test_bad_request_is_refused_in_words(name: str, request_text: str, words: str) -> None:
    assert words in " ".join(sentences(name, request_text))


def test_every_trouble_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def picky(request: dict[str, Any]) -> dict[str, Any]:
        raise Refused([Trouble(("lat",), "is 91."), Trouble(("lon",), "is 181.")])

    monkeypatch.setitem(calls.CALLS, "picky", picky)
    assert len(sentences("picky", "{}")) == 2


def test_fault_of_the_engine_is_no_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    """A division by zero is ours to mend: it must not be told to a person as their mistake."""
    monkeypatch.setitem(calls.CALLS, "faulty", lambda request: {"share": 1 / 0})
    with pytest.raises(ZeroDivisionError):
        calls.call("faulty", {})


def test_answer_is_ascii_on_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(calls.CALLS, "echo", lambda request: {"said": request["say"]})
    text = calls.call_text("echo", '{"say": "12 m \\u00b1 1 m\\n\\ud800"}')
    assert text.isascii()
    assert "\n" not in text
    assert json.loads(text)["said"] == "12 m ± 1 m\n\ud800"
