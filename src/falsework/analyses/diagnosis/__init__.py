"""Which part broke, what tells, and what to ask next?"""

from falsework.analyses.diagnosis.result import Cause, Diagnosis, Next, Report
from falsework.analyses.diagnosis.whole import diagnose

__all__ = ["Cause", "Diagnosis", "Next", "Report", "diagnose"]
