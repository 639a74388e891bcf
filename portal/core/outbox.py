"""News that travels upward: a lower app writes it, higher apps subscribe.

The message and one job per subscriber are written in the transaction of the change, so a
rolled-back change tells nobody and a committed one tells everybody. A subscriber's handler
runs inside the transaction that marks its job done, so it acts once; work too long for a
transaction is enqueued by the handler as a job of its own.
"""

from collections import defaultdict
from collections.abc import Callable
from typing import Any

from django.db import connection, transaction

from portal.core import jobs
from portal.core.models import OutboxMessage

DELIVER = "outbox.deliver"

Subscriber = Callable[..., None]

_subscribers: defaultdict[str, dict[str, Subscriber]] = defaultdict(dict)


def on(topic: str) -> Callable[[Subscriber], Subscriber]:
    """Subscribe the decorated function to a topic; it gets the payload as keyword arguments."""

    def register(handler: Subscriber) -> Subscriber:
        # By module and name, so that the message reaches the same handler after a restart.
        name = f"{handler.__module__}.{handler.__qualname__}"
        _subscribers[topic][name] = handler
        return handler

    return register


def put(topic: str, *, key: str, **payload: Any) -> OutboxMessage:
    """Write news once per key; must be called inside the transaction of the change itself."""
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError("outbox.put needs a transaction")
    message, is_new = OutboxMessage.objects.get_or_create(
        key=key, defaults={"topic": topic, "payload": payload}
    )
    if is_new:
        for name in _subscribers[topic]:
            jobs.enqueue(
                DELIVER, key=f"outbox:{message.pk}:{name}", message_id=message.pk, subscriber=name
            )
    return message


@jobs.kind(DELIVER)
def deliver(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Hand one message to one subscriber."""
    message = OutboxMessage.objects.get(pk=args["message_id"])
    handler = _subscribers[message.topic][args["subscriber"]]
    with ticket.finishing():
        handler(**message.payload)
