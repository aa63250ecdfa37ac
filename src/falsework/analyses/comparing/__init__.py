"""What was foretold, laid beside what was seen."""

from falsework.analyses.comparing.compare import compare as compare
from falsework.analyses.comparing.result import Comparison as Comparison
from falsework.analyses.comparing.result import Foretold as Foretold
from falsework.analyses.comparing.result import Line as Line
from falsework.analyses.comparing.result import Sort as Sort
from falsework.analyses.comparing.result import Wrong as Wrong
