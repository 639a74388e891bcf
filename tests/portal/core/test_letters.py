"""Letters: worded in the reader's language, sent by a job, once."""

from pathlib import Path

import pytest
from django.core import mail
from django.db import IntegrityError, transaction
from pytest_django import Settings

from portal.core import clock, jobs, languages, letters
from portal.core.models import Job, Letter


@pytest.fixture
def template(tmp_path: Path, settings: pytest.FixtureRequest) -> str:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "visit.txt").write_text(
        "{% load i18n %}Subject: Your visit, {{ name }}\n\n"
        "{{ name }}, see {{ site_url }}/visit. {% get_current_language as code %}[{{ code }}]\n"
    )
    config = {**settings.TEMPLATES[0], "DIRS": [tmp_path]}
    settings.TEMPLATES = [config]
    settings.SITE_URL = "https://portal.example"
    return "visit"


def send(template: str, **changes: str) -> Letter:
    arguments = {"to": "ada@home.example", "key": "visit:1", "language": "en", **changes}
    return letters.send(template=template, context={"name": "Ada O'Hara"}, **arguments)


@pytest.mark.django_db
def test_a_letter_is_worded_at_once_and_sent_by_a_job(template: str) -> None:
    letter = send(template)
    assert mail.outbox == []
    assert jobs.drain() == 1
    [message] = mail.outbox
    assert message.subject == "Your visit, Ada O'Hara"
    assert message.body == "Ada O'Hara, see https://portal.example/visit. [en]\n"
    assert message.to == ["ada@home.example"]
    assert message.extra_headers["Message-ID"].startswith(f"<letter-{letter.pk}-")
    letter.refresh_from_db()
    assert letter.sent_at is not None
    assert letter.body == message.body


@pytest.mark.django_db
def test_a_letter_is_in_the_language_of_its_reader_where_there_is_a_catalog(
    template: str, settings: Settings
) -> None:
    settings.LANGUAGES = [languages.SOURCE]
    assert "[en]" in send(template, language="es").body
    settings.LANGUAGES = languages.SPOKEN
    assert "[es]" in send(template, language="es", key="visit:2").body


@pytest.mark.django_db
def test_the_same_key_is_one_letter(template: str) -> None:
    first = send(template)
    assert send(template, to="other@home.example") == first
    jobs.drain()
    assert len(mail.outbox) == 1


@pytest.mark.django_db
def test_a_rolled_back_change_sends_no_letter(template: str) -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        send(template)
        _ = 1 / 0
    assert jobs.drain() == 0
    assert mail.outbox == []


@pytest.mark.django_db
def test_a_mail_server_that_fails_is_tried_again(
    template: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    letter = send(template)

    def refuse(_self: object) -> int:
        raise ConnectionRefusedError

    with monkeypatch.context() as broken:
        broken.setattr("django.core.mail.EmailMessage.send", refuse)
        jobs.drain()
    letter.refresh_from_db()
    assert letter.sent_at is None
    Job.objects.update(retry_at=None)
    jobs.drain()
    assert len(mail.outbox) == 1


@pytest.mark.django_db
def test_a_secret_letter_is_forgotten_once_sent() -> None:
    letter = letters.post(
        to="ada@home.example", subject="Your code", body="83-21", key="code:1", is_secret=True
    )
    jobs.drain()
    assert mail.outbox[0].body == "83-21"
    letter.refresh_from_db()
    assert letter.body == ""
    letter.body = "83-21"
    with pytest.raises(IntegrityError), transaction.atomic():
        letter.save()


@pytest.mark.django_db
def test_a_subject_cannot_smuggle_in_a_header() -> None:
    letters.post(to="a@home.example", subject="Hello\nBcc: b@home.example", body="x", key="k")
    jobs.drain()
    assert mail.outbox[0].subject == "Hello Bcc: b@home.example"


@pytest.mark.parametrize("text", ["", "Hello\nbody", "Subject:\n\nbody"])
def test_a_template_without_a_subject_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="first line"):
        letters.split_subject(text)


@pytest.mark.django_db
def test_the_demos_letters_are_files_named_by_day_and_subject(
    tmp_path: Path, settings: pytest.FixtureRequest
) -> None:
    settings.EMAIL_BACKEND = "portal.core.mail.FolderBackend"
    settings.EMAIL_FOLDER = tmp_path / "mail"
    with clock.at(clock.local(clock.today().replace(year=2026, month=3, day=3), 17)):
        letters.post(to="ada@home.example", subject="Your report is ready", body="é", key="k")
        jobs.drain()
    [file] = (tmp_path / "mail").iterdir()
    assert file.name.startswith("2026-03-03-170000-your-report-is-ready-")
    assert b"To: ada@home.example" in file.read_bytes()
