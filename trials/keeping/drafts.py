"""Where answers are kept that are not stored yet: beside the logbook, for the terminal and the page alike."""

from trials.files.draft import Draft
from trials.logbook.logbook import Logbook


def run_draft(book: Logbook, name: str, tag: str | None, *, correcting: bool) -> Draft:
    """The answers to one run of a trial."""
    again = "-again" if correcting else ""
    return Draft(book.path.parent / f"enter-{name}-{tag}{again}-draft.toml", f"samedirt enter {name}")


def plan_draft(book: Logbook) -> Draft:
    """The answers to a plan."""
    return Draft(book.path.parent / "plan-draft.toml", "samedirt plan")
