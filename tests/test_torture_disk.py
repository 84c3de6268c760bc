"""The torture of disks, small: each fault a few times; `make torture` has hundreds of each."""

from __future__ import annotations

import pytest

from tests.torture.disk import FAULTS, MOUNTED, can_mount, torture


@pytest.mark.parametrize("is_ended", [False, True])
@pytest.mark.parametrize("fault", FAULTS)
def test_no_call_is_lost_or_doubled(fault: str, *, is_ended: bool) -> None:
    """The disk fails at a random moment of a short day, and comes back or the program ends."""
    found = torture(fault, FAULTS[fault], 2, seed=7, is_ended=is_ended)
    assert found.passed, found.line()


@pytest.mark.skipif(not can_mount(), reason="needs the right to mount file systems")
@pytest.mark.parametrize("fault", MOUNTED)
def test_no_call_is_lost_or_doubled_on_a_real_file_system(fault: str) -> None:
    """The system itself says that the disk is full, gone or read-only."""
    found = torture(fault, MOUNTED[fault], 2, seed=7)
    assert found.passed, found.line()
