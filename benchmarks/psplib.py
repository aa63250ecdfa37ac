"""Which project does a file of the project scheduling library PSPLIB describe?

Source:
    R. Kolisch, A. Sprecher (1997), PSPLIB - a project scheduling problem library, European Journal of Operational
    Research 96, 205-216: text in blocks between lines of asterisks; single-mode files (.sm) only.
"""

from __future__ import annotations

from falsework.engines.scheduling.tasks import Impossible, Project, Task, in_order

MOST_JOBS = 2_000
_MOST = 10**6


class Malformed(ValueError):
    """The text is not such a file; the message says in which line and why."""


def project(text: str) -> Project:
    """The project in a file's text: a task a job, the two dummies included, in the file's order.

    Raises:
        Malformed: not in the format, or what it says can't be.
    """
    blocks = _blocks(text)
    jobs = _jobs(blocks, "PRECEDENCE RELATIONS")
    needs = _jobs(blocks, "REQUESTS/DURATIONS")
    capacities = _capacities(blocks)
    if not jobs or list(jobs) != list(range(1, len(jobs) + 1)):
        raise Malformed("the jobs under PRECEDENCE RELATIONS are not numbered 1, 2, 3 and so on")
    if len(jobs) > MOST_JOBS:
        raise Malformed(f"{len(jobs)} jobs; {MOST_JOBS} are the most that are read")
    if list(needs) != list(jobs):
        raise Malformed("REQUESTS/DURATIONS does not list the jobs of PRECEDENCE RELATIONS")
    after: dict[int, list[int]] = {job: [] for job in jobs}
    for job, (line, row) in jobs.items():
        if len(row) < 2 or row[0] != 1 or len(row) != 2 + row[1]:
            raise Malformed(
                f"line {line}: job {job} should have one mode and as many successors as it counts"
            )
        for later in row[2:]:
            if later not in jobs:
                raise Malformed(f"line {line}: job {job} is followed by job {later}, which is not listed")
            after[later].append(job - 1)
    tasks = []
    for job, (line, row) in needs.items():
        if len(row) != 2 + len(capacities) or row[0] != 1:
            raise Malformed(
                f"line {line}: job {job} should have mode 1, a duration and {len(capacities)} requests"
            )
        for resource, (need, most) in enumerate(zip(row[2:], capacities, strict=True), 1):
            if need > most:
                raise Malformed(f"line {line}: job {job} needs {need} of R{resource}; there are {most}")
        tasks.append(Task(duration=row[1], after=tuple(after[job]), demands=tuple(row[2:])))
    made = Project(tasks=tuple(tasks), capacities=capacities)
    try:
        in_order(made)
    except Impossible as error:
        *most, last = sorted(number + 1 for number in error.tasks)
        raise Malformed(
            f"the jobs {', '.join(map(str, most))} and {last} wait for each other"
            if most
            else f"job {last} waits for itself"
        ) from error
    return made


def _blocks(text: str) -> dict[str, list[tuple[int, str]]]:
    """The lines under each title that ends in a colon, numbered."""
    blocks: dict[str, list[tuple[int, str]]] = {}
    title = ""
    for number, line in enumerate(text.splitlines(), 1):
        words = line.strip()
        if words.startswith("***"):
            title = ""
        elif words.endswith(":") and not title:
            title = words[:-1]
            if title in blocks:
                raise Malformed(f"line {number}: {title} stands twice")
            blocks[title] = []
        elif title and words:
            blocks[title].append((number, words))
    return blocks


def _jobs(blocks: dict[str, list[tuple[int, str]]], title: str) -> dict[int, tuple[int, list[int]]]:
    """For each job of a block its line and the numbers after its own."""
    if title not in blocks:
        raise Malformed(f"there is no {title}")
    jobs: dict[int, tuple[int, list[int]]] = {}
    for number, words in blocks[title][1:]:  # the first line names the columns
        if words.startswith("-"):
            continue
        job, *row = _numbers(number, words)
        if job in jobs:
            raise Malformed(f"line {number}: job {job} stands twice")
        jobs[job] = (number, row)
    return jobs


def _capacities(blocks: dict[str, list[tuple[int, str]]]) -> tuple[int, ...]:
    rows = blocks.get("RESOURCEAVAILABILITIES", [])
    if len(rows) != 2:
        raise Malformed("RESOURCEAVAILABILITIES should be a line of names and a line of numbers")
    kinds = [word for word in rows[0][1].split() if not word.isdigit()]
    if set(kinds) - {"R"}:
        raise Malformed(f"line {rows[0][0]}: only renewable resources (R) are read")
    capacities = _numbers(*rows[1])
    if len(capacities) != len(kinds):
        raise Malformed(f"line {rows[1][0]}: {len(kinds)} resources and {len(capacities)} numbers")
    return tuple(capacities)


def _numbers(line: int, words: str) -> list[int]:
    numbers = []
    for word in words.split():
        if not (word.isascii() and word.isdigit()) or len(word) > 7 or int(word) > _MOST:
            raise Malformed(f"line {line}: '{word[:40]}' is not a whole number from 0 to {_MOST:,}")
        numbers.append(int(word))
    return numbers
