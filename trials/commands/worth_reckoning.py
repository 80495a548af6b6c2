"""Asking for what `worth` reckons with, and its chart in a file."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from schemas import Record
from trials.commands.options import refusing_unwritable
from trials.commands.terminal import talk_through
from trials.errors import Refused
from trials.keeping.pricing import Asking, Priced
from trials.talk.engine import begin
from trials.talk.worth_talk import worth_talk
from trials.worth.measured import Extras


def asking(now: datetime) -> Asking:
    """Ask in the terminal for what is missing; Stopped where the person left."""

    def asked(record: Record, answers: Mapping[str, str], extras: Extras) -> dict[str, str]:
        talk = worth_talk(record.trial.measure, today=now.date().isoformat(), has_minutes=extras.has_minutes)
        return dict(talk_through(begin(talk, answers)).answers)

    return asked


def write_worth_chart(found: Priced, path: Path, now: datetime) -> Path:
    """Draw the range of money into a file."""
    from trials.charts.files import save_chart
    from trials.charts.worth_chart import worth_chart

    said = found.under_the_chart(now)
    try:
        with refusing_unwritable(path, "name another with --chart"):
            wide, narrow = (
                worth_chart(found.worth, found.sentence, said, found.currency, narrow=narrow)
                for narrow in (False, True)
            )
            save_chart(wide, path, narrow=narrow)
    except ValueError as error:
        raise Refused(str(error)) from error
    return path
