"""The work: everything samedirt does with the words of `schemas`.

The names below are the front door. Each is fetched when it is first used, so that starting up pays for none.

>>> from trials import reach_verdict
>>> reach_verdict.__module__
'trials.verdicts.reach'
"""

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_FRONT_DOOR = {
    "Logbook": "trials.logbook.logbook",
    "Refused": "trials.errors",
    "TrialsError": "trials.errors",
    "order_strip": "trials.charts.order_strip",
    "price_chart": "trials.charts.price",
    "reach_verdict": "trials.verdicts.reach",
    "read_folder": "trials.files.folder",
    "save_chart": "trials.charts.files",
    "verdict_chart": "trials.charts.verdict_chart",
    "write_folder": "trials.files.write",
    "write_report": "trials.report.page",
}

__all__ = [  # noqa: PLE0604 - the names are those of the table above, kept in order by a test
    *sorted(_FRONT_DOOR),
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - a module attribute may be of any type
    if name not in _FRONT_DOOR:
        raise AttributeError(f"module 'trials' has no attribute {name!r}")
    return getattr(import_module(_FRONT_DOOR[name]), name)


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
