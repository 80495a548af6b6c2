"""Every choice that is played."""

from tests.examination import choices_of_stopping, choices_of_telling
from tests.examination.choice import Choice

CHOICES: tuple[Choice, ...] = (*choices_of_stopping.CHOICES, *choices_of_telling.CHOICES)
