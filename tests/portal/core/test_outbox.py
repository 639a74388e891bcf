"""News reaches every subscriber once, and only if the change was kept."""

from collections import defaultdict

import pytest
from django.db import transaction

from portal.core import jobs, outbox
from portal.core.models import Job, OutboxMessage

TOPIC = "test.happened"


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setattr(outbox, "_subscribers", defaultdict(dict))
    told: list[str] = []

    @outbox.on(TOPIC)
    def first(house_id: int) -> None:
        told.append(f"first {house_id}")

    @outbox.on(TOPIC)
    def second(house_id: int) -> None:
        if "second failed" not in told:
            told.append("second failed")
            raise RuntimeError
        told.append(f"second {house_id}")

    return told


@pytest.mark.django_db
def test_each_subscriber_is_told_once_and_on_its_own(told: list[str]) -> None:
    with transaction.atomic():
        outbox.put(TOPIC, key="happened:1", house_id=7)
        outbox.put(TOPIC, key="happened:1", house_id=8)
    assert told == []
    jobs.drain()
    assert told == ["first 7", "second failed"]
    Job.objects.update(retry_at=None)
    jobs.drain()
    assert told == ["first 7", "second failed", "second 7"]
    assert OutboxMessage.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_rolled_back_change_tells_nobody(told: list[str]) -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        outbox.put(TOPIC, key="happened:1", house_id=7)
        _ = 1 / 0
    jobs.drain()
    assert told == []
    assert not OutboxMessage.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_news_outside_a_transaction_is_refused(told: list[str]) -> None:
    with pytest.raises(transaction.TransactionManagementError):
        outbox.put(TOPIC, key="happened:1", house_id=7)


@pytest.mark.django_db
def test_news_nobody_listens_to_is_kept(told: list[str]) -> None:
    outbox.put("test.unheard", key="unheard:1", house_id=7)
    assert OutboxMessage.objects.get().payload == {"house_id": 7}
    assert jobs.drain() == 0
