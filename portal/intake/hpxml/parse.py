"""Taking an HPXML file apart safely: no document type, no entities, no network, with limits.

Every check of its own is made before a value is read: version, identifiers, references and the
kinds they point to, numbers that are finite. The schema alone would let several of these pass.
"""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.uploads.reading import FILE_LIMIT_BYTES, Fault, UploadRefused

DEPTH_LIMIT = 60
ELEMENTS_LIMIT = 200_000
FAULTS_LIMIT = 50

# Namespace of each major version, and the versions read or known. Source: the public schema.
NAMESPACES = {
    "http://hpxml.org/hpxml/2011/1": 1,
    "http://hpxmlonline.com/2014/6": 2,
    "http://hpxmlonline.com/2019/10": 3,
    "http://hpxmlonline.com/2023/09": 4,
    "http://hpxmlonline.com/2025/12": 5,
}
VERSIONS = {3: ("3.0", "3.1"), 4: ("4.0", "4.1", "4.2"), 5: ("5.0",)}

# Up to version 3 these refer by an attribute named ``id``; elsewhere ``id`` defines.
REFER_BY_ID = frozenset(
    {
        "CAZAppliance",
        "PreBuildingID",
        "PostBuildingID",
        "CustomerID",
        "ContractorID",
        "BusinessConductingTest",
        "InstalledComponent",
        "ReplacedComponent",
        "InstallingContractor",
        "UtilityID",
        "ProjectSystemIdentifiers",
    }
)
# What a reference may point to, by the name of the element that owns the identifier.
TARGETS = {
    "AttachedToWall": {"Wall", "FoundationWall"},
    "AttachedToRoof": {"Roof"},
    "AttachedToFloor": {"Floor"},
    "AttachedToFrameFloor": {"FrameFloor"},
    "AttachedToFoundationWall": {"FoundationWall"},
    "AttachedToRimJoist": {"RimJoist"},
    "AttachedToSlab": {"Slab"},
    "CombustionVentingSystem": {"CombustionVentilationSystem"},
    "DistributionSystem": {"HVACDistribution"},
    "PrimaryHeatingSystem": {"HeatingSystem", "HeatPump"},
    "PrimaryCoolingSystem": {"CoolingSystem", "HeatPump"},
    "CustomerID": {"Person", "CustomerDetails"},
    "ContractorID": {"ContractorDetails"},
    "CAZAppliance": {"HeatingSystem", "HeatPump", "WaterHeatingSystem", "CookingRange", "Oven",
                     "ClothesDryer", "Fireplace", "CoolingSystem"},
}  # fmt: skip
# References that must stay inside their building.
LOCAL = frozenset(TARGETS) - {"CustomerID", "ContractorID"}

NOT_FINITE = re.compile(r"[+-]?(INF|NaN|Infinity)$", re.IGNORECASE)
NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$")
DIGITS_LIMIT = 22
# Text of any kind may stand in these.
FREE_TEXT = re.compile(r"(Name|Notes?|Comments?|Description|Number|ID|Identifier|Code|Title)$")
NOT_NEGATIVE = re.compile(
    r"(Area|Volume|Length|Perimeter|Count|Quantity|RValue|Capacity|UFactor|NumberofUnits|"
    r"NumberofBedrooms|NumberofBathrooms|NumberofResidents|TankVolume|FlowRate|HousePressure|"
    r"AirLeakage|SHGC|Thickness)$"
)


@dataclass
class Parsed:
    """A file that holds together: its root, its major version, and what defines each id."""

    root: etree._Element
    version: int
    schema_version: str
    namespace: str
    owners: dict[str, etree._Element] = field(default_factory=dict)
    notes: list[Fault] = field(default_factory=list)


def name_of(element: etree._Element) -> str:
    """Local name of an element; empty for comments and the like."""
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


def place(element: etree._Element) -> str:
    """Where an element stands: its line and its path."""
    names = [name_of(element), *(name_of(parent) for parent in element.iterancestors())]
    path = "/".join(reversed(names[:4]))
    return _("line %(line)s, %(path)s") % {"line": element.sourceline or "?", "path": path}


