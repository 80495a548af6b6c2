"""The JSON Schema of `trial.toml`, made from the words and from how each is typed."""

from typing import Any

from schemas import Amendment, Lot, Photo, Trial, Typed, Word
from schemas.trial import SECTIONS
from trials.records.keys import TOP_KEYS, file_keys
from trials.units.quantity import Kind

NEEDED = ("name", "measure", "pairs", "lot", "gear")


def trial_file_schema() -> dict[str, Any]:
    """Describe what a trial file may hold: JSON Schema (draft 2020-12) of the file as parsed from TOML.

    >>> trial_file_schema()["properties"]["gear"]["properties"]["width"]["type"]
    'string'
    """
    whole = Trial.model_json_schema()["properties"]
    top = {key: whole[key] for key in TOP_KEYS}
    top["worth_having"] = {
        "type": "string",
        "description": 'the smallest gain worth having: "1 point" for recovery and tracers, else "20 %"',
        "pattern": r"^\s*\d+(\.\d+)?\s*(%|points?)\s*$",
    }
    sections = {name: _section(model) for name, model in SECTIONS.items()}
    lot = _section(Lot)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A samedirt trial file",
        "type": "object",
        "additionalProperties": False,
        "required": list(NEEDED),
        "properties": {
            **top,
            **sections,
            "lot": {"anyOf": [lot, {"type": "array", "items": lot, "minItems": 1}]},
            "amended": {"type": "array", "items": _section(Amendment)},
            "photo": {"type": "array", "items": _section(Photo)},
        },
    }


def _section(model: type[Word]) -> dict[str, Any]:
    own = model.model_json_schema()["properties"]
    properties = {}
    for key, (field, typed) in file_keys(model).items():
        properties[key] = own[field] if typed is None else _quantity(own[field], typed)
    if "changed" in properties:
        text = {"type": "string", "minLength": 1}
        properties["changed"] = {
            "description": own["changed"]["description"],
            "anyOf": [text, {"type": "array", "items": text, "minItems": 1}],
        }
    required = [key for key, (field, _) in file_keys(model).items() if model.model_fields[field].is_required()]
    return {"type": "object", "additionalProperties": False, "properties": properties, "required": required}


def _quantity(field: dict[str, Any], typed: Typed) -> dict[str, Any]:
    kind = Kind(typed.kind)
    units = [unit.name for unit in kind.units if unit.name]
    bounds: dict[str, Any] = next((part for part in field.get("anyOf", [field]) if part.get("type") == "number"), {})
    low, high = bounds.get("minimum", bounds.get("exclusiveMinimum")), bounds.get("maximum")
    limits = f", {low:g} to {high:g} {kind.stored.name}".rstrip() if low is not None and high is not None else ""
    unit_words = f" with its unit ({', '.join(units)})" if units else ""
    described = {"description": f"{field.get('description', '')}: a number{unit_words}{limits}"}
    if kind in (Kind.COUNT, Kind.SPEED):
        return {"type": ["number", "string"], **described}
    return {"type": "string", **described}
