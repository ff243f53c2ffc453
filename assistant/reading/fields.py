"""Looks into our models: which fields a block of a file may have. Used by messages."""

from __future__ import annotations

from types import UnionType
from typing import Annotated, TypeGuard, Union, get_args, get_origin

from pydantic import BaseModel

from assistant.reading.document import Path


def fields_at(model: type[BaseModel], path: Path) -> tuple[str, ...]:
    """Name the fields of the block at `path` of a file, as they are written; empty when it has no fixed ones."""
    found = model_at(model, path)
    return tuple(written_names(found)) if found is not None else ()


def fields_below(model: type[BaseModel], path: Path, block: str) -> tuple[str, ...]:
    """Name the fields of a block inside the block at `path`, or of the entries of the list there."""
    parent = model_at(model, path)
    name = written_names(parent).get(block) if parent is not None else None
    inner = _strip(parent.model_fields[name].annotation) if parent is not None and name is not None else None
    if get_origin(inner) is list:
        inner = _strip(get_args(inner)[0])
    return tuple(written_names(inner)) if _is_model(inner) else ()


def model_at(model: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """Find the model of the block at `path`; None where the file holds something else."""
    here: object = model
    for step in path:
        here = _step_into(here, step)
    return here if _is_model(here) else None


def written_names(model: type[BaseModel]) -> dict[str, str]:
    """Map the names as written in files to the names in code ('if' cannot be one of those)."""
    return {info.alias or name: name for name, info in model.model_fields.items()}


def _step_into(here: object, step: str | int) -> object:
    if _is_model(here):
        name = written_names(here).get(str(step))
        return _strip(here.model_fields[name].annotation) if name is not None else None
    origin, arguments = get_origin(here), get_args(here)
    if origin is list and isinstance(step, int):
        return _strip(arguments[0])
    if origin is dict:
        return _strip(arguments[1])
    return None


def _strip(annotation: object) -> object:
    """Take away `Annotated` and `| None`."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in {Union, UnionType}:
        kept = [one for one in get_args(annotation) if one is not type(None)]
        return _strip(kept[0]) if len(kept) == 1 else None
    return annotation


def _is_model(found: object) -> TypeGuard[type[BaseModel]]:
    return isinstance(found, type) and issubclass(found, BaseModel)
