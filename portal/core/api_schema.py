"""What the description of the API says of the parts of an address."""

from typing import Any

# By the name in the address; with the app in front where the same name means another thing.
PATH_PARTS = {
    "number": "Number of the casefile, as in 26-0417.",
    "works.number": "Number of the work scope.",
    "request_number": "Number of the subsidy request.",
    "line_pk": "Key of the line of the scope.",
    "id": "Key of the field record.",
    "modeling.id": "Key of the model run.",
    "record_pk": "Key of the field record.",
    "section": "Name of the section of the field sheet.",
    "key": "Key of the item.",
    "enrollment.key": "Key of the audit request; whoever holds it holds the request.",
    "question": "Name of the question.",
    "formula": "Name of the formula.",
    "uid": "Key of the appointment.",
}


def describe_path_parts(
    result: dict[str, Any], generator: object, request: object, public: bool
) -> dict[str, Any]:
    """Give the parts of each address their words; called by drf-spectacular with the whole."""
    for path, methods in result["paths"].items():
        app = path.removeprefix("/api/").partition("/")[0]
        for operation in methods.values():
            for part in operation.get("parameters", []):
                words = PATH_PARTS.get(f"{app}.{part['name']}") or PATH_PARTS.get(part["name"])
                if part["in"] == "path" and words:
                    part.setdefault("description", words)
    return result
