"""What is written on a drawing: short texts beside its parts."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from render.errors import SettingError
from render.pattern.document import Element
from render.pattern.model import Label
from render.pattern.transform import Matrix, transform_of
from render.pattern.words import parse_number

# Texts in these are shown elsewhere, or never; drawings within a drawing have pages of their own.
APART = {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "metadata", "title", "desc"}
# The usual size of text in user units (CSS Fonts, section 2.5: "medium").
USUAL_SIZE = 16.0
ANCHORS = ("start", "middle", "end")


@dataclass(frozen=True)
class _Inherited:
    """What holds for all text inside an element."""

    matrix: Matrix
    size: float = USUAL_SIZE
    anchor: str = "start"


def read_labels(root: Element, matrix: Matrix) -> tuple[Label, ...]:
    """Return the texts of a drawing, whether it marks them as notes or not.

    Parameters
    ----------
    root
        The drawing.
    matrix
        From its units to mm.
    """
    found: list[Label] = []
    waiting = [(root, _Inherited(matrix))]
    while waiting:
        element, outer = waiting.pop()
        try:
            inner = _inherit(element, outer)
            if element.tag == "text":
                found += _lines(element, inner)
                continue
        except SettingError:  # a text marks nothing: what cannot be read of it is no fault
            continue
        if element.tag not in APART and not (element.tag == "svg" and element is not root):
            waiting += [(child, inner) for child in reversed(element.children)]
    return tuple(found)


def _inherit(element: Element, outer: _Inherited) -> _Inherited:
    declared = dict(element.attributes)
    for declaration in declared.get("style", "").split(";"):
        name, _, value = declaration.partition(":")
        declared[name.strip()] = value.strip()
    anchor, size = declared.get("text-anchor", outer.anchor), declared.get("font-size", "")
    return replace(
        outer,
        matrix=outer.matrix.after(transform_of(declared)),
        size=_number(size, outer.size),
        anchor=anchor if anchor in ANCHORS else outer.anchor,
    )


def _lines(element: Element, inner: _Inherited) -> Iterator[Label]:
    """Yield the lines of a text element; a part with a place of its own begins another one."""
    x, y = (_number(element.attributes.get(name, ""), 0.0) for name in "xy")
    text = element.text
    for part in element.children:
        own = part.attributes
        if {"x", "y", "dy"} & own.keys():
            yield from _label(text, x, y, inner)
            x, y = _number(own.get("x", ""), x), _number(own.get("y", ""), y)
            y, text = y + _number(own.get("dy", ""), 0.0), ""
        text += part.text
    yield from _label(text, x, y, inner)


def _label(text: str, x: float, y: float, inner: _Inherited) -> Iterator[Label]:
    said = " ".join(text.split())
    if said:
        at = inner.matrix.map_one(x, y)
        a, b, c, d, *_ = inner.matrix
        size = inner.size * abs(a * d - b * c) ** 0.5
        yield Label(said, at, size, inner.anchor)


def _number(text: str, usual: float) -> float:
    """Return a number of user units, with ``px`` after it or not."""
    number = parse_number(text.strip().removesuffix("px"))
    return usual if number is None else number
