"""Where a server may listen, which names and pages are its own, and the commands about accounts."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from wetpath.errors import InputError
from wetpath.faces.cli.main import run
from wetpath.faces.web.door import Door, Place
from wetpath.faces.web.gate import HEADERS, TLS_ONLY
from wetpath.services.projects import add_user, open_store, tokens, users

PASSWORD = "four words in a row"
TEACHES = ("  do:  make an account first: wetpath account add NAME --role engineer; or listen at 127.0.0.1")


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "pumps.example.org", ""])
def test_without_accounts_nobody_else_is_let_near(host: str) -> None:
    with pytest.raises(InputError) as raised:
        Place(host).check(accounts=False)
    assert str(raised.value) == (f'--host = "{host}" can be reached from other machines, and there is no account that '
                                 f"keeps others out\n{TEACHES}")
    Place(host).check(accounts=True)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "::1", "127.8.0.1"])
def test_this_machine_needs_no_account(host: str) -> None:
    Place(host).check(accounts=False)
    with pytest.raises(InputError, match="--address"):
        Place(host, address="https://pumps.example.org").check(accounts=False)


@pytest.mark.parametrize("address", ["pumps.example.org", "ftp://x", "https://", "https://x/path", "https://u:p@x"])
def test_a_faulty_address_is_refused(address: str) -> None:
    with pytest.raises(InputError, match="is not where a server is found"):
        Place(address=address).check(accounts=True)


def test_a_certificate_needs_its_key(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is given without the other"):
        Place(certificate=tmp_path / "c.pem").check(accounts=True)
    with pytest.raises(InputError, match="is not a file"):
        Place(certificate=tmp_path / "c.pem", key=tmp_path / "k.pem").check(accounts=True)


@pytest.mark.parametrize(("place", "known", "unknown"), [
    (Place(), ["localhost:8765", "127.0.0.1", "[::1]:8765", "LOCALHOST"], ["rebound.example", "192.0.2.7", "", "a b"]),
    (Place("0.0.0.0"), ["192.0.2.7:8765", "127.0.0.1"], ["rebound.example:8765", "127.0.0.1.rebound.example"]),
    (Place(address="https://pumps.example.org"), ["pumps.example.org", "PUMPS.example.org:443", "127.0.0.1:8765"],
     ["example.org", "other.example.org"])])
def test_names_of_the_server(place: Place, known: list[str], unknown: list[str]) -> None:
    assert all(map(place.knows_host, known))
    assert not any(map(place.knows_host, unknown))


def test_pages_of_the_server() -> None:
    place = Place(address="https://pumps.example.org")
    assert place.is_own("https://pumps.example.org", "127.0.0.1:8765")
    assert place.is_own("https://pumps.example.org", "pumps.example.org")
    for origin in ("null", "", "https://other.example", "https://pumps.example.org.other.example", "//127.0.0.1"):
        assert not place.is_own(origin, "127.0.0.1:8765"), origin
    assert not Place().is_own("http://localhost:1", "localhost:8765")
    assert not Place().is_own("http://", "")


def test_cookies_of_tls_are_bound_to_the_host(tmp_path: Path) -> None:
    """RFC 6265bis, 4.1.3: a name that begins with __Host- is taken from TLS only, for this host (status: recalled)."""
    store = open_store(f"sqlite:///{tmp_path}/a.sqlite")
    add_user(store, "Ada", PASSWORD)
    assert Door(store, Place(address="https://x")).cookie == "__Host-wetpath"
    assert Door(store, Place()).cookie == "wetpath-login"
    store.close()


def test_what_the_policy_of_pages_leaves_open_is_known() -> None:
    rules = dict(rule.strip().split(" ", 1) for rule in HEADERS["Content-Security-Policy"].split(";"))
    assert {name for name, sources in rules.items() if "unsafe" in sources} == {"script-src", "style-src"}
    assert not any("http" in sources or "*" in sources for sources in rules.values())
    assert rules["frame-ancestors"] == rules["object-src"] == "'none'"
    assert int(TLS_ONLY["Strict-Transport-Security"].split("=")[1]) >= 365 * 86400


def command(database: str, *words: str) -> int:
    with pytest.raises(SystemExit) as left:
        run(["account", *words, "--database", database])
    return int(str(left.value.code))


def test_accounts_are_made_and_changed_from_the_command_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                             capsys: pytest.CaptureFixture[str]) -> None:
    database = f"sqlite:///{tmp_path}/a.sqlite"

    def typed(words: str) -> None:
        monkeypatch.setattr("sys.stdin", io.StringIO(words))

    typed(PASSWORD + "\n")
    assert command(database, "add", "Ada Ex", "--role", "reader") == 0
    typed("short\n")
    assert command(database, "add", "Bob") == 2
    assert capsys.readouterr().err == ("password has 5 characters; allowed: 15 to 1000\n"
                                       "  do:  choose several words\n")
    assert command(database, "role", "ada ex", "approver") == 0
    assert command(database, "list") == 0
    assert capsys.readouterr().out.splitlines()[-1] == "approver   open     Ada Ex"
    typed("other words in a row\n")
    assert command(database, "password", "Ada Ex") == 0
    assert command(database, "token", "Ada Ex", "--purpose", "nightly run", "--days", "7") == 0
    told = capsys.readouterr()
    assert told.out.splitlines()[-1].startswith("wp_")
    assert command(database, "tokens") == 0
    assert "Ada Ex, nightly run, valid until" in capsys.readouterr().out
    assert command(database, "close", "Ada Ex") == 0
    assert command(database, "close", "Nobody") == 2
    assert capsys.readouterr().err == 'name = "Nobody" has no account\n'
    store = open_store(database)
    assert [(one.name, one.role, one.open) for one in users(store)] == [("Ada Ex", "approver", False)]
    assert command(database, "reopen", "Ada Ex") == 0
    assert command(database, "drop-token", "1") == 0
    assert (users(store)[0].open, tokens(store)) == (True, ())
    store.close()
    capsys.readouterr()


def test_a_server_for_others_is_refused_without_accounts(tmp_path: Path, capsys: pytest.CaptureFixture[str],
                                                         monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WETPATH_DATA", str(tmp_path))
    with pytest.raises(SystemExit) as left:
        run(["serve", "--host", "0.0.0.0", "--no-show", "--database", f"sqlite:///{tmp_path}/a.sqlite"])
    assert left.value.code == 2
    assert TEACHES in capsys.readouterr().err
