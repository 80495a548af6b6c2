"""A mapping of texts that stays as it was made, so that what holds one has a hash."""

from collections.abc import Mapping
from typing import Annotated, Any, NoReturn, Self

from pydantic import AfterValidator


class FrozenTexts(dict[str, str]):
    """Texts by name; equal to the same dict, written out as one, and never changed.

    >>> typed = FrozenTexts({"gold_mg": "0.031 g"})
    >>> typed == {"gold_mg": "0.031 g"}, hash(typed) == hash(FrozenTexts(typed))
    (True, True)
    >>> typed["gold_mg"] = "31 mg"
    Traceback (most recent call last):
    TypeError: these texts can't be changed; make new ones: {**texts, name: text}
    """

    def _refuse(self, *_: Any, **__: Any) -> NoReturn:  # noqa: ANN401 - whatever a dict would take
        raise TypeError("these texts can't be changed; make new ones: {**texts, name: text}")

    __setitem__ = __delitem__ = __ior__ = clear = pop = popitem = setdefault = update = _refuse

    def __hash__(self) -> int:  # type: ignore[override] # a dict has none since it can be changed
        return hash(frozenset(self.items()))

    def __copy__(self) -> Self:
        return self

    def __deepcopy__(self, _: object) -> Self:
        return self

    def __reduce__(self) -> tuple[type[Self], tuple[dict[str, str]]]:
        return type(self), (dict(self),)


Texts = Annotated[Mapping[str, str], AfterValidator(FrozenTexts)]


def frozen(value: Any) -> Any:  # noqa: ANN401 - the value of any field
    """A value that can't be changed: texts for a dict, a tuple for a list, anything else as it is."""
    if isinstance(value, dict):
        return FrozenTexts(value)
    return tuple(value) if isinstance(value, list) else value
