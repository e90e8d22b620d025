"""The database as the audit layer's `Store`: SQLite or PostgreSQL, through Django's models.

`locked` is a transaction that holds the audit's row (on SQLite, the database); an entry is
acknowledged only once its transaction is on disk.
"""

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager

import msgspec
from django.conf import settings
from django.db import connection, transaction

from witnessmark.audit.canonical import canonical
from witnessmark.audit.event import Event, read_event
from witnessmark.audit.journal import Entry, Payload, Received
from witnessmark.web.store import models, vault


class DatabaseStore:
    """Journals in the installation's database."""

    @contextmanager
    def locked(self, audit: str) -> Iterator[None]:
        """Holds the audit for one writer; all or nothing is kept."""
        with transaction.atomic():
            models.Audit.objects.get_or_create(id=audit)
            models.Audit.objects.select_for_update().get(id=audit)
            yield

    def received(self, audit: str, after: int = 0) -> list[Received]:
        """Entries in order, from the one after `after`."""
        rows = models.Entry.objects.filter(audit_id=audit, seq__gt=after).order_by("seq")
        return [_read(*row) for row in rows.values_list("entry", "signature", "event")]

    def head(self, audit: str) -> Entry | None:
        """The last entry."""
        rows = models.Entry.objects.filter(audit_id=audit).order_by("-seq")
        text = rows.values_list("entry", flat=True).first()
        return msgspec.json.decode(text, type=Entry) if text else None

    def find(self, event_id: str) -> Received | None:
        """The entry of an event, in whatever audit."""
        rows = models.Entry.objects.filter(event_id=event_id)
        row = rows.values_list("entry", "signature", "event").first()
        return _read(*row) if row else None

    def last_of(self, audit: str, device: str) -> Event | None:
        """A device's last event in an audit."""
        rows = models.Entry.objects.filter(audit_id=audit, device=device).order_by("-device_seq")
        text = rows.values_list("event", flat=True).first()
        return read_event(text) if text else None

    def add(self, received: Received, payloads: Mapping[str, Payload]) -> None:
        """Keeps an entry, its event's texts, and where the journal now ends; inside `locked`."""
        entry, event = received.entry, received.event
        if event is None:
            raise ValueError("An entry is kept with its event.")
        models.Entry.objects.create(
            audit_id=entry.audit,
            seq=entry.seq,
            event_id=event.id,
            device=event.device,
            device_seq=event.device_seq,
            event=canonical(event.as_json()).decode(),
            entry=msgspec.json.encode(entry).decode(),
            signature=received.signature,
        )
        for mark, payload in payloads.items():
            self._keep(entry.audit, mark, payload)
        models.Audit.objects.filter(id=entry.audit).update(head_seq=entry.seq, head_hash=entry.hash)

    def reveal(self, commitment: str) -> str | None:
        """The text of a commitment; None where its key was destroyed or it never came."""
        payload = self.payload(commitment)
        return payload.text if payload else None

    def reveal_all(self, commitments: Collection[str]) -> dict[str, str | None]:
        """The texts of many commitments in one look; None as in `reveal`."""
        rows = models.Text.objects.filter(mark__in=commitments)
        found = {row.mark: payload.text for row in rows if (payload := _opened(row))}
        return {mark: found.get(mark) for mark in commitments}

    def payload(self, commitment: str) -> Payload | None:
        """The text with its salt, as a sealed file carries it."""
        row = models.Text.objects.filter(mark=commitment).first()
        return _opened(row) if row else None

    def destroy(self, commitment: str) -> None:
        """Destroys the key of a text and what it sealed; the journal keeps the mark."""
        models.Text.objects.filter(mark=commitment).update(wrapped_key=None, sealed=None)

    def _keep(self, audit: str, mark: str, payload: Payload) -> None:
        key = vault.new_key()
        models.Text.objects.get_or_create(
            mark=mark,
            defaults={
                "audit_id": audit,
                "wrapped_key": vault.encrypt(_master(), key),
                "sealed": vault.encrypt(key, msgspec.json.encode(payload)),
            },
        )


def forget_old_pages() -> None:
    """Has SQLite drop the pages in which a destroyed text still stood, as far as it can."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("pragma wal_checkpoint(truncate)")


def _opened(row: models.Text) -> Payload | None:
    """What a row sealed; None once its key was destroyed."""
    if row.wrapped_key is None or row.sealed is None:
        return None
    key = vault.decrypt(_master(), bytes(row.wrapped_key))
    return msgspec.json.decode(vault.decrypt(key, bytes(row.sealed)), type=Payload)


def _master() -> bytes:
    return vault.master_key(settings.CONFIG.data.keys)


def _read(entry: str, signature: str, event: str) -> Received:
    return Received(msgspec.json.decode(entry, type=Entry), signature, _event(event))


def _event(text: str) -> Event:
    """An event of our own database: its form was checked when it came in."""
    return msgspec.json.decode(text, type=Event)
