"""Weather, prices, utility use and model runs."""

from django.db import models
from django.db.models import Q

from portal.core.models import StoredFile
from portal.enrollment.models import Casefile, UtilityAccount
from portal.intake.models import FieldRecord
from portal.modeling.states import RunPurpose, RunState, WeatherFileState


class WeatherStation(models.Model):
    """A typical year loaded for a part of the territory."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=120)
    source = models.CharField(max_length=200)
    file_path = models.CharField(max_length=300)
    sha256 = models.CharField(max_length=64)
    latitude_deg = models.FloatField()
    longitude_deg = models.FloatField()
    elevation_m = models.FloatField()
    heating_degree_days_k = models.FloatField()
    cooling_degree_days_k = models.FloatField()
    loaded_at = models.DateTimeField()
    # One taken out of use serves no new run; runs made with it keep pointing to it.
    is_in_use = models.BooleanField(default=True)

    # No casefile: it concerns all of them.
    casefile_number = ""

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class WeatherFile(models.Model):
    """A weather file an administrator sent, what the check found in it, and what came of it."""

    code = models.CharField(max_length=20)
    source = models.CharField(max_length=200)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(
        max_length=10, choices=WeatherFileState.choices, default=WeatherFileState.CHECKING
    )
    report = models.JSONField(default=dict, blank=True)
    station = models.ForeignKey(
        WeatherStation, on_delete=models.PROTECT, null=True, blank=True, related_name="files"
    )
    sent_by = models.CharField(max_length=200)
    sent_at = models.DateTimeField()
    checked_at = models.DateTimeField(null=True, blank=True)

    casefile_number = ""

    class Meta:
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state=WeatherFileState.USED) | Q(station__isnull=False),
                name="used_weather_has_a_station",
            )
        ]

    def __str__(self) -> str:
        return f"{self.code}: {self.file.original_name}"


class EnergyPrice(models.Model):
    """What a fuel costs per billing unit, from a day on."""

    fuel = models.CharField(max_length=20)
    unit = models.CharField(max_length=10)
    usd_per_unit = models.DecimalField(max_digits=8, decimal_places=4)
    joules_per_unit = models.FloatField()
    from_on = models.DateField()
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["fuel", "-from_on"]
        constraints = [
            models.UniqueConstraint(fields=["fuel", "from_on"], name="one_price_a_fuel_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.fuel}: ${self.usd_per_unit} a {self.unit}"


class RateSchedule(models.Model):
    """How the utility charges a fuel on one of its rates, from a day on."""

    fuel = models.CharField(max_length=20)
    rate_code = models.CharField(max_length=10)
    name = models.CharField(max_length=120)
    from_on = models.DateField()
    # Charges, seasons, blocks and hours as they are published, in dollars and billing units.
    body = models.JSONField()
    source = models.CharField(max_length=200)

    class Meta:
        ordering = ["fuel", "rate_code", "-from_on"]
        constraints = [
            models.UniqueConstraint(
                fields=["fuel", "rate_code", "from_on"], name="one_schedule_a_rate_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}, from {self.from_on}"


class DailySeries(models.Model):
    """Actual daily temperatures of a station; a made-up one says so."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=120)
    source = models.CharField(max_length=200)
    is_synthetic = models.BooleanField(default=False)
    latitude_deg = models.FloatField()
    longitude_deg = models.FloatField()
    loaded_at = models.DateTimeField()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class DailyMean(models.Model):
    """Mean temperature of one day; a day without one has no row."""

    series = models.ForeignKey(DailySeries, on_delete=models.CASCADE, related_name="days")
    on = models.DateField()
    mean_c = models.FloatField()

    class Meta:
        ordering = ["series", "on"]
        constraints = [models.UniqueConstraint(fields=["series", "on"], name="one_mean_a_day")]

    def __str__(self) -> str:
        return f"{self.series} on {self.on}"


