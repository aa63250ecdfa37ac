"""What drills teach of the figures of a lab."""

from falsework.analyses.learning.learn import learn as learn
from falsework.analyses.learning.result import Ask as Ask
from falsework.analyses.learning.result import Counted as Counted
from falsework.analyses.learning.result import Counts as Counts
from falsework.analyses.learning.result import Learnt as Learnt
from falsework.analyses.learning.result import Measured as Measured
from falsework.analyses.learning.result import Proof as Proof
from falsework.analyses.learning.result import Update as Update
from falsework.analyses.learning.said import said as said
