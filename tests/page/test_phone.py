"""The page for a phone: served to the network only when asked, behind a code, and shut after five wrong ones."""

import os
import re
import signal
import socket
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
import segno

from tests.commands.typed_in import half_done, read
from tests.page.visitor import OWN, PORT, Visitor, hidden_of, words_of
from trials.errors import Refused
from trials.logbook.logbook import Logbook
from trials.page.app import PAGES, STATIC, page_app
from trials.page.desk import Desk
from trials.page.door import ASKED_BY_ALL, DIGITS, MOST_WRONG, Door, new_code
from trials.page.network import local, own_address, qr_lines

HOST = "192.168.1.20"
AT = f"http://{HOST}:{PORT}"
DECIDE = "/trial/rough-bed/decide"
FORM = "application/x-www-form-urlencoded"
KEEP = {"word": "keep", "note": "less sand"}


@pytest.fixture
def said() -> list[str]:
    """What is said at the machine."""
    return []


@pytest.fixture
def phone(tmp_path: Path, said: list[str]) -> Visitor:
    """Someone in the network, at the page of a logbook with one trial, half done; the code is 12345678."""
    half_done(tmp_path, 3)
    book = tmp_path / "logbook.duckdb"
    door = Door(HOST, said.append, "12345678")
    return Visitor(book, page_app(Desk(Logbook(book), is_shared=True), PORT, door), own=AT)


def with_code(phone: Visitor, code: str, path: str = "/") -> httpx.Response:
    """Give a code where it is asked for."""
    return phone.post(path, {"code": code})


def test_without_the_code_there_is_a_form_and_nothing_else(phone: Visitor, tmp_path: Path) -> None:
    """Whatever is asked for, and whatever is sent: the same form, which tells nothing; at the machine itself no code."""
    here = Visitor(phone.book, phone.app, own=OWN)
    assert "rough-bed" in words_of(here.get("/"))
    before, form = read(tmp_path), phone.get("/")
    assert 'name="code"' in form.text and "rough-bed" not in form.text and "duckdb" not in form.text
    for path in (*(path for path, *_ in PAGES), *STATIC, "/trial/rough-bed", "/trial/nobody", "/..%2f..%2fetc/passwd"):
        served = phone.get(path.format(name="rough-bed", tag="HRT", form="trial.json", paper="key", digest="ab"))
        assert (served.text == form.text) is (path not in ASKED_BY_ALL), path
    own = hidden_of(here.get(DECIDE)) | KEEP
    for post in (
        phone.post(DECIDE, own),
        phone.post(DECIDE, own, headers={"cookie": "; ".join(f"{name}={text}" for name, text in here.cookies.items())}),
        phone.post(DECIDE, own | {"note": "x" * 10_000, "code": ""}),
        phone.post("/", {"code": "12345678"}, headers={"origin": "http://evil.example"}),
        phone.post("/", {"code": "12345678"}, headers={"origin": OWN}),
        phone.post("/", {"code": "12345678"}, headers={"host": f"127.0.0.1:{PORT}"}),
        phone.post("/", {"code": "12345678"}, headers={"host": f"evil.example:{PORT}", "origin": AT}),
        phone.get("/", headers={"cookie": b"samedirt-8467-in=\xfc; samedirt-8467=12345678"}),
    ):
        assert "rough-bed" not in post.text and not post.headers.get("set-cookie")
    for headers in (
        {"host": f"127.0.0.1:{PORT}"},
        {"host": f"localhost:{PORT}"},
    ):  # says it is at the machine, and is not
        assert phone.get("/", headers=headers).text == form.text
    assert phone.get("/", headers={"host": "evil.example"}).status_code == 421
    assert read(tmp_path) == before


def test_the_code_lets_in_to_what_was_asked_for(phone: Visitor, said: list[str], tmp_path: Path) -> None:
    """However its digits are grouped; the browser keeps a key that no script reads, and the machine is told."""
    jars = "/trial/rough-bed/panner?view=jars"
    entered = with_code(phone, " 1234-5678", jars)
    assert entered.headers["location"] == jars and said == ["A browser at 127.0.0.1 gave the code and is in."]
    cookie = entered.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie and "12345678" not in cookie
    shown = phone.follow(entered)
    assert "not on this machine" not in shown.text and "to its own network" in shown.text
    phone.follow(phone.fill(DECIDE, KEEP))
    assert read(tmp_path).corrections[0].why == "less sand"
    assert "cross-origin-opener-policy" not in shown.headers  # a browser heeds it nowhere but at home, and complains
    other = Visitor(phone.book, phone.app, own=AT)
    assert with_code(other, "12345678", f"{AT}//evil.example/").headers["location"] == "/evil.example/"


def test_five_wrong_codes_shut_the_door(phone: Visitor, said: list[str]) -> None:
    """In all, from whoever; then the right one opens no more, who is in stays in, and it is told at both ends."""
    inside = Visitor(phone.book, phone.app, own=AT)
    with_code(inside, "12345678")
    guesses = ("1", "123456789", "\u0661\u0662\u0663\u0664\u0665\u0666\u0667\u0668", "<script>", "87654321")
    assert len(guesses) == MOST_WRONG
    for left, guess in zip(range(MOST_WRONG - 1, -1, -1), guesses, strict=True):
        told = with_code(Visitor(phone.book, phone.app, own=AT), guess)
        assert told.status_code == 403 and "<script" not in told.text
        assert ("started anew" if left == 0 else f"{left} more wrong") in words_of(told)
    for late in (with_code(phone, "12345678"), phone.get("/"), phone.post(DECIDE, KEEP)):
        assert 'name="code"' not in late.text and "started anew" in words_of(late)
    assert "rough-bed" in words_of(inside.get("/")) and "rough-bed" in words_of(Visitor(phone.book, phone.app).get("/"))
    assert len(said) == 2 and "guessed wrong 5 times, last from 127.0.0.1" in said[1] and "Ctrl-C" in said[1]


