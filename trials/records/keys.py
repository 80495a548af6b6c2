"""The keys of a plan as a person types them, and the files they stand in."""

from schemas import Trial, Typed, Word
from schemas.trial import SECTIONS

TRIAL_FILE = "trial.toml"
RUNS_FILE = "runs.csv"
CHANGES_FILE = "changes.csv"
TOP_KEYS = tuple(name for name in Trial.model_fields if name not in {"typed", "lots", "amended", "photos", *SECTIONS})


def file_keys(model: type[Word]) -> dict[str, tuple[str, Typed | None]]:
    """The keys a section of the file may have, each with its field and how it is typed.

    >>> from schemas import Gear
    >>> file_keys(Gear)["width"][0]
    'width_mm'
    """
    keys: dict[str, tuple[str, Typed | None]] = {}
    for name, field in model.model_fields.items():
        typed = next((part for part in field.metadata if isinstance(part, Typed)), None)
        keys[typed.key if typed else name] = (name, typed)
    return keys
