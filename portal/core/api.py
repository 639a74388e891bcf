"""What all API operations share: one shape of error."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _
from rest_framework import exceptions, status
from rest_framework.response import Response

from portal.core.errors import DomainError, NotAllowed, ValuesRefused


def exception_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Every refusal as ``{"code", "message", "fields"}``; anything else goes to the log.

    ``fields`` maps an input's path (``rooms.0.area``) to its message.
    """
    # The views module loads this one, by name from the settings, while it is being loaded.
    from rest_framework.views import set_rollback

    if isinstance(error, DomainError):
        set_rollback()
        return _response(domain_status(error), error.code, error.message, error.fields)
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    if not isinstance(error, exceptions.APIException):
        return None
    set_rollback()
    if isinstance(error, exceptions.ValidationError):
        fields = flat_fields(error.detail)
        general = fields.pop("", "")
        message = general or _("Some values cannot be used.")
        return _response(error.status_code, "values_refused", message, fields)
    detail = error.detail
    code = detail.code if isinstance(detail, exceptions.ErrorDetail) else error.default_code
    response = _response(error.status_code, str(code), str(detail), {})
    wait_s = getattr(error, "wait", None)
    if wait_s is not None:
        response["Retry-After"] = str(int(wait_s))
    return response


def domain_status(error: DomainError) -> int:
    """The HTTP status of a refusal: 403 not allowed, 400 bad values, 409 against the state."""
    if isinstance(error, NotAllowed):
        return status.HTTP_403_FORBIDDEN
    if isinstance(error, ValuesRefused):
        return status.HTTP_400_BAD_REQUEST
    return status.HTTP_409_CONFLICT


def flat_fields(detail: Any, path: str = "") -> dict[str, str]:
    """Nested messages as one level of paths; what belongs to no field is under ``""``."""
    if isinstance(detail, dict):
        found: dict[str, str] = {}
        for name, inner in detail.items():
            inner_path = path if name == "non_field_errors" else f"{path}.{name}".lstrip(".")
            found.update(flat_fields(inner, inner_path))
        return found
    if isinstance(detail, list):
        if all(isinstance(inner, str) for inner in detail):
            return {path: " ".join(map(str, detail))} if detail else {}
        found = {}
        for index, inner in enumerate(detail):
            found.update(flat_fields(inner, f"{path}.{index}".lstrip(".")))
        return found
    return {path: str(detail)}


def _response(code: int, name: str, message: str, fields: dict[str, str]) -> Response:
    return Response({"code": name, "message": str(message), "fields": fields}, status=code)
