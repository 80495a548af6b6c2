"""Every file of the house, its libraries, and the units as pint builds them: once for all programs that tests start.

The rehearsals of a plan are as many there as in the tests themselves.
"""

import importlib
import pkgutil
import sys
from decimal import Decimal

import trials
from tests.sizes import scaled
from trials.logbook import attached
from trials.rehearsal import proposal
from trials.units.quantity import converted

for found in pkgutil.walk_packages(trials.__path__, "trials."):
    importlib.import_module(found.name)
for name in (
    "vl_convert",
    "tests.logbook.writers",
    "tests.page.served",
    *(() if sys.platform == "win32" else ("tests.commands.terminal",)),
):
    importlib.import_module(name)
converted(Decimal(1), "gram", "milligram")
proposal.QUICK_REHEARSALS = scaled(proposal.QUICK_REHEARSALS)
store = attached.cursor()
store.execute("SET GLOBAL async_threads = 0")  # no thread but this one, so that it can be forked
store.close()
