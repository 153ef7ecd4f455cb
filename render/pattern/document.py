"""XML into a tree of elements, with nothing fetched and nothing unfolded."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from render.errors import PatternError, Place, Remark

LARGEST_BYTES = 50_000_000
MOST_ELEMENTS = 500_000
DEEPEST = 250

SVG_NAMESPACE = "http://www.w3.org/2000/svg"
XLINK_HREF = "http://www.w3.org/1999/xlink href"
BREAKS_OFF = {
    expat.errors.codes[text]
    for text in (
        expat.errors.XML_ERROR_NO_ELEMENTS,
        expat.errors.XML_ERROR_UNCLOSED_TOKEN,
        expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION,
        expat.errors.XML_ERROR_PARTIAL_CHAR,
    )
}


@dataclass(slots=True, eq=False)
class Element:
    """An element of a drawing.

    Attributes
    ----------
    tag
        Its name; with its namespace before it, and a space, where it is not SVG's own.
    attributes
        Values by name; ``href`` also where it was written ``xlink:href``.
    line
        Where it begins in the file, from 1.
    text
        The characters directly in it.
    """

    tag: str
    attributes: dict[str, str]
    line: int = 0
    children: list["Element"] = field(default_factory=list)
    text: str = ""

    @property
    def name(self) -> str:
        """What a person would call it."""
        name = self.attributes.get("id")
        return f'{self.tag} "{name}"' if name else f"{self.tag} in line {self.line}"

    @property
    def words(self) -> dict[str, str]:
        """Its ``data-`` attributes, without that beginning."""
        return {
            name[5:]: value.strip()
            for name, value in self.attributes.items()
            if name.startswith("data-")
        }

    def descendants(self) -> Iterator["Element"]:
        """Yield the element and all within it, in the order of the file."""
        waiting = [self]
        while waiting:
            element = waiting.pop()
            yield element
            waiting.extend(reversed(element.children))


def parse_document(data: bytes, source: str) -> Element:
    """Return the root of an XML file.

    Entities are refused where they are declared, so that none can be unfolded or fetched.

    Parameters
    ----------
    data
        The file.
    source
        Its name, for messages.

    Raises
    ------
    PatternError
        Where it is not whole and harmless XML.
    """
    builder = _Builder(source)
    try:
        builder.parser.Parse(data, True)
    except expat.ExpatError as error:
        line = Place(f"line {error.lineno}")
        if error.code in BREAKS_OFF:
            message = "the file breaks off here; it may have been saved or sent incompletely"
        else:
            reason = expat.ErrorString(error.code)
            message = f"this is not XML ({reason}); save the drawing anew from its program"
        raise PatternError(source, (Remark(message, line),)) from None
    except (LookupError, ValueError) as error:
        message = f"its encoding cannot be read ({error}); save it as UTF-8"
        raise PatternError(source, (Remark(message),)) from None
    return builder.root


class _Builder:
    """Takes what expat reports and grows the tree."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.count = 0
        self.open: list[Element] = []
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.characters
        self.parser.EntityDeclHandler = self.entity

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Open an element."""
        self.count += 1
        if self.count > MOST_ELEMENTS:
            self.refuse(f"the drawing has more than {MOST_ELEMENTS} elements")
        if len(self.open) > DEEPEST:
            self.refuse(f"its groups are nested more than {DEEPEST} deep; ungroup the drawing")
        if XLINK_HREF in attributes:
            attributes.setdefault("href", attributes[XLINK_HREF])
        tag = name.removeprefix(f"{SVG_NAMESPACE} ")
        element = Element(tag, attributes, self.parser.CurrentLineNumber)
        if self.open:
            self.open[-1].children.append(element)
        else:
            self.root = element
        self.open.append(element)

    def end(self, _name: str) -> None:
        """Close an element."""
        self.open.pop()

    def characters(self, text: str) -> None:
        """Add text to the open element."""
        self.open[-1].text += text

    def entity(self, name: str, *_rest: object) -> None:
        """Refuse every entity."""
        self.refuse(
            f'the file declares the entity "{name}", which could unfold without end or fetch '
            "other files; save the drawing as plain SVG"
        )

    def refuse(self, message: str) -> None:
        """Stop reading."""
        place = Place(f"line {self.parser.CurrentLineNumber}")
        raise PatternError(self.source, (Remark(message, place),))
