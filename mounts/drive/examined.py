"""A field of candidates held against every limit, whatever the kind of drive, and the best of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import Flags, Limit, Refusal, explain, survivors
from mounts.drive.model import Drive
from mounts.drive.trial import Trial, explanation, ranking
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

HEARD = 40  # of the cheapest: an objection is dear to find, and what is dearer still is seldom any better


@dataclass(frozen=True)
class Examined:
    """All candidates of one request; arrays are (n,).

    Attributes:
        spec: the request.
        trial: what each candidate does.
        limits: every limit it was held against.
        cost: every cost, by name.
        aimed: force or over-travel that a candidate was solved for; NaN where its depth is pinned.
        towards: the arm points to the pivot; true throughout where there is none.
        dimensions: a candidate's continuous dimensions, in words.
        drive: candidate → drive, not yet explained.
        objection: what a better model than the field was judged by has against a candidate; empty: nothing.
    """

    spec: MountSpec
    trial: Trial
    limits: tuple[Limit, ...]
    cost: dict[str, Array]
    aimed: Array
    towards: Flags
    dimensions: Callable[[int], str]
    drive: Callable[[int], Drive]
    objection: Callable[[int], str] = lambda index: ""

    def alive(self) -> Flags:
        """Who is inside every limit."""
        return survivors(self.limits)

    def best(self, *, towards: bool | None = None) -> Drive | Refusal:
        """The cheapest that survives; or, where none does, the line that says why.

        Args:
            towards: only an arm that points to the pivot, or only one that does not; None: either.
        """
        alive = np.flatnonzero(self.alive())
        if not alive.size:
            return explain(self.limits, self.trial.words)
        if towards is not None:
            alive = alive[self.towards[alive] == towards]
        if not alive.size:
            return Refusal("no drive but with the arm pointing the other way")
        order = ranking(self.cost, alive)
        objections = []
        for at, candidate in enumerate(order[:HEARD]):
            if not (objection := self.objection(int(candidate))):
                order = order[at:]
                break
            objections.append(objection)
        else:
            words = self.trial.words(int(order[0]))
            return Refusal(f"no drive; nearest: {words}, but {objections[0]}", "; use another --track-distance")
        first = int(order[0])
        drive = self.drive(first)
        told = explanation(self.trial, self.spec, self.limits, self.cost, order, drive, self.dimensions(first))
        return drive.model_copy(update={"explanation": told})
