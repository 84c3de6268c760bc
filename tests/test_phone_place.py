"""Where the page is served: one address, a certificate that can be used, or an error that says."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from calllog.commands.kit import PageOptions
from calllog.errors import ConfigError
from calllog.phone.place import Place


@pytest.mark.parametrize("host", ["", "0.0.0.0", "::"])  # noqa: S104 - refused
def test_page_is_never_served_everywhere(host: str) -> None:
    """All addresses of a computer are more networks than the crew's own."""
    with pytest.raises(ConfigError, match="at one address, not at all of them"):
        Place(host).listen()


def test_address_that_is_in_use_or_not_ours_is_an_error() -> None:
    """The error says what to give instead."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(ConfigError, match=r"cannot be served there.*--page-port"):
            Place(port=taken.getsockname()[1]).listen()
    with pytest.raises(ConfigError, match=r"cannot be served there.*--page-host"):
        Place("203.0.113.7").listen()


def test_broken_certificate_is_an_error(tmp_path: Path) -> None:
    """It is found before the crew starts, not by the first phone."""
    broken = tmp_path / "page.pem"
    broken.write_text("no certificate")
    with pytest.raises(ConfigError, match="no certificate and key can be read"):
        Place(certificate=broken, key=broken).listen()


def test_page_is_served_only_where_it_is_asked_for() -> None:
    """Without a word none, by itself on this computer alone, a certificate with its key."""
    assert PageOptions().place() is None
    assert PageOptions(is_wanted=True).place() == Place("127.0.0.1", 8421)
    assert PageOptions(host="10.42.0.1", port=1234).place() == Place("10.42.0.1", 1234)
    secure = PageOptions(certificate=Path("c"), key=Path("k")).place()
    assert secure is not None
    assert secure.origin == "https://127.0.0.1:8421"
    assert Place("::1", 80).origin == "http://[::1]:80"
    assert not Place().is_open_to_others
    assert Place("10.42.0.1").is_open_to_others
    with pytest.raises(ConfigError, match="a certificate goes with its key"):
        PageOptions(is_wanted=True, certificate=Path("c")).place()
