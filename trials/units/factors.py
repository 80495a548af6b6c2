"""Conversion between units, by the table of definitions that pint carries.

pint takes a quarter of a second to import, so it is fetched on the first conversion.
"""

from decimal import Decimal, localcontext
from functools import cache
from typing import Any

from trials.units.typed_number import EXACT


def converted(number: Decimal, unit: str, wanted: str) -> Decimal:
    """How much is a finite number of one unit in another of the same dimension, both by their pint names?

    Exact wherever the definition and the result are finite decimals. The customary units are exact by definition (NIST
    SP 811 appendix B; NIST Handbook 44 appendix C). Degrees of temperature are shifted as well as scaled.

    >>> f"{converted(Decimal(1), 'troy_ounce', 'gram'):f}"
    '31.10347680'
    """
    with localcontext(EXACT):
        return Decimal(_registry().Quantity(number, unit).to(wanted).magnitude)


@cache
def _registry() -> Any:  # noqa: ANN401 - pint's registry builds its classes as it goes
    from pint import UnitRegistry

    with localcontext(EXACT):
        return UnitRegistry(non_int_type=Decimal)
