"""Which timetable is the best of all, found and proved by constraint programming?

The library loads in half a second and only when this file is imported.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from falsework.engines.scheduling.bounds import Reach
from falsework.engines.scheduling.greedy import Draft
from falsework.engines.scheduling.tasks import Project, Task
from falsework.engines.scheduling.windows import begins

Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a search brought.

    Attributes:
        draft: the best timetable, or None if nothing better than the hint was found.
        bound: proved: the aim can't be lower.
        stopped: whether somebody stopped it before its time.
    """

    draft: Draft | None
    bound: int
    stopped: bool


def search(
    project: Project,
    reached: Reach,
    hint: Draft,
    *,
    least: int,
    stretch: bool,
    seconds: float,
    workers: int,
    seed: int,
    told: Told | None = None,
) -> Found:
    """Look for the least makespan, or for the least stretch within the hint's makespan.

    Args:
        project: what is to be done.
        reached: its critical path.
        hint: a timetable to begin with; nothing that ends later is looked at.
        least: a bound that is known already.
        stretch: whether the stretches shall be short, instead of the whole.
        seconds: how long to look.
        workers: threads for what one thread leaves open in half of the time.
        seed: of the search; what one thread proves in time is the same timetable for the same seed.
        told: told the best so far and the bound so far.
    """
    until = time.monotonic() + seconds
    best: Draft | None = None
    for threads, share, upwards in _rounds(project, workers, stretch):
        model = _Model(project, reached, hint.makespan)
        model.hint(best or hint)
        if stretch:
            model.least_stretch(least)
        else:
            model.least_makespan(least, (best or hint).makespan)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = threads
        solver.parameters.random_seed = seed
        given = max(share * (until - time.monotonic()), 0.01)
        solver.parameters.max_time_in_seconds = given
        # Measured on the hardest published projects of 30 tasks: without linear relaxations they are proved in a
        # third of the time. For stretches, which are sums, relaxations make all the difference.
        solver.parameters.linearization_level = 1 if stretch else 0
        solver.parameters.use_objective_lb_search = upwards
        status = solver.solve(model.model, _Teller(told) if told else None)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            best = model.draft(solver)
        if status != cp_model.UNKNOWN:
            least = max(least, round(solver.best_objective_bound))
        if status == cp_model.OPTIMAL:
            return Found(draft=best, bound=least, stopped=False)
        if solver.wall_time < 0.9 * given:  # the library takes a stop from the keyboard itself
            return Found(draft=best, bound=least, stopped=True)
    return Found(draft=best, bound=least, stopped=False)


def _rounds(project: Project, workers: int, stretch: bool) -> tuple[tuple[int, float, bool], ...]:
    """One search after another, each where the last left off: threads, share of the time left, whether upwards.

    One thread alone gives the same timetable every time, and proves projects of some sixty tasks sooner than two;
    only what it leaves open goes to several threads, which find better ones of what is too big to be proved.
    A search upwards, from what is proved to be impossible, closes the gap where windows decide: there it gets more.
    """
    if stretch:
        alone: tuple[tuple[int, float, bool], ...] = ((1, 0.3, False),)
    elif project.workers:
        alone = ((1, 0.15, False), (1, 0.85, True))
    else:
        alone = ((1, 0.4, False), (1, 0.6, True))
    return (*alone, (workers, 1.0, False)) if workers > 1 else (*alone[:-1], (1, 1.0, not stretch))


