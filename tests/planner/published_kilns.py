"""More published examples told as a pottery's week: those that turn on the kiln, its rack and many kinds of work.

A firing that may start in one minute only is a knapsack: an item is a pot, its weight the height of clearance + shelf,
its value the weight of its order. A glaze that may be fired in any program that is long enough makes the kiln a burn-in
oven: a load takes as long as the longest of its pots. A potter who glazes pots for a kiln that holds one pot is a flow
shop of two machines; without a glazed rack nothing may wait between them. Leather-hard work of several kinds, in
another order for each form, is a job shop: a kind of work is a machine, with a person and a place of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.plan import OrderDone, Plan, Task
from planner.scenario import Kiln, Program, Racks, Scenario
from tests.planner import builders as b


def job_shop(jobs: Sequence[Sequence[tuple[int, int]]], horizon: int) -> Scenario:
    """One leather-hard batch a job, whose steps are ``(machine, minutes)``; giving a batch up costs 1."""
    kinds = sorted({f"work{m}" for job in jobs for m, _ in job})
    forms = [
        b.form(f"f{j}", steps=[b.step(f"work{m}", work=b.Work(p, 0), after=(0, 1000)) for m, p in job])
        for j, job in enumerate(jobs)
    ]
    return b.scenario(
        horizon=horizon,
        people=[b.person(k, hours=[(0, horizon)], skills=[k]) for k in kinds],
        stations=[b.station(), *(b.station(f"at-{k}", kinds=[k]) for k in kinds)],
        forms=forms,
        wip=[b.released(f"w{j}", form=f"f{j}") for j in range(len(jobs))],
        weights=b.weights(spoil=1),
    )


def worked(scenario: Scenario, machines: Sequence[Sequence[int]]) -> Plan:
    """The plan in which each machine takes the jobs in the order given, each as early as can be."""
    queue = {f"work{m}": list(order) for m, order in enumerate(machines)}
    steps = {j: list(f.steps) for j, f in enumerate(scenario.forms)}
    ready, free, tasks = dict.fromkeys(steps, 0), dict.fromkeys(queue, 0), []
    while any(queue.values()):
        kind = next(k for k, q in queue.items() if q and steps[q[0]][0].kind == k)
        j = queue[kind].pop(0)
        start = max(ready[j], free[kind])
        ready[j] = free[kind] = start + steps[j].pop(0).work.fixed
        tasks.append(b.task(f"{kind}-{j}", kind, start, ready[j], kind, f"at-{kind}"))
    batches = [
        b.batch(f"w{j}", form=f.id, count=1, moulds=(), steps=[f"{s.kind}-{j}" for s in f.steps])
        for j, f in enumerate(scenario.forms)
    ]
    return b.plan(tasks, batches=batches)


def _glazed_pots(kiln: Kiln, programs: Sequence[Sequence[str]], due: int, packers: int, **more: object) -> Scenario:
    """A glazed pot each with a glaze for ``programs[j]``; ``tardy`` 1 for each that is not packed by ``due``."""
    pots, horizon = range(len(programs)), due + 20
    given = {
        "horizon": horizon,
        "people": [
            b.person("kilns", hours=[(0, horizon)], skills=["load", "unload"]),
            *(b.person(f"packer{i}", hours=[(0, horizon)], skills=["finish"]) for i in range(packers)),
        ],
        "forms": [b.form(f"f{j}", finish=b.Work(1, 0), glost=b.shelving(50, a=1), glaze_dry=0) for j in pots],
        "kilns": [kiln],
        "glazes": [b.glaze(f"z{j}", programs=ids) for j, ids in enumerate(programs)],
        "orders": [b.order(f"o{j}", form=f"f{j}", glaze=f"z{j}", due=due) for j in pots],
        "wip": [b.glazed(f"w{j}", form=f"f{j}", order=f"o{j}", glaze=f"z{j}") for j in pots],
        "weights": b.weights(tardy=1),
    }
    return b.scenario(**{**given, **more})


def knapsack(values: Sequence[int], heights: Sequence[int], stack_mm: int) -> Scenario:
    """One firing for pots of ``heights`` with their shelf; each that is left out costs its value."""
    n = len(values)
    kiln = b.kiln(
        stack_mm=stack_mm, shelf_mm=1, shelves=n, load=1, unload=1, start_spans=[(1, 2)],
        programs=[b.program("glost", fire=1, cool=0)],
    )  # fmt: skip
    shelving = [b.shelving(mm - 1, a=1) for mm in heights]
    due = n + 10
    return _glazed_pots(
        kiln, [["glost"]] * n, due, 1,
        forms=[b.form(f"f{j}", finish=b.Work(1, 0), glost=g) for j, g in enumerate(shelving)],
        orders=[b.order(f"o{j}", form=f"f{j}", glaze=f"z{j}", due=due, weight=v) for j, v in enumerate(values)],
    )  # fmt: skip


def oven(times: Sequence[int], capacity: int, due: int) -> Scenario:
    """Pots that need ``times`` minutes at least in a kiln for ``capacity``; packing and drawing take 2 minutes."""
    lengths = sorted(set(times))
    programs = [b.program(f"p{t}", stage="glost", fire=t, cool=0) for t in lengths]
    kiln = b.kiln(stack_mm=70 * capacity, shelves=capacity, load=1, unload=1, programs=programs)
    return _glazed_pots(kiln, [[f"p{x}" for x in lengths if x >= t] for t in times], due, capacity)


def oven_makespan(times: Sequence[int], loads: Sequence[Sequence[int]]) -> int:
    """The minute at which the last load is drawn, one load after the other."""
    return sum(max(times[j] for j in load) + 2 for load in loads)


def glaze_and_fire(glaze: Sequence[int], fire: Sequence[int], due: int, rack: int) -> Scenario:
    """Bisqued pots that one person glazes and another fires one by one, ``fire`` with packing and drawing."""
    pots, horizon = range(len(glaze)), due + 20
    programs = [b.program(f"p{j}", stage="glost", fire=fire[j] - 2, cool=0) for j in pots]
    kiln = b.kiln(stack_mm=70, shelves=1, load=1, unload=1, programs=programs)
    people = [
        b.person("glazer", hours=[(0, horizon)], skills=["glaze"]),
        b.person("kilns", hours=[(0, horizon)], skills=["load", "unload"]),
        b.person("packer0", hours=[(0, horizon)], skills=["finish"]),
    ]
    works = [{"glaze": b.Work(glaze[j], 0), "finish": b.Work(1, 0), "glaze_dry": 0} for j in pots]
    return _glazed_pots(
        kiln, [[p.id] for p in programs], due, 1,
        people=people,
        racks=Racks(0, 0, rack),
        forms=[b.form(f"f{j}", **w, glost=b.shelving(50, a=1)) for j, w in enumerate(works)],
        wip=[b.bisqued(f"w{j}", form=f"f{j}") for j in pots],
    )  # fmt: skip


def flow_makespan(glaze: Sequence[int], fire: Sequence[int], order: Sequence[int], rack: int) -> int:
    """The minute at which the last pot is drawn, where ``rack`` glazed pots may wait for the kiln."""
    glazed, packed, drawn = 0, [0] * (rack + 1), 0
    for j in order:
        # the pot before it that has the last place on the rack has gone by then; without a rack, the kiln is empty
        glazed = max(glazed + glaze[j], packed[-rack] if rack else drawn)
        packed.append(max(glazed, drawn))
        drawn = packed[-1] + fire[j]
    return drawn


def fired_in_loads(scenario: Scenario, loads: Sequence[Sequence[int]], glazed: bool = True) -> Plan:
    """The plan that fires ``loads`` one after the other, each in the shortest program that all its pots allow.

    Where the pots are not ``glazed`` yet, each is glazed as soon as there is a place for it.
    """
    tasks: list[Task] = []
    firings, lots = [], []
    rack = scenario.racks.glazed
    done_glazing, drawn, packings, ends = 0, 0, [0] * (rack + 1), {}
    for n, load in enumerate(loads):
        program = _shortest(scenario, load)
        if not glazed:
            (j,) = load
            minutes = scenario.forms[j].glaze.fixed
            done_glazing = max(done_glazing + minutes, packings[-rack] if rack else drawn)
            tasks.append(b.task(f"glaze{j}", "glaze", done_glazing - minutes, done_glazing, "glazer"))
            lots.append(b.lot(f"l{j}", order=f"o{j}", sources=b.parts(**{f"w{j}": 1}), glaze=f"glaze{j}"))
        packings.append(max(drawn, done_glazing))
        lit = packings[-1] + 1
        drawn = lit + program.fire + 1
        tasks += [
            b.task(f"in{n}", "load", lit - 1, lit, "kilns"),
            b.task(f"out{n}", "unload", drawn - 1, drawn, "kilns"),
        ]
        pieces = b.parts(**{f"{'w' if glazed else 'l'}{j}": 1 for j in load})
        own = {"program": program.id, "load": f"in{n}", "fire": lit, "unload": f"out{n}", "pieces": pieces}
        firings.append(b.firing(f"k{n}", **own))
        ends |= dict.fromkeys(load, (n, drawn))
    return _packed(scenario, tasks, ends, firings=firings, lots=lots)


def _packed(scenario: Scenario, tasks: list[Task], drawn: dict[int, tuple[int, int]], **more: object) -> Plan:
    """The plan in which pot j of firing n, ``drawn[j] = (n, minute)``, is finished as soon as a packer is free."""
    free = {p.id: 0 for p in scenario.people if p.id.startswith("packer")}
    finishes, done = [], {}
    for j, (n, minute) in drawn.items():
        who = min(free, key=free.__getitem__)
        start = max(minute, free[who])
        free[who] = done[f"o{j}"] = start + 1
        tasks.append(b.task(f"finish{j}", "finish", start, start + 1, who))
        finishes.append(b.finish(f"n{j}", order=f"o{j}", source=f"k{n}", task=f"finish{j}"))
    never = scenario.horizon + scenario.to_finish.glazed
    ends = [(o, done.get(o.id, never)) for o in scenario.orders]
    orders = [OrderDone(o.id, end, max(0, end - o.due), o.id not in done) for o, end in ends]
    late = sum(o.weight for o, end in ends if end > o.due)
    return b.plan(tasks, costs={"tardy": late}, finishes=finishes, orders=orders, **more)


def _shortest(scenario: Scenario, load: Sequence[int]) -> Program:
    allowed = set.intersection(*(set(scenario.glazes[j].programs) for j in load))
    return min((p for p in scenario.kilns[0].programs if p.id in allowed), key=lambda p: p.fire)
