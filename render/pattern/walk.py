"""A drawing's tree into the elements a viewer shows, each where it stands.

svgelements reads paths and transforms for us, but not whole files: its reader passes over what it
does not understand, where a maker must be told, and it has forgotten by then which element it was.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from render.errors import Place, SettingError
from render.pattern.contours import SHAPES
from render.pattern.css import parse_style_sheet
from render.pattern.document import MOST_ELEMENTS, Element
from render.pattern.findings import Findings
from render.pattern.style import Style
from render.pattern.transform import (
    Matrix,
    fit_view_box,
    transform_of,
    user_length,
    view_box,
)
from render.pattern.words import ELEMENT_WORDS, misspelt, parse_number

SHOWN = SHAPES | {"svg", "g", "a", "switch", "use"}

Viewport = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A shape as it is shown.

    Attributes
    ----------
    element
        One of SHAPES.
    matrix
        From its user units to mm.
    style
        As computed.
    words
        Its ``data-`` words and those of the groups it is in, its own first.
    viewport
        Width and height that percentages refer to, in user units.
    """

    element: Element
    matrix: Matrix
    style: Style
    words: Mapping[str, str]
    viewport: Viewport | None


@dataclass(frozen=True, slots=True)
class _Visit:
    """An element to be looked at, and what it inherits."""

    path: tuple[Element, ...]
    matrix: Matrix
    style: Style
    words: Mapping[str, str]
    viewport: Viewport | None
    used: tuple[Element, ...] = ()


