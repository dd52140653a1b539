"""What was written in the job file: each number a line, so that it can be asked for as well."""

import re
from collections.abc import Iterator
from typing import Any, get_args

from pydantic import WithJsonSchema
from pydantic.fields import FieldInfo

from balance.job.model import MachinePage
from balance.job.quantities import Page
from balance.sheet.results import Results
from balance.sheet.working_line import Line, plain
from balance.units import KINDS, unit_names

__all__ = ["explain_given"]

_DESCRIBED = re.compile(rf"({'|'.join(KINDS)}) with its unit")
_NAMED_BY = ("name", "mark", "plane", "part")
_PASSED_BY = ("format", "undo", "positions", "throw", "drilled")  # counts, no measurements
_UNITS = {"amount_error": " %", "density": " g/cm3"}


def explain_given(results: Results) -> Iterator[Line]:
    """Yield every number of the job file as it was read, with the table that it stands in."""
    yield from _page(results.job, "", "", results.job.machine)


def _page(page: Page, table: str, who: str, machine: MachinePage | None) -> Iterator[Line]:
    """Yield the numbers of one table of the file, then those of the tables inside it."""
    for key, field in type(page).model_fields.items():
        value, where = getattr(page, key), f"{table}.{key}".lstrip(".")
        if key in _PASSED_BY:
            continue
        if isinstance(value, Page):
            yield from _page(value, where, who, machine)
        elif isinstance(value, tuple) and value and isinstance(value[0], Page):
            for number, each in enumerate(value, 1):
                yield from _page(each, where, _who(who, key, each, number), machine)
        elif result := _result(key, field, value, machine):
            yield _line(page, table, key, who, result)


def _line(page: Page, table: str, key: str, who: str, result: str) -> Line:
    words, said = key.replace("_", " "), type(page).model_fields[key].description
    about = f"{who or table.capitalize()}: {words}"
    written = key in page.model_fields_set
    return Line(
        "given",
        about + f" ({said})" * bool(said),
        key,
        f"as written under [{table}]" if written else f"not written under [{table}]: the usual one",
        "",
        result,
        "the job file" if written else "the usual value of the job file",
        (words, *filter(None, (who,))),
    )


def _who(above: str, key: str, page: Page, number: int) -> str:
    """Return what a table is about in words: ``piston P1``, ``spin 2, reading left``."""
    name = next((getattr(page, field) for field in _NAMED_BY if getattr(page, field, "")), "")
    here = name if key == "bolted" else f"{key.removesuffix('s')} {name or number}"
    return f"{above}, {here}" if above else here


def _result(key: str, field: FieldInfo, value: Any, machine: MachinePage | None) -> str:
    """Return a number with its unit, several with commas; nothing for what is no number."""
    if key == "sizes":
        texts = (text for name, mm in value for text in (name, f"{plain(mm)} mm"))
        return ", ".join(dict.fromkeys(texts))
    if key == "amount" and isinstance(value, str):
        return value
    numbers = value if isinstance(value, tuple) else (value,)
    if not numbers or any(isinstance(n, bool) or not isinstance(n, int | float) for n in numbers):
        return ""
    if key == "grade":
        return f"G {plain(value)}"
    unit = f" {machine.unit}" if key == "amount" and machine else _unit(key, field)
    return ", ".join(f"{plain(number)}{unit}" for number in numbers)


def _unit(key: str, field: FieldInfo) -> str:
    """Return the inside unit of a field, known by how the file's schema describes it."""
    for said in _descriptions((*field.metadata, field.annotation)):
        if kind := _DESCRIBED.match(said):
            return f" {unit_names(kind[1])[0]}"
    return _UNITS.get(key, "")


def _descriptions(types: Any) -> Iterator[str]:
    """Yield what the schema says of a type and of those inside it."""
    for each in types:
        if isinstance(each, WithJsonSchema) and each.json_schema:
            yield str(each.json_schema.get("description", ""))
        metadata = getattr(each, "__metadata__", ())
        yield from _descriptions((*get_args(each), *metadata))
