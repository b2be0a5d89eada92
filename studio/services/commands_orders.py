"""Commands that edit customers, orders and their lines."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import Customer, Form, Glaze, Order, OrderLine, PlanRun
from studio.services import runs
from studio.services.answers import Answer, Refused
from studio.services.commands import command
from studio.services.context import Context, stale
from studio.services.fields import date, ident, listed, optional, read_payload, rows, text, whole
from studio.services.saving import VERSION, edit_spec, retiring, save

QTY = whole(1, 100_000)
WEIGHT = whole(1, 3)
NOTE = text(2000, lines=True)
LINE = {"line": optional(ident), "form": ident, "glaze": ident, "qty": QTY}


@command("customer_save", {**edit_spec("customer"), "name": text(), "note": optional(NOTE, "")})
def customer_save(ctx: Context, data: dict[str, Any]) -> Answer:
    """Who orders."""
    row = save(ctx, Customer, "customer", data, {"name": data["name"], "note": data["note"]})
    return ctx.done(_("%(name)s is saved.") % {"name": row.name}, customer=row.public_id)


retiring("customer_retire", "customer", Customer)

ORDER_NEW = {"customer": optional(ident), "customer_name": optional(text()), "due": date,
             "weight": optional(WEIGHT, 1), "note": optional(NOTE, ""),
             "told": optional(ident)}  # fmt: skip


@command("order_new", ORDER_NEW)
def order_new(ctx: Context, data: dict[str, Any]) -> Answer:
    """An order of one or more lines: ``lines`` as records, or repeated ``form``, ``glaze``, ``qty``.

    The customer is named by id, or by ``customer_name``, which makes a new one where the name is not known.
    ``told``: the answer that told the day; a plan is then worked on that begins from the one the day stands on.
    """
    lines = _lines(ctx, least=1)
    order = Order.objects.create(
        studio=ctx.studio, customer=_customer(ctx, data), due=data["due"], weight=data["weight"], note=data["note"],
        placed_at=ctx.now,
    )  # fmt: skip
    made = [_new_line(ctx, order, line) for line in lines]
    message = ngettext("The order is in the book.", "The order with its %(n)d lines is in the book.", len(made))
    said = {"order": order.public_id, "lines": [x.public_id for x in made]}
    run = _planned_from(ctx, order, made, data["told"])
    if run is not None:
        text = _("%(done)s A plan that has it ready on its day is being worked on.") % {"done": message}
        return ctx.done(text % {"n": len(made)}, go=ctx.path(f"plan/?run={run.public_id}"), run=run.public_id, **said)
    return ctx.done(message % {"n": len(made)}, go=ctx.path("orders/"), **said)


def _planned_from(ctx: Context, order: Order, lines: list[OrderLine], told: str | None) -> PlanRun | None:
    """The run that plans the order from the answer ``told`` that gave its day; None where it is about something else.
    """
    answer = PlanRun.objects.filter(studio=ctx.studio, kind=PlanRun.Kind.WHEN, public_id=told or "").first()
    if answer is None:
        return None
    asked = (answer.about.get("form"), answer.about.get("glaze"))
    line = next((x for x in lines if (x.form.public_id, x.glaze.public_id) == asked), None)
    if line is None or not runs.take_answer(
        run=answer, line=line.public_id, qty=line.qty, day=order.due, now=ctx.now
    ):  # fmt: skip
        return None
    return runs.ask_run(studio=ctx.studio, user=ctx.member.user, why="promise", now=ctx.now)


def _customer(ctx: Context, data: dict[str, Any]) -> Customer:
    if data["customer"]:
        return ctx.find(Customer, data["customer"], name="customer")
    if not data["customer_name"]:
        raise Refused(_("Say who it is for."), errors={"customer_name": _("Please fill this in.")})
    known = Customer.objects.filter(studio=ctx.studio, name__iexact=data["customer_name"], retired_at=None).first()
    return known or Customer.objects.create(studio=ctx.studio, name=data["customer_name"])


def _lines(ctx: Context, *, least: int) -> list[dict[str, Any]]:
    p = ctx.payload
    flat = p if "lines" in p else {"lines": [r for r in rows(p, LINE) if _is_meant(r)]}
    if least and not flat["lines"]:
        raise Refused(_("An order needs at least one line."), errors={"qty": _("How many of which form?")})
    lines = read_payload(flat, {"lines": listed(LINE, most=100, least=least)})["lines"]
    for i, line in enumerate(lines):
        line["form"] = ctx.find(Form, line["form"], name=f"lines.{i}.form", retired=line["line"] is not None)
        line["glaze"] = ctx.find(Glaze, line["glaze"], name=f"lines.{i}.glaze", retired=line["line"] is not None)
    return lines


def _is_meant(row: dict[str, Any]) -> bool:
    """A line of a plain form counts with a number in it; a new one with a form chosen is asked for its number, one of
    the order whose number was taken out is cancelled."""
    return row.get("qty") not in (None, "") or (not row.get("line") and row.get("form") not in (None, ""))


def _new_line(ctx: Context, order: Order, line: dict[str, Any]) -> OrderLine:
    return OrderLine.objects.create(
        studio=ctx.studio, order=order, form=line["form"], glaze=line["glaze"], qty=line["qty"]
    )


def _open_order(ctx: Context, public_id: str) -> Order:
    order = ctx.find(Order, public_id, name="order")
    if order.cancelled_at is not None:
        raise Refused(_("This order was cancelled. Enter a new one, or take the cancelling back."))
    return order


ORDER_CHANGE = {"order": ident, "version": VERSION, "due": optional(date), "weight": optional(WEIGHT),
                "note": optional(text(2000, lines=True)), "customer": optional(ident)}  # fmt: skip


@command("order_change", ORDER_CHANGE)
def order_change(ctx: Context, data: dict[str, Any]) -> Answer:
    """Change an order; what is left out stays. ``lines``, where given, is the whole list: a line that is missing
    is cancelled, one without an id is new."""
    order = _open_order(ctx, data["order"])
    values = {k: data[k] for k in ("due", "weight") if data[k] is not None}
    if "note" in ctx.payload:
        values["note"] = data["note"] or ""
    if data["customer"]:
        values["customer"] = ctx.find(Customer, data["customer"], name="customer")
    ctx.edit(order, data["version"], values)
    if "lines" in ctx.payload or "qty" in ctx.payload:
        _set_lines(ctx, order)
    return ctx.done(_("The order is changed."), go=ctx.path("orders/"), order=order.public_id)


def _set_lines(ctx: Context, order: Order) -> None:
    wanted = _lines(ctx, least=1)
    there = {x.public_id: x for x in order.lines.filter(cancelled_at=None)}
    for i, line in enumerate(wanted):
        if line["line"] is None:
            _new_line(ctx, order, line)
            continue
        row = there.pop(line["line"], None)
        if row is None:
            raise Refused(_("A line of this order cannot be found any more."), errors={f"lines.{i}.line": _("Gone.")})
        _change_line(ctx, row, line["form"], line["glaze"], line["qty"])
    for row in there.values():
        row.cancelled_at = ctx.now
        ctx.touch(row)


def _change_line(ctx: Context, row: OrderLine, form: Form, glaze: Glaze, qty: int) -> None:
    """Another form or glaze is another line, so that ware which was made for the old one is told apart."""
    if (row.form_id, row.glaze_id) == (form.pk, glaze.pk):
        if row.qty != qty:
            row.qty = qty
            ctx.touch(row)
        return
    row.cancelled_at = ctx.now
    ctx.touch(row)
    OrderLine.objects.create(studio=ctx.studio, order=row.order, form=form, glaze=glaze, qty=qty)


@command("order_cancel", {"order": ident, "version": VERSION})
def order_cancel(ctx: Context, data: dict[str, Any]) -> Answer:
    """Cancel an order. What was made for it is kept for stock."""
    order = _open_order(ctx, data["order"])
    ctx.edit(order, data["version"], {"cancelled_at": ctx.now})
    return ctx.done(
        _("The order is cancelled. What was made for it stays, for stock."), go=ctx.path("orders/"),
        order=order.public_id, version=order.version,
    )  # fmt: skip


@command("order_restore", {"order": ident, "version": VERSION})
def order_restore(ctx: Context, data: dict[str, Any]) -> Answer:
    """Take the cancelling of an order back."""
    order = ctx.find(Order, data["order"], name="order")
    ctx.edit(order, data["version"], {"cancelled_at": None})
    return ctx.done(_("The order stands again."), go=ctx.path("orders/"), order=order.public_id)


@command("line_add", {"order": ident, "version": VERSION, "form": ident, "glaze": ident, "qty": QTY})
def line_add(ctx: Context, data: dict[str, Any]) -> Answer:
    """One more line of an order."""
    order = _open_order(ctx, data["order"])
    ctx.edit(order, data["version"], {})
    line = {"form": ctx.find(Form, data["form"], name="form"), "glaze": ctx.find(Glaze, data["glaze"], name="glaze")}
    row = _new_line(ctx, order, {**line, "qty": data["qty"]})
    return ctx.done(_("The line is in the order."), go=ctx.path("orders/"), line=row.public_id)


def _open_line(ctx: Context, data: dict[str, Any]) -> OrderLine:
    row = ctx.find(OrderLine, data["line"], name="line")
    if row.cancelled_at is not None or row.order.cancelled_at is not None:
        raise Refused(_("This line was cancelled."))
    if data["version"] != row.version:
        raise stale(row, {k: data[k] for k in ("qty",) if data.get(k) is not None})
    return row


@command("line_change", {"line": ident, "version": VERSION, "qty": QTY, "form": optional(ident),
                         "glaze": optional(ident)})  # fmt: skip
def line_change(ctx: Context, data: dict[str, Any]) -> Answer:
    """Another count, form or glaze for one line."""
    row = _open_line(ctx, data)
    form = ctx.find(Form, data["form"], name="form") if data["form"] else row.form
    glaze = ctx.find(Glaze, data["glaze"], name="glaze") if data["glaze"] else row.glaze
    _change_line(ctx, row, form, glaze, data["qty"])
    return ctx.done(_("The line is changed."), go=ctx.path("orders/"))


@command("line_cancel", {"line": ident, "version": VERSION})
def line_cancel(ctx: Context, data: dict[str, Any]) -> Answer:
    """Cancel one line. What was made for it is kept for stock."""
    row = _open_line(ctx, data)
    row.cancelled_at = ctx.now
    ctx.touch(row)
    if not row.order.lines.filter(cancelled_at=None).exists():
        row.order.cancelled_at = ctx.now
        ctx.touch(row.order)
    return ctx.done(_("The line is cancelled. What was made for it stays, for stock."), go=ctx.path("orders/"))
