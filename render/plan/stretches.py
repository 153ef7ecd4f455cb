"""The stretches of an area, each with one worker: an area with openings divides and joins again.

From above, an area is one stretch until the top of an opening: there its pairs divide, and two
stretches run down on either side until they meet below the opening and go on as one.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.geometry.polygon import nearest_on_path
from render.plan.direction import (
    Drawn,
    conflicts,
    heading,
    is_compact,
    led_by,
    runs_against,
    turns_about,
)
from render.plan.dividing import divided
from render.plan.free_turns import rows
from render.plan.rails import LEFT, RIGHT, Course, Rails, clockwise, find_rails
from render.plan.stretch import Stretch, Stretches
from render.plan.visiting import lay_course
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]

# Holes are level with a tip that lie less far above or below it than this share of the way there.
LEVEL = 0.2
# How far on, as a share of the way to the next hole, the inner edge of a ring is looked for.
AHEAD = 0.1


def lay_stretches(
    pricking: Pricking,
    area: Area,
    lines: Sequence[Drawn] = (),
    *,
    fed: bool,
    capped: frozenset[int],
    floored: frozenset[int],
) -> Stretches:
    """Find how an area is gone through.

    Parameters
    ----------
    area
        With at least two holes on its outline.
    lines
        The directions drawn in it, the longest first.
    fed
        Whether ground feeds it: then it is worked in the working direction of the piece, otherwise
        along its own length.
    capped, floored
        Holes that take two pairs from above, or send two down: they can be part of a flat
        beginning or end.
    """
    along = heading(pricking, lines, fed=fed)
    openings = [k for k in range(1, len(area.edges)) if len(area.edges[k]) >= 2]
    course: Course | None = None
    if not fed and len(openings) == 1 and len(area.edges[openings[0]]) >= 3:
        found = _run_round(pricking, area, openings[0], along, lines)
        course = found.parts[0].course
    else:
        compact = bool(lines) and is_compact(area)
        level = fed or bool(openings) or compact
        ends = None
        if compact and not (fed or openings):
            ends = led_by(lines, pricking.holes[clockwise(area, 0)])
        if compact and not fed:
            ways = lines[0].ways if ends else (along, along)
            capped, floored = _flat_tips(pricking, area, ways, ends)
        rails = find_rails(
            pricking, area, along, level=level, capped=capped, floored=floored, ends=ends
        )
        if level:
            tips = (capped, floored) if fed else None
            found = divided(pricking, area, rails, openings, along, tips=tips)
        else:
            course = lay_course(pricking.holes, rails)
            if lines and runs_against(pricking, course, lines[0]):
                course = lay_course(pricking.holes, _reversed(rails))
            found = Stretches((Stretch(course),))
    told = conflicts(pricking, lines, fed=fed, course=course)
    parts = _with_inner_holes(pricking.holes, area, found.parts)
    return replace(found, parts=parts, remarks=(*found.remarks, *told))


def _reversed(rails: Rails) -> Rails:
    """Return the rails of the same area worked from its other end."""
    return Rails(rails.end, rails.right[::-1], rails.left[::-1], rails.start)


def _flat_tips(
    pricking: Pricking, area: Area, ways: tuple[Points, Points], ends: tuple[int, int] | None
) -> tuple[frozenset[int], frozenset[int]]:
    """Return the holes of an outline that lie level with its first, and with its last one.

    Parameters
    ----------
    ways
        The (2,) unit vectors in which it begins and ends.
    ends
        Which of its holes are first and last where that is known, otherwise the outermost.
    """
    around = np.array(clockwise(area, 0))
    spots = pricking.holes[around]
    if ends is None:
        ends = int((spots @ ways[0]).argmin()), int((spots @ ways[1]).argmax())
    flat = []
    for tip, way in zip(ends, ways, strict=True):
        offset = spots - spots[tip]
        level = np.abs(offset @ way) <= LEVEL * np.hypot(*offset.T)
        flat.append(frozenset(around[level].tolist()))
    return flat[0], flat[1]


# A ring that stands alone ----------------------------------------------------------------------


def _run_round(
    pricking: Pricking, area: Area, opening: int, along: Points, lines: Sequence[Drawn]
) -> Stretches:
    """Let one trail run round a ring, from its top or where a line drawn round it begins."""
    holes = pricking.holes
    outer, inner = clockwise(area, 0), clockwise(area, opening)
    turn = turns_about(lines[0], area.contours[0]) if lines else 0
    if turn:
        top = int(np.hypot(*(holes[outer] - lines[0].path[0]).T).argmin())
    else:
        top = int((holes[outer] @ along).argmin())
    outer = outer[top:] + outer[:top]
    # Of two inner holes as near as each other, the one it comes to first.
    ahead = holes[outer[0]] + AHEAD * (holes[outer[-1 if turn < 0 else 1]] - holes[outer[0]])
    near = int(np.hypot(*(holes[inner] - ahead).T).argmin())
    inner = inner[near:] + inner[:near]
    rails = Rails((outer[0],), tuple(inner), tuple(outer[1:]), (outer[0],), standing=RIGHT)
    if turn < 0:
        back = tuple(inner[:1] + inner[:0:-1])
        rails = Rails((outer[0],), tuple(outer[:0:-1]), back, (outer[0],), standing=LEFT)
    course = lay_course(holes, rails)
    remark = Remark(
        "this ring stands alone: one trail runs round it from here and is sewn to its beginning",
        pricking.place(outer[0]),
    )
    return Stretches((Stretch(course, ring=True),), remarks=(remark,))


def _with_inner_holes(holes: Points, area: Area, parts: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
    """Give every hole inside an area to the row that passes nearest."""
    single = [e.tolist() for e in area.edges[1:] if len(e) < 2]
    inside = [*area.inside.tolist(), *(h for edge in single for h in edge)]
    ways: list[tuple[int, int, Points]] = []
    for number, part in enumerate(parts):
        ways += [(number, k, way) for k, way in enumerate(rows(holes, part.course))]
    given: dict[tuple[int, int], list[int]] = {}
    for hole in inside:
        spot = holes[hole][None]
        apart = [float(nearest_on_path(way, spot, closed=False)[0][0]) for _, _, way in ways]
        number, k, _ = ways[int(np.argmin(apart))]
        given.setdefault((number, k), []).append(hole)
    laid = []
    for number, part in enumerate(parts):
        inner = tuple(tuple(given.get((number, k), ())) for k in range(len(part.course.visits) + 1))
        laid.append(replace(part, course=replace(part.course, inner=inner)))
    return tuple(laid)
