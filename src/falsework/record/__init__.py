"""What was seen: probes answered or not, outages measured, drills done; kept so that nothing is lost."""
