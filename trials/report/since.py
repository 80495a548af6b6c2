"""What was changed of a trial since it was planned, a sentence each."""

from collections.abc import Iterator

from schemas import Verdict
from trials.changes.decide import DECIDED
from trials.verdicts.spoken import void_words
from trials.wording.steps import step


def what_was_changed(reached: Verdict) -> Iterator[str]:
    """What was amended, struck and corrected of a trial, a sentence each."""
    for amendment in reached.amendments:
        was = f"{amendment.what} was {amendment.was}, now {amendment.now}"
        yield f"Amended on {amendment.when}: {was}; {amendment.why}."
    for struck in reached.voids:
        yield f"Void: {void_words(struck)}."
    # The rest only added a strike or a picture, or tells of a decision.
    corrected = [one for one in reached.corrections if one.old is not None and one.field != DECIDED]
    if corrected:
        history = step(f"samedirt logbook {reached.trial} --history", "History")
        yield f"Values corrected after they were stored: {len(corrected)}; {history} lists them."
