"""Frozen records and named tuples that cost next to nothing until they are used: the one way to make a record.

The standard `dataclasses` module adds 12 ms to a start that is 8 ms bare (it imports `inspect`), and 0.5 ms for each
class, against 0.013 ms here; msgspec's Struct adds 17 to 23 ms, so that `inspect-tui log` in a pipe takes 77 ms
against 64. (It makes an instance in 0.06 microseconds, against 0.45 here and 0.8 by a dataclass; what is made by the
hundred thousand here are arrays and rows.) This decorator builds the class at once and writes its `__init__` when a
few instances were made. To `dataclasses.fields`, `replace` and `asdict` the result is a dataclass: those who import
that module anyway may use it.
"""

from __future__ import annotations

from operator import attrgetter
from types import MappingProxyType

try:
    from _collections import _tuplegetter  # type: ignore[import-not-found]
except ImportError:  # an interpreter without it: slower

    def _tuplegetter(place: int, doc: str | None) -> property:
        """The value at a place of a tuple."""
        from operator import itemgetter

        return property(itemgetter(place), doc=doc)


TYPE_CHECKING = False  # as type checkers read it; importing typing for it would cost 2 ms
if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from typing import Any, TypeVar, dataclass_transform
    from typing import NamedTuple as NamedTuple  # offered from here

    Thing = TypeVar("Thing")
else:

    def dataclass_transform(**_: Any) -> Any:
        """Only type checkers look at it."""
        return lambda function: function

    class _Named(type):
        """Makes a class body with annotations into a named tuple."""

        def __new__(mcs, name, bases, body):
            """The base class itself, or the named tuple of a class that names it as its base."""
            return _named_tuple(name, body) if bases else super().__new__(mcs, name, bases, body)

    class NamedTuple(metaclass=_Named):
        """`typing.NamedTuple` without `typing`: fields with annotations and defaults, methods as written."""


# ------------------------------------------------------------------------------ tuples with names
def _named_tuple(name: str, body: Mapping[str, Any]) -> type:
    """A tuple class as `collections.namedtuple` makes one; its `__new__` is written when a few were made.

    The library's own evaluates a text for each class, which costs 0.2 ms of a start: five times the rest of the class.
    """
    names = tuple(body.get("__annotations__", ()))
    made = {key: value for key, value in body.items() if key not in names and key != "__slots__"}
    made |= {field: _tuplegetter(place, None) for place, field in enumerate(names)}
    made |= {
        "__slots__": (),
        "_fields": names,
        "_field_defaults": {field: body[field] for field in names if field in body},
        "_made_": 0,
        "__match_args__": names,
        "__new__": _first_new,
        "__repr__": _repr,
        "__getnewargs__": _as_tuple,
        "_make": classmethod(tuple.__new__),
        "_asdict": _asdict,
        "_replace": _replaced,
    }
    return type(name, (tuple,), made)


def _first_new(cls: Any, *args: Any, **given: Any) -> Any:
    """The first of a class are put together; later, or when a call is wrong, by a `__new__` of its own."""
    cls._made_ += 1
    names, defaults = cls._fields, cls._field_defaults
    if cls._made_ < SOON:
        if not given and len(args) == len(names):
            return tuple.__new__(cls, args)
        by_place = dict(zip(names, args, strict=False))
        values = defaults | by_place | given
        if len(args) <= len(names) and not by_place.keys() & given.keys() and values.keys() == set(names):
            return tuple.__new__(cls, [values[name] for name in names])
    cls.__new__ = _make_new(cls)
    return cls(*args, **given)


def _make_new(cls: Any) -> Callable[..., Any]:
    names, defaults = cls._fields, cls._field_defaults
    parameters = ", ".join(("_cls", *(f"{n}=_d_{n}" if n in defaults else n for n in names)))
    scope: dict[str, Any] = {f"_d_{name}": value for name, value in defaults.items()} | {"_new": tuple.__new__}
    made: Callable[..., Any] = eval(f"lambda {parameters}: _new(_cls, ({''.join(f'{n}, ' for n in names)}))", scope)
    made.__name__, made.__qualname__ = "__new__", f"{cls.__qualname__}.__new__"
    return made


def _as_tuple(self: Any) -> tuple[Any, ...]:
    return tuple(self)


def _asdict(self: Any) -> dict[str, Any]:
    return dict(zip(self._fields, self, strict=True))


def _replaced(self: Any, /, **changes: Any) -> Any:
    unknown = changes.keys() - set(self._fields)
    if unknown:
        raise ValueError(f"{type(self).__name__} has no field {sorted(unknown)[0]}")
    return self._make(changes.get(name, value) for name, value in zip(self._fields, self, strict=True))


# ------------------------------------------------------------------------------ records
SOON = 25  # instances, from which on a method of its own, which costs 0.2 ms to write, pays


class FrozenError(AttributeError):
    """Somebody tried to change a record that does not change."""


class _Fields:
    """Makes the class a dataclass to whoever asks, when somebody asks."""

    def __get__(self, instance: object, owner: Any) -> dict[str, Any]:
        import dataclasses

        made = {}
        for name in owner.__match_args__:
            given = owner._defaults_
            field = dataclasses.field(default=given[name]) if name in given else dataclasses.field()
            field.name, field.type = name, owner.__annotations__[name]
            field._field_type = dataclasses._FIELD  # type: ignore[attr-defined]
            made[name] = field
        owner.__dataclass_fields__ = made
        return made


