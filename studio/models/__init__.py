"""All tables. Services in ``studio.services`` are their only writers."""

from studio.models.clay import ClayBody, MouldMix
from studio.models.orders import Customer, Order, OrderLine
from studio.models.people import BlockedTime, DayOff, Person, WeeklyHours
from studio.models.plans import Pin, Plan, PlanLoad, PlanRun
from studio.models.record import Command, Fact, Snapshot
from studio.models.security import LoginAttempt
from studio.models.shop import (
    Cast,
    Form,
    FormProfile,
    FormTimings,
    Glaze,
    Job,
    Kiln,
    KilnProgram,
    KilnStart,
    Mould,
    Program,
    Rack,
    Stage,
    Station,
    Tool,
)
from studio.models.studio import Invitation, Member, Studio

__all__ = [
    "BlockedTime", "Cast", "ClayBody", "Command", "Customer", "DayOff", "Fact", "Form", "FormProfile", "FormTimings",
    "Glaze", "Invitation", "Job", "Kiln", "KilnProgram", "KilnStart", "LoginAttempt", "Member", "Mould", "MouldMix",
    "Order", "OrderLine", "Person", "Pin", "Plan", "PlanLoad", "PlanRun", "Program", "Rack", "Snapshot", "Stage",
    "Station", "Studio", "Tool", "WeeklyHours",
]  # fmt: skip
