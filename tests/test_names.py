"""Each name of a class has one owner: whoever reads it knows which is meant."""

from __future__ import annotations

import ast
from collections import defaultdict

from tests.test_architecture import MODULES, tree_of


def test_every_class_has_a_name_of_its_own() -> None:
    """No two classes of the program have the same name, private ones neither."""
    owners: dict[str, list[str]] = defaultdict(list)
    for path in MODULES:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.ClassDef):
                owners[node.name].append(f"{path.name}, line {node.lineno}")
    assert len(owners) > 300
    assert not {name: places for name, places in owners.items() if len(places) > 1}
