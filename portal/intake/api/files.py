"""Files and photos taken in."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole
from portal.intake import selectors, services
from portal.intake.api.records import RECORDERS
from portal.intake.models import RecordUpload
from portal.intake.policies import actor_of


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
        extra_kwargs = {
            "id": {"help_text": "Key of the upload."},
            "kind": {"help_text": "How the file was read."},
            "report": {"help_text": "How many values were kept, what was skipped and why."},
            "uploaded_at": {"help_text": "When it was read."},
        }


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
