"""The work: everything samedirt does with the words of `schemas`.

The names below are the front door. Each is fetched when it is first used, so that starting up pays for none.

>>> from trials import reach_verdict
>>> reach_verdict.__module__
'trials.verdicts.reach'
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # what editors and type checkers see; a test holds it against the table below
    from trials import changes
    from trials.charts.files import save_chart
    from trials.charts.order_strip import order_strip
    from trials.charts.price import price_chart
    from trials.charts.verdict_chart import verdict_chart
    from trials.errors import LogbookError, Refused, TrialsError
    from trials.fairness.so_far import findings_so_far
    from trials.files.folder import read_folder
    from trials.files.from_keys import plan_from_keys
    from trials.files.write import write_folder
    from trials.logbook.logbook import Logbook
    from trials.rehearsal.many import reach_verdicts
    from trials.rehearsal.rehearsal import rehearse
    from trials.report.page import write_report
    from trials.statistics.pairs_needed import pairs_needed
    from trials.verdicts.reach import reach_verdict

__version__ = "0.1.0"

__all__ = [
    "Logbook",
    "LogbookError",
    "Refused",
    "TrialsError",
    "changes",
    "findings_so_far",
    "order_strip",
    "pairs_needed",
    "plan_from_keys",
    "price_chart",
    "reach_verdict",
    "reach_verdicts",
    "read_folder",
    "rehearse",
    "save_chart",
    "verdict_chart",
    "write_folder",
    "write_report",
]

_ROOMS = {
    "Logbook": "logbook.logbook",
    "LogbookError": "errors",
    "Refused": "errors",
    "TrialsError": "errors",
    "findings_so_far": "fairness.so_far",
    "order_strip": "charts.order_strip",
    "pairs_needed": "statistics.pairs_needed",
    "plan_from_keys": "files.from_keys",
    "price_chart": "charts.price",
    "reach_verdict": "verdicts.reach",
    "reach_verdicts": "rehearsal.many",
    "read_folder": "files.folder",
    "rehearse": "rehearsal.rehearsal",
    "save_chart": "charts.files",
    "verdict_chart": "charts.verdict_chart",
    "write_folder": "files.write",
    "write_report": "report.page",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - a module attribute may be of any type
    if name == "changes":
        return import_module("trials.changes")
    if name not in _ROOMS:
        raise AttributeError(f"module 'trials' has no attribute {name!r}")
    if name == "reach_verdict":
        _show_in_notebooks()
    return getattr(import_module(f"trials.{_ROOMS[name]}"), name)


def _show_in_notebooks() -> None:
    """A verdict in a notebook is its sentence and its chart, drawn when it is shown and not before."""
    from schemas.verdict import SHOWN_BY, Verdict

    def as_html(verdict: Verdict) -> str:
        from trials.report.notebook import verdict_html

        return verdict_html(verdict)

    SHOWN_BY["text/html"] = as_html


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
