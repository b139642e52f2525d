#!/usr/bin/env python3
"""Makes shifts.csv, the table that wall time is checked against.

One row for every shift of local clocks from 2026-01-01 to 2028-12-31, in every
zone of the IANA database. Python's zoneinfo (PEP 495, fold=0) says what each
local time is; nothing here knows how the program does it. make.mjs then has a
second, separate implementation answer every row again.

    python3 make.py ZONEINFO RELEASE > shifts.csv
    python3 make.py names ZONEINFO ZONE_TAB      the names of scheduler/zones.txt

ZONEINFO is a directory of compiled zones: here the unpacked lib/time/zoneinfo.zip
of Go 1.26.8, release 2025c, the data that a program built with it embeds. The
table was made with Python 3.11.

Columns:
    zone    IANA name
    shift   the instant of it, UTC
    before  offset before it, seconds east of Greenwich
    after   offset after it; more than before: a gap, less: an overlap
    a b c d e   the UTC times at which local clocks show five probes: the minute
            before the gap or overlap, its first minute, its middle, its last
            minute, the minute after
The probes are not stored: they follow from the shift and the two offsets. UTC
times are minutes since 1970, a to e as minutes after the shift.
"""
import os
import sys
import zoneinfo
from datetime import datetime, timedelta, timezone

UTC = timezone.utc
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FIRST, END = datetime(2026, 1, 1, tzinfo=UTC), datetime(2029, 1, 1, tzinfo=UTC)


def names(root):
    for directory, _, files in os.walk(root):
        for name in files:
            path = os.path.join(directory, name)
            with open(path, "rb") as f:
                if f.read(4) == b"TZif":
                    yield os.path.relpath(path, root)


def minutes(t):
    return int((t - EPOCH).total_seconds()) // 60


def shifts(zone):
    """Every change of offset, found by looking every three hours and halving."""
    offset = lambda t: t.astimezone(zone).utcoffset()
    t = FIRST
    while t < END:
        later = t + timedelta(hours=3)
        if offset(t) != offset(later):
            low, high = t, later
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) // 2
                middle = middle.replace(microsecond=0)
                low, high = (middle, high) if offset(middle) == offset(low) else (low, middle)
            yield high, offset(low), offset(high)
        t = later


def probes(shift, before, after):
    """Local times around the gap or overlap, without a zone."""
    low = (shift + min(before, after)).replace(tzinfo=None)
    high = (shift + max(before, after)).replace(tzinfo=None)
    minute = timedelta(minutes=1)
    return [low - minute, low, low + (high - low) / 2, high - minute, high]


def table(root, release):
    zoneinfo.reset_tzpath([root])
    print(f"# Release {release}, Python {sys.version.split()[0]}; made by make.py, which says how.")
    print("zone,shift,before,after,a,b,c,d,e")
    for name in sorted(names(root)):
        zone = zoneinfo.ZoneInfo(name)
        for shift, before, after in shifts(zone):
            answers = [minutes(p.replace(tzinfo=zone, fold=0).astimezone(UTC)) - minutes(shift)
                       for p in probes(shift, before, after)]
            print(name, minutes(shift), int(before.total_seconds()), int(after.total_seconds()), *answers, sep=",")


def list_names(root, tab):
    have = set(names(root))
    with open(tab, encoding="utf-8") as f:
        places = {line.split("\t")[2].strip() for line in f if not line.startswith("#")} & have
    print("\n".join(sorted(places)))
    print()
    print("\n".join(sorted(have - places - {"Factory", "EST", "MST", "HST"})))


if sys.argv[1] == "names":
    list_names(*sys.argv[2:])
else:
    table(*sys.argv[1:])
