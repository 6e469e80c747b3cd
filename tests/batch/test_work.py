"""What a worker of a batch does."""

import pytest
from requests_for_drives import request

from mounts.batch.work import FamilyTask, Unmade, match_family
from mounts.inputs.fixing import Fixing
from mounts.inputs.library import Library


def _member(name, **changes):
    return request(scale="HO", force_n=(0.2, 3.0)).model_copy(update={"id": name, **changes})


def _matched(*members):
    return match_family(FamilyTask(members, frozenset({"arm hole", "wire", "screw pattern"})))


def test_mirrored_members_share_a_screw_pattern():
    """A mirror image has its template turned over: it is in."""
    drives = _matched(_member("a"), _member("b", mirror=True))

    assert not isinstance(drives, Unmade)
    assert len(drives) == 2


@pytest.mark.parametrize("names", [("a", "odd"), ("odd", "a")])
def test_the_member_whose_screws_stand_elsewhere_is_named(names):
    """A thicker fixing screw needs more plastic round it: its holes stand farther out, by tenths."""
    thick: Fixing = Library().fixing("wood-3.5")
    found = _matched(*(_member(name, **({"fixing": thick} if name == "odd" else {})) for name in names))

    assert isinstance(found, Unmade)
    assert found.reason.startswith(f"{names[1]}: its screws do not stand as those of {names[0]} do: holes up to ")
