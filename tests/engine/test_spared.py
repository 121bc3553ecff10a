"""No answer brings more visits to what is to be left alone: asked of a site and its perches."""

from __future__ import annotations

from typing import Any

from scout.engine.calls import call

from .cards import ident, perch, permission, site

SPRING = [{"from_day": "03-15", "to_day": "07-31", "why": "Nesting"}]


def _asked(on: str, **parts: Any) -> dict[str, Any]:
    perches = [
        perch("Stump"),
        perch("Willow", closed=SPRING),
        perch("Hollow", kind="nest or den"),
        perch("Bank", sensitivity="low"),
    ]
    request = {"site": site(), "perches": perches, "permissions": [], "date": on, **parts}
    return call("spared", request)


def test_each_perch_is_spared_for_a_reason_that_is_said() -> None:
    found = _asked("2026-05-12")
    assert found["site"] is None
    assert found["perches"] == {
        ident("Willow"): "Willow is closed from 03-15 to 07-31: Nesting.",
        ident("Hollow"): "Hollow is a nest or den: no place is suggested near it. In many "
        "countries the law forbids it or asks for a licence.",
        ident("Bank"): "Bank is sensitive: it is never suggested for more visits.",
    }
    assert ident("Willow") not in _asked("2026-08-01")["perches"]


def test_a_whole_site_is_spared_when_closed_sensitive_or_no_longer_permitted() -> None:
    lapsed = [permission(ends_on="2026-05-01")]
    assert "lapsed on 2026-05-01" in _asked("2026-05-12", permissions=lapsed)["site"]
    assert _asked("2026-05-01", permissions=lapsed)["site"] is None
    assert "sensitive" in _asked("2026-05-12", site=site(sensitivity="medium"))["site"]
    assert _asked("2026-05-12", site=site(closed=SPRING))["site"].startswith("The site is closed")
