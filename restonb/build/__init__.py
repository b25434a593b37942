"""The build folder: identity, spec book, instruments and joints, as a person wrote them."""

from restonb.build._shipped import shipped
from restonb.build.folder import Build
from restonb.build.instruments import Gauge
from restonb.build.joints import Fastener, Joint, JointMap
from restonb.build.specs import SpecBook

__all__ = ["Build", "Fastener", "Gauge", "Joint", "JointMap", "SpecBook", "shipped"]
