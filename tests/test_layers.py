"""What the import linter cannot see: foreign keys by name, and the description of the API."""

from typing import Any

import pytest
from django.apps import apps
from django.db.models import Field
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema

from tests.test_access import methods_of, routes

# Highest first; an app may point at those behind it.
LAYERS = (
    "places",
    "reports",
    "works",
    "rebates",
    "modeling",
    "intake",
    "scheduling",
    "enrollment",
    "accounts",
    "core",
)


def relations() -> list[tuple[str, "Field[Any, Any]", str]]:
    """Every relation written down in a model of ours: its app, the field, the app it points at."""
    found = []
    for model in apps.get_models(include_auto_created=True):
        if not model.__module__.startswith("portal."):
            continue
        for field in (*model._meta.local_fields, *model._meta.local_many_to_many):
            target = field.remote_field.model if field.remote_field else None
            if target is not None:
                found.append((model._meta.app_label, field, target._meta.app_label))
    return found


def test_every_app_with_models_has_its_layer() -> None:
    ours = {
        model._meta.app_label
        for model in apps.get_models()
        if model.__module__.startswith("portal.")
    }
    assert ours <= set(LAYERS)


def test_foreign_keys_point_downward() -> None:
    found = relations()
    upward = [
        f"{field.model.__name__}.{field.name} points up from {app} to {target}"
        for app, field, target in found
        if target in LAYERS and LAYERS.index(target) < LAYERS.index(app)
    ]
    assert not upward
    assert len(found) > 40, "the walk has lost the models"


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    """The description of the API, with what drf-spectacular had to say while it was made."""
    with GENERATOR_STATS.silence():
        GENERATOR_STATS.reset()
        made: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
        made["x-said"] = {
            **{str(text): "error" for text in GENERATOR_STATS._error_cache},
            **{str(text): "warning" for text in GENERATOR_STATS._warn_cache},
        }
        GENERATOR_STATS.reset()
    return made


def test_the_description_of_the_api_is_made_without_warnings(schema: dict[str, Any]) -> None:
    assert schema["x-said"] == {}
    validate_schema({key: value for key, value in schema.items() if key != "x-said"})


def test_every_field_and_every_part_of_an_address_is_described(schema: dict[str, Any]) -> None:
    bare = [
        f"{component}.{field}"
        for component, made in schema["components"]["schemas"].items()
        for field, of_it in made.get("properties", {}).items()
        if not of_it.get("description")
    ]
    bare += [
        f"{method} {path} {part['name']}"
        for (path, method), operation in operations(schema).items()
        for part in operation.get("parameters", [])
        if not part.get("description")
    ]
    assert bare == []
    assert len(schema["components"]["schemas"]) > 40


def operations(schema: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    """Every described operation by address and method."""
    return {
        (path, method): operation
        for path, methods in schema["paths"].items()
        for method, operation in methods.items()
    }


def test_every_operation_is_described_in_words(schema: dict[str, Any]) -> None:
    described = operations(schema)
    routed = {
        (name, method)
        for name, route in routes()
        if name.startswith("api_") and name != "api_schema"
        for method in methods_of(name, route)
    }
    assert len(described) == len(routed)
    for (path, method), operation in described.items():
        where = f"{method} {path}"
        assert operation.get("summary"), f"{where} has no summary"
        assert len(operation.get("description", "")) > 20, f"{where} says nothing about itself"
        assert operation["operationId"], where
    ids = [operation["operationId"] for operation in described.values()]
    assert len(set(ids)) == len(ids)
