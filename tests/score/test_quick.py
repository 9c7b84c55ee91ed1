"""Values that are made quickly are the same values: fields, defaults, equality, and frozen."""

from dataclasses import FrozenInstanceError, dataclass, field, fields, replace
from inspect import signature

import pytest

from slurwright.score.quick import quickly_made


@dataclass(frozen=True, slots=True)
class Plain:
    first: int
    second: str = "b"
    third: tuple[int, ...] = ()


@quickly_made
@dataclass(frozen=True, slots=True)
class Quick:
    first: int
    second: str = "b"
    third: tuple[int, ...] = ()


def test_constructor_takes_and_gives_what_the_plain_one_does() -> None:
    assert str(signature(Quick)) == str(signature(Plain))
    names = [one.name for one in fields(Plain)]
    for made, plain in ((Quick(1), Plain(1)), (Quick(1, third=(2,)), Plain(1, third=(2,)))):
        assert [getattr(made, name) for name in names] == [getattr(plain, name) for name in names]
    assert Quick(1) == Quick(first=1, second="b")
    assert replace(Quick(1), second="c") == Quick(1, "c")
    assert hash(Quick(1)) == hash(Quick(1))


def test_value_stays_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        Quick(1).first = 2  # type: ignore[misc]


def test_missing_and_strange_arguments_are_refused() -> None:
    with pytest.raises(TypeError, match="first"):
        Quick()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="fourth"):
        Quick(1, fourth=2)  # type: ignore[call-arg]


def test_class_that_needs_more_than_filling_is_refused() -> None:
    @dataclass(frozen=True, slots=True)
    class Checked:
        first: int

        def __post_init__(self) -> None:
            pass

    @dataclass(frozen=True, slots=True)
    class Made:
        first: list[int] = field(default_factory=list)

    for cls in (Checked, Made):
        with pytest.raises(TypeError, match=cls.__name__):
            quickly_made(cls)