@dataclass_transform(frozen_default=True, kw_only_default=False)
def frozen(cls: type[Thing]) -> type[Thing]:
    """A record whose fields are the class's annotations, in order, by position or by name."""
    made: type[Thing] = _build(cls, kw_only=False)
    return made


@dataclass_transform(frozen_default=True, kw_only_default=True)
def frozen_by_name(cls: type[Thing]) -> type[Thing]:
    """The same, with every field given by name."""
    made: type[Thing] = _build(cls, kw_only=True)
    return made


def _build(cls: Any, kw_only: bool) -> Any:
    body = dict(cls.__dict__)
    names = tuple(body.get("__annotations__", {}))
    defaults = {name: body.pop(name) for name in names if name in body}
    for leftover in ("__dict__", "__weakref__"):
        body.pop(leftover, None)
    body.update(
        __slots__=names,
        __match_args__=names,
        _defaults_=MappingProxyType(defaults),
        _values_=attrgetter(*names) if names else _nothing,
        _kw_only_=kw_only,
        _names_=frozenset(names),
        _made_=0,
        __init__=_first_init,
        __repr__=_repr,
        __eq__=_eq,
        __hash__=_hash,
        __setattr__=_refuse,
        __delattr__=_refuse,
        __getstate__=_getstate,
        __setstate__=_setstate,
        __dataclass_fields__=_Fields(),
    )
    return type(cls)(cls.__name__, cls.__bases__, body)


def _first_init(self: Any, *args: Any, **given: Any) -> None:
    """Set the fields one by one; later, or when a call is wrong, by an `__init__` of its own."""
    cls = type(self)
    cls._made_ += 1
    names = cls.__match_args__
    by_place = dict(zip(names, args, strict=False))
    values = cls._defaults_ | by_place | given
    right = values.keys() == cls._names_ and not by_place.keys() & given.keys()
    if cls._made_ < SOON and right and len(args) <= len(names) and not (args and cls._kw_only_):
        for name, value in values.items():
            object.__setattr__(self, name, value)
        if hasattr(cls, "__post_init__"):
            self.__post_init__()
        return
    cls.__init__ = _make_init(cls)
    cls.__init__(self, *args, **given)


def _make_init(cls: Any) -> Callable[..., None]:
    defaults = cls._defaults_
    parameters = ", ".join(f"{n}=_d_{n}" if n in defaults else n for n in cls.__match_args__)
    star = "*, " if cls._kw_only_ and parameters else ""
    lines = [f"    _set_{name}(self, {name})" for name in cls.__match_args__]
    if hasattr(cls, "__post_init__"):
        lines.append("    self.__post_init__()")
    source = f"def __init__(self, {star}{parameters}):\n" + ("\n".join(lines) or "    pass")
    scope: dict[str, Any] = {f"_d_{name}": value for name, value in defaults.items()}
    scope |= {f"_set_{name}": cls.__dict__[name].__set__ for name in cls.__match_args__}
    exec(source, scope)
    made: Callable[..., None] = scope["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made


def row_maker(cls: Any, names: Sequence[str]) -> Callable[[Sequence[Any], Mapping[str, Any]], Any]:
    """What makes records of a class from rows: the values of `names` in order, and of other fields what is named.

    It sets the fields themselves, so that no `__init__` has to be written for the few hundred rows of a start.
    """
    puts = [cls.__dict__[name].__set__ for name in names]
    rest = [(name, cls.__dict__[name].__set__) for name in cls.__match_args__ if name not in names]
    check = getattr(cls, "__post_init__", None)
    defaults = cls._defaults_

    def make(values: Sequence[Any], named: Mapping[str, Any]) -> Any:
        made = object.__new__(cls)
        for put, value in zip(puts, values, strict=True):
            put(made, value)
        for name, put in rest:
            put(made, named[name] if name in named else defaults[name])
        if check is not None:
            check(made)
        return made

    return make


def _nothing(_: Any) -> tuple[()]:
    return ()


def _repr(self: Any) -> str:
    inside = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__match_args__)
    return f"{type(self).__name__}({inside})"


def _eq(self: Any, other: Any) -> Any:
    return self._values_(self) == other._values_(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(self._values_(self))


def _refuse(self: Any, name: str, *_: object) -> None:
    raise FrozenError(f"{type(self).__name__} does not change: make another one with replace(..., {name}=...)")


def _getstate(self: Any) -> tuple[Any, ...]:
    return tuple(getattr(self, name) for name in self.__match_args__)


def _setstate(self: Any, state: tuple[Any, ...]) -> None:
    for name, value in zip(self.__match_args__, state, strict=True):
        object.__setattr__(self, name, value)


def replace(thing: Thing, **changes: Any) -> Thing:
    """A copy of a frozen record with some fields changed."""
    cls: Any = type(thing)
    values = {name: getattr(thing, name) for name in cls.__match_args__}
    unknown = changes.keys() - values.keys()
    if unknown:
        raise TypeError(f"{cls.__name__} has no field {sorted(unknown)[0]}")
    made: Thing = cls(**(values | changes))
    return made


def fields(thing: Any) -> tuple[str, ...]:
    """The names of the fields, in order."""
    return tuple(thing.__match_args__)
