"""Classes made by ``drill.frozen`` beside the same ones made by Python's own ``dataclasses``."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import math
import pickle
import typing
from collections.abc import Callable
from functools import partial
from typing import Any, ClassVar, NamedTuple

import pytest

from drill import frozen

Maker = Callable[..., Any]


def classes(dataclass: Maker, name: str) -> dict[str, Any]:
    """The same classes, made by one or the other."""

    @dataclass(frozen=True, slots=True)
    class Nothing:
        """No field."""

    @dataclass(frozen=True, slots=True)
    class One:
        """A field alone."""

        only: object

    @dataclass(frozen=True, slots=True)
    class Many:
        """Defaults of both kinds, a field that is not compared and one that is not shown."""

        COUNT: ClassVar[int] = 3
        first: int
        second: str = "two"
        third: list[int] = dataclasses.field(default_factory=list)
        path: str = dataclasses.field(default="", compare=False)
        secret: str = dataclasses.field(default="s", repr=False)

        @property
        def doubled(self) -> int:
            return 2 * self.first

    @dataclass(frozen=True, slots=True)
    class Checked:
        """Looks at what it is given."""

        size: int

        def __post_init__(self) -> None:
            if self.size < 0:
                raise ValueError("below 0")

    @dataclass(frozen=True, slots=True)
    class Own:
        """Says itself what is equal and how it is shown."""

        text: str

        def __eq__(self, other: object) -> bool:
            return isinstance(other, Own) and self.text.lower() == other.text.lower()

        def __repr__(self) -> str:
            return f"<{self.text}>"

    @dataclass(frozen=True, slots=True)
    class OwnHash:
        """Says itself how it is hashed."""

        text: str

        def __hash__(self) -> int:
            return 7

    @dataclass(frozen=True, slots=True)
    class More(One):
        """Extends another."""

        more: int = 1

    made = {each.__name__: each for each in (Nothing, One, Many, Checked, Own, OwnHash, More)}
    for each in made.values():  # so that pickles find them
        each.__qualname__ = f"{name}_{each.__name__}"
        globals()[each.__qualname__] = each
    return made


OURS = classes(frozen.dataclass, "Ours")
THEIRS = classes(dataclasses.dataclass, "Ours")
"""Named alike, so that what they say can be compared; pickles are ours alone."""
globals().update({each.__qualname__: each for each in OURS.values()})
NAN = math.nan
GIVEN: list[tuple[str, tuple[Any, ...], dict[str, Any]]] = [
    ("Nothing", (), {}),
    ("One", (4,), {}),
    ("One", (NAN,), {}),
    ("One", (), {"only": (1, "a")}),
    ("Many", (1,), {}),
    ("Many", (1, "zwei", (3,)), {"path": "p", "secret": "t"}),
    ("Checked", (0,), {}),
    ("Own", ("Text",), {}),
    ("OwnHash", ("Text",), {}),
    ("More", (1, 2), {}),
]
BOTH = pytest.mark.parametrize(("name", "values", "words"), GIVEN)


def both(name: str, values: tuple[Any, ...], words: dict[str, Any]) -> tuple[Any, Any]:
    return OURS[name](*values, **words), THEIRS[name](*values, **words)


class Fault(NamedTuple):
    """An error, as far as it must be the same."""

    kind: type[Exception]
    said: str


def told(what: Callable[[], object]) -> object:
    """What a call gives, or its error, without the place of the class in this file."""
    try:
        return what()
    except Exception as error:
        return Fault(type(error), str(error).rpartition("__init__")[2])


@BOTH
def test_values_are_shown_hashed_and_read_alike(
    name: str, values: tuple[Any, ...], words: dict[str, Any]
) -> None:
    ours, theirs = both(name, values, words)
    assert repr(ours) == repr(theirs)
    assert told(lambda: hash(ours)) == told(lambda: hash(theirs))
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert type(ours).__match_args__ == type(theirs).__match_args__
    assert not hasattr(ours, "__dict__")


@BOTH
def test_equal_values_are_equal_and_others_are_not(
    name: str, values: tuple[Any, ...], words: dict[str, Any]
) -> None:
    for one, again, other in zip(
        both(name, values, words),
        both(name, values, words),
        both("One", ("else",), {}),
        strict=True,
    ):
        assert one == again
        assert (one != other) is True
        assert one != "text"
        assert one != 4


def test_a_value_that_is_not_compared_is_not() -> None:
    for made in (OURS, THEIRS):
        assert made["Many"](1, path="a") == made["Many"](1, path="b")
        assert made["Many"](1, secret="a") != made["Many"](1, secret="b")
        assert made["Many"](1).third is not made["Many"](1).third
        assert made["Many"](4).doubled == 8
        assert made["Many"].COUNT == 3


@BOTH
def test_nothing_can_be_changed(name: str, values: tuple[Any, ...], words: dict[str, Any]) -> None:
    for value in both(name, values, words):
        for attribute in (*(field.name for field in dataclasses.fields(value)), "more", "other"):
            with pytest.raises(
                (dataclasses.FrozenInstanceError, TypeError, AttributeError)
            ) as set_:
                setattr(value, attribute, 1)
            with pytest.raises((dataclasses.FrozenInstanceError, TypeError, AttributeError)) as cut:
                delattr(value, attribute)
            if attribute in type(value).__match_args__:
                assert set_.type is cut.type is dataclasses.FrozenInstanceError
                assert str(set_.value) == f"cannot assign to field '{attribute}'"
                assert str(cut.value) == f"cannot delete field '{attribute}'"


@BOTH
def test_copies_and_pickles(name: str, values: tuple[Any, ...], words: dict[str, Any]) -> None:
    ours, theirs = both(name, values, words)
    for value in (ours, theirs):
        assert repr(copy.copy(value)) == repr(copy.deepcopy(value)) == repr(value)
        assert repr(dataclasses.replace(value)) == repr(value)
    again = pickle.loads(pickle.dumps(ours))
    assert (type(again), repr(again)) == (type(ours), repr(ours))


def test_replace_and_match() -> None:
    for made in (OURS, THEIRS):
        Many = made["Many"]  # noqa: N806 - a class
        match dataclasses.replace(Many(1), second="b"):
            case Many(first, second):
                assert (first, second) == (1, "b")
            case _:
                raise AssertionError


@pytest.mark.parametrize("name", OURS)
def test_classes_tell_the_same_of_themselves(name: str) -> None:
    ours, theirs = OURS[name], THEIRS[name]
    assert str(inspect.signature(ours)) == str(inspect.signature(theirs))
    assert typing.get_type_hints(ours.__init__) == typing.get_type_hints(theirs.__init__)
    assert repr(ours.__dataclass_params__) == repr(theirs.__dataclass_params__)
    assert (ours.__doc__, ours.__slots__) == (theirs.__doc__, theirs.__slots__)


def test_wrong_values_are_refused_alike() -> None:
    wrong: list[Callable[[dict[str, Any]], object]] = [
        lambda made: made["Many"](),
        lambda made: made["Many"](1, 2, 3, 4, 5, 6),
        lambda made: made["Many"](1, other=2),
        lambda made: made["Nothing"](1),
        lambda made: made["Checked"](-1),
    ]
    for each in wrong:
        ours, theirs = told(partial(each, OURS)), told(partial(each, THEIRS))
        assert isinstance(ours, Fault)
        assert ours == theirs


def test_a_field_of_a_kind_that_is_not_known_here_is_refused() -> None:
    for odd in (
        dataclasses.field(kw_only=True),
        dataclasses.field(init=False),
        dataclasses.field(hash=False),
    ):
        space = {"__annotations__": {"odd": "int"}, "odd": odd, "__doc__": "Odd."}
        with pytest.raises(TypeError, match=r"Odd\.odd: it needs dataclasses\.dataclass"):
            frozen.dataclass(type("Odd", (), space), frozen=True, slots=True)


def test_other_wishes_are_those_of_dataclasses() -> None:
    @frozen.dataclass(slots=True)
    class Open:
        """Can be changed."""

        size: int = 1

    value = Open()
    value.size = 2
    assert value == Open(2)

    @frozen.dataclass(frozen=True, slots=True, order=True)
    class Sorted:
        """Has an order."""

        size: int

    assert Sorted(1) < Sorted(2)
