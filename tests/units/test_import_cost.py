"""What reading a quantity costs at start-up."""

import subprocess
import sys

READS = """
import sys
from decimal import Decimal
from trials.units import columns, kinds, quantity, sieves
for kind in kinds.Kind:
    quantity.read_quantity(f"3.5 {kind.stored.name}", kind)
    columns.convert_exact(Decimal("3.5"), kind.stored.ending, kind)
    columns.column_names("base", kind), columns.column_questions("base", kind)
sieves.read_size_class("20/30", "ASTM"), sieves.read_size_class("0.3/0.6 mm")
for wrong in ("7.5", "7,5 g", "3 stone", "0.5 oz"):
    try:
        quantity.read_quantity(wrong, kinds.Kind.FEED_MASS)
    except quantity.UnitError:
        pass
print(*(name for name in ("pint", "numpy") if name in sys.modules))
"""


def test_stored_units_and_refusals_import_no_pint_and_no_numpy_and_a_conversion_fetches_pint_without_a_warning():
    """Reading stored units, and refusing, stays light: a quarter of a second is kept for real conversions.

    The first unit that is not the stored one brings pint in, with warnings as errors.
    """
    conversion = "print(quantity.read_quantity('7.5 kg', kinds.Kind.FEED_MASS), 'pint' in sys.modules)\n"
    called = [sys.executable, "-W", "error", "-c", READS + conversion]
    said = subprocess.run(called, capture_output=True, text=True, check=True).stdout
    assert said.splitlines() == ["", "7500.0 True"]
