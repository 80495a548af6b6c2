"""Reads what a chart draws from its specification: marks with their rows, no pixels."""

from collections.abc import Iterator
from typing import Any

import altair as alt

Spec = dict[str, Any]


class Drawn:
    """A chart's specification with its rows put back into each layer. Files made of charts check it."""

    def __init__(self, chart: alt.VConcatChart) -> None:
        self.spec: Spec = chart.to_dict(validate=False)
        self.layers = list(self._leaves(self.spec))

    def _leaves(self, spec: Spec, data: Spec | None = None) -> Iterator[Spec]:
        """All marks; rows that a whole group shares are handed down to its parts."""
        data = spec.get("data", data)
        for group in ("vconcat", "hconcat", "layer"):
            for part in spec.get(group, ()):
                yield from self._leaves(part, data)
        if "mark" in spec:
            yield {**spec, "data": data or {}}

    def rows(self, layer: Spec) -> list[dict[str, Any]]:
        """The rows of one layer."""
        data = layer["data"]
        return self.spec["datasets"][data["name"]] if "name" in data else data.get("values", [])

    def marks(self, kind: str, **wanted: object) -> list[Spec]:
        """Layers of one kind of mark that have these properties."""
        return [
            layer
            for layer in self.layers
            if layer["mark"]["type"] == kind and all(layer["mark"].get(k) == v for k, v in wanted.items())
        ]

    def rows_with(self, *fields: str) -> list[dict[str, Any]]:
        """All rows, of whatever layer, that have all of these fields."""
        return [row for layer in self.layers for row in self.rows(layer) if all(field in row for field in fields)]

    @property
    def words(self) -> str:
        """Everything written anywhere in the chart, the title apart."""
        texts = [
            str(row[layer["encoding"]["text"]["field"]]) for layer in self.marks("text") for row in self.rows(layer)
        ]
        return "\n".join(texts)

    @property
    def title(self) -> str:
        """The title as one line."""
        return " ".join(self.spec["title"]["text"])

    @property
    def subtitle(self) -> str:
        """The quieter lines under it, as one."""
        return " ".join(self.spec["title"].get("subtitle", []))

    def axis_titles(self) -> set[str]:
        """Titles of all axes."""
        found = set()
        for layer in self.layers:
            for channel in ("x", "y"):
                title = layer["encoding"].get(channel, {}).get("title")
                if title:
                    found.add(" ".join(title) if isinstance(title, list) else title)
        return found

    def domain(self, field: str, channel: str = "x") -> list[float]:
        """The stretch drawn of the axis that carries a field."""
        return next(
            layer["encoding"][channel]["scale"]["domain"]
            for layer in self.layers
            if layer["encoding"].get(channel, {}).get("field") == field and layer["encoding"][channel].get("scale")
        )

    def widths(self) -> list[float]:
        """Widths of all panels."""
        return list(_found(self.spec, "width"))


def _found(spec: object, name: str) -> Iterator[float]:
    if isinstance(spec, dict):
        for key, value in spec.items():
            if key == name and isinstance(value, int | float):
                yield value
            elif key in ("vconcat", "hconcat", "layer"):
                yield from _found(value, name)
    elif isinstance(spec, list):
        for part in spec:
            yield from _found(part, name)
