"""Which aims are met, and by what proof or witness?"""

from falsework.analyses.aims.judge import judge_aims, judge_untimed, timed
from falsework.analyses.aims.result import AimResult, effect_words
from falsework.analyses.aims.starting import cold_reasons

__all__ = ["AimResult", "cold_reasons", "effect_words", "judge_aims", "judge_untimed", "timed"]
