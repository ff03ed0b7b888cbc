"""Drafts of the handbooks, from memory, and what is made of them, beside files that were written by hand."""

from pathlib import Path

import pytest
from drafts_in import DRAFTS, LATER, MOST, files
from parts.by_hand import made


@pytest.mark.parametrize(("folder", "drafts", "same"), [(DRAFTS, 40, 35), (LATER, 15, 12)])
def test_files_are_as_a_weaver_would_write_them(folder: Path, drafts: int, same: int) -> None:
    found = [made(file) for file in files(folder)]
    assert len(found) == drafts
    assert [each.name for each in found if not each.exact] == []
    assert [each.name for each in found if max(each.length, each.groups_alone) > MOST] == []
    assert [each.name for each in found if not (each.same or each.at_units)] == []
    assert sum(each.same for each in found) >= same
