"""The page served by a program of its own, which a test may end as a power cut does."""

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self

import httpx

from schemas import Run
from tests.forks import start
from tests.page.visitor import fields_of
from trials.page.from_template import _templates
from trials.sheets.form import _schema

# Read once for all programs, as the libraries are.
for template in _templates().list_templates():
    _templates().get_template(template)
_schema(Run)


def be_served(book: str, said: str, port: int, patience_s: float) -> None:
    """Serve a logbook, and write the address down once it answers; beside it what is said of errors."""
    from trials.logbook.logbook import Logbook
    from trials.page import serve
    from trials.page.desk import Desk

    os.dup2(os.open(f"{said}.errors", os.O_WRONLY | os.O_CREAT | os.O_APPEND), 2)
    serve.MOST_SECONDS_OF_A_HEAD = patience_s

    def opened(addresses: Sequence[str]) -> None:
        Path(f"{said}.new").write_text(addresses[0], encoding="utf-8")
        Path(f"{said}.new").rename(said)

    serve.serve(Desk(Logbook(Path(book))), port, opened)


@dataclass
class Served:
    """A page in a program of its own, one after the other at one port, and a browser at it that keeps its cookies."""

    book: Path
    port: int = 0
    patience_s: float = 20.0
    cookies: httpx.Cookies = field(default_factory=httpx.Cookies)

    def __enter__(self) -> Self:
        said = self.book.with_name("address")
        said.unlink(missing_ok=True)
        self.program = start(be_served, str(self.book), str(said), self.port, self.patience_s)
        given_up = time.monotonic() + 60.0
        while not said.exists():
            assert self.program.is_alive() and time.monotonic() < given_up
            time.sleep(0.002)
        self.address = said.read_text(encoding="utf-8").rstrip("/")
        self.port = httpx.URL(self.address).port or 0
        self.browser = httpx.Client(
            base_url=self.address,
            headers={"origin": self.address},
            cookies=self.cookies,
            trust_env=False,
            timeout=60.0,
            verify=False,  # noqa: S501 - of a page that is not encrypted; reading certificates takes long
        )
        return self

    def __exit__(self, *_: object) -> None:
        self.cookies = self.browser.cookies
        self.browser.close()
        self.program.kill()
        self.program.join()
        self.program.close()

    @property
    def errors(self) -> str:
        """What a person would see of errors at the machine."""
        return self.book.with_name("address.errors").read_text(encoding="utf-8")

    def form(self, path: str) -> dict[str, str]:
        """All that a form would send as it is served."""
        return fields_of(self.browser.get(path))
