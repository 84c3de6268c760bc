"""Options declared once, as the fields of a value, in; a command that takes them one by one, out.

A group of options is a frozen data class whose fields are annotated as a command's parameters are.
It knows what its options mean together, and refuses what cannot be. Several commands may have one
group, and a group may have groups in it. What may be given again and again is a tuple.
"""

import inspect
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import wraps
from typing import Annotated, Any, get_args, get_origin, get_type_hints

NO_DEFAULT = inspect.Parameter.empty


def grouped(command: Callable[..., None]) -> Callable[..., None]:
    """Let a command take each option of its groups by itself, under the name of its field."""
    wanted = inspect.signature(command, eval_str=True).parameters.values()
    signature = inspect.Signature([each for one in wanted for each in _flat(one)])

    @wraps(command)
    def run(*given: Any, **named: Any) -> None:  # noqa: ANN401 - whatever the options are
        bound = signature.bind(*given, **named)
        bound.apply_defaults()
        command(**{one.name: _made(one.annotation, one.name, bound.arguments) for one in wanted})

    vars(run)["__signature__"] = signature
    run.__annotations__ = {each.name: each.annotation for each in signature.parameters.values()}
    return run


def _flat(parameter: inspect.Parameter) -> Iterator[inspect.Parameter]:
    """Give the parameters that one stands for: itself, or those of the group that it is."""
    kind, default = parameter.annotation, parameter.default
    if is_dataclass(kind):
        hints = get_type_hints(kind, include_extras=True)
        for each in fields(kind):
            one = inspect.Parameter(
                each.name,
                inspect.Parameter.KEYWORD_ONLY,
                default=NO_DEFAULT if each.default is MISSING else each.default,
                annotation=hints[each.name],
            )
            yield from _flat(one)
    elif _is_again(kind):
        many, *more = get_args(kind)
        several: Any = list[get_args(many)[0]]  # type: ignore[misc]
        if default is not NO_DEFAULT:
            several, default = several | None, None
        yield parameter.replace(annotation=Annotated[(several, *more)], default=default)
    else:
        yield parameter


def _made(kind: Any, name: str, given: Mapping[str, Any]) -> Any:  # noqa: ANN401 - an option or a group
    """Put together what a parameter or a field is, of the options that were given."""
    if is_dataclass(kind) and isinstance(kind, type):
        hints = get_type_hints(kind, include_extras=True)
        return kind(**{one.name: _made(hints[one.name], one.name, given) for one in fields(kind)})
    return tuple(given[name] or ()) if _is_again(kind) else given[name]


def _is_again(kind: Any) -> bool:  # noqa: ANN401 - an option
    """Tell whether an option may be given again and again."""
    return get_origin(kind) is Annotated and get_origin(get_args(kind)[0]) is tuple
