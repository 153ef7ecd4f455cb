"""What the reader of a pattern found wrong or worth telling."""

from dataclasses import dataclass, field

from render.errors import PatternError, Place, Remark


@dataclass
class Findings:
    """Faults and remarks, gathered while a file is read.

    Attributes
    ----------
    source
        The name of the file.
    """

    source: str
    remarks: list[Remark] = field(default_factory=list)
    _faults: list[Remark] = field(default_factory=list)
    _order: dict[str, int] = field(default_factory=dict)

    def place(self, item: str, x_mm: float | None = None, y_mm: float | None = None) -> Place:
        """Return a place and remember when it was come across."""
        self._order.setdefault(item, len(self._order))
        return Place(item, x_mm, y_mm)

    def fault(self, message: str, place: Place | None = None) -> None:
        """Note something that keeps the pattern from being read."""
        self._faults.append(Remark(message, place))

    def remark(self, message: str, place: Place | None = None, kind: str = "doubt") -> None:
        """Note something a person should know."""
        self.remarks.append(Remark(message, place, kind))

    @property
    def faulty(self) -> bool:
        """Whether anything was found wrong."""
        return bool(self._faults)

    def raise_faults(self) -> None:
        """Raise what was found wrong, if anything, in the order of the file."""
        if self._faults:
            raise PatternError(self.source, tuple(sorted(self._faults, key=self._rank)))

    def _rank(self, fault: Remark) -> int:
        """Return when the place of a fault was come across; the whole file comes last."""
        return self._order.get(fault.place.item, -1) if fault.place else len(self._order)
