"""Is a timetable allowed? Written from the definition, moment by moment, and sharing nothing with the scheduler."""

from __future__ import annotations

from itertools import product


def faults(project, table):
    """Everything that is wrong with a timetable; empty if it is allowed."""
    found = []
    for number, task in enumerate(project.tasks):
        start, end, worked = table.starts[number], table.ends[number], table.worked[number]
        if start < task.release:
            found.append(f"{number} begins before its release")
        found += [f"{number} begins before {b} ends" for b in task.after if start < table.ends[b]]
        if task.work == 0:
            if end != start + task.duration:
                found.append(f"{number} does not last as long as it should")
            continue
        who = table.workers[number]
        if who not in task.who:
            found.append(f"{number} is done by {who}")
            continue
        if worked != finish(project.workers[who], start, task.work):
            found.append(f"the work of {number} does not fit the windows")
        if end != worked + task.duration - task.work:
            found.append(f"{number} does not go on as long as it should")
    if table.makespan != max(table.ends, default=0):
        found.append("the makespan is not the last end")
    for moment in range(table.makespan):
        running = [n for n in range(len(project.tasks)) if table.starts[n] <= moment < table.ends[n]]
        for resource, capacity in enumerate(project.capacities):
            used = sum(project.tasks[n].demands[resource] for n in running if project.tasks[n].demands)
            if used > capacity:
                found.append(f"resource {resource} is overdrawn at {moment}")
        for worker in range(len(project.workers)):
            at_it = [n for n in running if table.workers[n] == worker and moment < table.worked[n]]
            if len(at_it) > 1:
                found.append(f"worker {worker} does {at_it} at once, at {moment}")
    return found


def finish(worker, start, work):
    """When work begun at a moment ends, counted unit by unit; None if it may not begin then."""
    works = {moment for begin, end in worker.windows for moment in range(begin, end)}
    if start not in works:
        return None
    moment, left, last = start, work, max(works)
    while left:
        if moment > last:
            return None
        if moment in works:
            left -= 1
        elif work <= worker.whole:
            return None
        moment += 1
    return moment


def all_tables(project, latest):
    """Every allowed way to do a tiny project by a moment, as (starts, ends)."""
    options = []
    for task in project.tasks:
        if task.work:
            ways = [
                (start, worked + task.duration - task.work, worked, who)
                for who in task.who
                for start in range(latest)
                if (worked := finish(project.workers[who], start, task.work)) is not None
            ]
        else:
            ways = [(start, start + task.duration, start, None) for start in range(latest + 1)]
        options.append([way for way in ways if way[1] <= latest])
    for ways in product(*options):
        table = Ways(ways)
        if not faults(project, table):
            yield table


class Ways:
    """A timetable as the referee reads it."""

    def __init__(self, ways):
        self.starts, self.ends, self.worked, self.workers = (
            tuple(zip(*ways, strict=True)) if ways else ((), (), (), ())
        )
        self.makespan = max(self.ends, default=0)
