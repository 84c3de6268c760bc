"""Makes the faults of a room by mutmut, in a copy that `tests.mutants.mutate` lays out."""

from __future__ import annotations

import os
import sys

from mutmut import __main__ as mutmut
from mutmut.mutation.trampoline import set_mutant_under_test


def main() -> int:
    """Make them."""
    set_mutant_under_test("mutant_generation")
    os.makedirs("mutants", exist_ok=True)  # noqa: PTH103 - a path that mutmut has so
    mutmut.copy_src_dir()
    mutmut.copy_also_copy_files()
    mutmut.setup_source_paths()
    mutmut.store_lines_covered_by_tests()
    mutmut.create_mutants(os.cpu_count() or 1)
    return 0


if __name__ == "__main__":
    sys.exit(main())