class Walk:
    """Goes through a drawing as a viewer does.

    Parameters
    ----------
    root
        The drawing.
    findings
        Takes faults and remarks.
    """

    def __init__(self, root: Element, findings: Findings) -> None:
        self.root = root
        self.findings = findings
        self.ids: dict[str, Element] = {}
        self.parents: dict[Element, Element] = {}
        sheets = []
        pictures = 0
        for element in root.descendants():
            self.ids.setdefault(element.attributes.get("id", ""), element)
            self.parents.update(dict.fromkeys(element.children, element))
            if element.tag == "style":
                sheets.append(element.text)
            pictures += element.tag == "image"
        if pictures:
            were = "picture in the drawing was" if pictures == 1 else "pictures in the drawing were"
            findings.remark(f"{pictures} {were} left out", kind="note")
        self.sheet = parse_style_sheet("\n".join(sheets))
        for selector in self.sheet.unread:
            findings.remark(f'the style rule "{selector}" is not understood and was left out')

    def shapes(self, matrix: Matrix, viewport: Viewport | None) -> Iterator[Drawn]:
        """Yield every shape that is shown, in the order of the file.

        Parameters
        ----------
        matrix
            From the root's user units to mm.
        viewport
            The root's width and height in user units.
        """
        style = Style().under(self.sheet.declared((self.root,)))
        waiting = self._children(_Visit((self.root,), matrix, style, {}, viewport))
        count = 0
        while waiting:
            visit = waiting.pop()
            count += 1
            if count > MOST_ELEMENTS:
                self.findings.fault(f"the drawing unfolds to more than {MOST_ELEMENTS} elements")
                return
            try:
                inner = self._enter(visit)
            except SettingError as error:
                self.findings.fault(str(error), self._place(visit.path[-1]))
                continue
            element = visit.path[-1]
            if inner is None:
                continue
            if element.tag in SHAPES:
                if inner.style["visibility"] == "visible":
                    yield Drawn(element, inner.matrix, inner.style, inner.words, inner.viewport)
            else:
                waiting += self._inside(element, inner)

    def _enter(self, visit: _Visit) -> _Visit | None:
        """Return what holds inside an element, None where nothing of it is shown."""
        element = visit.path[-1]
        is_symbol_used = element.tag == "symbol" and element in visit.used[-1:]
        if element.tag not in SHOWN and not is_symbol_used:
            return None
        words = visit.words
        if own := element.words:
            self._check_spelling(element, own)
            if own.get("role") == "notes":
                return None
            # A word of its own of either kind goes before both kinds from a group.
            if "stitch" in own or "line" in own:
                words = {k: v for k, v in words.items() if k not in ("stitch", "line")}
            words = {**words, **own}
        declared = self.sheet.declared(visit.path)
        if not declared:
            return visit if words is visit.words else replace(visit, words=words)
        if declared.get("display") == "none" or parse_number(declared.get("opacity", "1")) == 0:
            return None
        matrix = visit.matrix
        if "transform" in declared:
            matrix = matrix.after(transform_of(declared))
        return replace(visit, words=words, matrix=matrix, style=visit.style.under(declared))

    def _inside(self, element: Element, inner: _Visit) -> list[_Visit]:
        """Return the visits below a container or use, the first last."""
        try:
            if element.tag == "use":
                return self._used(element, inner)
            if element.tag in ("svg", "symbol"):
                inner = self._viewport(element, element, inner)
        except SettingError as error:
            self.findings.fault(str(error), self._place(element))
            return []
        return self._children(inner)

    def _children(self, inner: _Visit) -> list[_Visit]:
        """Return a visit for each child, the first last."""
        parent = inner.path[-1]
        children = parent.children
        if parent.tag == "switch":
            # Its children are alternatives; we know no extension and take the first plain one.
            children = [
                child
                for child in children
                if child.tag != "foreignObject" and "requiredExtensions" not in child.attributes
            ][:1]
        return [replace(inner, path=(*inner.path, child)) for child in reversed(children)]

    def _used(self, use: Element, inner: _Visit) -> list[_Visit]:
        """Return the visit of what a use element shows."""
        link = use.attributes.get("href", "")
        if not link.startswith("#"):
            raise SettingError(f'it uses "{link}" of another file; bring that into the drawing')
        target = self.ids.get(link[1:])
        if target is None:
            raise SettingError(f'it uses "{link}", which is not in the drawing')
        if any(target is element for element in (*inner.used, *inner.path)):
            raise SettingError(f'it uses "{link}", which in turn uses it')
        wide, high = inner.viewport or (None, None)
        offset = Matrix(e=user_length(use, "x", wide), f=user_length(use, "y", high))
        inner = replace(
            inner,
            # Style rules see it where it was drawn, not where it is used (SVG 2, section 5.6).
            path=self._path(target),
            matrix=inner.matrix.after(offset),
            used=(*inner.used, target),
        )
        if target.tag not in ("svg", "symbol"):
            return [inner]
        entered = self._enter(inner)
        return self._children(self._viewport(target, use, entered)) if entered else []

    def _path(self, element: Element) -> tuple[Element, ...]:
        """Return the ancestors of an element from the root, and the element."""
        path = [element]
        while path[-1] in self.parents:
            path.append(self.parents[path[-1]])
        return tuple(reversed(path))

    def _viewport(self, element: Element, sized: Element, inner: _Visit) -> _Visit:
        """Return what holds inside an inner svg or a symbol."""
        wide, high = inner.viewport or (None, None)
        matrix = inner.matrix
        if element.tag == "svg":
            x, y = user_length(element, "x", wide), user_length(element, "y", high)
            matrix = matrix.after(Matrix(e=x, f=y))
        box = view_box(element)
        sizes = [
            user_length(sized, name, whole, user_length(element, name, whole, whole or 0.0))
            for name, whole in (("width", wide), ("height", high))
        ]
        if box is None:
            viewport = (sizes[0], sizes[1]) if all(sizes) else inner.viewport
            return replace(inner, matrix=matrix, viewport=viewport)
        width, height = sizes[0] or box[2], sizes[1] or box[3]
        aspect = element.attributes.get("preserveAspectRatio", "")
        matrix = matrix.after(fit_view_box(box, width, height, aspect))
        return replace(inner, matrix=matrix, viewport=(box[2], box[3]))

    def _check_spelling(self, element: Element, own: Mapping[str, str]) -> None:
        """Fault words that are nearly ours."""
        place = self._place(element)
        for name, meant in misspelt(own, ELEMENT_WORDS).items():
            self.findings.fault(f'unknown word data-{name}; did you mean "data-{meant}"?', place)
        for role in misspelt([own.get("role", "notes")], ["notes"]):
            self.findings.fault(f'unknown data-role "{role}"; did you mean "notes"?', place)

    def _place(self, element: Element) -> Place:
        """Return where an element is, before its position is known."""
        return self.findings.place(element.name)
