"""Which results are worth telling? One file a topic, each from results to findings."""
