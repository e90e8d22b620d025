"""The tables of the store. The journal is the audit; `Audit` only holds its head and a summary.

A text is kept under a key of its own, wrapped by the installation's master key; destroying the key
destroys the text, and the journal keeps its mark.
"""

from django.db import models

HASH = 64
UUID = 36


class Audit(models.Model):
    """One audit: where its journal ends, and what lists show of it."""

    id = models.CharField(max_length=UUID, primary_key=True)
    head_seq = models.PositiveIntegerField(default=0)
    head_hash = models.CharField(max_length=HASH, default="")
    title = models.TextField(default="")
    summary = models.JSONField(default=dict)
    summary_head = models.CharField(max_length=HASH, default="")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-created_at", "id")

    def __str__(self) -> str:
        return self.title or self.id


class Entry(models.Model):
    """One received event."""

    audit = models.ForeignKey(Audit, on_delete=models.PROTECT, related_name="entries")
    seq = models.PositiveIntegerField()
    event_id = models.CharField(max_length=UUID, unique=True)
    device = models.CharField(max_length=UUID)
    device_seq = models.PositiveIntegerField()
    event = models.TextField()
    entry = models.TextField()
    signature = models.CharField(max_length=2 * HASH)

    class Meta:
        ordering = ("audit", "seq")
        constraints = (
            models.UniqueConstraint(fields=("audit", "seq"), name="one_entry_per_place"),
            models.UniqueConstraint(
                fields=("audit", "device", "device_seq"), name="one_event_per_device_number"
            ),
        )

    def __str__(self) -> str:
        return f"{self.audit_id} {self.seq}"


class Text(models.Model):
    """A personal text, encrypted under its own key; the key is gone once it was destroyed."""

    mark = models.CharField(max_length=HASH, primary_key=True)
    audit = models.ForeignKey(Audit, on_delete=models.PROTECT, related_name="texts")
    wrapped_key = models.BinaryField(null=True)
    sealed = models.BinaryField(null=True)

    def __str__(self) -> str:
        return self.mark


class Blob(models.Model):
    """An attachment in the folder `blobs`, encrypted under its own key."""

    sha256 = models.CharField(max_length=HASH, primary_key=True)
    size = models.PositiveBigIntegerField()
    media_type = models.CharField(max_length=100)
    wrapped_key = models.BinaryField(null=True)

    def __str__(self) -> str:
        return self.sha256
