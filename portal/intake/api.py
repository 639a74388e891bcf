"""Operations of intake: the same selectors and services as the pages."""

from typing import Any
from uuid import UUID

from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.states import Role
from portal.core.access import HasRole
from portal.core.errors import ValuesRefused
from portal.intake import left, live, selectors, services
from portal.intake.document import Reader
from portal.intake.models import FieldItem, FieldRecord, RecordUpload
from portal.intake.policies import actor_of
from portal.intake.sheet import schema
from portal.intake.values import Raw
from portal.scheduling import selectors as scheduling

RECORDERS = (Role.AUDITOR, Role.PROGRAM_ADMIN)
ENTRY_KEYS = frozenset({"typed", "value", "unit", "how", "absence", "reason", "confirmed", "note"})


class RecordOutput(serializers.Serializer[dict[str, Any]]):
    """A field record with what is left and what it gives now."""

    id = serializers.IntegerField(help_text="Number of the record.")
    casefile = serializers.CharField(help_text="Number of the casefile.")
    stage = serializers.CharField(help_text="audit or test_out.")
    state = serializers.CharField(help_text="open or complete.")
    source = serializers.CharField(  # type: ignore[assignment]  # DRF uses the name for itself
        help_text="sheet, json or hpxml."
    )
    document = serializers.JSONField(
        help_text="The record document: SI values, what was typed, its unit and how it is known."
    )
    left = serializers.ListField(
        child=serializers.DictField(), help_text="What is not recorded yet."
    )
    results = serializers.ListField(
        child=serializers.DictField(),
        help_text="Live results with formula, limit, source and whether they fail.",
    )
    hazards = serializers.ListField(child=serializers.DictField(), help_text="Open hazards.")


def record_body(record: FieldRecord) -> dict[str, Any]:
    """A record as operations answer it."""
    document = selectors.record_document(record)
    cleared = selectors.cleared_keys(record)
    return {
        "id": record.pk,
        "casefile": record.casefile.number,
        "stage": record.stage,
        "state": record.state,
        "source": record.source,
        "document": document,
        "left": [
            {
                "section": entry.section,
                "group": entry.group,
                "item": entry.item,
                "field": entry.field,
                "label": str(entry),
            }
            for entry in left.missing(Reader(document))
        ],
        "results": [result.plain() for result in live.results(document)],
        "hazards": [
            hazard.plain() for hazard in selectors.hazards_in(document) if hazard.key not in cleared
        ],
    }


class SheetSchema(APIView):
    """The field sheet."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="sheet_schema",
        summary="Read the field sheet as JSON Schema",
        description="Every section, group and field with units, limits, choices and conditions.",
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request) -> Response:
        """Answer with the schema."""
        return Response(schema.json_schema())


class SheetTemplate(APIView):
    """The empty field record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="sheet_template",
        summary="Get an empty field record",
        description="A record document with every field empty, to fill in and upload.",
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request) -> Response:
        """Answer with the template."""
        return Response(schema.template())


class RecordOpen(APIView):
    """Open the record of a visit."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_open",
        summary="Open the field record of a casefile's visit",
        description="Begins the visit on its day; gives the record opened before, if there is one.",
        request=None,
        responses={201: RecordOutput},
    )
    def post(self, request: Request, number: str) -> Response:
        """Open it."""
        appointments = scheduling.appointments_for(request.user).filter(casefile__number=number)
        found = appointments.order_by("-starts_at").values_list("pk", flat=True)[:1]
        appointment = get_object_or_404(appointments, pk__in=list(found))
        record = services.record_open(appointment_id=appointment.pk, actor=actor_of(request.user))
        return Response(
            record_body(selectors.record_by_pk_for(request.user, record.pk)),
            status=status.HTTP_201_CREATED,
        )


class RecordRead(APIView):
    """Read a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_read",
        summary="Read a field record",
        description="The record document, what is left, live results and open hazards.",
        responses=RecordOutput,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Answer with the record."""
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


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


class FileInput(serializers.Serializer[dict[str, Any]]):
    """One file."""

    file = serializers.FileField(
        allow_empty_file=True, help_text="A field record in JSON, or HPXML, up to 5 MB."
    )


class UploadOutput(serializers.ModelSerializer[RecordUpload]):
    """What a file gave."""

    class Meta:
        model = RecordUpload
        fields = ["id", "kind", "report", "uploaded_at"]


class RecordUploadFile(APIView):
    """Fill a record from a file."""

    permission_classes = [HasRole]
    parser_classes = [MultiPartParser]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_upload",
        summary="Fill a field record from a file",
        description=(
            "Answers with what was found, what was skipped and why. A refused file (code "
            "upload_refused) leaves nothing behind; fields names every fault."
        ),
        request=FileInput,
        responses={201: UploadOutput},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Read the file."""
        record = selectors.record_by_pk_for(request.user, pk)
        upload = request.FILES.get("file")
        found = services.record_upload(
            record_id=record.pk,
            upload=upload,
            name=upload.name if upload is not None else None,
            actor=actor_of(request.user),
        )
        return Response(UploadOutput(found).data, status=status.HTTP_201_CREATED)


