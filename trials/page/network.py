"""The local network: the address of this machine in it, and a picture of it that a phone reads."""

import io
import ipaddress
import socket

from trials.errors import Problem, Refused

ELSEWHERE = ("192.0.2.1", 9)  # an address kept for documents (RFC 5737): nothing is sent to it
PHONE, AT = "--phone", "--at"
NEXT_STEP = "join the network that the phone is in, or the phone's own, and start it again"


def own_address(named: str | None = None) -> str:
    """What is this machine called in its local network?

    named: which of its addresses it is, where it is in several networks.

    Raises Refused: it is in none, the address is not its own, or is reached from outside.
    """
    if named is not None:
        return _if_own(named)
    for found in (_by_the_way_out(), *_by_name()):
        if found and not found.startswith("127."):
            return local(found)
    raise Refused([Problem(PHONE, "this machine is in no network", NEXT_STEP)])


def _if_own(address: str) -> str:
    if not _is_own(address):
        what = f"{address} is no address of this machine that others in its network reach"
        raise Refused([Problem(AT, what, "write one that the settings of its network show, or leave it out")])
    return local(address)


def _is_own(address: str) -> bool:
    try:
        of_four = ipaddress.IPv4Address(address)  # a name would be asked for elsewhere
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as tried:
            tried.bind((address, 0))
    except (OSError, ValueError):
        return False
    return not (of_four.is_loopback or of_four.is_unspecified)


def local(address: str) -> str:
    """An address, if only machines of one network reach it. Raises Refused: others do too."""
    if not ipaddress.ip_address(address).is_private:
        what = f"{address}, this machine's address, can be reached from outside its own network"
        raise Refused([Problem(PHONE, what, NEXT_STEP)])
    return address


def _by_the_way_out() -> str:
    """The address that it would send from; blank where no way leads out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(ELSEWHERE)
        except OSError:
            return ""
        return str(asked.getsockname()[0])


def _by_name() -> list[str]:
    """The addresses of its own name, where a network leads nowhere else."""
    try:
        return socket.gethostbyname_ex(socket.gethostname())[2]
    except OSError:
        return []


def qr_lines(text: str) -> list[str]:
    """A text as a QR code of half blocks, to be shown light on dark.

    >>> lines = qr_lines("http://192.168.1.20:8467/")
    >>> len(lines) < 20, set("".join(lines)) == set("\u2588\u2580\u2584 ")
    (True, True)
    """
    import segno

    drawn = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(drawn, border=2, compact=True)
    return drawn.getvalue().splitlines()
