"""Every value of a piece file with its place, and a piece with one of them changed."""

import dataclasses
from dataclasses import replace


def leaves(part, path=()):
    """Every field of a part that holds a value, with its path; of the parts in it as well."""
    for one in dataclasses.fields(part):
        kind, value = one.metadata["kind"], getattr(part, one.name)
        if kind.part is None:
            yield (*path, one.name), kind, value
        elif kind.many:
            for place, inner in enumerate(value):
                yield from leaves(inner, (*path, one.name, place))
        elif value is not None:
            yield from leaves(value, (*path, one.name))


def changed(part, path, value):
    """The part with one value changed, however deep it lies."""
    name, *rest = path
    if not rest:
        return replace(part, **{name: value})
    inner = getattr(part, name)
    if isinstance(rest[0], int):
        row = list(inner)
        row[rest[0]] = changed(row[rest[0]], rest[1:], value)
        return replace(part, **{name: tuple(row)})
    return replace(part, **{name: changed(inner, rest, value)})
