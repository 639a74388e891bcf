"""One section, and the items of its groups."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from portal.core.errors import DomainError, ValuesRefused
from portal.intake import forms, live, pages, selectors, services, sheet
from portal.intake.models import FieldRecord
from portal.intake.policies import actor_of
from portal.intake.sheet.kinds import Group, Section
from portal.intake.views.base import (
    RecordPage,
    faults_of,
    section_or_404,
    sent_file,
    to_saved,
)


class SectionView(RecordPage):
    """One section: its own boxes, and the items of its groups."""

    def get(self, request: HttpRequest, pk: int, section: str) -> HttpResponse:
        """Show the section."""
        return self._show(self.record(pk), section_or_404(section))

    def post(self, request: HttpRequest, pk: int, section: str) -> HttpResponse:
        """Save every box of the section, or show again what was typed with what is wrong."""
        record, found = self.record(pk), section_or_404(section)
        given = forms.read_post(found.all_fields, request.POST)
        try:
            services.section_save(
                record_id=record.pk,
                section=found.key,
                values_given=given,
                actor=actor_of(request.user),
                why_changed=request.POST.get("why_changed", ""),
            )
        except ValuesRefused as refusal:
            return self._show(record, found, given=given, refusal=refusal)
        return to_saved(request, reverse("intake:section", args=[record.pk, found.key]))

    def _show(
        self,
        record: FieldRecord,
        section: Section,
        *,
        given: dict[str, Any] | None = None,
        refusal: ValuesRefused | None = None,
    ) -> HttpResponse:
        view = pages.read(record)
        results = [entry for entry in live.results_in(view.document, section.key) if not entry.item]
        form = forms.build(
            section.all_fields,
            view.reader.section(section.key),
            view.reader,
            given=given,
            results=results,
            why_changed=self.request.POST.get("why_changed", ""),
            **faults_of(refusal),
        )
        return self.page(
            "intake/section.html",
            view,
            section=section,
            form=form,
            groups=pages.group_rows(view, section),
            left=sum(entry.section == section.key for entry in view.missing),
            jump=pages.jump(view, section),
            photos=pages.photo_prompts(view, section),
            hazards=[hazard for hazard in view.open_hazards if hazard.section == section.key],
        )


def _item_or_404(record: FieldRecord, section: Section, key: UUID) -> tuple[Any, Group]:
    item = get_object_or_404(record.items.filter(removed_at__isnull=True), key=key)
    group = sheet.group(item.group)
    if group is None or group not in section.groups:
        raise Http404
    return item, group


class ItemView(RecordPage):
    """One item of a group: its boxes, its results, its photos."""

    def get(self, request: HttpRequest, pk: int, section: str, key: UUID) -> HttpResponse:
        """Show the item."""
        return self._show(self.record(pk), section_or_404(section), key)

    def post(self, request: HttpRequest, pk: int, section: str, key: UUID) -> HttpResponse:
        """Save every box of the item, or show again what was typed with what is wrong."""
        record, found = self.record(pk), section_or_404(section)
        _item, group = _item_or_404(record, found, key)
        given = forms.read_post(group.fields, request.POST)
        try:
            services.section_save(
                record_id=record.pk,
                section=found.key,
                item_key=str(key),
                values_given=given,
                actor=actor_of(request.user),
                why_changed=request.POST.get("why_changed", ""),
            )
        except ValuesRefused as refusal:
            return self._show(record, found, key, given=given, refusal=refusal)
        return to_saved(request, reverse("intake:item", args=[record.pk, found.key, key]))

    def _show(
        self,
        record: FieldRecord,
        section: Section,
        key: UUID,
        *,
        given: dict[str, Any] | None = None,
        refusal: ValuesRefused | None = None,
    ) -> HttpResponse:
        item, group = _item_or_404(record, section, key)
        view = pages.read(record)
        part = view.reader.item(group.key, str(key))
        assert part is not None, "the item was found"
        results = [
            entry for entry in live.results_in(view.document, section.key) if entry.item == str(key)
        ]
        form = forms.build(
            group.fields,
            part,
            view.reader,
            given=given,
            results=results,
            why_changed=self.request.POST.get("why_changed", ""),
            **faults_of(refusal),
        )
        own = [entry for entry in view.missing if entry.item == str(key)]
        return self.page(
            "intake/item.html",
            view,
            section=section,
            group=group,
            item=item,
            form=form,
            left=len(own),
            recorded=len([box for box in form.boxes if box.is_needed]) - len(own),
            needed=len([box for box in form.boxes if box.is_needed]),
            left_names=", ".join(str(entry.label) for entry in own[:4]),
            jump=pages.jump(view, section),
            photos=pages.photo_prompts(view, section, group, str(key)),
            hazards=[hazard for hazard in view.open_hazards if hazard.item == str(key)],
        )


class ItemAddView(RecordPage):
    """Add an item to a group."""

    def post(self, request: HttpRequest, pk: int, section: str) -> HttpResponse:
        """Add it and show its boxes."""
        record, found = self.record(pk), section_or_404(section)
        group = request.POST.get("group", "")
        if group not in {entry.key for entry in found.groups}:
            raise Http404
        try:
            item = services.item_add(
                record_id=record.pk,
                group=group,
                name=request.POST.get("name", ""),
                actor=actor_of(request.user),
            )
        except DomainError as error:
            messages.error(request, error.message)
            return redirect("intake:section", pk=record.pk, section=found.key)
        return redirect("intake:item", pk=record.pk, section=found.key, key=item.key)


class ItemChangeView(RecordPage):
    """Copy, rename or remove an item."""

    def post(
        self, request: HttpRequest, pk: int, section: str, key: UUID, act: str
    ) -> HttpResponse:
        """Do it and say so."""
        record, found = self.record(pk), section_or_404(section)
        item, _group = _item_or_404(record, found, key)
        name = request.POST.get("name", "")
        actor = actor_of(request.user)
        try:
            if act == "copy":
                item = services.item_copy(record_id=record.pk, item_key=str(key), actor=actor)
            elif act == "rename":
                services.item_rename(record_id=record.pk, item_key=str(key), name=name, actor=actor)
            else:
                services.item_remove(record_id=record.pk, item_key=str(key), actor=actor)
                messages.success(request, _("Removed: %s. Its values are kept.") % item.name)
                return redirect("intake:section", pk=record.pk, section=found.key)
        except DomainError as error:
            messages.error(request, error.message)
        return redirect("intake:item", pk=record.pk, section=found.key, key=item.key)


class PhotoAddView(RecordPage):
    """Take a photo in."""

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Store it with what it shows."""
        record = self.record(pk)
        section = section_or_404(request.POST.get("section", ""))
        item_key = request.POST.get("item", "")
        back = reverse("intake:section", args=[record.pk, section.key])
        if item_key:
            back = reverse("intake:item", args=[record.pk, section.key, item_key])
        upload, sender_name = sent_file(request, "photo")
        try:
            if upload is None:
                raise ValuesRefused(_("Choose a photo."))
            services.photo_add(
                record_id=record.pk,
                upload=upload,
                name=sender_name,
                actor=actor_of(request.user),
                tag=request.POST.get("tag", "existing"),
                caption=request.POST.get("caption", ""),
                item_key=item_key,
            )
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(request, _("The photo is stored."))
        return redirect(f"{back}#photos")


class PhotoView(RecordPage):
    """One photo, to whoever may see its record."""

    def get(self, request: HttpRequest, pk: int, photo: int) -> HttpResponse | FileResponse:
        """Send the picture."""
        record = self.record(pk)
        found = get_object_or_404(selectors.photos_of(record), pk=photo)
        response = FileResponse(found.file.content.open("rb"), content_type=found.file.media_type)
        response["Cache-Control"] = "private, max-age=3600"
        return response
