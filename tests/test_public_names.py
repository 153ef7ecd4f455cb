"""What the library promises to the outside."""

import inspect

import pytest

import render

NAMES = sorted(render.__all__)


def test_all_public_names_are_listed_and_there():
    assert len(set(render.__all__)) == len(render.__all__)
    assert [name for name in NAMES if not hasattr(render, name)] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_public_class_or_function_says_what_it_is(name):
    thing = getattr(render, name)
    if inspect.isclass(thing) or inspect.isfunction(thing):
        assert len(inspect.getdoc(thing) or "") > 20


@pytest.mark.parametrize("name", NAMES)
def test_a_public_function_is_annotated(name):
    thing = getattr(render, name)
    if inspect.isfunction(thing):
        signature = inspect.signature(thing)
        bare = [p for p in signature.parameters.values() if p.annotation is p.empty]
        assert not bare
        assert signature.return_annotation is not signature.empty


def test_every_error_is_a_lace_error():
    errors = [e for e in vars(render).values() if inspect.isclass(e) and issubclass(e, Exception)]
    assert len(errors) == 5
    assert all(issubclass(error, render.LaceError) for error in errors)
