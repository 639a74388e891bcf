"""From a field record to the house of the model.

Only what was recorded is taken over; what is missing becomes a default, named as one in
``House.origins``, so that a report never shows a default as a measurement.
"""

from portal.modeling.translation.house import house_from_document
from portal.modeling.translation.repairs import repairs_of

__all__ = ["house_from_document", "repairs_of"]
