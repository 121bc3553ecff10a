"""The notebook's name on the network, heard by another resolver (RFC 6762), on loopback."""

from __future__ import annotations

import sys

import pytest
import zeroconf

from scout.server.advertising import told
from scout.server.lan import Place


def place(bound_to: str = "0.0.0.0") -> Place:
    return Place(
        name="heath",
        address="192.168.7.7",
        others=(),
        bound_to=bound_to,
        port=8443,
        help_port=8444,
    )


def test_the_name_leads_to_the_address_while_it_is_served() -> None:
    with told(place()) as trouble:
        if trouble is not None:
            pytest.skip(f"no multicast on this machine: {trouble}")
        listener = zeroconf.Zeroconf(interfaces=["127.0.0.1"], ip_version=zeroconf.IPVersion.V4Only)
        try:
            asked = zeroconf.AddressResolverIPv4("heath.local.")
            if not asked.request(listener, 10_000):
                pytest.skip("multicast does not come back on this machine")
            assert asked.parsed_addresses() == ["192.168.7.7"]
        finally:
            listener.close()


def test_without_the_package_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "zeroconf", None)
    with told(place()) as trouble:
        assert trouble is not None
        assert "fixed address in the router" in trouble


def test_a_network_that_forbids_it_is_told_apart_from_a_crash(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(19, "No such device")

    monkeypatch.setattr(zeroconf, "Zeroconf", refuse)
    with told(place()) as trouble:
        assert trouble is not None
        assert "No such device" in trouble


def test_a_notebook_that_only_this_machine_reaches_is_not_told() -> None:
    with told(place(bound_to="127.0.0.1")) as trouble:
        assert trouble is None
