"""Groups of options: each option is taken by itself, and comes to the command in its group."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import pytest
import typer
from typer.testing import CliRunner

from calllog.commands.grouped import grouped


@dataclass(frozen=True, slots=True)
class Rope:
    """A group of its own."""

    lengths: Annotated[tuple[int, ...], typer.Option("--length")]
    colors: Annotated[tuple[str, ...], typer.Option("--color")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A group with a group in it."""

    rope: Rope
    weight: Annotated[float, typer.Option("--weight", min=0.0)] = 1.5
    is_wet: Annotated[bool, typer.Option("--wet")] = False


taken: list[tuple[str, Load]] = []


@grouped
def haul(name: Annotated[str, typer.Argument()], load: Load) -> None:
    """Haul something."""
    taken.append((name, load))


def run(*words: str) -> tuple[int, str]:
    """Run the command as a program would."""
    app = typer.Typer()
    app.command()(haul)
    taken.clear()
    done = CliRunner().invoke(app, words)
    return done.exit_code, done.output


@pytest.mark.parametrize(
    ("words", "load"),
    [
        (("--length", "3"), Load(rope=Rope((3,)))),
        (("--length", "3", "--length", "4", "--wet"), Load(rope=Rope((3, 4)), is_wet=True)),
        (
            ("--color", "red", "--length", "3", "--color", "tan", "--weight", "2"),
            Load(rope=Rope((3,), ("red", "tan")), weight=2.0),
        ),
    ],
)
def test_options_come_in_their_groups(words: tuple[str, ...], load: Load) -> None:
    """Left out, an option is what its field is; given again and again, a tuple."""
    assert run("crate", *words) == (0, "")
    assert taken == [("crate", load)]


def test_what_is_required_or_cannot_be_is_refused_by_name() -> None:
    """As where the options are parameters of the command."""
    code, told = run("crate")
    assert (code, "--length" in told) == (2, True)
    code, told = run("crate", "--length", "3", "--weight", "-1")
    assert (code, "--weight" in told) == (2, True)
    assert taken == []


def test_program_may_call_it_by_the_names_of_the_fields() -> None:
    """Whoever calls it without a command line."""
    taken.clear()
    haul("crate", lengths=[5], is_wet=True)
    assert taken == [("crate", Load(rope=Rope((5,)), is_wet=True))]
    with pytest.raises(TypeError, match="lengths"):
        haul("crate")
