"""What the notes do: degrees over the chord and over the key, roles, devices, statistics."""

from tabtools.study.devices.device import Device
from tabtools.study.devices.run import KINDS, devices_of
from tabtools.study.labels import Labels, labels_of
from tabtools.study.roles import ROLE_KINDS, Role
from tabtools.study.statistics import Statistics, summed
from tabtools.study.study import Study, study_of

__all__ = [
    "KINDS",
    "ROLE_KINDS",
    "Device",
    "Labels",
    "Role",
    "Statistics",
    "Study",
    "devices_of",
    "labels_of",
    "study_of",
    "summed",
]