class PhotoInput(serializers.Serializer[dict[str, Any]]):
    """A photo with what it shows."""

    photo = serializers.FileField(allow_empty_file=True, help_text="JPEG, PNG or WebP, to 15 MB.")
    tag = serializers.CharField(default="existing", max_length=20, help_text="What it is of.")
    caption = serializers.CharField(
        default="", allow_blank=True, max_length=160, help_text="Words for it."
    )
    item = serializers.CharField(default="", allow_blank=True, help_text="Key of the item.")


class PhotoOutput(serializers.Serializer[dict[str, Any]]):
    """A stored photo."""

    id = serializers.IntegerField(help_text="Number of the photo.")


class PhotoAdd(APIView):
    """Take a photo in."""

    permission_classes = [HasRole]
    parser_classes = [MultiPartParser]
    roles = RECORDERS

    @extend_schema(
        operation_id="photo_add",
        summary="Add a photo to a field record",
        description="Checked by content and size, kept under a random name.",
        request=PhotoInput,
        responses={201: PhotoOutput},
    )
    def post(self, request: Request, pk: int) -> Response:
        """Store it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = PhotoInput(data=request.data)
        body.is_valid(raise_exception=True)
        given = body.validated_data
        photo = services.photo_add(
            record_id=record.pk,
            upload=given["photo"],
            name=given["photo"].name,
            tag=given["tag"],
            caption=given["caption"],
            item_key=given["item"],
            actor=actor_of(request.user),
        )
        return Response({"id": photo.pk}, status=status.HTTP_201_CREATED)


class CompleteInput(serializers.Serializer[dict[str, Any]]):
    """Reasons for what looks odd."""

    confirmed = serializers.DictField(
        child=serializers.CharField(max_length=200),
        required=False,
        default=dict,
        help_text="Key of a finding to the reason why it is right.",
    )


class RecordComplete(APIView):
    """Complete a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_complete",
        summary="Complete a field record",
        description=(
            "Refused with every finding: record_incomplete for what stands in the way, "
            "confirm_needed for what looks odd and has no reason yet."
        ),
        request=CompleteInput,
        responses=RecordOutput,
    )
    def post(self, request: Request, pk: int) -> Response:
        """Complete it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = CompleteInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.record_complete(
            record_id=record.pk,
            confirmed=body.validated_data["confirmed"],
            actor=actor_of(request.user),
        )
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


class ReasonInput(serializers.Serializer[dict[str, Any]]):
    """A reason."""

    why = serializers.CharField(max_length=200, help_text="Why.")


class RecordReopen(APIView):
    """Reopen a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_reopen",
        summary="Reopen a completed field record",
        description="To add or remove things; the reason is kept in the trail.",
        request=ReasonInput,
        responses=RecordOutput,
    )
    def post(self, request: Request, pk: int) -> Response:
        """Reopen it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = ReasonInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.record_reopen(
            record_id=record.pk, why=body.validated_data["why"], actor=actor_of(request.user)
        )
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


class HazardInput(serializers.Serializer[dict[str, Any]]):
    """A clearance."""

    hazard = serializers.CharField(max_length=60, help_text="Key of the hazard.")
    evidence = serializers.CharField(max_length=2000, help_text="What shows that it is cleared.")


class HazardsOutput(serializers.Serializer[dict[str, Any]]):
    """The open hazards."""

    hazards = serializers.ListField(child=serializers.DictField(), help_text="Open hazards.")


class HazardClear(APIView):
    """Clear a hazard with evidence."""

    permission_classes = [HasRole]
    roles = (Role.PROGRAM_ADMIN,)

    @extend_schema(
        operation_id="hazard_clear",
        summary="Record that a hazard is cleared",
        description="Needs evidence in words; answers with the hazards still open.",
        request=HazardInput,
        responses={201: HazardsOutput},
    )
    def post(self, request: Request, number: str) -> Response:
        """Clear it."""
        appointments = scheduling.appointments_for(request.user).filter(casefile__number=number)
        found = appointments.order_by("-starts_at").values_list("pk", flat=True)[:1]
        casefile = get_object_or_404(appointments, pk__in=list(found)).casefile
        body = HazardInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.hazard_clear(
            casefile_id=casefile.pk,
            hazard=body.validated_data["hazard"],
            evidence=body.validated_data["evidence"],
            actor=actor_of(request.user),
        )
        found_open = selectors.open_hazards_of(casefile)
        return Response(
            {"hazards": [hazard.plain() for hazard in found_open]}, status=status.HTTP_201_CREATED
        )
