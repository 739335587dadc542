"""Values of a PDF as pikepdf gives them."""
from pikepdf import Array, Name


def text(v):
    return None if v is None else str(v)


def name(v):
    """A name without its slash; None where there is none."""
    return str(v)[1:] if isinstance(v, Name) else None


def key(v):
    return v.objgen if v.is_indirect else id(v)


def listed(v):
    """A list, or the one value that stands in place of it."""
    if v is None:
        return []
    return list(v) if isinstance(v, Array) else [v]


_kept = {}


def kept(make, data):
    """What was made of the same bytes before: damaged papers share most streams."""
    k = (make, data)
    if k not in _kept:
        _kept[k] = make(data)
    return _kept[k]
