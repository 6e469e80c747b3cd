"""``mounts schema``: the JSON Schema of a file format."""

from __future__ import annotations

import json
from typing import Annotated, Any

import typer

from mounts.cli.faults import one_of_these


def schema(
    file: Annotated[
        str, typer.Argument(metavar="layout|layout-report|report|profile", show_default=False, help="which file")
    ],
) -> None:
    """Print the JSON Schema of a file format."""
    formats = {"layout": _layout, "layout-report": _layout_report, "report": _report, "profile": _profile}
    render = formats[one_of_these("schema", file, formats)]
    print(json.dumps(render(), indent=2, ensure_ascii=False))


def _layout() -> dict[str, Any]:
    from mounts.inputs.layout import LayoutFile

    return LayoutFile.model_json_schema()


def _layout_report() -> dict[str, Any]:
    from mounts.report.layout import LayoutReport

    return LayoutReport.model_json_schema(by_alias=True, mode="serialization")


def _report() -> dict[str, Any]:
    """A made mount, or a request for which there is none."""
    from pydantic import TypeAdapter

    from mounts.report.model import Report
    from mounts.report.refused import Refused

    either: TypeAdapter[Report | Refused] = TypeAdapter(Report | Refused)
    schema = either.json_schema(by_alias=True, mode="serialization")
    made, none = (schema["$defs"][model.__name__]["required"] for model in (Report, Refused))
    return {"title": "report/1", "required": [key for key in made if key in none], **schema}


def _profile() -> dict[str, Any]:
    """One schema for every kind of profile: its file is one of these, without ``name``, which is the file's."""
    from pydantic.json_schema import models_json_schema

    from mounts.inputs.library import KINDS

    places, definitions = models_json_schema([(model, "validation") for model in KINDS.values()])
    return {
        "title": "a profile, by the folder it lies in",
        "properties": {kind: places[model, "validation"] for kind, model in KINDS.items()},
        **definitions,
    }
