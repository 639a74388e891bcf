"""Lamps and appliances."""

from django.utils.translation import gettext_lazy as _

from portal.works.specifications.base import Specification

APPLIANCES: dict[str, Specification] = {
    "led_lamps": Specification(
        target=_("Old bulbs changed for LED of the same light"),
        specification=_(
            "LED lamps of the same shape and brightness; enclosed-rated where enclosed"
        ),
        proof=_("Count by room; photo of what was removed"),
        trade=_("Insulation crew"),
    ),
    "refrigerator_replacement": Specification(
        target=_("New refrigerator; the old one gone for good"),
        specification=_("Old unit taken away and its refrigerant recovered"),
        proof=_("Nameplates; recycling receipt"),
        trade=_("Appliance dealer"),
    ),
    "second_refrigerator_removal": Specification(
        target=_("Old second refrigerator gone for good"),
        specification=_("Taken away and its refrigerant recovered"),
        proof=_("Recycling receipt"),
        trade=_("Appliance dealer"),
    ),
    "clothes_washer_replacement": Specification(
        target=_("Washer that needs less hot water and spins drier"),
        specification=_("Hoses new, drain checked; the old machine taken away and recycled"),
        proof=_("Nameplates; recycling receipt"),
        trade=_("Appliance dealer"),
    ),
    "dehumidifier_replacement": Specification(
        target=_("1.8 liters or more of water out of the air for each kWh"),
        specification=_(
            "Sized by the space, drained by a hose, set to 50 %; the old one's refrigerant "
            "recovered"
        ),
        proof=_("Nameplates; setting; recycling receipt"),
        prerequisites=_("Water kept out and bare ground covered first"),
        trade=_("Appliance dealer"),
    ),
}
