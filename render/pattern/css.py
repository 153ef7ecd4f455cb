"""Style sheets and style attributes, as far as they decide what a viewer shows."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from render.pattern.document import Element

INHERITED = {
    "fill": "black",
    "stroke": "none",
    "color": "black",
    "visibility": "visible",
    "fill-opacity": "1",
    "stroke-opacity": "1",
}
OWN = ("display", "opacity", "transform", "transform-origin", "stop-color")
PROPERTIES = (*INHERITED, *OWN)

COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
COMPOUND = re.compile(r"(?:[a-zA-Z][\w-]*|\*)?(?:[.#][\w-]+)*")
PIECE = re.compile(r"[.#]?[^.#]+")

Declarations = dict[str, tuple[str, bool]]
Specificity = tuple[int, int, int]


@dataclass(frozen=True)
class Rule:
    """A selector and what it sets.

    Attributes
    ----------
    selector
        Compound selectors from the outermost to the element itself, each with the combinator
        before it, ``" "`` or ``">"``.
    specificity
        How many ids, classes and tags it names.
    declarations
        Value and importance by property.
    """

    selector: tuple[tuple[str, str], ...]
    specificity: Specificity
    declarations: Declarations


@dataclass(frozen=True)
class StyleSheet:
    """The rules of a drawing, the weakest first.

    Attributes
    ----------
    unread
        Selectors and at-rules that are not understood.
    """

    rules: tuple[Rule, ...] = ()
    unread: tuple[str, ...] = ()

    def declared(self, path: Sequence[Element]) -> dict[str, str]:
        """Return what an element's own attributes and the rules say about it.

        Parameters
        ----------
        path
            The element's ancestors from the root, and the element.
        """
        attributes = path[-1].attributes
        declared: Declarations = {
            name: (attributes[name].strip(), False) for name in PROPERTIES if name in attributes
        }
        for rule in self.rules:
            if _matches(rule.selector, path):
                _lay_over(declared, rule.declarations)
        if "style" in attributes:
            _lay_over(declared, parse_declarations(attributes["style"]))
        return {name: value for name, (value, _) in declared.items()}


def parse_declarations(text: str) -> Declarations:
    """Read ``name: value; ...``, keeping the properties that matter here."""
    found: Declarations = {}
    for declaration in COMMENT.sub("", text).split(";"):
        name, _, value = declaration.partition(":")
        value, bang, importance = value.strip().partition("!")
        if name.strip().lower() in PROPERTIES and value:
            found[name.strip().lower()] = (value.strip(), bool(bang) and "important" in importance)
    return found


def parse_style_sheet(text: str) -> StyleSheet:
    """Read the text of a drawing's style elements.

    References
    ----------
    .. W3C, Selectors Level 3, sections 5, 8 and 9; CSS Cascading Level 4, section 6
    """
    rules: list[Rule] = []
    unread: list[str] = []
    rest = COMMENT.sub("", text).replace("<!--", "").replace("-->", "")
    while rest.strip():
        head, body, rest = _next_block(rest)
        if head.startswith("@"):
            unread.append(head)
            continue
        declarations = parse_declarations(body)
        for written in head.split(","):
            selector = _parse_selector(written)
            if selector is None:
                unread.append(written.strip())
            elif declarations:
                rules.append(Rule(selector, _specificity(selector), declarations))
    return StyleSheet(tuple(sorted(rules, key=lambda rule: rule.specificity)), tuple(unread))


def _next_block(text: str) -> tuple[str, str, str]:
    """Split off the head and body of the first rule; an at-rule's body may hold blocks."""
    brace, semicolon = text.find("{"), text.find(";")
    if text.lstrip().startswith("@") and 0 <= semicolon < (brace if brace >= 0 else len(text)):
        return text[:semicolon].strip(), "", text[semicolon + 1 :]
    if brace < 0:
        return text.strip(), "", ""
    depth, end = 1, brace + 1
    while depth and end < len(text):
        depth += {"{": 1, "}": -1}.get(text[end], 0)
        end += 1
    return text[:brace].strip(), text[brace + 1 : end - 1 if not depth else end], text[end:]


def _parse_selector(text: str) -> tuple[tuple[str, str], ...] | None:
    """Read tags, ids and classes joined by blanks or ``>``; None for anything else."""
    parts: list[tuple[str, str]] = []
    combinator = " "
    for token in text.replace(">", " > ").split():
        if token == ">":
            combinator = ">"
        elif COMPOUND.fullmatch(token):
            parts.append((combinator, token))
            combinator = " "
        else:
            return None
    return tuple(parts) if parts and combinator == " " else None


def _specificity(selector: tuple[tuple[str, str], ...]) -> Specificity:
    """Count ids, classes and tags."""
    text = " ".join(compound for _, compound in selector)
    tags = sum(compound[0] not in ".#*" for _, compound in selector)
    return text.count("#"), text.count("."), tags


def _matches(selector: tuple[tuple[str, str], ...], path: Sequence[Element]) -> bool:
    """Tell whether a selector picks the last element of a path."""
    combinator, compound = selector[-1]
    if not path or not _is(compound, path[-1]):
        return False
    outer = selector[:-1]
    if not outer:
        return True
    if combinator == ">":
        return _matches(outer, path[:-1])
    return any(_matches(outer, path[:end]) for end in range(len(path) - 1, 0, -1))


def _is(compound: str, element: Element) -> bool:
    """Tell whether an element has the tag, ids and classes of a compound selector."""
    classes = element.attributes.get("class", "").split()
    for piece in PIECE.findall(compound):
        if piece[0] == "#":
            fits = element.attributes.get("id") == piece[1:]
        elif piece[0] == ".":
            fits = piece[1:] in classes
        else:
            fits = piece in ("*", element.tag)
        if not fits:
            return False
    return True


def _lay_over(declared: Declarations, stronger: Mapping[str, tuple[str, bool]]) -> None:
    """Let stronger declarations win, but over none that is more important."""
    for name, (value, important) in stronger.items():
        if important or not declared.get(name, ("", False))[1]:
            declared[name] = (value, important)
