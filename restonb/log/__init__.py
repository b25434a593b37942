"""Running templates into the dated build log."""

from restonb.log._kernels import Kernels
from restonb.log._parameters import Parameter, parsed
from restonb.log._run import previous, run, run_all, values_for, what_changed
from restonb.log._templates import Template, copy_template, find_template, templates

__all__ = [
    "Kernels",
    "Parameter",
    "Template",
    "copy_template",
    "find_template",
    "parsed",
    "previous",
    "run",
    "run_all",
    "templates",
    "values_for",
    "what_changed",
]
