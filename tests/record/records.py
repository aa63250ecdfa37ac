"""Records that tests make."""

from falsework.model.asks import Ask, Sort
from falsework.record.keeping import NewRun, Recorder
from falsework.support.probing import Question
from falsework.where import Where


def question(name, sees="", every_s=1.0, patience_s=1.0):
    """A question about a port."""
    return Question(
        name=name,
        sees=sees,
        ask=Ask(sort=Sort.TCP, host=f"{name}.rock", port=25),
        expects="",
        from_="",
        every_s=every_s,
        patience_s=patience_s,
        where=Where("lab.yaml", 1, 1),
    )


def recorder(path, *names, began=1.7e9, **run):
    """A recorder with a question for each name."""
    return Recorder(
        path, NewRun(lab="rock", began=began, **run), [question(name, sees=name) for name in names]
    )
