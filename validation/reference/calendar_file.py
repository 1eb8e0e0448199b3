"""Reads a care calendar with the library `icalendar` and says what is in it.

    python calendar_file.py care.ics

It parses strictly, expands nothing, and fails when a line is longer than 75
octets, an id stands twice, or a day cannot be read.
"""

import sys
from datetime import date, datetime

from icalendar import Calendar


def main(path):
    raw = open(path, "rb").read()
    assert raw.endswith(b"\r\n") and b"\n" not in raw.replace(b"\r\n", b""), "line ends"
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")), "a line is too long"
    calendar = Calendar.from_ical(raw)
    events = list(calendar.walk("VEVENT"))
    assert events and not calendar.errors, calendar.errors
    ids = [str(event["UID"]) for event in events]
    assert len(set(ids)) == len(ids), "an id stands twice"
    for event in events:
        assert not event.errors, event.errors
        assert isinstance(event.decoded("DTSTAMP"), datetime)
        start, end = event.decoded("DTSTART"), event.decoded("DTEND")
        assert type(start) is date and (end - start).days == 1
        print(start, event["SUMMARY"], dict(event.get("RRULE", {})), repr(str(event["DESCRIPTION"])))


if __name__ == "__main__":
    main(sys.argv[1])
