"""Headers every answer carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

# Style, script, type and pictures come from this server; nothing is written into the page but
# drawings (SVG elements with classes) and small pictures made on the spot.
CONTENT_POLICY = "; ".join(
    [
        "default-src 'self'",
        "img-src 'self' data: blob:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ]
)

# A picture opened by itself: the browser's own viewer lays it out with a style in its page.
PICTURE_POLICY = "; ".join(
    [
        "default-src 'none'",
        "img-src 'self'",
        "style-src 'unsafe-inline'",
        "frame-ancestors 'none'",
    ]
)


class ContentPolicyMiddleware:
    """Tells the browser to load nothing from elsewhere and to run nothing from the page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        is_picture = response.headers.get("Content-Type", "").startswith("image/")
        policy = PICTURE_POLICY if is_picture else CONTENT_POLICY
        response.headers.setdefault("Content-Security-Policy", policy)
        response.headers.setdefault(
            "Permissions-Policy", "camera=(self), geolocation=(), microphone=()"
        )
        return response
