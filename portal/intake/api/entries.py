"""Saving sections and items."""

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole
from portal.core.errors import ValuesRefused
from portal.intake import live, selectors, services
from portal.intake.api.records import RECORDERS
from portal.intake.models import FieldItem
from portal.intake.policies import actor_of
from portal.intake.values import Raw

ENTRY_KEYS = frozenset({"typed", "value", "unit", "how", "absence", "reason", "confirmed", "note"})


class SectionInput(serializers.Serializer[dict[str, Any]]):
    """Values of one section or item."""

    values = serializers.DictField(
        help_text=(
            "Field key to an entry: typed, unit, how, confirmed, note; or absence and reason; "
            "or value for what is no quantity."
        )
    )
    why_changed = serializers.CharField(
        required=False,
        allow_blank=True,
        max_length=200,
        default="",
        help_text="Why a completed record is changed.",
    )


class SectionOutput(serializers.Serializer[dict[str, Any]]):
    """What a save changed."""

    changed = serializers.ListField(child=serializers.CharField(), help_text="New values.")
    cleared = serializers.ListField(child=serializers.CharField(), help_text="Emptied fields.")
    results = serializers.ListField(child=serializers.DictField(), help_text="Live results.")


def raws_from(values: dict[str, Any]) -> dict[str, Raw]:
    """Entries of a request as what was typed.

    Raises
    ------
    ValuesRefused
        An entry with keys nobody knows.
    """
    given: dict[str, Raw] = {}
    errors: dict[str, str] = {}
    for key, entry in values.items():
        if not isinstance(entry, dict):
            given[key] = Raw(typed="" if entry is None else entry)
            continue
        unknown = sorted(set(entry) - ENTRY_KEYS)
        if unknown:
            errors[key] = f"Not known here: {', '.join(map(str, unknown))}."[:200]
            continue
        extra = {
            name: entry.get(name, "")
            for name in ("unit", "how", "absence", "reason", "confirmed", "note")
        }
        if not all(isinstance(text, str) for text in extra.values()):
            errors[key] = "Unit, how, absence, reason, confirmed and note are words."
            continue
        given[key] = Raw(typed=entry.get("typed", entry.get("value", "")), **extra)
    if errors:
        raise ValuesRefused(next(iter(errors.values())), fields=errors)
    return given


class SectionSave(APIView):
    """Save a section, or an item of one of its groups."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="section_save",
        summary="Save a section of a field record",
        description=(
            "All values are saved or none. A value beyond its usual range is answered with the "
            "question (code values_to_confirm) until it is sent with confirmed."
        ),
        request=SectionInput,
        responses=SectionOutput,
    )
    def put(self, request: Request, pk: int, section: str) -> Response:
        """Save it."""
        return save(request, pk, section, "")


class ItemSave(APIView):
    """Save or remove an item."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="item_save",
        summary="Save an item of a field record",
        description="As for a section, for one attic, wall, test or burner.",
        request=SectionInput,
        responses=SectionOutput,
    )
    def put(self, request: Request, pk: int, section: str, key: UUID) -> Response:
        """Save it."""
        return save(request, pk, section, str(key))

    @extend_schema(
        operation_id="item_remove",
        summary="Remove an item",
        description="Its values and photos are kept with it.",
        responses={204: None},
    )
    def delete(self, request: Request, pk: int, section: str, key: UUID) -> Response:
        """Remove it."""
        record = selectors.record_by_pk_for(request.user, pk)
        services.item_remove(record_id=record.pk, item_key=str(key), actor=actor_of(request.user))
        return Response(status=status.HTTP_204_NO_CONTENT)


def save(request: Request, pk: int, section: str, item_key: str) -> Response:
    """Save the values of a request and answer with what changed."""
    record = selectors.record_by_pk_for(request.user, pk)
    body = SectionInput(data=request.data)
    body.is_valid(raise_exception=True)
    saved = services.section_save(
        record_id=record.pk,
        section=section,
        item_key=item_key,
        values_given=raws_from(body.validated_data["values"]),
        why_changed=body.validated_data["why_changed"],
        actor=actor_of(request.user),
    )
    results = live.results_in(selectors.record_document(record), section)
    return Response(
        {
            "changed": list(saved.changed),
            "cleared": list(saved.cleared),
            "results": [result.plain() for result in results if result.item in ("", item_key)],
        }
    )


class ItemInput(serializers.Serializer[dict[str, Any]]):
    """A new item, or a copy of one."""

    group = serializers.CharField(
        required=False, default="", help_text="Key of the group; not needed for a copy."
    )
    name = serializers.CharField(
        required=False, allow_blank=True, default="", max_length=80, help_text="A short name."
    )
    copy_of = serializers.CharField(
        required=False, default="", help_text="Key of the item whose values are copied."
    )


class ItemOutput(serializers.ModelSerializer[FieldItem]):
    """An item."""

    class Meta:
        model = FieldItem
        fields = ["key", "group", "name"]
        extra_kwargs = {
            "key": {"help_text": "Key of the item."},
            "group": {"help_text": "The repeating group it belongs to, as attics or burners."},
            "name": {"help_text": "What the auditor calls it."},
        }


class ItemAdd(APIView):
    """Add an item."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="item_add",
        summary="Add an item to a field record",
        description="A new attic, wall, test and so on, empty or copied from another.",
        request=ItemInput,
        responses={201: ItemOutput},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Add it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = ItemInput(data=request.data)
        body.is_valid(raise_exception=True)
        given = body.validated_data
        if given["copy_of"]:
            item = services.item_copy(
                record_id=record.pk,
                item_key=given["copy_of"],
                name=given["name"],
                actor=actor_of(request.user),
            )
        else:
            item = services.item_add(
                record_id=record.pk,
                group=given["group"],
                name=given["name"],
                actor=actor_of(request.user),
            )
        return Response(ItemOutput(item).data, status=status.HTTP_201_CREATED)