class PriceListLine(models.Model):
    """What the program takes a measure to cost, from a day on."""

    measure = models.CharField(max_length=60)
    unit = models.CharField(max_length=20)
    fixed_usd = models.DecimalField(max_digits=10, decimal_places=2, default=0)
    usd_per_unit = models.DecimalField(max_digits=10, decimal_places=2)
    # What one unit costs where bids are low and where they are high; none where nobody said.
    usd_per_unit_low = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    usd_per_unit_high = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    # The year whose dollars these are.
    dollars_year = models.PositiveSmallIntegerField(null=True, blank=True)
    from_on = models.DateField()

    class Meta:
        ordering = ["measure", "-from_on"]
        constraints = [
            models.UniqueConstraint(fields=["measure", "from_on"], name="one_line_a_measure_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.measure}: ${self.usd_per_unit} a {self.unit}"


class SavingsManual(models.Model):
    """How the program claims savings, from a day on: the algorithms and their parameters.

    A published edition is not edited; another rule is another edition.
    """

    code = models.CharField(max_length=20)
    edition = models.CharField(max_length=20)
    title = models.CharField(max_length=120)
    from_on = models.DateField()
    body = models.JSONField()

    class Meta:
        ordering = ["code", "-from_on"]
        constraints = [
            models.UniqueConstraint(fields=["code", "edition"], name="one_manual_an_edition"),
            models.UniqueConstraint(fields=["code", "from_on"], name="one_manual_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.code}, edition {self.edition}"


class UsageReading(models.Model):
    """Energy used between two meter readings."""

    account = models.ForeignKey(
        UtilityAccount, on_delete=models.PROTECT, related_name="usage_readings"
    )
    fuel = models.CharField(max_length=20)
    starts_on = models.DateField()
    ends_on = models.DateField()
    quantity = models.FloatField()
    unit = models.CharField(max_length=10)
    cost_usd = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    is_estimated = models.BooleanField(default=False)
    # Above 0: a correction; what it corrects stays.
    revision = models.PositiveSmallIntegerField(default=0)
    # The customer's own generation in the same days, where it is metered apart.
    produced = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["account", "fuel", "starts_on", "revision"]
        constraints = [
            models.UniqueConstraint(
                fields=["account", "fuel", "starts_on", "revision"],
                name="one_reading_a_period_a_revision",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity:g} {self.unit} of {self.fuel} from {self.starts_on}"


class ModelRun(models.Model):
    """One working-out of a house: what went in, what came out, by which engine."""

    casefile = models.ForeignKey(Casefile, on_delete=models.PROTECT, related_name="model_runs")
    record = models.ForeignKey(FieldRecord, on_delete=models.PROTECT, related_name="model_runs")
    # Names what asked for the run, so that asking twice gives one run.
    key = models.CharField(max_length=80, blank=True)
    purpose = models.CharField(max_length=10, choices=RunPurpose.choices, default=RunPurpose.AUDIT)
    state = models.CharField(max_length=10, choices=RunState.choices, default=RunState.QUEUED)
    # Measures chosen and their costs, for a run of a plan; empty for the report's run.
    choices = models.JSONField(default=dict, blank=True)
    weather = models.ForeignKey(WeatherStation, on_delete=models.PROTECT, related_name="+")
    # Code, name, source and hash of the weather as it was when the run was worked out: a station
    # may be loaded anew later.
    weather_used = models.JSONField(default=dict, blank=True)
    # Rates that decide money as they were in effect, with source, edition and how known, by key.
    values_used = models.JSONField(default=dict, blank=True)
    step = models.CharField(max_length=60, blank=True)
    steps_done = models.PositiveSmallIntegerField(default=0)
    steps_total = models.PositiveSmallIntegerField(default=0)
    house = models.JSONField(default=dict, blank=True)
    origins = models.JSONField(default=dict, blank=True)
    results = models.JSONField(default=dict, blank=True)
    # Saving of each measure as the program claims it: modeled and deemed, and which counts.
    claims = models.JSONField(default=dict, blank=True)
    engine_version = models.CharField(max_length=40, blank=True)
    error = models.TextField(blank=True)
    queued_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["queued_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state=RunState.DONE) | Q(finished_at__isnull=False),
                name="done_run_has_an_end",
            ),
            models.UniqueConstraint(
                fields=["casefile", "key"],
                condition=~Q(key=""),
                name="one_run_a_key",
            ),
        ]

    def __str__(self) -> str:
        return f"model run {self.pk} of {self.casefile}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number