class _Model:
    """The project as variables: a start and an end for each task, a choice of worker, pieces for work that is split."""

    def __init__(self, project: Project, reached: Reach, latest: int) -> None:
        self.model = cp_model.CpModel()
        self._project = project
        self._latest = latest
        self._turns: list[list[cp_model.IntervalVar]] = [[] for _ in project.workers]
        self._choices: list[dict[int, cp_model.IntVar]] = []
        self.starts: list[cp_model.IntVar] = []
        self.ends: list[cp_model.LinearExpr] = []
        self.worked: list[cp_model.LinearExpr] = []
        for number, task in enumerate(project.tasks):
            first, last = reached.heads[number], latest - reached.tails[number] - task.duration
            self.starts.append(self.model.new_int_var(first, max(first, last), ""))
            self._add(number, task)
        for number, task in enumerate(project.tasks):
            for before in set(task.after):
                self.model.add(self.starts[number] >= self.ends[before])
        for turns in self._turns:
            if len(turns) > 1:
                self.model.add_no_overlap(turns)
        self._add_resources()

    def least_makespan(self, least: int, known: int) -> None:
        whole = self.model.new_int_var(least, self._latest, "")
        self.model.add_hint(whole, known)
        for end in self.ends:
            self.model.add(whole >= end)
        self.model.minimize(whole)

    def least_stretch(self, least: int) -> None:
        terms = []
        for end in self.ends:
            self.model.add(end <= self._latest)
        for each in self._project.stretches:
            length = self.model.new_int_var(0, self._latest + max(0, each.more), "")
            begin = self.model.new_constant(0) if each.first is None else self.ends[each.first]
            self.model.add(self.ends[each.last] - length <= begin - each.more)
            terms.append(each.weight * length)
        self.model.add(sum(terms) >= least)
        self.model.minimize(sum(terms))

    def hint(self, draft: Draft) -> None:
        for number, start in enumerate(self.starts):
            self.model.add_hint(start, draft.starts[number])
            for who, chosen in self._choices[number].items():
                self.model.add_hint(chosen, int(draft.workers[number] == who))

    def draft(self, solver: cp_model.CpSolver) -> Draft:
        workers: list[int | None] = []
        for number, task in enumerate(self._project.tasks):
            chosen = [who for who, literal in self._choices[number].items() if solver.boolean_value(literal)]
            workers.append(chosen[0] if chosen else (task.who[0] if task.work else None))
        return Draft(
            starts=tuple(solver.value(start) for start in self.starts),
            ends=tuple(solver.value(end) for end in self.ends),
            worked=tuple(solver.value(worked) for worked in self.worked),
            workers=tuple(workers),
        )

    def _add(self, number: int, task: Task) -> None:
        start = self.starts[number]
        choices: dict[int, cp_model.IntVar] = {}
        self._choices.append(choices)
        if not task.work:
            self.worked.append(start)
            self.ends.append(start + task.duration)
            return
        many = len(task.who) > 1
        split = any(task.work > self._project.workers[who].whole for who in task.who)
        if split:
            done = self.model.new_int_var(0, self._latest, "")
            self.worked.append(done)
            self.ends.append(done + (task.duration - task.work))
        else:
            done = None
            self.worked.append(start + task.work)
            self.ends.append(start + task.duration)
        if many:
            choices.update({who: self.model.new_bool_var("") for who in task.who})
            self.model.add_exactly_one(choices.values())
        for who in task.who:
            self._turn(who, start, task.work, done, choices.get(who))

    def _turn(
        self,
        who: int,
        start: cp_model.IntVar,
        work: int,
        done: cp_model.IntVar | None,
        chosen: cp_model.IntVar | None,
    ) -> None:
        """Work of one task by one worker: when it may begin, when it ends, and that nothing else is done meanwhile."""
        worker = self._project.workers[who]
        runs = [run for run in begins(worker, work) if run[0] + work + run[2] <= self._latest]
        if work <= worker.whole:
            domain = cp_model.Domain.from_intervals([[first, last] for first, last, _ in runs])
            allowed = self.model.add_linear_expression_in_domain(start, domain)
            if chosen is not None:
                allowed.only_enforce_if(chosen)
            if done is not None:
                same = self.model.add(done == start + work)
                if chosen is not None:
                    same.only_enforce_if(chosen)
            size: cp_model.LinearExprT = work
            end: cp_model.LinearExprT = start + work
        else:
            assert done is not None
            literals = []
            for first, last, shift in runs:
                here = self.model.new_bool_var("")
                self.model.add_linear_constraint(start, first, last).only_enforce_if(here)
                self.model.add(done == start + (work + shift)).only_enforce_if(here)
                literals.append(here)
            if chosen is None:
                self.model.add_exactly_one(literals)
            else:
                self.model.add(sum(literals) == 1).only_enforce_if(chosen)
                self.model.add(sum(literals) == 0).only_enforce_if(chosen.negated())
            size = self.model.new_int_var(work, self._latest, "")
            end = done
        if chosen is None:
            self._turns[who].append(self.model.new_interval_var(start, size, end, ""))
        else:
            self._turns[who].append(self.model.new_optional_interval_var(start, size, end, chosen, ""))

    def _add_resources(self) -> None:
        spans: dict[int, cp_model.IntervalVar] = {}
        for resource, capacity in enumerate(self._project.capacities):
            users = [
                n for n, task in enumerate(self._project.tasks) if task.demands and task.demands[resource]
            ]
            for number in users:
                if number not in spans:
                    start, end = self.starts[number], self.ends[number]
                    size = self._project.tasks[number].duration
                    if self._project.tasks[number].work:
                        length = self.model.new_int_var(size, self._latest, "")
                        spans[number] = self.model.new_interval_var(start, length, end, "")
                    else:
                        spans[number] = self.model.new_fixed_size_interval_var(start, size, "")
            demands = [self._project.tasks[n].demands[resource] for n in users]
            self.model.add_cumulative([spans[n] for n in users], demands, capacity)


class _Teller(cp_model.CpSolverSolutionCallback):
    def __init__(self, told: Told) -> None:
        super().__init__()
        self._told = told

    def on_solution_callback(self) -> None:
        self._told(round(self.objective_value), round(self.best_objective_bound))
