"""The studio, who may enter it, and the invitations that are out."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from studio.models.base import StudioRow, new_id


class Studio(models.Model):
    """One studio: the wall around all its rows."""

    class Units(models.TextChoices):
        METRIC = "metric", _("grams, centimetres, °C")
        US = "us", _("pounds, inches, °F")

    class Week(models.TextChoices):
        DAMP = "damp", _("damp")
        ORDINARY = "ordinary", _("ordinary")
        DRY = "dry", _("dry")

    class Enough(models.TextChoices):
        AVERAGE = "average", _("enough on average")
        FOUR_OF_FIVE = "4of5", _("enough 4 times in 5")
        NINE_OF_TEN = "9of10", _("enough 9 times in 10")
        NINETEEN_OF_TWENTY = "19of20", _("enough 19 times in 20")

    public_id = models.CharField(max_length=80, default=new_id, unique=True, editable=False)
    name = models.CharField(max_length=80)
    time_zone = models.CharField(max_length=64, default="Europe/London")
    units = models.CharField(max_length=8, choices=Units.choices, default=Units.METRIC)
    week = models.CharField(max_length=8, choices=Week.choices, default=Week.ORDINARY)
    enough = models.CharField(max_length=8, choices=Enough.choices, default=Enough.AVERAGE)  # of the pieces started
    # What instruments say of the workshop's air, both or neither; it goes before ``week`` until that is tapped again.
    air_tenths_c = models.SmallIntegerField(null=True, blank=True)
    air_humidity_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    # A drying cupboard with its own air, both or neither; which forms' moulds dry in it stands with the forms.
    cupboard_tenths_c = models.SmallIntegerField(null=True, blank=True)
    cupboard_humidity_pct = models.PositiveSmallIntegerField(null=True, blank=True)
    kwh_price_thousandths = models.PositiveIntegerField(null=True, blank=True)  # of a kWh, in ``money``
    money = models.CharField(max_length=8, blank=True, default="")  # its name or sign
    matters = models.JSONField(default=dict, blank=True)  # what matters more to it in a plan: studio.translate.tuning
    is_demo = models.BooleanField(default=False)
    next_seq = models.PositiveBigIntegerField(default=1)  # the next place in this studio's record
    created_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.name


class Member(StudioRow):
    """A login that may enter the studio."""

    class Role(models.TextChoices):
        OWNER = "owner", _("owner")
        MAKER = "maker", _("maker")

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=8, choices=Role.choices, default=Role.MAKER)
    person = models.ForeignKey("studio.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["studio", "user"], name="one_membership_a_studio"),
        ]


class Invitation(StudioRow):
    """A link by which one more login may join; only the hash of its token is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=8, choices=Member.Role.choices, default=Member.Role.MAKER)
    person = models.ForeignKey("studio.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
