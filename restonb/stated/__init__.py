"""The build folder: identity, spec book, instruments and joints, as a person wrote them."""

from restonb.stated._shipped import shipped
from restonb.stated.folder import Build
from restonb.stated.instruments import Gauge
from restonb.stated.joints import Fastener, Joint, JointMap
from restonb.stated.specs import SpecBook

__all__ = ["Build", "Fastener", "Gauge", "Joint", "JointMap", "SpecBook", "shipped"]
