"""Every file of the house, and with them its libraries, read once for all programs that tests start."""

import importlib
import pkgutil
import sys

import trials

for found in pkgutil.walk_packages(trials.__path__, "trials."):
    importlib.import_module(found.name)
for name in (
    "tests.logbook.writers",
    "tests.page.served",
    *(() if sys.platform == "win32" else ("tests.commands.terminal",)),
):
    importlib.import_module(name)