def test_a_code_is_drawn_for_each_sitting() -> None:
    """Of eight digits, anew at each start, as is the key that stands for it."""
    doors = [Door(HOST) for _ in range(20)]
    assert len({door.code for door in doors}) == len({door.key for door in doors}) == 20
    assert all(re.fullmatch(f"[0-9]{{{DIGITS}}}", code) for code in (new_code() for _ in range(50)))


@pytest.mark.parametrize(
    ("address", "is_local"),
    [
        ("192.168.1.20", True),
        ("10.0.0.7", True),
        ("172.20.1.1", True),
        ("169.254.3.4", True),  # two machines alone, RFC 3927
        ("8.8.4.4", False),
        ("100.64.1.2", False),  # shared by a carrier's customers, RFC 6598
    ],
)
def test_only_a_local_network_is_listened_to(address: str, is_local: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Private addresses, RFC 1918; one that others reach is refused, and a machine in no network is told what to do."""
    monkeypatch.setattr("trials.page.network._by_the_way_out", lambda: "")
    monkeypatch.setattr("trials.page.network._by_name", lambda: ["127.0.1.1", address])
    if is_local:
        assert own_address() == local(address) == address
        return
    with pytest.raises(Refused, match="can be reached from outside its own network; join the network"):
        own_address()
    monkeypatch.setattr("trials.page.network._by_name", lambda: ["127.0.1.1"])
    with pytest.raises(Refused, match="--phone: this machine is in no network; join"):
        own_address()


@pytest.mark.parametrize("named", ["127.0.0.1", "0" + ".0" * 3, "192.0.2.250", "localhost", "", "x" * 300])
def test_an_address_that_is_named_is_one_of_its_own(named: str, samedirt: Callable[..., Any]) -> None:
    """Any other is refused before anything listens, and what to do is told."""
    said = samedirt("page", "--phone", "--no-open", "--at", named)
    assert said.code == 2 and "is no address of this machine" in said.err and "or leave it out" in said.err
    assert "--at: is for a phone in the network; add --phone" in samedirt("page", "--at", named).err


def squares(lines: list[str]) -> list[list[int]]:
    """A QR of half blocks as dark and light squares."""
    upper, lower = "\u2584 ", "\u2580 "  # what is dark above, and below
    return [[int(char in dark) for char in line] for line in lines for dark in (upper, lower)]


@pytest.mark.skipif(sys.platform == "win32", reason="a pseudo-terminal is a thing of Unix")
def test_the_command_prints_how_to_come_in_and_ends_with_its_last_line(tmp_path: Path) -> None:
    """Address, QR, code, who can reach it; without --phone nothing listens there; an end asked for is told as Ctrl-C."""
    from tests.commands.terminal import Terminal

    try:
        address = own_address()
    except Refused as refused:
        pytest.skip(str(refused))
    with Terminal("page", "--no-open", cwd=tmp_path) as alone:
        port = re.search(r":(\d+)/", alone.expect("on this machine alone"))
        assert port is not None
        with pytest.raises(httpx.ConnectError):
            httpx.get(f"http://{address}:{port[1]}/", trust_env=False)
        here = f"127.0.0.1:{port[1]}"
        with socket.create_connection(("127.0.0.1", int(port[1]))) as slow:  # a form that is still on its way
            lines = ("POST /load HTTP/1.1", f"Host: {here}", f"Origin: http://{here}", f"Content-Type: {FORM}")
            slow.sendall("\r\n".join((*lines, "Content-Length: 900", "", "why=")).encode())
            httpx.get(f"http://{here}/icon.svg", trust_env=False)
            alone.press("\x03")
            assert alone.finish() == 0
        ended = alone.seen.partition("Ctrl-C ends it.")[2].replace("^C", "")
        assert ended.strip("\n") == "Closed. All that was confirmed is in logbook.duckdb."
    with Terminal("page", "--phone", "--at", address, "--no-open", cwd=tmp_path) as shared:
        said = shared.expect("this ends.") + shared.expect("Ctrl-C ends it.")
        (url,) = re.findall(rf"http://{address}:\d+/", said)
        (code,) = re.findall(r"The code of this sitting: (\d{4} \d{4})", said)
        drawn = [line for line in re.sub(r"\x1b\[[\d;]*m", "", said).splitlines() if "\u2588\u2588" in line]
        (clear, *_) = squares(drawn)
        assert not any(clear) and drawn == qr_lines(url)[: len(drawn)]
        matrix = [list(map(int, row)) for row in segno.make(url, error="l", micro=False).matrix]
        assert [row[2:-2] for row in squares(drawn)[2 : 2 + len(matrix)]] == matrix
        for words in ("in the same network", "Nothing is encrypted", "never for an open one", "After 5 wrong codes"):
            assert words in " ".join(said.split())
        with httpx.Client(base_url=url, trust_env=False, headers={"origin": url.rstrip("/")}) as browser:
            assert "Code" in browser.get("/").text and "New plan" not in browser.get("/").text
            assert browser.post("/", data={"code": code}).status_code == 303
            assert "New plan" in browser.get("/").text
        shared.expect("gave the code and is in.")
        os.kill(shared.program.pid or 0, signal.SIGTERM)
        assert shared.finish() == 0 and shared.seen.endswith("Closed. All that was confirmed is in logbook.duckdb.\n")
