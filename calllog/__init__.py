"""calllog: from a taping crew's calls to a clean, corrected segment log."""

import sys as _sys

__version__ = "0.2.0"

# `python -m calllog` puts the current folder first on the path: unless this program lies there
# itself, no module is taken from it (to leave that to `calllog.children` could be too late)
_is_module = _sys.argv[:1] == ["-m"] and not _sys.flags.safe_path
if _is_module and __file__ != f"{_sys.path[0]}/calllog/__init__.py":
    del _sys.path[0]
