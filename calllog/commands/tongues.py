"""Options that say by which grammar each person calls, in; grammars by channel, out; shell."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

import typer

from calllog.commands.engine import Engine, load_words
from calllog.errors import ConfigError
from calllog.spoken import Grammar
from calllog.values import Role

HELP = "By which grammar the {role} calls, if by another than --grammar; two with a comma: by both."
ByRole = dict[Role, tuple[str, ...]]
PEOPLE = (Role.HEAD, Role.REAR)


@dataclass(frozen=True, slots=True)
class TongueOptions:
    """By which grammars the two call, names with commas between; None where nothing is said."""

    head_grammar: Annotated[
        str | None, typer.Option("--head-grammar", help=HELP.format(role="head"))
    ] = None
    rear_grammar: Annotated[
        str | None, typer.Option("--rear-grammar", help=HELP.format(role="rear"))
    ] = None

    def by_role(
        self, before: Mapping[Role, tuple[str, ...]], own: Grammar, engine: Engine
    ) -> ByRole:
        """Read by which grammars each person calls, where it is not by the job's own alone.

        Args:
            before: as the job has it; a person who is left out now calls as before.
            own: the job's own grammar.
            engine: what hears.

        Raises:
            ConfigError: another engine than the encoder model is to hear two languages, or a
                grammar calls another unit than the job's.
            GrammarError: there is no such grammar.
        """
        found: ByRole = {}
        for role, named in zip(PEOPLE, (self.head_grammar, self.rear_grammar), strict=True):
            names = before.get(role, ()) if named is None else _names(named)
            if names and names != (own.name,):
                found[role] = names
        for role, names in found.items():
            for name in names:
                _require_unit(load_words(name)[0], own, role)
        if found and engine is not Engine.ENCODER:
            raise ConfigError(
                "only the encoder model hears each person in a language of their own",
                where="--head-grammar, --rear-grammar",
                next_step=f"leave --engine out, or take --engine {Engine.ENCODER}",
            )
        return found


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(part.strip() for part in text.split(",") if part.strip()))


def _require_unit(grammar: Grammar, own: Grammar, role: Role) -> None:
    if grammar.unit is not own.unit.base:
        raise ConfigError(
            f"grammar {grammar.name} calls {grammar.unit.plural}, but the crew"
            f" {own.unit.base.plural}",
            where=f"--{role.value}-grammar",
            next_step=f"name a grammar in {own.unit.base.plural}",
        )


def grammars_by_channel(
    spoken: Mapping[Role, tuple[str, ...]], wearers: Iterable[Sequence[Role]], own: str
) -> dict[int, tuple[str, ...]]:
    """Sort grammars by channel; one of both people has those of both.

    Args:
        spoken: by whom, where it is not the job's own grammar alone.
        wearers: for each source who wears each channel's microphone.
        own: name of the job's own grammar.
    """
    found: dict[int, dict[str, None]] = {}
    for roles in wearers:
        for channel, role in enumerate(roles):
            for each in PEOPLE if role is Role.UNSAID else (role,):
                names = spoken.get(each, (own,))
                found.setdefault(channel, {}).update(dict.fromkeys(names))
    listed = {channel: tuple(names) for channel, names in found.items()}
    return {channel: names for channel, names in listed.items() if names != (own,)}
