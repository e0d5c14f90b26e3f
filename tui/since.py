"""When something happened, as a person would say it."""

from __future__ import annotations

from datetime import datetime


def since(then: datetime, now: datetime) -> str:
    """Return a moment in words and by date, in the time zone of `now`.

    Examples
    --------
    >>> from datetime import UTC
    >>> since(datetime(2026, 3, 1, 16, 10, tzinfo=UTC), datetime(2026, 3, 2, 9, 0, tzinfo=UTC))
    'yesterday 16:10, 1 Mar 2026'
    """
    local = then.astimezone(now.tzinfo)
    date = f"{local.day} {local:%b %Y}"
    days = (now.date() - local.date()).days
    if days < 0:
        return date
    if days == 0:
        return f"today {local:%H:%M}, {date}"
    if days == 1:
        return f"yesterday {local:%H:%M}, {date}"
    if days < 14:
        return f"{days} days ago, {date}"
    if days < 60:
        return f"{days // 7} weeks ago, {date}"
    if days < 730:
        return f"{days // 30} months ago, {date}"
    return f"{days // 365} years ago, {date}"
