"""Every trial of a logbook as plain files, and what their worth is reckoned with: what a new logbook can be made of."""

from collections.abc import Sequence
from pathlib import Path

from schemas import Record
from trials.commands.options import refusing_unwritable
from trials.commands.printing import say, with_progress
from trials.commands.safekeeping.export_forms import Form, refused_form, write_form
from trials.errors import Problem, Refused, capped
from trials.files.worth_given import WORTH_FILE, worth_text
from trials.files.written_over import Written, write_and_keep
from trials.logbook.logbook import Logbook
from trials.wording.lists import count_of
from trials.wording.steps import load_step

EXPORTED = Path("exported")
MOST_TOLD = 20


def export_all(book: Logbook, to: Path | None, form: Form, *, replace: bool) -> None:
    """Write every trial into a folder of its own under one, as one is written; none of them where any is refused.

    Raises Refused: with the problems of all trials.
    """
    folder = to or EXPORTED
    with book.reading() as pages:
        records, base, own = pages.records(), pages.worth_base(), pages.own_costs()
    if not records:
        raise Refused(f"{book.path} holds no trial; {load_step()}")

    def refused(record: Record) -> Sequence[Problem]:
        return refused_form(record, folder / record.trial.name, form, replace=replace)

    if problems := [problem for record in records for problem in refused(record)]:
        raise Refused(capped(problems))
    written: list[Written] = []
    with refusing_unwritable(folder, "name another with --to"):
        for record in with_progress(records, "Writing trials"):
            written += write_form(record, folder / record.trial.name, form, replace=replace)
        if base is not None or own:
            text = worth_text({} if base is None else base.typed, own)
            written += write_and_keep({folder / WORTH_FILE: text})
    kept = [one for one in written if one.kept is not None]
    for one in kept[:MOST_TOLD]:
        say(one.words)
    if len(kept) > MOST_TOLD:
        say(f"{count_of(len(kept) - MOST_TOLD, 'more file')} took the place of another, which is kept beside.")
    stood = sum(one.stood for one in written)
    new = count_of(len(written) - stood, "file")
    as_before = f"; {count_of(stood, 'file')} said the same already" if stood else ""
    say(f"{count_of(len(records), 'trial')} in {folder}, a folder each: {new} written{as_before}.")
    if form is Form.FOLDER:
        say(f"A logbook is made anew from it by: samedirt logbook --restore {folder}")
