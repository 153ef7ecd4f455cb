"""Which word a colour of the drawing stands for."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.errors import SettingError
from render.pattern.findings import Findings
from render.pattern.key import FARTHEST, ColourKey, Match
from render.pattern.style import Paint

EXACT = 0.05


@dataclass
class Shades:
    """Looks colours up in a key, and counts what it took for what.

    Attributes
    ----------
    key
        The colour key.
    """

    key: ColourKey
    _known: dict[tuple[str, str], Match | None] = field(default_factory=dict)
    _taken: Counter[tuple[str, Match]] = field(default_factory=Counter)

    def stitch(self, paint: Paint, what: str) -> str:
        """Return the stitch a fill or stroke stands for.

        Parameters
        ----------
        paint
            A paint that is shown.
        what
            ``fill`` or ``stroke``, for messages.

        Raises
        ------
        SettingError
            Where it stands for none.
        """
        return self._word(paint, what, "stitch", self.key.stitch_of)

    def line(self, paint: Paint) -> str:
        """Return the line a stroke stands for.

        Raises
        ------
        SettingError
            Where it stands for none.
        """
        return self._word(paint, "stroke", "line", self.key.line_of)

    def only_line(self, paint: Paint) -> bool:
        """Tell whether a stroke stands for a line and for no stitch."""
        if not paint.shown or paint.srgb is None:
            return False
        stitch = self._match(paint.text, paint.srgb, "stitch", self.key.stitch_of)
        line = self._match(paint.text, paint.srgb, "line", self.key.line_of)
        return not (stitch and stitch.close) and line is not None and line.close

    def tag(self, paint: Paint) -> str | None:
        """Return the stitch the fill of a hole stands for, None where it stands for none."""
        if not paint.shown or paint.srgb is None:
            return None
        match = self._match(paint.text, paint.srgb, "stitch", self.key.stitch_of)
        if match is None or not match.close:
            return None
        self._taken[paint.text, match] += 1
        return match.word

    def report(self, findings: Findings) -> None:
        """Remark on every colour that was not quite the key's."""
        for (colour, match), count in self._taken.items():
            if match.away > EXACT:
                things = "element was" if count == 1 else "elements were"
                findings.remark(
                    f'{count} {things} taken for "{match.word}" by the colour {colour}, '
                    f"{match.away:.1f} away from its shade"
                )

    def _word(
        self,
        paint: Paint,
        what: str,
        kind: str,
        look_up: Callable[[NDArray[np.float64]], Match | None],
    ) -> str:
        """Return the word of one table of the key."""
        shades = self.key.stitches if kind == "stitch" else self.key.lines
        listed = ", ".join(f"{word} {shade}" for word, shade in shades.items())
        remedy = f"use a colour of the key ({listed}) or add data-{kind}"
        if paint.srgb is None:
            raise SettingError(f'its {what} "{paint.text}" is no plain colour; {remedy}')
        match = self._match(paint.text, paint.srgb, kind, look_up)
        if match is None:
            raise SettingError(f"the colour key has no shade for any {kind}; add data-{kind}")
        if not match.close:
            raise SettingError(
                f"its {what} {paint.text} is like no {kind} of the colour key (the nearest, "
                f'"{match.word}", is {match.away:.0f} away, {FARTHEST:g} at most); {remedy}'
            )
        self._taken[paint.text, match] += 1
        return match.word

    def _match(
        self,
        text: str,
        srgb: NDArray[np.float64],
        kind: str,
        look_up: Callable[[NDArray[np.float64]], Match | None],
    ) -> Match | None:
        """Return the nearest shade, looked up once for each colour."""
        if (kind, text) not in self._known:
            self._known[kind, text] = look_up(srgb)
        return self._known[kind, text]
