"""A plan and its runs as flat texts: what is compared, corrected and written."""

from collections.abc import Mapping
from datetime import date, datetime

from schemas import Run, Settings, Trial, Word
from schemas.trial import SECTIONS
from trials.records.columns import BY_CLASS
from trials.records.keys import file_keys

NOT_FLAT = frozenset({"typed", "amended", "photos", "lots", *SECTIONS})


def text_of(value: object) -> str | None:
    """Write a stored value at full precision; None where there is none, or no text.

    >>> text_of(31.2), text_of(True), text_of(""), text_of(("320 grit", "80 grit"))
    ('31.2', 'yes', None, '320 grit; 80 grit')
    """
    match value:
        case None | "":
            return None
        case bool():
            return "yes" if value else "no"
        case float():
            return repr(value).removesuffix(".0")
        case tuple():
            return "; ".join(str(part) for part in value)
        case date() | datetime():
            return value.isoformat()
        case _:
            return str(value)


def flat_trial(trial: Trial) -> dict[str, str | None]:
    """A plan as texts by place: "pairs", "limits.minutes", "lot.mass"."""
    flat = {name: text_of(getattr(trial, name)) for name in Trial.model_fields if name not in NOT_FLAT}
    for section, model in SECTIONS.items():
        flat |= _flat_section(section, getattr(trial, section), model)
    for number, lot in enumerate(trial.lots, start=1):
        flat |= _flat_section("lot" if len(trial.lots) == 1 else f"lot {number}", lot, type(lot))
    return flat


def _flat_section(section: str, word: Word | None, model: type[Word]) -> dict[str, str | None]:
    keys = file_keys(model)
    return {
        f"{section}.{key}": None if word is None else text_of(getattr(word, field)) for key, (field, _) in keys.items()
    }


LEADING = ("turn", "tag", "session", "minutes", "cleanup_minutes", "fed_g", "fed_lot")
TRAILING = ("void", "void_gold_known", "as_typed", "note")
_BETWEEN = [name for name in Run.model_fields if name not in {"pair", "arm", "classes", "typed", *LEADING, *TRAILING}]
# The order of columns in a written file: where a run stands, what it gave, how it was set, what went wrong.
RUN_FIELDS = (*LEADING, *(n for n in _BETWEEN if n not in Settings.model_fields), *Settings.model_fields, *TRAILING)


def flat_run(run: Run) -> Mapping[str, str | None]:
    """A run as texts by column, its pair and arm left out; classes as "gold_mg 50/100".

    >>> flat_run(Run(pair=1, arm="baseline", grains=31))["grains"]
    '31'
    """
    flat = {name: text_of(getattr(run, name)) for name in RUN_FIELDS}
    for part in run.classes:
        flat |= {f"{name} {part.label}": text_of(getattr(part, name)) for name in BY_CLASS}
    return flat