def parse(content: bytes, *, name: str = "") -> Parsed:
    """Take a file apart.

    Raises
    ------
    UploadRefused
        With the line or element and the reason, for everything found.
    """
    _before_parsing(content, name)
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(content, parser)
    except etree.XMLSyntaxError as error:
        line = error.lineno or 1
        why = _("This is not well-formed XML: %s.") % (error.msg or "").partition(", line")[0]
        raise UploadRefused([Fault(_("line %d") % line, why)], name=name) from None
    except (OSError, LookupError, ValueError) as error:
        raise UploadRefused(
            [Fault("file", _("The file cannot be read: %s.") % type(error).__name__)], name=name
        ) from None
    docinfo = root.getroottree().docinfo
    if docinfo.doctype or docinfo.internalDTD is not None:
        _refuse_doctype(name)
    parsed = _version(root, name)
    faults = [*_shape(root), *_identifiers(parsed), *_numbers(root)]
    if faults:
        raise UploadRefused(faults[:FAULTS_LIMIT], name=name)
    return parsed


def _before_parsing(content: bytes, name: str) -> None:
    if not content:
        raise UploadRefused([Fault("file", _("The file is empty."))], name=name)
    if len(content) > FILE_LIMIT_BYTES:
        raise UploadRefused([Fault("file", _("The file is larger than 5 MB."))], name=name)
    # Looked for in the bytes, before any parser meets it: in every encoding XML files come in.
    for encoding in ("ascii", "utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be"):
        if "<!DOCTYPE".encode(encoding) in content or "<!ENTITY".encode(encoding) in content:
            _refuse_doctype(name)


def _refuse_doctype(name: str) -> None:
    why = _(
        "The file declares a document type or entities (DOCTYPE). Such files are not opened. "
        "Export it again without them."
    )
    raise UploadRefused([Fault(_("head of the file"), why)], name=name)


def _version(root: etree._Element, name: str) -> Parsed:
    def refuse(why: str) -> UploadRefused:
        return UploadRefused([Fault(place(root), why)], name=name)

    if name_of(root) != "HPXML":
        raise refuse(_("This is not HPXML: the first element is “%s”.") % name_of(root)[:60])
    namespace = etree.QName(root).namespace or ""
    major = NAMESPACES.get(namespace)
    if major is None:
        raise refuse(_("“%s” is not a namespace of HPXML.") % namespace[:80])
    if major not in VERSIONS:
        raise refuse(
            _("This is HPXML version %d. Versions 3, 4 and 5 are read; export it again.") % major
        )
    version = root.get("schemaVersion")
    if version is None:
        raise refuse(_("“schemaVersion” is missing on the first element."))
    if version not in VERSIONS[major]:
        raise refuse(
            _("schemaVersion “%(version)s” does not belong to the namespace of version %(major)d; "
              "known are %(known)s.")
            % {"version": version[:20], "major": major, "known": ", ".join(VERSIONS[major])}
        )  # fmt: skip
    return Parsed(root=root, version=major, schema_version=version, namespace=namespace)


def _shape(root: etree._Element) -> Iterator[Fault]:
    depth = {root: 1}
    for count, element in enumerate(root.iter(), start=1):
        if not isinstance(element.tag, str):
            yield Fault(place(element.getparent()), _("An entity stands here; it is not opened."))
            return
        parent = element.getparent()
        depth[element] = depth[parent] + 1 if parent is not None else 1
        if depth[element] > DEPTH_LIMIT:
            yield Fault(place(element), _("The file is nested too deeply."))
            return
        if count > ELEMENTS_LIMIT:
            yield Fault("file", _("The file has more than %d elements.") % ELEMENTS_LIMIT)
            return


def is_in_extension(element: etree._Element) -> bool:
    """Whether an element is somebody's own addition, which takes anything."""
    return name_of(element) == "extension" or any(
        name_of(parent) == "extension" for parent in element.iterancestors()
    )


def _refers_by_id(element: etree._Element, version: int) -> bool:
    if version > 3:
        return False
    name = name_of(element)
    if name == "BuildingID":
        parent = element.getparent()
        return parent is None or name_of(parent) != "Building"
    return name in REFER_BY_ID


