"""What the work on each kind of measure has to be: target, specification, order, proof, care."""

from portal.works.specifications.appliances import APPLIANCES
from portal.works.specifications.base import Specification
from portal.works.specifications.insulating import INSULATING
from portal.works.specifications.plant import PLANT
from portal.works.specifications.repairs import REPAIRS
from portal.works.specifications.sealing import SEALING

__all__ = ["SPECIFICATIONS", "Specification", "specification_for"]

SPECIFICATIONS: dict[str, Specification] = {
    **SEALING,
    **INSULATING,
    **PLANT,
    **REPAIRS,
    **APPLIANCES,
}


def specification_for(kind: str) -> Specification:
    """The specification of a kind of measure. Raises ``KeyError`` for a kind without one."""
    return SPECIFICATIONS[kind]
