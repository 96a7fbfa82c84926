"""Arguments of the Python API: a wrong kind is refused with a sentence, as it is when typed."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from functools import cache, wraps
from numbers import Integral, Real
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from cofire.errors import refusal
from cofire.words import listed

F = TypeVar("F", bound=Callable[..., Any])

_WORDS: dict[Any, str] = {
    str: "text", int: "a whole number", float: "a number", bool: "True or False",
    Mapping: "a dictionary", Sequence: "a list", Iterable: "a list",
}  # fmt: skip


def named(method: F) -> F:
    """A method that raises CofireError for arguments it does not have."""
    signature = inspect.signature(method)

    @wraps(method)
    def call(*args: Any, **kwargs: Any) -> Any:
        _bound(signature, method.__name__, args, kwargs)
        return method(*args, **kwargs)

    return call  # type: ignore[return-value]


def checked(method: F) -> F:
    """As ``named``, and for arguments of a kind that its annotations do not name."""
    signature = inspect.signature(method)
    name = method.__name__

    @cache
    def hints() -> tuple[dict[str, Any], dict[str, Any]]:
        """Kinds by argument, and by keyword of ``**asked``; names are those of the module."""
        known = vars(sys.modules[method.__module__])
        kinds, asked = {}, {}
        for key, parameter in signature.parameters.items():
            if parameter.annotation is parameter.empty:
                continue
            kinds[key] = eval(parameter.annotation, known)
            if parameter.kind is parameter.VAR_KEYWORD:
                asked = get_type_hints(get_args(kinds.pop(key))[0])
        return kinds, asked

    @wraps(method)
    def call(*args: Any, **kwargs: Any) -> Any:
        kinds, asked = hints()
        for key, value in _bound(signature, name, args, kwargs).items():
            parameter = signature.parameters[key]
            if parameter.kind is parameter.VAR_KEYWORD:
                _refuse_unknown(value, asked)
            elif key in kinds:
                for one in value if parameter.kind is parameter.VAR_POSITIONAL else (value,):
                    _refuse_other(one, kinds[key], name, key)
        return method(*args, **kwargs)

    def _refuse_unknown(given: Mapping[str, object], asked: Mapping[str, Any]) -> None:
        for key, value in given.items():
            if key not in asked:
                raise refusal("unknown-condition", name=key, known=", ".join(asked))
            if not any(other.startswith(f"{key}_") for other in asked):
                _refuse_other(value, asked[key], name, key)
            # who reads a quantity says how it is given as text and as a number

    return call  # type: ignore[return-value]


def _bound(
    signature: inspect.Signature, name: str, args: tuple[Any, ...], kwargs: dict[str, Any]
) -> dict[str, Any]:
    """Arguments by their names."""
    try:
        return signature.bind(*args, **kwargs).arguments
    except TypeError as problem:
        raise refusal("wrong-arguments", method=name, problem=problem) from None


def _refuse_other(value: object, hint: Any, method: str, name: str) -> None:
    if _fits(value, hint):
        return
    options = [option for kind in _kinds(hint) for option in get_args(kind) if _is_choice(kind)]
    if options and isinstance(value, str):
        raise refusal(
            "wrong-choice", method=method, name=name, value=value[:60], known=", ".join(options)
        )
    wanted = listed(list(dict.fromkeys(filter(None, map(_word, _kinds(hint))))), "or")
    lists = [kind for kind in _kinds(hint) if get_origin(kind) is Sequence]
    kind = _called(value)
    if lists and isinstance(value, list | tuple):
        odd = next(one for one in value if not _fits(one, get_args(lists[0])[0]))
        kind = f"a list with {_called(odd)} in it"
    raise refusal("wrong-kind", method=method, name=name, wanted=wanted, kind=kind)


def _fits(value: object, hint: Any) -> bool:
    kind = get_origin(hint) or hint
    if kind is Any:
        return True
    if kind in (Union, UnionType):
        return any(_fits(value, one) for one in get_args(hint))
    if kind is Literal:
        return any(type(value) is type(one) and value == one for one in get_args(hint))
    if kind in (int, float):
        wanted = Integral if kind is int else Real | Decimal
        return isinstance(value, wanted) and type(value).__name__ not in ("bool", "bool_")
    if kind is Iterable:
        return isinstance(value, Iterable) and not isinstance(value, str | bytes)
    if kind is Sequence:
        inside = get_args(hint)[0]
        return (
            isinstance(value, Sequence)
            and not isinstance(value, str | bytes)
            and all(_fits(one, inside) for one in value)
        )
    return isinstance(value, kind)


def _kinds(hint: Any) -> list[Any]:
    """What a hint is made of, unions taken apart."""
    if get_origin(hint) in (Union, UnionType):
        return [kind for one in get_args(hint) for kind in _kinds(one)]
    return [hint]


def _is_choice(kind: Any) -> bool:
    return get_origin(kind) is Literal


def _word(kind: Any) -> str:
    if kind is NoneType:
        return ""
    if _is_choice(kind):
        return listed([f"“{one}”" for one in get_args(kind)], "or")
    base = get_origin(kind) or kind
    words = _WORDS.get(base) or f"a {base.__name__}"
    if base is not Sequence:
        return words
    inside = listed([_word(one) for one in _kinds(get_args(kind)[0])], "or")
    return f"{words}, each {inside}"


def _called(value: object) -> str:
    if value is None:
        return "nothing"
    try:
        return f"{type(value).__name__} {str(value)[:40]!r}"
    except Exception:  # objects of other people
        return type(value).__name__
