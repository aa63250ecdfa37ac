"""What past runs say of the lab as it is: how soon things come back, and when that was last proved."""

from falsework.analyses.history.left import Left as Left
from falsework.analyses.history.left import lefts as lefts
from falsework.analyses.history.recovery import recovery as recovery
from falsework.analyses.history.result import Proof as Proof
from falsework.analyses.history.result import Recovery as Recovery
from falsework.analyses.history.result import Row as Row
from falsework.analyses.history.result import Sort as Sort
from falsework.analyses.history.result import Trial as Trial
from falsework.analyses.history.told import Past as Past
from falsework.analyses.history.told import past as past