def reference_of(element: etree._Element, version: int) -> str:
    """The identifier an element refers to, by the attribute of its version."""
    found = element.get("idref")
    if found is None and _refers_by_id(element, version):
        found = element.get("id")
    return found or ""


def owner_of(element: etree._Element) -> etree._Element:
    """The thing an identifier belongs to."""
    parent = element.getparent()
    if name_of(element) in ("SystemIdentifier", "BuildingID", "SiteID") and parent is not None:
        return parent
    return element


def _identifiers(parsed: Parsed) -> Iterator[Fault]:
    for element in parsed.root.iter():
        if is_in_extension(element):
            continue
        name, key = name_of(element), element.get("id")
        parent = element.getparent()
        must_define = name == "SystemIdentifier" or (
            name == "BuildingID" and parent is not None and name_of(parent) == "Building"
        )
        if must_define and not key:
            yield Fault(place(element), _("The identifier “id” is missing."))
        if key and not _refers_by_id(element, parsed.version):
            if key in parsed.owners:
                yield Fault(
                    place(element),
                    _("“%(key)s” is used twice; it stands in line %(line)s already.")
                    % {"key": key[:60], "line": parsed.owners[key].sourceline},
                )
            else:
                parsed.owners[key] = owner_of(element)
    for element in parsed.root.iter():
        if not is_in_extension(element):
            yield from _reference(element, parsed)


def _reference(element: etree._Element, parsed: Parsed) -> Iterator[Fault]:
    key, name = reference_of(element, parsed.version), name_of(element)
    if not key:
        return
    target = parsed.owners.get(key)
    if target is None:
        yield Fault(place(element), _("It points to “%s”, which is not in the file.") % key[:60])
        return
    wanted = TARGETS.get(name)
    if wanted is not None and name_of(target) not in wanted:
        yield Fault(
            place(element),
            _("It points to “%(key)s”, a %(kind)s, and should point to %(wanted)s.")
            % {
                "key": key[:60],
                "kind": name_of(target),
                "wanted": _(" or ").join(sorted(wanted)),
            },
        )
    elif name in LOCAL and building_of(element) is not building_of(target):
        fault = Fault(
            place(element), _("It points to “%s”, which is in another building.") % key[:60]
        )
        # In a proposal that is not read anyway, only a broken envelope refuses the file.
        if name.startswith("AttachedTo") or _is_audit(building_of(element), parsed):
            yield fault
        else:
            parsed.notes.append(fault)


def _is_audit(building: etree._Element | None, parsed: Parsed) -> bool:
    return building is not None and event_of(building, parsed.namespace) == "audit"


def event_of(building: etree._Element, namespace: str) -> str:
    """At which stage of the job a building was recorded."""
    event = building.find(f"{{{namespace}}}ProjectStatus/{{{namespace}}}EventType")
    return (event.text or "").strip() if event is not None else ""


def building_of(element: etree._Element) -> etree._Element | None:
    """The Building an element is part of."""
    if name_of(element) == "Building":
        return element
    return next(
        (parent for parent in element.iterancestors() if name_of(parent) == "Building"), None
    )


def _numbers(root: etree._Element) -> Iterator[Fault]:
    """Numbers that are legal text and still cannot be: not finite, huge, or below nothing."""
    for element in root.iter():
        if len(element) or not element.text or is_in_extension(element):
            continue
        text = element.text.strip()
        if not text or (FREE_TEXT.search(name_of(element)) and not _is_count(element)):
            continue
        if NOT_FINITE.match(text):
            yield Fault(place(element), _("“%s” is not a finite number.") % text)
            continue
        if not NUMBER.match(text):
            continue
        digits = sum(character.isdigit() for character in text.partition("e")[0])
        value = float(text)
        if not math.isfinite(value) or digits > DIGITS_LIMIT:
            yield Fault(
                place(element), _("“%s” is larger than anything it could mean.") % text[:40]
            )
        elif value < 0 and NOT_NEGATIVE.search(name_of(element)):
            yield Fault(place(element), _("“%s” is below zero.") % text[:40])


def _is_count(element: etree._Element) -> bool:
    return name_of(element).startswith("Numberof")
