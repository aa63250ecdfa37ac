"""How is a record laid out on disk?"""

from __future__ import annotations

APPLICATION = 0x46574B31
"""Says in the file's head that it is a record of ours; the letters FWK1."""
VERSION = 1
"""Of the layout; a later one is not read by an earlier program."""

TABLES = """
CREATE TABLE run (
    number   INTEGER PRIMARY KEY AUTOINCREMENT,
    lab      TEXT NOT NULL,
    digest   TEXT NOT NULL,
    drill    TEXT NOT NULL,
    tries    TEXT NOT NULL,
    lost     TEXT NOT NULL, -- a JSON list
    out      TEXT NOT NULL, -- a JSON list
    machine  TEXT NOT NULL,
    process  TEXT NOT NULL, -- who writes it: host, boot, process and its start, a JSON list
    began    REAL NOT NULL, -- seconds since 1970 by the clock on the wall
    until_s  REAL NOT NULL, -- as far as the run is known; seconds since it began, as all that end in _s
    wall     REAL NOT NULL, -- what the clock on the wall said then
    ended    INTEGER NOT NULL
) STRICT;
CREATE TABLE probe (
    run      INTEGER NOT NULL REFERENCES run (number),
    number   INTEGER NOT NULL,
    name     TEXT NOT NULL,
    sees     TEXT NOT NULL,
    asks     TEXT NOT NULL,
    every_s  REAL NOT NULL,
    asked    INTEGER NOT NULL, -- this and all below are sums that are written now and then
    yes      INTEGER NOT NULL,
    worst_s  REAL,
    times    TEXT NOT NULL, -- how many good answers took how long: "step:count ..."
    last_s   REAL, -- when the last question was asked whose answer is known
    warning  TEXT NOT NULL,
    PRIMARY KEY (run, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE change (
    run      INTEGER NOT NULL REFERENCES run (number),
    probe    INTEGER NOT NULL,
    asked_s  REAL NOT NULL, -- of the first question that was answered so
    told_s   REAL NOT NULL, -- when that answer was there, or was given up
    told     INTEGER NOT NULL,
    says     TEXT NOT NULL,
    last_s   REAL, -- when the last question was asked that was answered as before
    last_told_s REAL, -- when its answer was there, or was given up
    PRIMARY KEY (run, probe, asked_s)
) STRICT, WITHOUT ROWID;
CREATE TABLE gap (run INTEGER NOT NULL REFERENCES run (number), from_s REAL NOT NULL, until_s REAL NOT NULL, why TEXT NOT NULL) STRICT;
CREATE TABLE jump (run INTEGER NOT NULL REFERENCES run (number), at_s REAL NOT NULL, by_s REAL NOT NULL) STRICT;
CREATE TABLE mark (run INTEGER NOT NULL REFERENCES run (number), at_s REAL NOT NULL, mark TEXT NOT NULL, says TEXT NOT NULL) STRICT;
CREATE INDEX gap_run ON gap (run);
CREATE INDEX jump_run ON jump (run);
CREATE INDEX mark_run ON mark (run);
"""
