"""Draw the same strands as a process of its own: by this project, by cairo, by a ray tracer.

``python -m tests.benchmarks.rivals WAY STRANDS.npz DPI TARGET.png [PROCESSES]``; WAY is ``lace``,
``strokes`` (cairo, one round stroke for each strand, without over, under or light) or ``tracer``
(POV-Ray, one ray a pixel, tubes with one lamp and shadows). All write an 8-bit RGB PNG.
"""

import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

MM_PER_INCH = 25.4
THREAD, CARD = (0.95, 0.93, 0.87), (0.867, 0.761, 0.569)


def read(strands):
    data = np.load(strands)
    lines = np.split(data["points"], data["starts"][1:-1])
    return lines, float(data["diameter"]), data["size_mm"]


def lace(strands, dpi, target, processes):
    from render.image.draw import draw
    from render.image.scene import Scene
    from render.image.write import write_png
    from render.threads.model import Crossings, ThreadPaths

    lines, diameter, (width, height) = read(strands)
    count, none = len(lines), np.zeros(0, np.int64)
    starts = np.cumsum([0, *(len(line) for line in lines)])
    paths = ThreadPaths(
        np.concatenate(lines), starts, np.full(count, diameter / 2), np.arange(count) // 2,
        np.zeros(count, np.int64), np.full(count, -1), Crossings(none, none, np.zeros((0, 2))),
    )  # fmt: skip
    scene = Scene(paths, np.array(THREAD), (0, 0, width, height), dpi, largest_megapixels=500)
    size = {"width": scene.view.width, "height": scene.view.height}
    write_png(target, draw(scene, processes=processes), **size, dpi=dpi)


def strokes(strands, dpi, target, _):
    import cairocffi
    from PIL import Image

    lines, diameter, size = read(strands)
    scale = dpi / MM_PER_INCH
    width, height = (round(side * scale) for side in size)
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_RGB24, width, height)
    context = cairocffi.Context(surface)
    context.set_source_rgb(*CARD)
    context.paint()
    context.set_source_rgb(*THREAD)
    context.set_line_width(diameter * scale)
    context.set_line_cap(cairocffi.LINE_CAP_ROUND)
    context.set_line_join(cairocffi.LINE_JOIN_ROUND)
    for line in lines:
        for x, y in (line[:, :2] * scale).tolist():
            context.line_to(x, y)
        context.stroke()
    surface.flush()
    # The pixels are stored as blue, green, red and one byte of nothing.
    rows = np.frombuffer(surface.get_data(), np.uint8).reshape(height, -1, 4)[:, :width, 2::-1]
    Image.fromarray(np.ascontiguousarray(rows)).save(target, compress_level=1, dpi=(dpi, dpi))


def tracer(strands, dpi, target, _):
    from render.shade.light import Light

    lines, diameter, (wide, high) = read(strands)
    toward = Light().toward
    radius, low = diameter / 2, min(float(line[:, 2].min()) for line in lines)
    scene = Path(target).with_suffix(".pov")
    with scene.open("w") as file:
        file.write(
            "#version 3.7; global_settings { assumed_gamma 1.0 max_trace_level 2 }\n"
            f"camera {{ orthographic location <{wide / 2},{-high / 2},-50> direction <0,0,1> "
            f"up <0,{high},0> right <{wide},0,0> }}\n"
            f"light_source {{ <{toward[0] * 1e4},{-toward[1] * 1e4},{-toward[2] * 1e4}> rgb 1 "
            "parallel point_at <0,0,0> }\n"
            "#declare F = finish { ambient 0.3 diffuse 0.65 };\n"
            f"plane {{ <0,0,-1>, {low - radius} pigment {{ rgb <{CARD[0]},{CARD[1]},{CARD[2]}> }} "
            "finish { F } }\n"
            f"#declare T = texture {{ pigment {{ rgb <{THREAD[0]},{THREAD[1]},{THREAD[2]}> }} "
            "finish { F } };\nunion {\n"
        )
        for line in lines:
            spots = [f"<{x:.4f},{-y:.4f},{-z:.4f}>" for x, y, z in line.tolist()]
            for p, q in pairwise(spots):
                file.write(f"cylinder {{ {p},{q},{radius} }} sphere {{ {q},{radius} }}\n")
        file.write("texture { T } }\n")
    width, height = (round(side * dpi / MM_PER_INCH) for side in (wide, high))
    words = [f"+I{scene}", f"+O{target}", f"+W{width}", f"+H{height}", "-A", "-D", "+FN8", "+WT1"]
    subprocess.run(["povray", *words], check=True, capture_output=True)


if __name__ == "__main__":
    way, strands, dpi, target, *processes = sys.argv[1:]
    ways = {"lace": lace, "strokes": strokes, "tracer": tracer}
    ways[way](strands, float(dpi), target, int(*processes or "1"))
