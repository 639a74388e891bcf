"""Whether this process can serve: for a supervisor, a load balancer, a container's check."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@never_cache
@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """200 with ``{"status": "ok"}`` while the database answers, else 503."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return JsonResponse({"status": "failing", "database": "unreachable"}, status=503)
    return JsonResponse({"status": "ok", "database": "ok"})
