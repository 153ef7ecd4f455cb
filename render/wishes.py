"""How a piece is to be worked and shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from render.errors import SettingError, did_you_mean
from render.estimate.changes import check_density
from render.estimate.suiting import Asked
from render.image.background import Background, Card, Colour
from render.image.scene import LARGEST_MEGAPIXELS
from render.pattern.repeat import times_asked
from render.settle.settle import USUAL
from render.shade.material import MATERIALS

STATES = ("pillow", "finished")
# Unbleached cotton.
THREAD = "#f2ecde"


@dataclass(frozen=True)
class Wishes:
    """How a piece is to be worked and shown.

    Attributes
    ----------
    gauge_mm
        Diameter of the thread; None for the pattern's own, AUTO for the one that suits best.
    density
        Factor on the pairs of areas that stand alone.
    density_of
        Density of some areas by their names, instead of what the pattern says.
    leg_twists
        Twists that the legs of ground get beyond those of their stitch; None for the pattern's own.
    tension
        ``firm``, ``usual`` or ``slack``: how hard stitches are pulled up.
    state
        ``pillow`` while the pins hold, ``finished`` when they are out.
    thread
        (3,) sRGB of the thread, 0 to 1.
    dyed
        sRGB of some threads by whom they are for, as `render.dyeing.dye` has it.
    material
        ``cotton``, ``linen``, ``silk`` or ``metal``.
    plies, twist
        Strands twisted together, and ``S`` or ``Z``; None for what is usual of the material.
    background
        What the lace lies on.
    pins
        Whether pins are shown.
    notes
        Whether the texts of the pattern are written over the picture.
    dpi
        Pixels per inch of lace.
    largest_megapixels
        Pictures larger than this are refused.
    repeats, length_mm
        How often the pattern is worked, or how long the piece shall be; None for once. Not both.
    """

    gauge_mm: Asked = None
    density: float = 1.0
    density_of: Mapping[str, float] = field(default_factory=dict)
    leg_twists: int | None = None
    tension: str = USUAL
    state: str = "pillow"
    thread: Colour = (0.949, 0.925, 0.871)
    dyed: Mapping[str, Colour] = field(default_factory=dict)
    material: str = "cotton"
    plies: int | None = None
    twist: str | None = None
    background: Background = field(default_factory=Card)
    pins: bool = False
    notes: bool = False
    dpi: float = 300.0
    largest_megapixels: float = LARGEST_MEGAPIXELS
    repeats: int | None = None
    length_mm: float | None = None

    def __post_init__(self) -> None:
        times_asked(self.repeats, self.length_mm)
        if self.pins and self.state == "finished":
            raise SettingError("a finished piece has no pins in it: ask for one or the other")
        check_density(self.density)
        if self.material not in MATERIALS:
            hint = did_you_mean(self.material, MATERIALS)
            raise SettingError(f'unknown material "{self.material}"; {hint}')
        if self.twist not in (None, "S", "Z"):
            raise SettingError(f'unknown twist "{self.twist}"; expected one of S, Z')
        if self.plies is not None and not 1 <= self.plies <= 12:
            raise SettingError(f"a thread of {self.plies} plies is not between 1 and 12")
