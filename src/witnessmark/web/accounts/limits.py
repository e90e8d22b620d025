"""How often signing in may fail: per name and per address, with a growing delay.

An attempt is counted as failed before the password is looked at, and taken back when it was right,
so that many attempts at once are no way round.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.crypto import salted_hmac

from witnessmark.web.accounts.models import FailedSignIns

FORGET_AFTER = timedelta(hours=24)


@dataclass(frozen=True)
class Limit:
    """So many failures are free; then the delay doubles from a second up to `longest_s`."""

    kind: str
    free: int
    longest_s: int

    def delay(self, failures: int) -> timedelta:
        """How long after the last failure the next attempt is answered."""
        over = failures - self.free
        return timedelta(seconds=min(2 ** min(over, 20), self.longest_s) if over >= 0 else 0)

    def key(self, value: str) -> str:
        """What is stored instead of the name or address."""
        return salted_hmac(f"sign-in:{self.kind}", value, algorithm="sha256").hexdigest()


# A name is limited more tightly, but never for long: locking a colleague out must not be a weapon.
BY_NAME = Limit("name", free=5, longest_s=15 * 60)
BY_ADDRESS = Limit("address", free=20, longest_s=60 * 60)


def count_attempt(name: str, address: str) -> timedelta:
    """Counts an attempt, or says how long to wait; nothing is counted while waiting.

    Returns:
        No time at all when the attempt may go on.
    """
    keys = {BY_NAME.key(name.lower()): BY_NAME, BY_ADDRESS.key(address): BY_ADDRESS}
    now = timezone.now()
    with transaction.atomic():
        rows = [_locked(key, now) for key in sorted(keys)]
        waits = [keys[row.key].delay(row.failures) - (now - row.last_at) for row in rows]
        if (longest := max(waits)) > timedelta():
            return longest
        for row in rows:
            row.failures += 1
            row.last_at = now
            row.save()
    return timedelta()


def take_back(name: str, address: str) -> None:
    """The password was right: the name is clean again, the address as before this attempt."""
    FailedSignIns.objects.filter(key=BY_NAME.key(name.lower())).delete()
    with transaction.atomic():
        row = _locked(BY_ADDRESS.key(address), timezone.now())
        row.failures = max(0, row.failures - 1)
        row.save()


def forget_old() -> None:
    """Drops what is older than a day."""
    FailedSignIns.objects.filter(last_at__lt=timezone.now() - FORGET_AFTER).delete()


def _locked(key: str, now: datetime) -> FailedSignIns:
    FailedSignIns.objects.get_or_create(key=key, defaults={"last_at": now})
    row = FailedSignIns.objects.select_for_update().get(key=key)
    if now - row.last_at > FORGET_AFTER:
        row.failures = 0
    return row
