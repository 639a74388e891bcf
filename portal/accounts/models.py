"""People, the roles they are granted, and contractor firms."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import BaseUserManager
from django.contrib.auth.models import AbstractBaseUser, PermissionsMixin
from django.db import models
from django.db.models import Q
from django.utils.functional import cached_property

from portal.accounts.states import Role
from portal.core import clock


class Firm(models.Model):
    """A contractor firm taking part in the program."""

    name = models.CharField(max_length=120, unique=True)
    trades = models.JSONField(default=list)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    languages = models.JSONField(default=list)
    counties = models.JSONField(default=list)
    lead_safe_number = models.CharField(max_length=40, blank=True)
    listed_on = models.DateField()
    delisted_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class UserManager(BaseUserManager["User"]):
    """Makes people; the e-mail address is the name they sign in with."""

    def create_user(
        self, email: str, full_name: str = "", password: str | None = None, **extra: Any
    ) -> "User":
        """Make a person who signs in by e-mailed code; a password is not needed."""
        user = self.model(email=self.normalize_email(email).lower(), full_name=full_name, **extra)
        if password:
            user.set_password(password)
        else:
            user.set_unusable_password()
        user.save(using=self._db)
        return user


class User(AbstractBaseUser, PermissionsMixin):
    """A person who can sign in."""

    email = models.EmailField(unique=True)
    full_name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    language = models.CharField(max_length=8, default="en")
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=clock.now)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["full_name"]

    class Meta:
        ordering = ["full_name", "email"]
        verbose_name = "person"
        verbose_name_plural = "people"

    def __str__(self) -> str:
        return self.full_name or self.email

    @property
    def actor_id(self) -> int | None:
        """The id under which the audit trail knows this person."""
        return self.pk

    @property
    def actor_label(self) -> str:
        """The name under which the audit trail knows this person."""
        return str(self)

    @cached_property
    def current_grants(self) -> "list[RoleGrant]":
        """The grants in force today, read once per request."""
        today = clock.today()
        return list(
            self.grants.filter(starts_on__lte=today)
            .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=today))
            .select_related("firm")
            .order_by("pk")
        )

    @property
    def roles(self) -> frozenset[str]:
        """The roles held today."""
        return frozenset(grant.role for grant in self.current_grants)

    @property
    def firm(self) -> Firm | None:
        """The firm this person acts for today, if any."""
        return next((grant.firm for grant in self.current_grants if grant.firm_id), None)

    def has_role(self, role: str) -> bool:
        """Whether this person holds the role today."""
        return str(role) in self.roles


class RoleGrant(models.Model):
    """A role held by a person from a day to a day, for a firm where the role needs one."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="grants")
    role = models.CharField(max_length=20, choices=Role.choices)
    firm = models.ForeignKey(
        Firm, on_delete=models.PROTECT, null=True, blank=True, related_name="grants"
    )
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(role=Role.CONTRACTOR) | Q(firm__isnull=False),
                name="contractor_grant_names_firm",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user}: {self.role}"
