"""Drawing keeps to numbers of 32 bits; of 64 they take twice the memory and a third more time."""

from dataclasses import fields

import numpy as np
import pytest

from render.shade.batch import Strip, batch
from render.shade.layers import layers
from render.shade.light import Light
from render.shade.look import Look
from render.shade.material import MATERIALS
from render.shade.stage import set_stage
from render.shade.strip import lit


@pytest.fixture(params=[("cotton",), ("cotton", "metal")], ids=["one material", "two"])
def stage(request, weave, look_at):
    cloth = weave(12, 12, 0.55, 0.3)
    count = len(cloth.radius)
    made_of = np.arange(count) % len(request.param)
    materials = tuple(MATERIALS[name] for name in request.param)
    look = Look(np.full((count, 3), 0.5, np.float32), materials, made_of)
    return set_stage(cloth, look_at(6.6, 6.6, 600), look, Light())


def floats_of(product):
    values = {field.name: getattr(product, field.name) for field in fields(product)}
    return {
        name: value.dtype
        for name, value in values.items()
        if isinstance(value, np.ndarray) and value.dtype.kind == "f"
    }


def test_no_number_of_a_strip_is_larger_than_it_must_be(stage):
    strip = Strip(0, 0, 150, 150)
    seen = batch(stage.pieces, strip, stage.outline)
    made = [seen, *layers(seen, strip, stage.outline), lit(stage, strip)]
    for product in made:
        found = floats_of(product)
        assert found
        assert set(found.values()) == {np.dtype(np.float32)}, found
