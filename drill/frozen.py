"""Frozen classes of values, as ``dataclasses`` makes them, in less than half of the time.

Some two hundred are made before the first prompt of a start, and ``dataclasses`` compiles six
functions for each, one by one.  Here those that run often are compiled at once, and the others are
the same few lines for every class.  In use there is no difference: fields, defaults, replace,
match, copies and pickles are those of ``dataclasses``.
"""

from __future__ import annotations

import dataclasses
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    from collections.abc import Callable
    from operator import attrgetter
    from typing import Any

    class _Anew:
        """Stands in ``__init__`` for a default that is made anew for each value."""

        def __repr__(self) -> str:
            return "<factory>"

    _ANEW = _Anew()

    def dataclass(cls: type | None = None, /, **options: Any) -> Any:
        """``dataclasses.dataclass``, made quickly where it is ``frozen=True, slots=True``, nothing
        more is asked for and no other such class is extended."""
        if cls is None:
            return lambda cls: dataclass(cls, **options)
        alone = not any(map(dataclasses.is_dataclass, cls.__mro__[1:]))
        if alone and options == {"frozen": True, "slots": True}:
            return _made(cls)
        return dataclasses.dataclass(cls, **options)

    def _made(cls: type) -> type:
        own = set(cls.__dict__)
        if own >= {"__eq__", "__hash__"} and cls.__hash__ is None:
            own.discard("__hash__")  # Python's, for whoever says what is equal
        made = dataclasses.dataclass(cls, init=False, repr=False, eq=False, slots=True)
        for what in ("init", "repr", "eq", "frozen"):  # for classes that extend it
            setattr(made.__dataclass_params__, what, True)
        for name, method in (_methods(made) | _written(made)).items():
            if name not in own:
                method.__name__, method.__qualname__ = name, f"{made.__qualname__}.{name}"
                setattr(made, name, method)
        return made

    def _methods(made: type) -> dict[str, Callable[..., Any]]:
        fields = _fields(made)
        every = tuple(field.name for field in fields)
        seen = tuple(field.name for field in fields if field.repr)
        kept = _values(every)

        def shown(self) -> str:
            told = ", ".join(f"{name}={getattr(self, name)!r}" for name in seen)
            return f"{type(self).__qualname__}({told})"

        def assigned(self, name: str, value: object) -> None:
            if type(self) is made or name in every:
                raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")
            super(made, self).__setattr__(name, value)

        def deleted(self, name: str) -> None:
            if type(self) is made or name in every:
                raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
            super(made, self).__delattr__(name)

        def filled(self, values: list[object]) -> None:
            for name, value in zip(every, values, strict=False):
                object.__setattr__(self, name, value)

        return {
            "__repr__": shown,
            "__setattr__": assigned,
            "__delattr__": deleted,
            "__getstate__": lambda self: list(kept(self)),
            "__setstate__": filled,
        }

    def _fields(made: type) -> tuple[dataclasses.Field, ...]:
        """The fields.  Raises TypeError for one of a kind that is not known here."""
        fields = dataclasses.fields(made)
        odd = [one.name for one in fields if one.kw_only or not one.init or one.hash is not None]
        every = made.__dataclass_fields__.items()
        odd += [name for name, one in every if "InitVar" in str(one.type)]
        if odd:
            raise TypeError(f"{made.__qualname__}.{odd[0]}: it needs dataclasses.dataclass")
        return fields

    def _values(names: list[str] | tuple[str, ...]) -> Callable[[object], tuple[object, ...]]:
        """Gives the values of some attributes."""
        if len(names) > 1:
            return attrgetter(*names)
        if names:
            only = attrgetter(names[0])
            return lambda of: (only(of),)
        return lambda of: ()

    def _written(made: type) -> dict[str, Callable[..., Any]]:
        """What runs often, and so is written out for its class."""
        fields = dataclasses.fields(made)
        given: dict[str, object] = {"_set": object.__setattr__, "_anew": _ANEW}
        heads, body = ["self"], []
        for field in fields:
            name = value = head = field.name
            if field.default is not dataclasses.MISSING:
                given[f"_{name}"] = field.default
                head = f"{name}=_{name}"
            elif field.default_factory is not dataclasses.MISSING:
                given[f"_{name}"] = field.default_factory
                head, value = f"{name}=_anew", f"_{name}() if {name} is _anew else {name}"
            heads.append(head)
            body.append(f"_set(self, {name!r}, {value})")
        if hasattr(made, "__post_init__"):
            body.append("self.__post_init__()")
        same = [field.name for field in fields if field.compare]
        mine, theirs = ("".join(f"{of}.{name}, " for name in same) for of in ("self", "other"))
        text = (
            f"def written({', '.join(given)}):\n"
            f" def init({', '.join(heads)}): {'; '.join(body) or 'pass'}\n"
            " def equal(self, other):\n"
            "  if other.__class__ is self.__class__:\n"
            f"   return ({mine}) == ({theirs})\n"
            "  return NotImplemented\n"
            f" def hashed(self): return hash(({mine}))\n"
            " return init, equal, hashed"
        )
        space: dict[str, Any] = {}
        exec(text, sys.modules[made.__module__].__dict__, space)  # noqa: S102 - names of fields
        init, equal, hashed = space["written"](**given)
        init.__annotations__ = {**{field.name: field.type for field in fields}, "return": None}
        return {"__init__": init, "__eq__": equal, "__hash__": hashed}


__all__ = ["dataclass"]
