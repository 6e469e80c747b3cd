"""``report/1`` of a request for which there is no mount: what was asked and why not."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from mounts.checks.model import Check
from mounts.inputs.model import Model
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.report.model import MountNames, ResolvedInputs, names_of, resolved_inputs


class Refused(Model):
    """A mount that was not designed or not built. What a made one has is null or empty."""

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True)

    schema_: Literal["report/1"] = Field(alias="schema")
    mount: MountNames
    verdict: Literal["fail"] = "fail"
    reason: str = Field(description="the limit that stands in the way, and changes that were tried and do")
    inputs: ResolvedInputs
    servo: Servo = Field(description="the profile as used, with the sources of its figures")
    drive: None
    datums: None
    parts: tuple[()]
    hardware: tuple[()]
    checks: tuple[Check, ...] = Field(description="one, 'design', that says the reason")
    files: dict[str, str] = Field(default_factory=dict, description="none")
    made_from: str = Field(description="SHA-256 over the request, the profiles and this program")
    seal: str = Field("", description="SHA-256 of this file with the seal left empty")


def refused(spec: MountSpec, options: Model, reason: str, made_from: str) -> Refused:
    """The report of a request that failed.

    Args:
        spec: what was asked, resolved.
        options: the style's options as validated, defaults included.
        reason: one line, as on stderr.
        made_from: the content key (``mounts.cache.key``).
    """
    none = Check.of("design", 0.0, "at least", 1.0, "designs", "", reason)
    return Refused(
        schema_="report/1", mount=names_of(spec), reason=reason, inputs=resolved_inputs(spec, options),
        servo=spec.servo, drive=None, datums=None, parts=(), hardware=(), checks=(none,), made_from=made_from,
    )  # fmt: skip
