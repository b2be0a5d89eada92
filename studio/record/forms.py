"""A form's way into production, the setting that won in its trials, and how much its tools have pressed."""

from __future__ import annotations

from collections.abc import Sequence

from studio.record.happening import Happening
from studio.record.state import SECTIONS_KEPT, LifeState, Setting, ToolState

DRAWING, MODEL, TRIAL_MOULD, TOOL, TRIALS = "drawing", "model", "trial_mould", "tool", "trial_pressings"
FIRED_TEST, APPROVED, WORKING_MOULDS, PRODUCTION = "fired_test", "approved", "working_moulds", "production"
STEPS = (DRAWING, MODEL, TRIAL_MOULD, TOOL, TRIALS, FIRED_TEST, APPROVED, WORKING_MOULDS, PRODUCTION)
# A trial mould and the tool are made side by side; all else waits for what stands before it.
NEEDS: dict[str, tuple[str, ...]] = {
    DRAWING: (), MODEL: (DRAWING,), TRIAL_MOULD: (MODEL,), TOOL: (MODEL,), TRIALS: (TRIAL_MOULD, TOOL),
    FIRED_TEST: (TRIALS,), APPROVED: (FIRED_TEST,), WORKING_MOULDS: (APPROVED,), PRODUCTION: (WORKING_MOULDS,),
}  # fmt: skip
_JOB = "step."


def step_job(form: str, step: str) -> str:
    """The id of the job that a step of a form is in the plan."""
    return f"{_JOB}{step}.{form}"


def step_of_job(job: str) -> tuple[str, str] | None:
    """The form and the step of such a job; None for any other one."""
    step, _dot, form = job.removeprefix(_JOB).partition(".")
    return (form, step) if job.startswith(_JOB) and step in STEPS and form else None


def life_of(h: Happening, form: str) -> LifeState:
    return h.state.lives.setdefault(form, LifeState())


def form_step(h: Happening) -> None:
    """Somebody said that a step is done."""
    life_of(h, h.data["form"]).said.setdefault(h.data["step"], h.fact.happened)


def job_done(h: Happening) -> None:
    """The job of a step is the step."""
    step = step_of_job(h.data["job"])
    if step is not None:
        life_of(h, step[0]).said.setdefault(step[1], h.data["ended"])


def trial(h: Happening) -> None:
    """A trial pressing goes back into the clay: it wears the tool and brings the form on, no more."""
    life = life_of(h, h.data["form"])
    life.trials += 1
    life.tried = h.fact.happened if life.tried is None else life.tried
    if h.data["verdict"] == "good" and life.good is None:
        life.good = h.fact.happened
    wear(h, h.data["tool"], h.data["form"], 1)


def pressed(h: Happening) -> None:
    """Wear of the tool, and a form that is pressed is made."""
    life = life_of(h, h.data["form"])
    life.pressed = max(h.data["ended"], life.pressed or 0)
    wear(h, h.data.get("tool"), h.data["form"], h.data["count"])


def wear(h: Happening, tool: str | None, form: str, count: int) -> None:
    """Count pressings on a tool; where none is told, on the one that forms the form."""
    name = tool or untold(form)
    there = h.state.tools.setdefault(name, ToolState(name))
    there.pressed, there.since = there.pressed + count, there.since + count


def untold(form: str) -> str:
    """Under which pressings of a form are kept of which nobody said with which tool."""
    return f"form {form}"


def setting(h: Happening) -> None:
    d = h.data
    h.state.settings[d["form"]] = Setting(d["tool"], d["ball_g"], d["stop"], h.fact.happened)


def tool_checked(h: Happening) -> None:
    """Its edge was looked at, or given its profile anew: then its sections are measured from the beginning."""
    d = h.data
    names = [d["tool"], *(untold(f) for f in d["forms"])]
    many = [h.state.tools.setdefault(n, ToolState(n)) for n in names]
    own, total = many[0], sum(t.pressed for t in many)
    for there in many:
        there.since = 0
    own.checked, own.what = h.fact.happened, d["what"]
    if d["what"] == "reground":
        own.sections = []
    if d["section"] is not None:
        own.sections = [*own.sections, (total, d["section"])][-SECTIONS_KEPT:]


def done_steps(life: LifeState, drawn: int | None, moulds: Sequence[int]) -> dict[str, int | None]:
    """The steps that are done with when (a minute of the record, None where nobody knows).

    Besides what was said: a form whose profile is in the book (``drawn``, when it was entered) is drawn; what was
    poured had a model; ``moulds`` (from when each can be pressed) end the trial mould, and after the approval the
    working moulds; trials had a tool, one that was kept ends them; and what was pressed since the approval is made.
    """
    done: dict[str, int | None] = dict(life.said)

    def known(step: str, when: int | None, is_so: bool) -> None:
        if is_so and step not in done:
            done[step] = when

    known(DRAWING, drawn, drawn is not None)
    known(MODEL, life.poured, life.poured is not None)
    known(TRIAL_MOULD, life.lifted, life.lifted is not None or bool(moulds))
    known(TOOL, life.tried, life.tried is not None)
    known(TRIALS, life.good, life.good is not None)
    known(FIRED_TEST, life.fired, life.fired is not None)
    approved = done.get(APPROVED)
    if approved is not None:
        working = [m for m in moulds if m > approved]
        known(WORKING_MOULDS, min(working, default=None), bool(working))
        made = life.pressed is not None and life.pressed > approved and WORKING_MOULDS in done
        known(PRODUCTION, life.pressed, made)
    return done


def open_steps(done: dict[str, int | None]) -> tuple[str, ...]:
    """The steps that can be done now: what each waits for is done; none once the form is in production."""
    if PRODUCTION in done:
        return ()
    ready = tuple(s for s in STEPS if s not in done and all(n in done for n in NEEDS[s]))
    return ready or tuple(s for s in STEPS if s not in done)[:1]
