"""When a folder answers a request, and when it does not."""

import pytest

from mounts import cache, program
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.stored import is_sealed, seal, stored

ASKED = {"id": "a", "style": "under-bracket", "board": "18", "scale": "HO"}


def _key(**changed):
    return cache.key(resolve(read_request(ASKED | changed), Library()))


def test_the_same_request_has_the_same_key():
    """Written otherwise but meaning the same, a request has the same key."""
    assert _key(throw="3") == _key(throw="3 mm")


@pytest.mark.parametrize(
    "changed", [{"board": "18.1"}, {"servo": "micro-13g"}, {"mirror": True}, {"set": ["plate_mm=5"]}, {"id": "b"}]
)
def test_another_request_has_another_key(changed):
    """Anything that changes the mount changes its key."""
    assert _key(**changed) != _key()


def test_another_program_has_another_key(monkeypatch):
    """A new version answers nothing from the files of the old one."""
    before = _key()
    program.digest.cache_clear()
    monkeypatch.setattr("mounts.__version__", "99.0")

    assert _key() != before

    program.digest.cache_clear()


@pytest.mark.parametrize("content", [None, b"", b"{}", b"\xff", b'{"schema": "report/1"}'])
def test_a_folder_without_a_whole_report_answers_nothing(tmp_path, content):
    """No report, an empty one and one that is none are all the same: the mount is made."""
    if content is not None:
        (tmp_path / "report.json").write_bytes(content)

    assert cache.find(tmp_path, "key", keep_failed=False) is None


@pytest.mark.parametrize("content", [None, b"", b"{", b"[]", b"\xff", b"[" * 100_000, b'{"schema": "report/1"}', b"7"])
def test_a_report_that_is_none_of_ours_says_nothing(tmp_path, content):
    """No file, a torn one, another schema and another kind of JSON are all the same to who reads one."""
    if content is not None:
        (tmp_path / "report.json").write_bytes(content)

    found = stored(tmp_path, "layout-report/")

    assert (found.content, found.data, found.files, found.is_sealed) == (b"", {}, {}, False)


def test_a_report_names_its_files(tmp_path):
    """Of what stands under files, names with a digest."""
    (tmp_path / "report.json").write_text('{"schema": "report/0", "files": {"a.stl": "0f", "b.stl": 3}}')

    assert stored(tmp_path, "report/").files == {"a.stl": "0f"}


def test_a_report_is_what_its_seal_says():
    """Any byte of a sealed report changed, left out or added is seen, the seal's own digits too."""
    sealed = seal(b'{\n  "mass_g": 12.5,\n  "seal": ""\n}\n')

    assert is_sealed(sealed)
    assert not is_sealed(b'{\n  "mass_g": 12.5,\n  "seal": ""\n}\n')
    for at in range(len(sealed)):
        assert not is_sealed(sealed[:at] + b"7" + sealed[at + 1 :]) or sealed[at : at + 1] == b"7"
        assert not is_sealed(sealed[:at] + sealed[at + 1 :])
    assert not is_sealed(sealed + b"\n")
