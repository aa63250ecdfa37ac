"""The page: the lab drawn, live while its file is edited, with plugs to pull."""
