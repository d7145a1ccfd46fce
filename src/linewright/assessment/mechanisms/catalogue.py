"""All mechanisms of loss, by name."""

from __future__ import annotations

from linewright.assessment.exposure import Mechanism
from linewright.assessment.mechanisms.abrasion import Abrasion
from linewright.assessment.mechanisms.ageing import Ageing
from linewright.assessment.mechanisms.bending import Bending
from linewright.assessment.mechanisms.compression import Compression
from linewright.assessment.mechanisms.creep import Creep
from linewright.assessment.mechanisms.service import Service
from linewright.assessment.mechanisms.tension import Tension

CATALOGUE: tuple[Mechanism, ...] = (Creep(), Bending(), Tension(), Abrasion(), Ageing(), Compression(), Service())
BESIDE = {"service": "abrasion"}  # assessed with another where the data are there, never missed
BY_NAME = {mechanism.name: mechanism for mechanism in CATALOGUE}
